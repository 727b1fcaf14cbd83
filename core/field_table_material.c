/* The material document: a two-part system as its supplier's data sheets describe it. */
#include "field_table.h"

/* clang-format off */
#define TEMPERATURE(name_, low_, high_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_TEMPERATURE, "degC", IMP_CELSIUS(low_), IMP_CELSIUS(high_), IMP_CLOSED, help_)
#define FRACTION(name_, ends_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_PURE, "%", 0.0, 1.0, ends_, help_)

IMP_FIELD_WINDOW(liquid_temperature_window, IMP_TEMPERATURE, "degC", IMP_CELSIUS(-40.0), IMP_CELSIUS(120.0));
IMP_FIELD_WINDOW(air_temperature_window, IMP_TEMPERATURE, "degC", IMP_CELSIUS(-60.0), IMP_CELSIUS(80.0));
IMP_FIELD_WINDOW(pressure_window, IMP_PRESSURE, "bar", IMP_BAR(0.0), IMP_BAR(700.0));
IMP_FIELD_WINDOW(fraction_window, IMP_PURE, "%", 0.0, 1.0);
IMP_FIELD_WINDOW(moisture_window, IMP_PURE, "%", 0.0, 2.0);
IMP_FIELD_WINDOW(wind_window, IMP_VELOCITY, "m/s", 0.0, 60.0);
IMP_FIELD_WINDOW(film_window, IMP_LENGTH, "mm", IMP_MILLIMETRE(0.0), IMP_MILLIMETRE(50.0));

static const imp_param viscosity_rows[] = {
    IMP_FIELD_REQUIRED_QUANTITY("temperature", IMP_TEMPERATURE, "degC", IMP_CELSIUS(-40.0), IMP_CELSIUS(150.0), IMP_CLOSED,
                                "Temperature of the liquid"),
    IMP_FIELD_REQUIRED_QUANTITY("viscosity", IMP_VISCOSITY, "mPa s", 0.0, IMP_MILLIPASCAL_SECOND(1e6), IMP_OPEN_LOW,
                                "Dynamic viscosity at that temperature"),
    IMP_FIELD_END
};

const imp_param imp_liquid_rows[] = {
    IMP_FIELD_QUANTITY("density", IMP_DENSITY, "kg/m^3", 500.0, 3000.0, IMP_CLOSED, "Density at the reference temperature"),
    TEMPERATURE("reference_temperature", -40.0, 120.0, "Temperature at which the density was measured"),
    IMP_FIELD_QUANTITY("expansion", IMP_PER_TEMPERATURE, "1/K", 0.0, 0.01, IMP_CLOSED, "Volumetric thermal expansion coefficient"),
    IMP_FIELD_QUANTITY("heat_capacity", IMP_HEAT_CAPACITY, "kJ/(kg K)", IMP_KILOJOULE_PER_KILOGRAM_KELVIN(0.5),
                       IMP_KILOJOULE_PER_KILOGRAM_KELVIN(6.0), IMP_CLOSED, "Specific heat capacity of the liquid"),
    IMP_FIELD_QUANTITY("vapour_pressure", IMP_PRESSURE, "kPa", 0.0, IMP_KILOPASCAL(500.0), IMP_CLOSED,
                       "Absolute vapour pressure at drum temperature, blowing agent included"),
    IMP_FIELD_TABLE("viscosity", viscosity_rows, "Measured points of viscosity against temperature, two or more if known"),
    IMP_FIELD_RECORD("storage", liquid_temperature_window, "Temperatures at which drums may be stored"),
    IMP_FIELD_RECORD("drum_temperature", liquid_temperature_window, "Temperatures that the drum must have when it is pumped"),
    IMP_FIELD_END
};

static const imp_param index_rows[] = {
    FRACTION("nco_content", IMP_OPEN_LOW, "NCO content of the iso, mass fraction"),
    IMP_FIELD_QUANTITY("hydroxyl_number", IMP_PURE, "mgKOH/g", 0.0, 2.0, IMP_OPEN_LOW, "Hydroxyl number of the resin"),
    IMP_FIELD_QUANTITY("water_content", IMP_PURE, "%", 0.0, IMP_PERCENT(20.0), IMP_CLOSED, "Water in the resin, mass fraction"),
    IMP_FIELD_END
};

const imp_param imp_window_rows[] = {
    IMP_FIELD_RECORD("iso_temperature", liquid_temperature_window, "Iso temperature out of the primary heater"),
    IMP_FIELD_RECORD("resin_temperature", liquid_temperature_window, "Resin temperature out of the primary heater"),
    IMP_FIELD_RECORD("hose_temperature", liquid_temperature_window, "Temperature in the heated hose"),
    IMP_FIELD_RECORD("pressure", pressure_window, "Fluid pressure at the gun while spraying, gauge"),
    IMP_FIELD_RECORD("surface_temperature", air_temperature_window, "Temperature of the surface to be sprayed"),
    IMP_FIELD_RECORD("air_temperature", air_temperature_window, "Air temperature while spraying"),
    IMP_FIELD_RECORD("relative_humidity", fraction_window, "Relative humidity of the air while spraying"),
    IMP_FIELD_RECORD("wind_speed", wind_window, "Wind speed while spraying outdoors"),
    IMP_FIELD_RECORD("wood_moisture", moisture_window, "Moisture content of wood, of its dry mass"),
    IMP_FIELD_END
};

static const char *const cells[] = {"open", "closed", NULL};

static const imp_param foam_rows[] = {
    IMP_FIELD_QUANTITY("in_place_density", IMP_DENSITY, "kg/m^3", 0.0, 1000.0, IMP_OPEN_LOW, "Density of the foam in place, skins included"),
    IMP_FIELD_QUANTITY("minimum_lift", IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(500.0), IMP_CLOSED, "Thinnest lift allowed in one pass"),
    IMP_FIELD_QUANTITY("maximum_lift", IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(500.0), IMP_OPEN_LOW, "Thickest lift allowed in one pass"),
    IMP_FIELD_QUANTITY("lift_wait", IMP_TIME, "min", 0.0, IMP_DAY(2.0), IMP_CLOSED,
                       "Supplier's waiting time between lifts, for the heat of reaction to leave"),
    IMP_FIELD_QUANTITY("initial_conductivity", IMP_CONDUCTIVITY, "W/(m K)", 0.005, 0.2, IMP_CLOSED, "Thermal conductivity when fresh"),
    IMP_FIELD_QUANTITY("aged_conductivity", IMP_CONDUCTIVITY, "W/(m K)", 0.005, 0.2, IMP_CLOSED, "Declared thermal conductivity after ageing"),
    IMP_FIELD_CHOICE("cell", cells, "Open or closed cells"),
    IMP_FIELD_END
};

static const imp_param coating_rows[] = {
    FRACTION("solids_by_volume", IMP_OPEN_LOW, "Volume fraction that stays as dry film"),
    IMP_FIELD_RECORD("dry_film", film_window, "Dry film thickness that the supplier allows"),
    IMP_FIELD_QUANTITY("recoat_time", IMP_TIME, "h", 0.0, IMP_DAY(60.0), IMP_CLOSED, "Supplier's waiting time between coats"),
    IMP_FIELD_END
};

const imp_param imp_limit_rows[] = {
    IMP_FIELD_QUANTITY("voltage_drop", IMP_PURE, "%", 0.0, 0.5, IMP_OPEN_LOW, "Stop above this voltage drop from the origin of the installation"),
    IMP_FIELD_QUANTITY("voltage_drop_caution", IMP_PURE, "%", 0.0, 0.5, IMP_OPEN_LOW, "Caution above this voltage drop"),
    IMP_FIELD_QUANTITY("supply_tolerance", IMP_PURE, "%", 0.0, 0.5, IMP_OPEN_LOW, "Measured supply voltage may be off nominal by this, either way"),
    IMP_FIELD_QUANTITY("unbalance", IMP_PURE, "%", 0.0, 3.0, IMP_OPEN_LOW, "Caution above this deviation of a line current from the mean"),
    IMP_FIELD_QUANTITY("breaker_load", IMP_PURE, "%", 0.0, 1.0, IMP_OPEN_LOW, "Share of the breaker's rating that long loads may draw"),
    IMP_FIELD_QUANTITY("air_duty", IMP_PURE, "%", 0.0, 1.0, IMP_OPEN_LOW, "Stop above this share of running time of the compressor"),
    IMP_FIELD_QUANTITY("air_duty_caution", IMP_PURE, "%", 0.0, 1.0, IMP_OPEN_LOW, "Caution above this share of running time"),
    IMP_FIELD_QUANTITY("starts_per_hour", IMP_RATE, "1/h", 0.0, IMP_PER_HOUR(600.0), IMP_OPEN_LOW, "Compressor starts allowed in an hour"),
    IMP_FIELD_QUANTITY("balance", IMP_PURE, "%", 0.0, 1.0, IMP_OPEN_LOW, "Stop above this difference of iso and resin pressure at the gun"),
    IMP_FIELD_QUANTITY("balance_caution", IMP_PURE, "%", 0.0, 1.0, IMP_OPEN_LOW, "Caution above this difference"),
    IMP_FIELD_QUANTITY("warm_up_time", IMP_TIME, "min", 0.0, IMP_DAY(1.0), IMP_OPEN_LOW, "Caution when the hoses take longer to warm up"),
    IMP_FIELD_QUANTITY("conditioning_time", IMP_TIME, "h", 0.0, IMP_DAY(30.0), IMP_OPEN_LOW, "Caution when drums take longer to reach their window"),
    IMP_FIELD_QUANTITY("inlet_pressure", IMP_PRESSURE, "bar", 0.0, IMP_BAR(50.0), IMP_CLOSED, "Stop below this gauge pressure at the proportioning pumps' inlet"),
    IMP_FIELD_QUANTITY("inlet_pressure_caution", IMP_PRESSURE, "bar", 0.0, IMP_BAR(50.0), IMP_CLOSED, "Caution below this gauge pressure"),
    IMP_FIELD_QUANTITY("inlet_margin", IMP_PRESSURE, "bar", 0.0, IMP_BAR(50.0), IMP_CLOSED, "Stop below this margin of net positive suction pressure"),
    IMP_FIELD_QUANTITY("ratio_tolerance", IMP_PURE, "%", 0.0, 0.5, IMP_OPEN_LOW, "Measured ratio may be off nominal by this, either way"),
    IMP_FIELD_QUANTITY("impingement_reynolds", IMP_PURE, "1", 0.0, 1e5, IMP_OPEN_LOW, "Caution below this Reynolds number of either jet"),
    IMP_FIELD_QUANTITY("momentum_deviation", IMP_PURE, "%", 0.0, 1.0, IMP_OPEN_LOW, "Caution when jet momenta differ by more"),
    IMP_FIELD_QUANTITY("dew_point_spread", IMP_TEMPERATURE_DIFFERENCE, "K", 0.0, 30.0, IMP_CLOSED, "Stop when the surface is less than this above the dew point"),
    IMP_FIELD_QUANTITY("dew_point_spread_caution", IMP_TEMPERATURE_DIFFERENCE, "K", 0.0, 30.0, IMP_CLOSED, "Caution below this spread"),
    IMP_FIELD_QUANTITY("generator_dip", IMP_PURE, "%", 0.0, 0.9, IMP_OPEN_LOW, "Voltage dip that starting a motor may cause on a generator"),
    IMP_FIELD_QUANTITY("remaining_fraction", IMP_PURE, "%", 0.0, 1.0, IMP_OPEN, "Share of what is in the air that may remain after purging"),
    IMP_FIELD_END
};

static const char *const kinds[] = {"material", NULL};

const imp_param imp_material_rows[] = {
    IMP_FIELD_HEAD(kinds),
    IMP_FIELD_RECORD("iso", imp_liquid_rows, "The isocyanate component"),
    IMP_FIELD_RECORD("resin", imp_liquid_rows, "The resin component: polyol or amine blend"),
    IMP_FIELD_QUANTITY("volume_ratio", IMP_PURE, "1", 0.02, 50.0, IMP_CLOSED, "Volume of iso for one volume of resin"),
    IMP_FIELD_QUANTITY("ratio_tolerance", IMP_PURE, "%", 0.0, 0.5, IMP_OPEN_LOW, "Supplier's tolerance on the volume ratio, either way"),
    IMP_FIELD_RECORD("index", index_rows, "Data for the isocyanate index, where the supplier gives them"),
    IMP_FIELD_RECORD("window", imp_window_rows, "Processing windows of the data sheet"),
    IMP_FIELD_QUANTITY("supplier_reentry_time", IMP_TIME, "h", 0.0, IMP_DAY(30.0), IMP_CLOSED,
                       "Supplier's time before unprotected people may enter again"),
    IMP_FIELD_RECORD("foam", foam_rows, "Data of a foam"),
    IMP_FIELD_RECORD("coating", coating_rows, "Data of a coating"),
    IMP_FIELD_QUANTITY("unit_price", IMP_MONEY_PER_MASS, "EUR/kg", 0.0, 1e6, IMP_CLOSED, "Price of the mixed material by mass"),
    IMP_FIELD_QUANTITY("drum_volume", IMP_VOLUME, "L", 0.0, IMP_LITRE(5000.0), IMP_OPEN_LOW, "Liquid in one full drum or container"),
    IMP_FIELD_RECORD("limits", imp_limit_rows, "The supplier's own limits for the pre-job rules, where stricter or looser than the usual"),
    IMP_FIELD_END
};
/* clang-format on */
