/* The job document: one job on one site on one day, with its rig and material. */
#include "electrical_rows.h"
#include "field_table.h"

/* clang-format off */
#define TEMPERATURE(name_, low_, high_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_TEMPERATURE, "degC", IMP_CELSIUS(low_), IMP_CELSIUS(high_), IMP_CLOSED, help_)
#define FRACTION(name_, ends_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_PURE, "%", 0.0, 1.0, ends_, help_)
#define CURRENT(name_, high_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_CURRENT, "A", 0.0, high_, IMP_OPEN_LOW, help_)
#define VOLTAGE(name_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_VOLTAGE, "V", 0.0, 1000.0, IMP_OPEN_LOW, help_)

static const char *const humidity_branches[] = {"branch", "water", NULL};

const imp_param imp_site_rows[] = {
    TEMPERATURE("air_temperature", -60.0, 80.0, "Air temperature where the spraying is done"),
    IMP_FIELD_QUANTITY("relative_humidity", IMP_PURE, "%", 0.001, 1.0, IMP_CLOSED, "Relative humidity of that air"),
    TEMPERATURE("surface_temperature", -60.0, 120.0, "Temperature of the coldest part of the surface"),
    IMP_FIELD_QUANTITY("altitude", IMP_LENGTH, "m", -500.0, 9000.0, IMP_CLOSED, "Height of the site above sea level"),
    IMP_FIELD_QUANTITY("wind_speed", IMP_VELOCITY, "m/s", 0.0, 60.0, IMP_CLOSED, "Wind speed at the surface; 0 m/s indoors"),
    IMP_FIELD_QUANTITY("wood_moisture", IMP_PURE, "%", 0.0, 2.0, IMP_CLOSED, "Measured moisture of wood, of its dry mass"),
    IMP_FIELD_QUANTITY("air_change_rate", IMP_RATE, "1/h", 0.0, IMP_PER_HOUR(200.0), IMP_OPEN_LOW, "Air changes that the ventilation makes in an hour"),
    IMP_FIELD_DEFAULT_CHOICE("humidity_over", humidity_branches, 0.0,
                             "Whether the humidity sensor reads over water also below 0 degC (water) or over ice there (branch)"),
    IMP_FIELD_END
};

static const char *const conductors[] = {"copper", "aluminium", NULL};

static const imp_param cable_rows[] = {
    IMP_FIELD_QUANTITY("section", IMP_AREA, "mm^2", 0.0, IMP_SQUARE_MILLIMETRE(2000.0), IMP_OPEN_LOW, "Cross-section of one line conductor"),
    IMP_FIELD_TEXT("gauge", IMP_OPTIONAL, "American wire gauge of one line conductor instead of the section, such as \"6\" or \"2/0\""),
    IMP_FIELD_QUANTITY("length", IMP_LENGTH, "m", 0.0, 2000.0, IMP_OPEN_LOW, "Length of the cable, one way"),
    IMP_FIELD_CHOICE("method", imp_electrical_methods, "Installation method of IEC 60364-5-52: B1, B2 enclosed, C on a surface, E in free air"),
    IMP_FIELD_CHOICE("insulation", imp_electrical_insulations,
                     "Insulation of the conductors; rubber: a flexible cable, on a surface or in free air"),
    IMP_FIELD_CHOICE("material", conductors, "Metal of the conductors"),
    IMP_FIELD_CHOICE("class", imp_electrical_classes, "Conductor class of IEC 60228: 2 stranded, 5 flexible"),
    IMP_FIELD_COUNT("layers_on_drum", 0.0, 20.0, "Layers of the cable left on its drum; 0 when it is laid out"),
    TEMPERATURE("ambient_temperature", -40.0, 90.0, "Warmest air along the cable"),
    IMP_FIELD_COUNT("grouped", 1.0, 50.0, "Loaded circuits laid together, this one included"),
    TEMPERATURE("terminal_temperature", 60.0, 90.0, "Temperature rating of the terminals (NEC)"),
    IMP_FIELD_END
};

static const imp_param generator_rows[] = {
    IMP_FIELD_QUANTITY("rating", IMP_POWER, "kVA", 0.0, IMP_KILOWATT(5000.0), IMP_OPEN_LOW, "Rated apparent power on its plate"),
    IMP_FIELD_QUANTITY("reactance", IMP_PURE, "1", 0.0, 1.0, IMP_OPEN_LOW, "Transient reactance, per unit"),
    IMP_FIELD_QUANTITY("dip_limit", IMP_PURE, "%", 0.0, 0.9, IMP_OPEN_LOW, "Voltage dip allowed when a motor starts"),
    IMP_FIELD_QUANTITY("power_factor", IMP_PURE, "1", 0.0, 1.0, IMP_OPEN_LOW, "Power factor for which it is rated"),
    TEMPERATURE("ambient_temperature", -40.0, 60.0, "Air temperature at the generator; the site's when not given"),
    IMP_FIELD_QUANTITY("specific_consumption", IMP_SPECIFIC_CONSUMPTION, "L/kWh", 0.0, 2.0 * 1e-3 / 3.6e6, IMP_OPEN_LOW, "Fuel for each unit of energy"),
    IMP_FIELD_END
};


const imp_param imp_supply_rows[] = {
    VOLTAGE("voltage", "Nominal voltage, line to line on three phases"),
    VOLTAGE("measured_voltage", "Voltage measured at the rig with its loads on, same conductors as the nominal"),
    IMP_FIELD_CHOICE("phases", imp_electrical_phases, "Number of phases"),
    IMP_FIELD_FLAG("neutral", "Whether the supply brings a neutral"),
    IMP_FIELD_QUANTITY("frequency", IMP_RATE, "Hz", 45.0, 65.0, IMP_CLOSED, "Supply frequency"),
    IMP_FIELD_QUANTITY("prospective_current", IMP_CURRENT, "kA", 0.0, 2e5, IMP_OPEN_LOW, "Prospective short-circuit current at the supply point"),
    IMP_FIELD_QUANTITY("clearing_time", IMP_TIME, "s", 0.0, 10.0, IMP_OPEN_LOW, "Time in which the breaker clears that current"),
    CURRENT("breaker", 4000.0, "Rated current of the breaker that feeds the rig"),
    IMP_FIELD_QUANTITY("residual_current_device", IMP_CURRENT, "mA", 0.0, 10.0, IMP_OPEN_LOW, "Rated residual current of the device that protects the supply"),
    CURRENT("plug", 4000.0, "Rated current of the plug and socket"),
    IMP_FIELD_QUANTITY("drop_used", IMP_PURE, "%", 0.0, 0.5, IMP_CLOSED, "Voltage drop that the installation uses before the rig's cable"),
    IMP_FIELD_CHOICE("code", imp_electrical_codes, "Wiring rules that apply: iec or nec"),
    IMP_FIELD_RECORD("cable", cable_rows, "Cable between the supply point and the rig"),
    IMP_FIELD_RECORD("generator", generator_rows, "Generator, where the supply is not mains"),
    IMP_FIELD_END
};

const imp_param imp_hoses_rows[] = {
    IMP_FIELD_COUNT("sections", 1.0, 100.0, "Heated hose sections in use"),
    { .name = "whip", .kind = IMP_FLAG, .presence = IMP_DEFAULT, .fallback = 1, .help = "Whether the rig's whip hose is fitted" },
    IMP_FIELD_QUANTITY("rise", IMP_LENGTH, "m", -300.0, 300.0, IMP_CLOSED, "Height of the gun above the rig at its highest, negative below"),
    IMP_FIELD_END
};

const imp_param imp_settings_rows[] = {
    TEMPERATURE("iso_temperature", -20.0, 150.0, "Set temperature of the iso heater"),
    TEMPERATURE("resin_temperature", -20.0, 150.0, "Set temperature of the resin heater"),
    TEMPERATURE("hose_temperature", -20.0, 150.0, "Set temperature of the hose heat"),
    IMP_FIELD_QUANTITY("pressure", IMP_PRESSURE, "bar", 0.0, IMP_BAR(700.0), IMP_OPEN_LOW, "Set fluid pressure at the rig, gauge"),
    IMP_FIELD_QUANTITY("flow", IMP_FLOW, "L/min", 0.0, IMP_LITRE_PER_MINUTE(200.0), IMP_OPEN_LOW, "Planned flow of iso and resin together while the trigger is pulled"),
    IMP_FIELD_QUANTITY("hose_current", IMP_CURRENT, "A", 0.0, 1000.0, IMP_OPEN_LOW, "Current setting of the hose heat"),
    IMP_FIELD_QUANTITY("transfer_air_pressure", IMP_PRESSURE, "bar", 0.0, IMP_BAR(50.0), IMP_OPEN_LOW,
                       "Air pressure set at the transfer pumps, gauge; the rig's when not given"),
    IMP_FIELD_END
};

static const char *const work_kinds[] = {"foam", "coating", NULL};
static const char *const substrates[] = {"wood", "steel", "aluminium", "concrete", "masonry", "plaster", "bitumen", "foam", "other", NULL};

static const imp_param work_rows[] = {
    IMP_FIELD_CHOICE("kind", work_kinds, "Foam or coating"),
    IMP_FIELD_CHOICE("substrate", substrates, "What is sprayed on"),
    IMP_FIELD_QUANTITY("area", IMP_AREA, "m^2", 0.0, 1e6, IMP_OPEN_LOW, "Area to be sprayed"),
    IMP_FIELD_QUANTITY("thickness", IMP_LENGTH, "mm", 0.0, 2.0, IMP_OPEN_LOW, "Thickness of foam, all lifts together"),
    IMP_FIELD_QUANTITY("dry_film", IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(50.0), IMP_OPEN_LOW, "Thickness of dry coating"),
    IMP_FIELD_COUNT("coats", 1.0, 20.0, "Coats in which the film is built up"),
    IMP_FIELD_QUANTITY("loss", IMP_PURE, "%", 0.0, 0.9, IMP_CLOSED, "Share of the sprayed material that is lost: overspray, trimming, waste"),
    IMP_FIELD_QUANTITY("surface_factor", IMP_PURE, "1", 1.0, 5.0, IMP_CLOSED, "True surface over plane area, for profiled or rough surfaces"),
    IMP_FIELD_QUANTITY("thinning", IMP_PURE, "%", 0.0, 1.0, IMP_CLOSED, "Volume of thinner for one volume of coating"),
    IMP_FIELD_QUANTITY("profile_dead_volume", IMP_LENGTH, "L/m^2", 0.0, IMP_LITRE(5.0), IMP_CLOSED, "Coating that fills the surface profile"),
    IMP_FIELD_QUANTITY("target_resistance", IMP_THERMAL_RESISTANCE, "m^2 K/W", 0.0, 50.0, IMP_OPEN_LOW, "Thermal resistance that the foam shall reach"),
    IMP_FIELD_QUANTITY("target_u", IMP_HEAT_TRANSFER, "W/(m^2 K)", 0.0, 10.0, IMP_OPEN_LOW, "Thermal transmittance that the whole part shall reach"),
    IMP_FIELD_QUANTITY("existing_resistance", IMP_THERMAL_RESISTANCE, "m^2 K/W", 0.0, 50.0, IMP_CLOSED, "Thermal resistance of what is already there"),
    FRACTION("trigger_fraction", IMP_OPEN_LOW, "Share of the working time in which the trigger is pulled"),
    IMP_FIELD_QUANTITY("set_up_time", IMP_TIME, "h", 0.0, IMP_DAY(2.0), IMP_CLOSED, "Time for masking and setting up before spraying"),
    IMP_FIELD_QUANTITY("clean_up_time", IMP_TIME, "h", 0.0, IMP_DAY(2.0), IMP_CLOSED, "Time for cleaning and packing up afterwards"),
    IMP_FIELD_END
};

const imp_param imp_stock_rows[] = {
    IMP_FIELD_QUANTITY("iso_drums", IMP_PURE, "1", 0.0, 1000.0, IMP_CLOSED, "Iso drums at hand; an opened one as a fraction"),
    IMP_FIELD_QUANTITY("resin_drums", IMP_PURE, "1", 0.0, 1000.0, IMP_CLOSED, "Resin drums at hand; an opened one as a fraction"),
    FRACTION("usable_fraction", IMP_OPEN_LOW, "Share of a drum that the transfer pump can take out"),
    TEMPERATURE("drum_temperature", -40.0, 80.0, "Temperature of the liquid in the drums"),
    IMP_FIELD_DATE("expiry", "Earliest expiry date of the drums"),
    IMP_FIELD_END
};

static const imp_param dip_rows[] = {
    IMP_FIELD_QUANTITY("iso_diameter", IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(3000.0), IMP_OPEN_LOW, "Inner diameter of the iso drum"),
    IMP_FIELD_QUANTITY("iso_drop", IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(3000.0), IMP_OPEN_LOW, "Fall of the iso level between two dips"),
    IMP_FIELD_QUANTITY("resin_diameter", IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(3000.0), IMP_OPEN_LOW, "Inner diameter of the resin drum"),
    IMP_FIELD_QUANTITY("resin_drop", IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(3000.0), IMP_OPEN_LOW, "Fall of the resin level between two dips"),
    IMP_FIELD_QUANTITY("reading_uncertainty", IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(100.0), IMP_CLOSED, "Standard uncertainty of one reading of the level"),
    IMP_FIELD_END
};
static const imp_param counter_rows[] = {
    IMP_FIELD_COUNT("iso_cycles", 1.0, 1e9, "Cycles of the iso pump"),
    IMP_FIELD_COUNT("resin_cycles", 1.0, 1e9, "Cycles of the resin pump in the same time"),
    IMP_FIELD_END
};
static const imp_param measured_rows[] = {
    IMP_FIELD_QUANTITY("ratio", IMP_PURE, "1", 0.0, 100.0, IMP_OPEN_LOW, "Measured volume of iso for one volume of resin"),
    IMP_FIELD_QUANTITY("ratio_uncertainty", IMP_PURE, "1", 0.0, 100.0, IMP_CLOSED, "Standard uncertainty of that ratio"),
    IMP_FIELD_RECORD("dips", dip_rows, "Levels dipped in both drums before and after spraying"),
    IMP_FIELD_RECORD("counters", counter_rows, "Pump cycles counted over the same time"),
    IMP_FIELD_END
};

/* In the order of what can hurt; each is something that only a person on site can see. */
static const imp_param confirmed_rows[] = {
    IMP_FIELD_FLAG("isolation_and_earth_proved", "Supply can be isolated and the earth is proved"),
    IMP_FIELD_FLAG("residual_current_device_tested", "Residual-current device trips at its test button"),
    IMP_FIELD_FLAG("pumps_rotate_as_marked", "Motors and pumps turn as marked"),
    IMP_FIELD_FLAG("hydraulic_oil_in_order", "Hydraulic oil level and condition are in order"),
    IMP_FIELD_FLAG("iso_pump_lubricant_in_order", "Iso pump lubricant is clear, at level and moving"),
    IMP_FIELD_FLAG("hoses_laid_out", "Hoses are laid out, not coiled, before hose heat"),
    IMP_FIELD_FLAG("hoses_full_of_liquid", "Hoses are full of liquid before hose heat"),
    IMP_FIELD_FLAG("release_route_open", "A pressure release route is open"),
    IMP_FIELD_FLAG("lines_not_interchanged", "Iso and resin lines are not interchanged"),
    IMP_FIELD_FLAG("lines_bled", "Lines are bled of air"),
    IMP_FIELD_FLAG("trigger_lock_used", "Trigger lock is on whenever nobody sprays"),
    IMP_FIELD_FLAG("breathing_air_own_source", "Breathing air is of its own grade and from its own source"),
    IMP_FIELD_FLAG("skin_and_eye_protection", "Skin and eye protection is worn"),
    IMP_FIELD_FLAG("ventilation_in_place", "Ventilation is in place"),
    IMP_FIELD_FLAG("exclusion_zone_set", "Exclusion zone is set and marked"),
    IMP_FIELD_FLAG("supplier_reentry_known", "Supplier's re-entry time is known to the crew"),
    IMP_FIELD_FLAG("fire_watch_set", "Fire watch is set"),
    IMP_FIELD_END
};

static const imp_param price_rows[] = {
    IMP_FIELD_QUANTITY("labour_rate", IMP_MONEY_PER_TIME, "EUR/h", 0.0, 1e3, IMP_CLOSED, "Cost of one person for an hour"),
    IMP_FIELD_QUANTITY("energy_price", IMP_MONEY_PER_ENERGY, "EUR/kWh", 0.0, 1.0, IMP_CLOSED, "Price of electrical energy"),
    IMP_FIELD_QUANTITY("fuel_price", IMP_MONEY_PER_VOLUME, "EUR/L", 0.0, 1e7, IMP_CLOSED, "Price of the generator's fuel"),
    IMP_FIELD_QUANTITY("material_price", IMP_MONEY_PER_MASS, "EUR/kg", 0.0, 1e6, IMP_CLOSED, "Price of the mixed material for this job; the material's when not given"),
    IMP_FIELD_END
};

static const char *const kinds[] = {"job", NULL};

const imp_param imp_job_rows[] = {
    IMP_FIELD_HEAD(kinds),
    IMP_FIELD_DATE("date", "Day of the job"),
    IMP_FIELD_TEXT("currency", IMP_OPTIONAL, "ISO 4217 code of the job's currency, such as \"EUR\""),
    IMP_FIELD_TEXT("display_units", IMP_OPTIONAL, "Units for results: \"si\", \"us\", or the name of a file beside this one"),
    IMP_FIELD_DOCUMENT("rig", imp_rig_rows, "The rig, or the name of its file beside this one"),
    IMP_FIELD_DOCUMENT("material", imp_material_rows, "The material, or the name of its file beside this one"),
    IMP_FIELD_RECORD("site", imp_site_rows, "Readings on site"),
    IMP_FIELD_RECORD("supply", imp_supply_rows, "Electrical supply"),
    IMP_FIELD_RECORD("hoses", imp_hoses_rows, "Hoses as laid for this job"),
    IMP_FIELD_RECORD("settings", imp_settings_rows, "Settings of the rig"),
    IMP_FIELD_RECORD("work", work_rows, "What is to be sprayed"),
    IMP_FIELD_RECORD("stock", imp_stock_rows, "Drums at hand"),
    IMP_FIELD_RECORD("measured", measured_rows, "Measured mixing ratio"),
    IMP_FIELD_RECORD("confirmed", confirmed_rows, "What a person has seen on site: true once it is so"),
    IMP_FIELD_RECORD("window", imp_window_rows, "The job's own windows, before the material's"),
    IMP_FIELD_RECORD("limits", imp_limit_rows, "The job's own limits, before the material's and the rig's"),
    IMP_FIELD_QUANTITY("shift", IMP_TIME, "h", 0.0, IMP_DAY(1.0), IMP_OPEN_LOW, "Working time in the day"),
    IMP_FIELD_COUNT("crew", 1.0, 100.0, "People at work"),
    IMP_FIELD_RECORD("prices", price_rows, "Prices in the job's currency"),
    IMP_FIELD_END
};
/* clang-format on */
