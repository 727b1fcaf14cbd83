/* host_report.h — a report of one's own: a script that gets the finished results as data and gives a text. */
#ifndef IMP_HOST_REPORT_H
#define IMP_HOST_REPORT_H

#include "sandbox.h"

/* Put report(path, results) into the engine's table `host`, which must be there: the text of the report, or nil and the
 * sentence. The file runs in a state of its own, opened with `options` (borrowed while the engine lives), and returns a
 * function from the results, of which it gets a copy, to a text. */
imp_status imp_host_report_open(imp_script *engine, const imp_script_options *options, imp_error *error);

#endif
