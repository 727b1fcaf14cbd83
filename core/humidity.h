/* humidity.h — water vapour in air: saturation, its inverse, and the ratios that follow. Helpers without entries of
 * their own; climate.h and the compressed-air room stand on them. SI: K, Pa, kg/kg.
 *
 * These functions check nothing and cannot fail: their callers check through their rows. */
#ifndef IMP_HUMIDITY_H
#define IMP_HUMIDITY_H

/* What a relative humidity is relative to. */
typedef enum imp_humidity_over {
    IMP_OVER_BRANCH, /* saturation over water above 0.01 degC, over ice below (ASHRAE) */
    IMP_OVER_WATER   /* over water at any temperature, as humidity sensors report */
} imp_humidity_over;

#define IMP_TRIPLE_POINT 273.16        /* K: where the branches meet */
#define IMP_STANDARD_PRESSURE 101325.0 /* Pa, ISO 2533 */

/* Natural logarithm of the saturation pressure in Pa. 173.15 K to 473.15 K on the ASHRAE branch (ice up to and with
 * 273.16 K). Hyland and Wexler 1983, as in ASHRAE Fundamentals 2017, ch. 1, eq. 5 (ice) and 6 (water). */
double imp_humidity_log_saturation(double temperature, imp_humidity_over over);

/* The saturation pressure itself [Pa]. */
double imp_humidity_saturation(double temperature, imp_humidity_over over);

/* Temperature [K] at which a vapour pressure is saturation on the ASHRAE branch: the dew point above 0.01 degC, the
 * frost point below; to 1e-9 K. vapour_pressure > 0, from 0.0014 Pa (-100 degC) to 1.55 MPa (200 degC). */
double imp_humidity_dew_point(double vapour_pressure);
/* The same from the logarithm of the vapour pressure in Pa. */
double imp_humidity_dew_point_of_log(double log_pressure);

/* kg of water per kg of dry air. ASHRAE Fundamentals 2017, ch. 1, eq. 20. vapour_pressure < pressure. */
double imp_humidity_ratio(double vapour_pressure, double pressure);

#endif
