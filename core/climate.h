/* climate.h — the air and the surface on site: humidity, condensation, air pressure, wood moisture, ventilation.
 * SI: temperatures in K, pressures in Pa (absolute), humidities and moisture contents as fractions.
 *
 * A relative humidity is relative to saturation over water above 0.01 degC and over ice below, or over water
 * throughout (`over`; see humidity.h). No enhancement factor: moist air is 0.4 to 0.5 % wetter in ASHRAE's tables.
 * Every function refuses values outside its entry's rows with IMP_RANGE and leaves its results untouched then. */
#ifndef IMP_CLIMATE_H
#define IMP_CLIMATE_H

#include "humidity.h"
#include "status.h"

/* Saturation pressure of water vapour [Pa], -100 degC to 200 degC, over ice up to 0.01 degC.
 * ASHRAE Fundamentals 2017, ch. 1, eq. 5 and 6 (Hyland and Wexler 1983). */
imp_status imp_climate_saturation_pressure(double temperature, double *pressure, imp_error *error);

/* Dew point, or frost point below 0.01 degC [K]: the inverse of the above, to 1e-9 K.
 * air_temperature -60 degC to 80 degC, relative_humidity 0.001 to 1. With IMP_OVER_WATER the frost point may lie above
 * the air temperature: such air is supersaturated over ice. */
imp_status imp_climate_dew_point(double air_temperature, double relative_humidity, imp_humidity_over over,
                                 double *dew_point, imp_error *error);

/* Thermodynamic wet-bulb temperature [K]; a wet bulb above 0.01 degC, an iced one below.
 * Between about +0.4 K and -0.4 K a wet and an iced bulb can both stand in balance; the wet one is given while it does.
 * ASHRAE Fundamentals 2017, ch. 1, eq. 33 (water) and 35 (ice). pressure 50 kPa to 200 kPa. */
imp_status imp_climate_wet_bulb(double air_temperature, double relative_humidity, double pressure,
                                imp_humidity_over over, double *wet_bulb, imp_error *error);

/* Humidity ratio [kg water per kg dry air]. ASHRAE Fundamentals 2017, ch. 1, eq. 20. */
imp_status imp_climate_humidity_ratio(double air_temperature, double relative_humidity, double pressure,
                                      imp_humidity_over over, double *humidity_ratio, imp_error *error);

/* Density of moist air [kg/m^3]. ASHRAE Fundamentals 2017, ch. 1, eq. 11 with 26. */
imp_status imp_climate_moist_air_density(double air_temperature, double relative_humidity, double pressure,
                                         imp_humidity_over over, double *density, imp_error *error);

typedef struct imp_climate_surface {
    double dew_point; /* K */
    double spread;    /* surface less dew point [K]; negative: wet */
    double humidity;  /* the air's vapour pressure over saturation at the surface; above 1: wet */
} imp_climate_surface;

/* Condensation on a surface; guidance of ISO 8502-4: at least 3 K between surface and dew point.
 * surface_temperature -60 degC to 120 degC. */
imp_status imp_climate_surface_condition(double air_temperature, double relative_humidity, double surface_temperature,
                                         imp_humidity_over over, imp_climate_surface *condition, imp_error *error);

/* Pressure of the standard atmosphere [Pa] at a geopotential altitude of -2000 m to 11000 m. ISO 2533:1975, 2.4. */
imp_status imp_climate_pressure_at_altitude(double altitude, double *pressure, imp_error *error);

/* Moisture content that wood comes to in steady air [kg water per kg dry wood], -20 degC to 80 degC. The fit's humidity
 * is taken over liquid water; below 0.01 degC one given over ice is converted.
 * Hailwood and Horrobin 1946 with the constants of USDA Wood Handbook (FPL-GTR-190, 2010), ch. 4, eq. 4-5. */
imp_status imp_climate_wood_moisture(double air_temperature, double relative_humidity, imp_humidity_over over,
                                     double *moisture_content, imp_error *error);

/* Time [s] in which fresh air dilutes what is in a well-mixed space to a remaining fraction, with nothing added:
 * -ln(remaining_fraction) / air_change_rate [1/s]. Not a re-entry time. */
imp_status imp_climate_purge_time(double air_change_rate, double remaining_fraction, double *time, imp_error *error);

#endif
