/* check_rows.h — check several numbers against their rows, in the rows' order. */
#ifndef IMP_CHECK_ROWS_H
#define IMP_CHECK_ROWS_H

#include "param.h"

/* The first number that its row refuses is reported, as by imp_check. */
static inline imp_status imp_check_rows(const imp_param *rows, const double *values, size_t count, imp_error *error)
{
    for (size_t i = 0; i < count; i++) {
        const imp_status status = imp_check(&rows[i], values[i], error);
        if (status != IMP_OK)
            return status;
    }
    return IMP_OK;
}

#endif
