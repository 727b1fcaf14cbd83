/* tables_data.c — the figures of the published tables, one row a fact, in the units of the standard.
 *
 * What is quoted here are facts of the standards named; the standards themselves are the authority. A size of the NEC
 * is the AWG number (0, -1, -2, -3 for 1/0 to 4/0), or kcmil from 250 on.
 * Over 500 lines because the published tables are that long. */
#include "tables.h"

/* One row a fact. */
/* clang-format off */

/* IEC 60228, tables 2 and 3 (classes 2 and 5), edition 2004 (Ed. 3). Read in a public copy; a second agrees from
 * 0.5 to 300 mm^2.
 * Greatest DC values at 20 degC, plain wires. Class 5 at 50 mm^2 (0.386) lies below class 2 (0.387): printed so. There
 * is no class 5 aluminium. The first column is the series of preferred sections. */
static const double conductor_rows[][4] = {
    {0.5, 36, 39, 0},
    {0.75, 24.5, 26, 0},
    {1, 18.1, 19.5, 0},
    {1.5, 12.1, 13.3, 0},
    {2.5, 7.41, 7.98, 0},
    {4, 4.61, 4.95, 0},
    {6, 3.08, 3.3, 0},
    {10, 1.83, 1.91, 3.08},
    {16, 1.15, 1.21, 1.91},
    {25, 0.727, 0.78, 1.2},
    {35, 0.524, 0.554, 0.868},
    {50, 0.387, 0.386, 0.641},
    {70, 0.268, 0.272, 0.443},
    {95, 0.193, 0.206, 0.32},
    {120, 0.153, 0.161, 0.253},
    {150, 0.124, 0.129, 0.206},
    {185, 0.0991, 0.106, 0.164},
    {240, 0.0754, 0.0801, 0.125},
    {300, 0.0601, 0.0641, 0.1},
};

/* IEC 60364-5-52 (HD 60364-5-52), B.52.2, edition 2009 (Ed. 3). Read in a public copy; a second agrees; 120 to 300
 * mm^2 from memory, found alike in three others.
 * 70 degC conductor, 30 degC air, one circuit. */
static const double b52_2_rows[][4] = {
    {1.5, 17.5, 16.5, 19.5},
    {2.5, 24, 23, 27},
    {4, 32, 30, 36},
    {6, 41, 38, 46},
    {10, 57, 52, 63},
    {16, 76, 69, 85},
    {25, 101, 90, 112},
    {35, 125, 111, 138},
    {50, 151, 133, 168},
    {70, 192, 168, 213},
    {95, 232, 201, 258},
    {120, 269, 232, 299},
    {150, 300, 258, 344},
    {185, 341, 294, 392},
    {240, 400, 344, 461},
    {300, 458, 394, 530},
};

/* IEC 60364-5-52 (HD 60364-5-52), B.52.3, edition 2009 (Ed. 3). Read in a public copy; a second agrees; 120 to 300
 * mm^2 from memory, found alike in three others.
 * 90 degC conductor, 30 degC air, one circuit. Some copies (and Brazil's NBR 5410) print higher B1 values from 150 mm^2
 * on (407, 464, 546, 628): those follow the computing formula, not the table. */
static const double b52_3_rows[][4] = {
    {1.5, 23, 22, 24},
    {2.5, 31, 30, 33},
    {4, 42, 40, 45},
    {6, 54, 51, 58},
    {10, 75, 69, 80},
    {16, 100, 91, 107},
    {25, 133, 119, 138},
    {35, 164, 146, 171},
    {50, 198, 175, 209},
    {70, 253, 221, 269},
    {95, 306, 265, 328},
    {120, 354, 305, 382},
    {150, 393, 334, 441},
    {185, 449, 384, 506},
    {240, 528, 459, 599},
    {300, 603, 532, 693},
};

/* IEC 60364-5-52 (HD 60364-5-52), B.52.4, edition 2009 (Ed. 3). Read in a public copy; a second agrees; 120 to 300
 * mm^2 from memory, found alike in three others.
 * 70 degC conductor, 30 degC air, one circuit. */
static const double b52_4_rows[][4] = {
    {1.5, 15.5, 15, 17.5},
    {2.5, 21, 20, 24},
    {4, 28, 27, 32},
    {6, 36, 34, 41},
    {10, 50, 46, 57},
    {16, 68, 62, 76},
    {25, 89, 80, 96},
    {35, 110, 99, 119},
    {50, 134, 118, 144},
    {70, 171, 149, 184},
    {95, 207, 179, 223},
    {120, 239, 206, 259},
    {150, 262, 225, 299},
    {185, 296, 255, 341},
    {240, 346, 297, 403},
    {300, 394, 339, 464},
};

/* IEC 60364-5-52 (HD 60364-5-52), B.52.5, edition 2009 (Ed. 3). Read in a public copy; a second agrees; 120 to 300
 * mm^2 from memory, found alike in three others.
 * 90 degC conductor, 30 degC air, one circuit. B1 from 150 mm^2 on: as at B.52.3. */
static const double b52_5_rows[][4] = {
    {1.5, 20, 19.5, 22},
    {2.5, 28, 26, 30},
    {4, 37, 35, 40},
    {6, 48, 44, 52},
    {10, 66, 60, 71},
    {16, 88, 80, 96},
    {25, 117, 105, 119},
    {35, 144, 128, 147},
    {50, 175, 154, 179},
    {70, 222, 194, 229},
    {95, 269, 233, 278},
    {120, 312, 268, 322},
    {150, 342, 300, 371},
    {185, 384, 340, 424},
    {240, 450, 398, 500},
    {300, 514, 455, 576},
};

/* IEC 60364-5-52 (HD 60364-5-52), B.52.10, edition 2009 (Ed. 3). Read in a public copy; a second agrees; 120 to 300
 * mm^2 from memory, found alike in three others.
 * 70 degC conductor, 30 degC air, one circuit. */
static const double b52_10_E_rows[][3] = {
    {1.5, 22, 18.5},
    {2.5, 30, 25},
    {4, 40, 34},
    {6, 51, 43},
    {10, 70, 60},
    {16, 94, 80},
    {25, 119, 101},
    {35, 148, 126},
    {50, 180, 153},
    {70, 232, 196},
    {95, 282, 238},
    {120, 328, 276},
    {150, 379, 319},
    {185, 434, 364},
    {240, 514, 430},
    {300, 593, 497},
};

/* IEC 60364-5-52 (HD 60364-5-52), B.52.12, edition 2009 (Ed. 3). Read in a public copy; a second agrees; 120 to 300
 * mm^2 from memory, found alike in three others.
 * 90 degC conductor, 30 degC air, one circuit. */
static const double b52_12_E_rows[][3] = {
    {1.5, 26, 23},
    {2.5, 36, 32},
    {4, 49, 42},
    {6, 63, 54},
    {10, 86, 75},
    {16, 115, 100},
    {25, 149, 127},
    {35, 185, 158},
    {50, 225, 192},
    {70, 289, 246},
    {95, 352, 298},
    {120, 410, 346},
    {150, 473, 399},
    {185, 542, 456},
    {240, 641, 538},
    {300, 741, 621},
};

/* BS 7671, 4F1A (from 4 mm^2) and 4F3A (below), flexible cables and cords of 60 degC rubber, edition 17th and 18th.
 * 4F1A read in a public copy, a second agrees; 4F3A read in two, of which one gives its first column only.
 * 60 degC conductor, 30 degC air, in free air or resting on a surface. 0 = the table gives none: on one phase 4F1A has
 * no cable of two cores beyond 25 mm^2. 4F3A gives a cord of 4 mm^2 32 and 25 A. */
static const double rubber_rows[][3] = {
    {1.5, 16, 16},
    {2.5, 25, 20},
    {4, 30, 26},
    {6, 39, 34},
    {10, 51, 47},
    {16, 73, 63},
    {25, 97, 83},
    {35, 0, 102},
    {50, 0, 124},
    {70, 0, 158},
    {95, 0, 192},
};

/* BS 7671, note to 4F3A, edition 17th and 18th. Read in a public copy; a second agrees.
 * Every entry is sqrt((60 degC - ambient)/30 K) to 2 decimals. No gain is printed for cooler air. */
static const double rubber_ambient_rows[][2] = {
    {30, 1},
    {35, 0.91},
    {40, 0.82},
    {45, 0.71},
    {50, 0.58},
    {55, 0.41},
};

/* IEC 60364-5-52, B.52.14, edition 2009 (Ed. 3). Read in a public copy; a second agrees.
 * Every entry is sqrt((T - ambient)/(T - 30 degC)) to 2 decimals. 0 = the table gives none. */
static const double b52_14_rows[][3] = {
    {10, 1.22, 1.15},
    {15, 1.17, 1.12},
    {20, 1.12, 1.08},
    {25, 1.06, 1.04},
    {30, 1, 1},
    {35, 0.94, 0.96},
    {40, 0.87, 0.91},
    {45, 0.79, 0.87},
    {50, 0.71, 0.82},
    {55, 0.61, 0.76},
    {60, 0.5, 0.71},
    {65, 0, 0.65},
    {70, 0, 0.58},
    {75, 0, 0.5},
    {80, 0, 0.41},
};

/* IEC 60364-5-52, B.52.17, edition 2009 (Ed. 3). Read in a public copy; row labels from memory.
 * 0 = the table gives none: beyond nine in a single layer no further reduction is given. */
static const double b52_17_rows[][4] = {
    {1, 1, 1, 1},
    {2, 0.8, 0.85, 0.88},
    {3, 0.7, 0.79, 0.82},
    {4, 0.65, 0.75, 0.77},
    {5, 0.6, 0.73, 0.75},
    {6, 0.57, 0.72, 0.73},
    {7, 0.54, 0.72, 0.73},
    {8, 0.52, 0.71, 0.72},
    {9, 0.5, 0.7, 0.72},
    {12, 0.45, 0, 0},
    {16, 0.41, 0, 0},
    {20, 0.38, 0, 0},
};

/* IEC 60204-1, BS 7671 and NFPA 79, IEC 60204-1 table 7; BS 7671 note 2 to table 4F1A; NFPA 79 12.7.3, edition BS
 * 7671: 17th and 18th edition. BS 7671 read in a public copy; that the others print the same is from memory.
 * An unventilated radial drum of one layer has 0.75. No factor is published beyond four layers. */
static const double drum_rows[][2] = {
    {1, 0.85},
    {2, 0.65},
    {3, 0.45},
    {4, 0.35},
};

/* IEC 60898-1, preferred values of rated current, edition 2002 and 2015. Read in a public copy; a second agrees; 8
 * A from memory. */
static const double iec_breaker_rows[] = {
    6, 8, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125
};

/* IEC 60309-1 and -2, series I, edition 1999 with A2:2012. Read in a public copy; a second agrees. */
static const double iec_plug_rows[] = {
    16, 32, 63, 125
};

/* IEC 60309-1 and -2, series II, edition 1999 with A2:2012. From memory. */
static const double nec_plug_rows[] = {
    20, 30, 60, 100
};

/* NFPA 70 (NEC), 310.16 (formerly 310.15(B)(16)), edition 2014 to 2023. Read in a public copy; a second agrees; 250
 * to 600 kcmil read in another.
 * 30 degC. Older editions print 110 A for 3 AWG and 150 A for 1 AWG at 90 degC, and 355 A for 600 kcmil at 60 degC. */
static const double nec_ampacity_rows[][4] = {
    {14, 15, 20, 25},
    {12, 20, 25, 30},
    {10, 30, 35, 40},
    {8, 40, 50, 55},
    {6, 55, 65, 75},
    {4, 70, 85, 95},
    {3, 85, 100, 115},
    {2, 95, 115, 130},
    {1, 110, 130, 145},
    {0, 125, 150, 170},
    {-1, 145, 175, 195},
    {-2, 165, 200, 225},
    {-3, 195, 230, 260},
    {250, 215, 255, 290},
    {300, 240, 285, 320},
    {350, 260, 310, 350},
    {400, 280, 335, 380},
    {500, 320, 380, 430},
    {600, 350, 420, 475},
};

/* NFPA 70 (NEC), 400.5(A)(1), thermoset cords (S, SO, SOO and their kin), edition 2011 to 2023. From memory; two columns
 * found alike in a public copy, 16 to 2 AWG, which calls them three-phase and single-phase cords; the second column of 14
 * and 12 AWG also in another.
 * 30 degC; a cord is of 60 degC unless it is marked (UL 62). The table has no 3 AWG and ends at 2 AWG. */
static const double nec_cord_rows[][3] = {
    {14, 15, 18},
    {12, 20, 25},
    {10, 25, 30},
    {8, 35, 40},
    {6, 45, 55},
    {4, 60, 70},
    {3, 0, 0},
    {2, 80, 95},
};

/* NFPA 70 (NEC), 310.15(B)(1)(1) (formerly 310.15(B)(2)(a)), edition 2011 to 2023. Read in a public copy.
 * Steps: a row holds up to its temperature. 0 = the table gives none. Another table has 40 degC as its reference. */
static const double nec_ambient_rows[][4] = {
    {10, 1.29, 1.2, 1.15},
    {15, 1.22, 1.15, 1.12},
    {20, 1.15, 1.11, 1.08},
    {25, 1.08, 1.05, 1.04},
    {30, 1, 1, 1},
    {35, 0.91, 0.94, 0.96},
    {40, 0.82, 0.88, 0.91},
    {45, 0.71, 0.82, 0.87},
    {50, 0.58, 0.75, 0.82},
    {55, 0.41, 0.67, 0.76},
    {60, 0, 0.58, 0.71},
    {65, 0, 0.47, 0.65},
    {70, 0, 0.33, 0.58},
    {75, 0, 0, 0.5},
    {80, 0, 0, 0.41},
    {85, 0, 0, 0.29},
};

/* NFPA 70 (NEC), 310.15(C)(1) (formerly 310.15(B)(3)(a)), edition 2014 to 2023. Read in a public copy.
 * A row holds from its number of conductors on. */
static const double nec_adjust_rows[][2] = {
    {1, 1},
    {4, 0.8},
    {7, 0.7},
    {10, 0.5},
    {21, 0.45},
    {31, 0.4},
    {41, 0.35},
};

/* NFPA 70 (NEC), chapter 9 table 8, edition 2014 to 2023. Read in a public copy; 250 to 500 kcmil read in a second
 * one; 600 kcmil from memory.
 * At 75 degC, not 20 degC. */
static const double nec_resistance_rows[][3] = {
    {14, 4110, 3.14},
    {12, 6530, 1.98},
    {10, 10380, 1.24},
    {8, 16510, 0.778},
    {6, 26240, 0.491},
    {4, 41740, 0.308},
    {3, 52620, 0.245},
    {2, 66360, 0.194},
    {1, 83690, 0.154},
    {0, 105600, 0.122},
    {-1, 133100, 0.0967},
    {-2, 167800, 0.0766},
    {-3, 211600, 0.0608},
    {250, 250000, 0.0515},
    {300, 300000, 0.0429},
    {350, 350000, 0.0367},
    {400, 400000, 0.0321},
    {500, 500000, 0.0258},
    {600, 600000, 0.0214},
};

/* NFPA 70 (NEC), 240.6(A), edition 2023. Read in a public copy; a second agrees. */
static const double nec_rating_rows[] = {
    15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450,
    500, 600, 700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000, 6000
};

/* NFPA 70 (NEC), 430.250, edition 2008 to 2023. Read in a public copy; a second agrees.
 * Good for 220 V to 240 V and 440 V to 480 V systems. Some public copies shift the columns. */
static const double nec_motor_rows[][4] = {
    {0.5, 2.4, 2.2, 1.1},
    {0.75, 3.5, 3.2, 1.6},
    {1, 4.6, 4.2, 2.1},
    {1.5, 6.6, 6, 3},
    {2, 7.5, 6.8, 3.4},
    {3, 10.6, 9.6, 4.8},
    {5, 16.7, 15.2, 7.6},
    {7.5, 24.2, 22, 11},
    {10, 30.8, 28, 14},
    {15, 46.2, 42, 21},
    {20, 59.4, 54, 27},
    {25, 74.8, 68, 34},
    {30, 88, 80, 40},
    {40, 114, 104, 52},
    {50, 143, 130, 65},
    {60, 169, 154, 77},
    {75, 211, 192, 96},
    {100, 273, 248, 124},
};

/* clang-format on */

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))
#define COLUMNS(...)                                                                                                   \
    .columns = (const char *const[]){__VA_ARGS__}, .column_count = COUNT(((const char *const[]){__VA_ARGS__}))
#define ROWS(name) .rows = (const double *)name##_rows, .row_count = COUNT(name##_rows)

const imp_table imp_tables[IMP_TABLE_COUNT] = {
    [IMP_TABLE_CONDUCTOR] = {.title = "Greatest resistance of a conductor at 20 degC",
                             .standard = "IEC 60228",
                             .number = "tables 2 and 3 (classes 2 and 5)",
                             .edition = "2004 (Ed. 3)",
                             .how_obtained = "read in a public copy; a second agrees from 0.5 to 300 mm^2",
                             COLUMNS("section mm^2", "class 2 copper ohm/km", "class 5 copper ohm/km",
                                     "class 2 aluminium ohm/km"),
                             ROWS(conductor)},
    [IMP_TABLE_PVC_2] =
        {.title = "Current-carrying capacity, copper, PVC, two loaded conductors",
         .standard = "IEC 60364-5-52 (HD 60364-5-52)",
         .number = "B.52.2",
         .edition = "2009 (Ed. 3)",
         .how_obtained =
             "read in a public copy; a second agrees; 120 to 300 mm^2 from memory, found alike in three others",
         COLUMNS("section mm^2", "B1 A", "B2 A", "C A"),
         ROWS(b52_2)},
    [IMP_TABLE_XLPE_2] =
        {.title = "Current-carrying capacity, copper, XLPE or EPR, two loaded conductors",
         .standard = "IEC 60364-5-52 (HD 60364-5-52)",
         .number = "B.52.3",
         .edition = "2009 (Ed. 3)",
         .how_obtained =
             "read in a public copy; a second agrees; 120 to 300 mm^2 from memory, found alike in three others",
         COLUMNS("section mm^2", "B1 A", "B2 A", "C A"),
         ROWS(b52_3)},
    [IMP_TABLE_PVC_3] =
        {.title = "Current-carrying capacity, copper, PVC, three loaded conductors",
         .standard = "IEC 60364-5-52 (HD 60364-5-52)",
         .number = "B.52.4",
         .edition = "2009 (Ed. 3)",
         .how_obtained =
             "read in a public copy; a second agrees; 120 to 300 mm^2 from memory, found alike in three others",
         COLUMNS("section mm^2", "B1 A", "B2 A", "C A"),
         ROWS(b52_4)},
    [IMP_TABLE_XLPE_3] =
        {.title = "Current-carrying capacity, copper, XLPE or EPR, three loaded conductors",
         .standard = "IEC 60364-5-52 (HD 60364-5-52)",
         .number = "B.52.5",
         .edition = "2009 (Ed. 3)",
         .how_obtained =
             "read in a public copy; a second agrees; 120 to 300 mm^2 from memory, found alike in three others",
         COLUMNS("section mm^2", "B1 A", "B2 A", "C A"),
         ROWS(b52_5)},
    [IMP_TABLE_PVC_AIR] =
        {.title = "Current-carrying capacity, copper, PVC, multicore cable in free air (method E)",
         .standard = "IEC 60364-5-52 (HD 60364-5-52)",
         .number = "B.52.10",
         .edition = "2009 (Ed. 3)",
         .how_obtained =
             "read in a public copy; a second agrees; 120 to 300 mm^2 from memory, found alike in three others",
         COLUMNS("section mm^2", "E, two loaded A", "E, three loaded A"),
         ROWS(b52_10_E)},
    [IMP_TABLE_XLPE_AIR] =
        {.title = "Current-carrying capacity, copper, XLPE or EPR, multicore cable in free air (method E)",
         .standard = "IEC 60364-5-52 (HD 60364-5-52)",
         .number = "B.52.12",
         .edition = "2009 (Ed. 3)",
         .how_obtained =
             "read in a public copy; a second agrees; 120 to 300 mm^2 from memory, found alike in three others",
         COLUMNS("section mm^2", "E, two loaded A", "E, three loaded A"),
         ROWS(b52_12_E)},
    [IMP_TABLE_RUBBER] = {.title = "Current-carrying capacity, copper, flexible rubber cable of 60 degC",
                          .standard = "BS 7671",
                          .number = "4F3A to 2.5 mm^2, 4F1A from 4 mm^2",
                          .edition = "17th and 18th edition",
                          .how_obtained = "read in a public copy; a second agrees, of 4F3A in its first column",
                          COLUMNS("section mm^2", "two loaded A", "three loaded A"),
                          ROWS(rubber)},
    [IMP_TABLE_RUBBER_AMBIENT] = {.title = "Correction for the temperature of the air, reference 30 degC",
                                  .standard = "BS 7671",
                                  .number = "note to 4F3A",
                                  .edition = "17th and 18th edition",
                                  .how_obtained = "read in a public copy; a second agrees",
                                  COLUMNS("air degC", "rubber 60 degC"),
                                  ROWS(rubber_ambient)},
    [IMP_TABLE_AMBIENT] = {.title = "Correction for the temperature of the air, reference 30 degC",
                           .standard = "IEC 60364-5-52",
                           .number = "B.52.14",
                           .edition = "2009 (Ed. 3)",
                           .how_obtained = "read in a public copy; a second agrees",
                           COLUMNS("air degC", "PVC 70 degC", "XLPE or EPR 90 degC"),
                           ROWS(b52_14)},
    [IMP_TABLE_GROUPING] = {.title = "Reduction for circuits or multicore cables that touch",
                            .standard = "IEC 60364-5-52",
                            .number = "B.52.17",
                            .edition = "2009 (Ed. 3)",
                            .how_obtained = "read in a public copy; row labels from memory",
                            COLUMNS("circuits", "bunched or enclosed", "layer on a wall", "layer on a tray"),
                            ROWS(b52_17)},
    [IMP_TABLE_DRUM] = {.title = "Reduction for a cable left on a ventilated cylindrical drum",
                        .standard = "IEC 60204-1, BS 7671 and NFPA 79",
                        .number = "IEC 60204-1 table 7; BS 7671 note 2 to table 4F1A; NFPA 79 12.7.3",
                        .edition = "BS 7671: 17th and 18th edition",
                        .how_obtained = "BS 7671 read in a public copy; that the others print the same is from memory",
                        COLUMNS("layers", "factor"),
                        ROWS(drum)},
    [IMP_TABLE_IEC_BREAKER] = {.title = "Preferred rated currents of circuit-breakers",
                               .standard = "IEC 60898-1",
                               .number = "preferred values of rated current",
                               .edition = "2002 and 2015",
                               .how_obtained = "read in a public copy; a second agrees; 8 A from memory",
                               COLUMNS("rating A"),
                               ROWS(iec_breaker)},
    [IMP_TABLE_PLUG_SERIES_I] = {.title = "Rated currents of industrial plugs, series I",
                                 .standard = "IEC 60309-1 and -2",
                                 .number = "series I",
                                 .edition = "1999 with A2:2012",
                                 .how_obtained = "read in a public copy; a second agrees",
                                 COLUMNS("rating A"),
                                 ROWS(iec_plug)},
    [IMP_TABLE_PLUG_SERIES_II] = {.title = "Rated currents of industrial plugs, series II",
                                  .standard = "IEC 60309-1 and -2",
                                  .number = "series II",
                                  .edition = "1999 with A2:2012",
                                  .how_obtained = "from memory",
                                  COLUMNS("rating A"),
                                  ROWS(nec_plug)},
    [IMP_TABLE_NEC_AMPACITY] =
        {.title = "Ampacity of insulated copper, up to three current-carrying conductors in raceway, cable or earth",
         .standard = "NFPA 70 (NEC)",
         .number = "310.16 (formerly 310.15(B)(16))",
         .edition = "2014 to 2023",
         .how_obtained = "read in a public copy; a second agrees; 250 to 600 kcmil read in another",
         COLUMNS("size", "60 degC A", "75 degC A", "90 degC A"),
         ROWS(nec_ampacity)},
    [IMP_TABLE_NEC_CORD] =
        {.title = "Ampacity of flexible cords, thermoset",
         .standard = "NFPA 70 (NEC)",
         .number = "400.5(A)(1), columns A and B",
         .edition = "2011 to 2023",
         .how_obtained = "from memory, found alike in a public copy; column B of 14 and 12 AWG in another",
         COLUMNS("size", "three current-carrying A", "two current-carrying A"),
         ROWS(nec_cord)},
    [IMP_TABLE_NEC_AMBIENT] = {.title = "Correction for the temperature of the air, reference 30 degC",
                               .standard = "NFPA 70 (NEC)",
                               .number = "310.15(B)(1)(1) (formerly 310.15(B)(2)(a))",
                               .edition = "2011 to 2023",
                               .how_obtained = "read in a public copy",
                               COLUMNS("air up to degC", "60 degC", "75 degC", "90 degC"),
                               ROWS(nec_ambient)},
    [IMP_TABLE_NEC_ADJUSTMENT] = {.title = "Adjustment for more than three current-carrying conductors",
                                  .standard = "NFPA 70 (NEC)",
                                  .number = "310.15(C)(1) (formerly 310.15(B)(3)(a))",
                                  .edition = "2014 to 2023",
                                  .how_obtained = "read in a public copy",
                                  COLUMNS("conductors from", "factor"),
                                  ROWS(nec_adjust)},
    [IMP_TABLE_NEC_RESISTANCE] =
        {.title = "Direct-current resistance at 75 degC, stranded uncoated copper",
         .standard = "NFPA 70 (NEC)",
         .number = "chapter 9 table 8",
         .edition = "2014 to 2023",
         .how_obtained = "read in a public copy; 250 to 500 kcmil read in a second one; 600 kcmil from memory",
         COLUMNS("size", "area circular mil", "ohm/1000 ft"),
         ROWS(nec_resistance)},
    [IMP_TABLE_NEC_BREAKER] = {.title = "Standard ratings of fuses and inverse-time circuit-breakers",
                               .standard = "NFPA 70 (NEC)",
                               .number = "240.6(A)",
                               .edition = "2023",
                               .how_obtained = "read in a public copy; a second agrees",
                               COLUMNS("rating A"),
                               ROWS(nec_rating)},
    [IMP_TABLE_NEC_MOTOR] = {.title = "Full-load current of three-phase induction motors",
                             .standard = "NFPA 70 (NEC)",
                             .number = "430.250",
                             .edition = "2008 to 2023",
                             .how_obtained = "read in a public copy; a second agrees",
                             COLUMNS("power hp", "208 V A", "230 V A", "460 V A"),
                             ROWS(nec_motor)},
};
