/* cable.h — which section a supply cable needs, and what a section may carry as it is laid.
 *
 * SI throughout. The tables are those of tables.h; nothing is extrapolated beyond them. Results help to plan; local
 * codes and a licensed electrician decide. */
#ifndef IMP_CABLE_H
#define IMP_CABLE_H

#include <stdbool.h>

#include "electrical.h"

/* How the cable is laid. */
typedef struct imp_cable_laying {
    imp_phases phases; /* one phase: two loaded conductors; three: three */
    imp_cable_method method;
    imp_insulation insulation;
    double ambient_temperature; /* K */
    double grouped;             /* circuits together with this one, itself counted: a whole number */
    imp_code code;
    double layers_on_drum;       /* 0: laid out */
    double terminal_temperature; /* K: 60, 75 or 90 degC, NEC only; NAN: not marked, NEC 110.14(C)(1) */
} imp_cable_laying;

typedef struct imp_cable_capacity {
    double ampacity;            /* A: corrected; with the NEC also not above what the terminals bear */
    double tabulated;           /* A: of the insulation's column */
    double factor;              /* of ambient, grouping and drum together */
    double terminal;            /* A: of the terminals' column, NEC; infinity with IEC */
    double section;             /* m^2, as the table has it */
    double largest_breaker;     /* A: that protects the conductor */
    double working_temperature; /* K: of the conductor when it carries that */
    double fault_k;             /* A s^0.5/mm^2 of a fault that begins at the insulation's temperature */
    int gauge;                  /* NEC: row of the table + 1; IEC: 0 */
} imp_cable_capacity;

/* What a section [m^2] may carry. The largest breaker is the ampacity itself (IEC 60364-4-43, 433.1); with the NEC the
 * next standard rating up to 800 A (240.4(B)) and 15, 20, 30 A for 14, 12, 10 AWG (240.4(D)), with a flexible cord the
 * ampacity itself (240.5(A)). IMP_NOT_APPLICABLE for
 * what the tables do not give. */
imp_status imp_cable_ampacity(double section, const imp_cable_laying *laying, imp_cable_capacity *capacity,
                              imp_error *error);

typedef struct imp_cable_load {
    double current, length, voltage; /* A, m, V */
    double power_factor, drop_limit;
    imp_conductor conductor; /* IEC: class */
    bool continuous;         /* NEC: three hours or more, 125 % (210.19, 210.20) */
    double breaker;          /* A: the one that is there; NAN: the least standard one */
    double section;          /* m^2: the one that is there, to be checked; NAN: the least that does */
    double fault_current;    /* A, prospective, for clearing_time [s, up to 5]; both NAN: not counted */
    double clearing_time;
} imp_cable_load;

typedef enum imp_cable_limit {
    IMP_CABLE_AMPACITY,
    IMP_CABLE_BREAKER,
    IMP_CABLE_DROP,
    IMP_CABLE_FAULT
} imp_cable_limit;

/* A size of the table for the same load, laid alike. */
typedef struct imp_cable_size_of {
    double section, ampacity, drop_fraction; /* NAN: the table has no such size */
    int gauge;                               /* as above */
} imp_cable_size_of;

typedef struct imp_cable_choice {
    double section, breaker, ampacity, drop_fraction;
    imp_cable_limit governed_by;    /* of the least section that does, also when a given one is checked */
    int gauge;                      /* as above */
    double fault_section;           /* m^2 that the fault asks for; NAN without a fault */
    imp_cable_size_of below, above; /* the next sizes in the table */
} imp_cable_choice;

/* Least section so that I <= In <= Iz, the drop is within its limit, the conductor at the insulation's working
 * temperature, and a fault does not overheat it (S = I sqrt(t)/k, IEC 60364-4-43 434.5.2; k 115 PVC at 70 degC, 143
 * XLPE, 141 rubber of 60 degC, table 43A; with the NEC's 75 degC PVC 105, IEC 60364-5-54 annex A from 75 to 150 degC).
 * IEC: IEC 60364-4-43 433.1 with the tables of IEC 60364-5-52. NEC: 210.19, 210.20, 240.4(B) (the next standard rating
 * up to 800 A), 240.4(D) (14, 12, 10 AWG at 15, 20, 30 A), 110.14(C), 310.15, 310.16.
 * IMP_NO_SOLUTION: no section does, or the given one does not; the message says which of the four fails and by how
 * much. */
imp_status imp_cable_size(const imp_cable_load *load, const imp_cable_laying *laying, imp_cable_choice *choice,
                          imp_error *error);

/* Greatest length [m] of load->section over which the drop stays within load->drop_limit; the cable must carry the
 * current and stand its breaker, or is refused as by imp_cable_size. load->length counts for nothing. */
imp_status imp_cable_length(const imp_cable_load *load, const imp_cable_laying *laying, double *length,
                            imp_error *error);

typedef struct imp_cable_most {
    double current, breaker, ampacity, drop_fraction; /* A, A, A, of the voltage at that current */
    imp_cable_limit governed_by;                      /* what the current stops at; not the fault */
    int gauge;
} imp_cable_most;

/* Greatest current [A] that load->section carries over load->length with load->breaker, or with the largest standard
 * breaker that protects it. load->current counts for nothing. IMP_NO_SOLUTION for a breaker that is too large for the
 * cable, or where no standard one is small enough. */
imp_status imp_cable_most_current(const imp_cable_load *load, const imp_cable_laying *laying, imp_cable_most *most,
                                  imp_error *error);

#endif
