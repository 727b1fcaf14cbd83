/* analysis_models.h — what gcc -fanalyzer cannot see across files, told it by tests/static_analysis.sh: that imp_fail
 * returns the status it is given, so that "failed" never looks like IMP_OK. Not part of any build. */
#ifndef IMP_ANALYSIS_MODELS_H
#define IMP_ANALYSIS_MODELS_H

#include "status.h"

static inline imp_status imp_model_failed(imp_status returned, imp_status status)
{
    (void)returned;
    return status;
}
#define imp_fail(error, status, ...) imp_model_failed((imp_fail)(error, status, __VA_ARGS__), (status))

#endif
