/* impinge.h — the core for programs in C: everything in it that is for others to use.
 *
 *     #include <impinge/impinge.h>
 *     cc program.c $(pkg-config --cflags --libs impinge)
 *
 * A header is public when it stands here, and installed then; the others are the core's own. Functions say in their
 * comment what they return; imp_ and IMP_ are the library's. Below version 1.0 names may change with the second number. */
#ifndef IMP_IMPINGE_H
#define IMP_IMPINGE_H

/* how errors travel, memory, numbers, quantities and their units */
#include "status.h"
#include "memory.h"
#include "number.h"
#include "dimension.h"
#include "unit.h"
#include "quantity.h"

/* the catalogue of calculations, and what can be done with any of them */
#include "param.h"
#include "sheet.h"
#include "catalogue.h"
#include "rooms.h"
#include "argument.h"
#include "engine.h"

/* the calculations as functions, room by room */
#include "humidity.h"
#include "climate.h"
#include "fluid.h"
#include "mix.h"
#include "pump.h"
#include "gun.h"
#include "hose.h"
#include "hose_run.h"
#include "hose_pair.h"
#include "heat.h"
#include "rig.h"
#include "tables.h"
#include "electrical.h"
#include "cable.h"
#include "line_currents.h"
#include "air.h"
#include "yield.h"

/* numerical methods and statistics */
#include "solve.h"
#include "stats.h"
#include "exact_sum.h"

/* documents and job logs */
#include "file.h"
#include "issue.h"
#include "document.h"
#include "schema.h"
#include "log_header.h"
#include "log_reader.h"
#include "columns.h"
#include "log_summary.h"

#endif
