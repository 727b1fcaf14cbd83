/* The rig document: pumps, heaters, hoses, gun, loads and air of one spray rig. */
#include "field_table.h"
#include "line_currents.h"

/* clang-format off */
#define TEMPERATURE(name_, low_, high_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_TEMPERATURE, "degC", IMP_CELSIUS(low_), IMP_CELSIUS(high_), IMP_CLOSED, help_)
#define FRACTION(name_, ends_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_PURE, "%", 0.0, 1.0, ends_, help_)
#define RATED_PRESSURE(help_) \
    IMP_FIELD_QUANTITY("rated_pressure", IMP_PRESSURE, "bar", 0.0, IMP_BAR(1000.0), IMP_OPEN_LOW, help_)
#define RATED_TEMPERATURE(help_) TEMPERATURE("rated_temperature", 0.0, 200.0, help_)
#define DIAMETER(name_, high_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(high_), IMP_OPEN_LOW, help_)
#define LENGTH(name_, high_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_LENGTH, "m", 0.0, high_, IMP_OPEN_LOW, help_)
#define POWER(name_, high_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_POWER, "kW", 0.0, IMP_KILOWATT(high_), IMP_OPEN_LOW, help_)
#define VOLTAGE(name_, high_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_VOLTAGE, "V", 0.0, high_, IMP_OPEN_LOW, help_)
#define AIR_PRESSURE(name_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_PRESSURE, "bar", 0.0, IMP_BAR(50.0), IMP_OPEN_LOW, help_)
#define FREE_AIR(name_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_FLOW, "L/min", 0.0, IMP_LITRE_PER_MINUTE(1e5), IMP_CLOSED, help_)

IMP_FIELD_WINDOW(air_window, IMP_PRESSURE, "bar", 0.0, IMP_BAR(50.0));

static const imp_param pump_rows[] = {
    IMP_FIELD_QUANTITY("displacement", IMP_VOLUME, "cm^3", 0.0, IMP_LITRE(10.0), IMP_OPEN_LOW, "Volume that one full cycle of the pump moves"),
    IMP_FIELD_QUANTITY("area", IMP_AREA, "cm^2", 0.0, 0.1, IMP_OPEN_LOW, "Effective piston area of the fluid pump"),
    FRACTION("volumetric_efficiency", IMP_OPEN_LOW, "Volume moved over displacement; 1 when not given by the maker"),
    IMP_FIELD_END
};
static const imp_param pumps_rows[] = {
    IMP_FIELD_RECORD("iso", pump_rows, "The iso pump"),
    IMP_FIELD_RECORD("resin", pump_rows, "The resin pump"),
    IMP_FIELD_END
};

static const imp_param drive_rows[] = {
    POWER("motor_power", 500.0, "Rated shaft power of the drive's motor"),
    IMP_FIELD_QUANTITY("pressure_limit", IMP_PRESSURE, "bar", 0.0, IMP_BAR(1000.0), IMP_OPEN_LOW, "Highest drive pressure, hydraulic oil or air, gauge"),
    IMP_FIELD_QUANTITY("area", IMP_AREA, "cm^2", 0.0, 0.5, IMP_OPEN_LOW, "Effective piston area of the drive cylinder"),
    IMP_FIELD_QUANTITY("oil_flow", IMP_FLOW, "L/min", 0.0, IMP_LITRE_PER_MINUTE(1000.0), IMP_OPEN_LOW, "Oil flow of the hydraulic pump"),
    FRACTION("efficiency", IMP_OPEN_LOW, "Fluid power over motor power, drive and pumps together"),
    IMP_FIELD_END
};

static const imp_param heater_rows[] = {
    POWER("power", 200.0, "Heater power at its rated voltage"),
    VOLTAGE("rated_voltage", 1000.0, "Voltage at which the heater gives that power"),
    FRACTION("efficiency", IMP_OPEN_LOW, "Share of the heat that reaches the liquid"),
    TEMPERATURE("highest_temperature", 0.0, 200.0, "Highest liquid temperature that the heater may be set to"),
    IMP_FIELD_END
};
static const imp_param heaters_rows[] = {
    IMP_FIELD_RECORD("iso", heater_rows, "Primary heater of the iso side"),
    IMP_FIELD_RECORD("resin", heater_rows, "Primary heater of the resin side"),
    IMP_FIELD_END
};

static const imp_param insulation_rows[] = {
    DIAMETER("inner_diameter", 500.0, "Inner diameter of the insulation round the hose pair"),
    DIAMETER("outer_diameter", 1000.0, "Outer diameter of the insulation"),
    IMP_FIELD_QUANTITY("conductivity", IMP_CONDUCTIVITY, "W/(m K)", 0.005, 5.0, IMP_CLOSED, "Thermal conductivity of the insulation"),
    IMP_FIELD_END
};

static const char *const sides[] = {"iso", "resin", NULL};

static const imp_param hose_rows[] = {
    LENGTH("section_length", 200.0, "Length of one heated hose section"),
    DIAMETER("iso_bore", 100.0, "Inner diameter of the iso hose"),
    DIAMETER("resin_bore", 100.0, "Inner diameter of the resin hose"),
    IMP_FIELD_QUANTITY("roughness", IMP_LENGTH, "mm", 0.0, IMP_MILLIMETRE(5.0), IMP_CLOSED, "Wall roughness of the hose bore"),
    IMP_FIELD_QUANTITY("fitting_loss", IMP_PURE, "1", 0.0, 1000.0, IMP_CLOSED, "Loss coefficient of the fittings of one section"),
    IMP_FIELD_QUANTITY("section_resistance", IMP_RESISTANCE, "ohm", 0.0, 1000.0, IMP_OPEN_LOW, "Electrical resistance of one section's heating circuit"),
    FRACTION("heat_split", IMP_CLOSED, "Share of the hose heat that the iso hose gets"),
    IMP_FIELD_LIST("taps", IMP_VOLTAGE, "V", 0.0, 1000.0, IMP_OPEN_LOW, "Voltages of the hose transformer's taps at nominal supply"),
    IMP_FIELD_QUANTITY("current_limit", IMP_CURRENT, "A", 0.0, 1000.0, IMP_OPEN_LOW, "Highest current in the hose circuit"),
    VOLTAGE("primary_voltage", 1000.0, "Nominal supply voltage of the hose transformer"),
    POWER("transformer_rating", 200.0, "Rated apparent power of the hose transformer"),
    IMP_FIELD_QUANTITY("lead_resistance", IMP_RESISTANCE, "ohm", 0.0, 1000.0, IMP_CLOSED, "Resistance of the leads between transformer and first section"),
    IMP_FIELD_RECORD("insulation", insulation_rows, "Insulation round the pair; used where loss_coefficient is not given"),
    IMP_FIELD_QUANTITY("loss_coefficient", IMP_CONDUCTIVITY, "W/(m K)", 0.0, 100.0, IMP_OPEN_LOW, "Heat lost to the air for each metre of the pair and kelvin"),
    IMP_FIELD_QUANTITY("heat_capacity_per_length", IMP_HEAT_CAPACITY_PER_LENGTH, "J/(m K)", 0.0, 1e5, IMP_OPEN_LOW,
                       "Heat capacity of a metre of the hose pair and its jacket, without the liquid in it"),
    RATED_PRESSURE("Highest working pressure of the heated hose"),
    RATED_TEMPERATURE("Highest working temperature of the heated hose"),
    IMP_FIELD_COUNT("most_sections", 1.0, 100.0, "Most sections that the rig may carry"),
    IMP_FIELD_CHOICE("sensor_side", sides, "Side on which the hose temperature is measured"),
    IMP_FIELD_QUANTITY("sensor_position", IMP_LENGTH, "m", 0.0, 1000.0, IMP_CLOSED, "Distance of the temperature sensor from the start of the heated hose"),
    IMP_FIELD_END
};

static const imp_param whip_rows[] = {
    LENGTH("length", 50.0, "Length of the whip hose"),
    DIAMETER("iso_bore", 100.0, "Inner diameter of the iso whip hose"),
    DIAMETER("resin_bore", 100.0, "Inner diameter of the resin whip hose"),
    IMP_FIELD_FLAG("heated", "Whether the whip hose is part of the heating circuit"),
    IMP_FIELD_QUANTITY("resistance", IMP_RESISTANCE, "ohm", 0.0, 1000.0, IMP_OPEN_LOW, "Electrical resistance of a heated whip hose"),
    RATED_PRESSURE("Highest working pressure of the whip hose"),
    RATED_TEMPERATURE("Highest working temperature of the whip hose"),
    IMP_FIELD_END
};

static const imp_param gun_rows[] = {
    DIAMETER("iso_orifice", 20.0, "Diameter of one iso orifice into the mixing chamber"),
    DIAMETER("resin_orifice", 20.0, "Diameter of one resin orifice into the mixing chamber"),
    IMP_FIELD_COUNT("iso_count", 1.0, 16.0, "Number of equal iso orifices; 1 when not given"),
    IMP_FIELD_COUNT("resin_count", 1.0, 16.0, "Number of equal resin orifices; 1 when not given"),
    IMP_FIELD_QUANTITY("orifice_length_ratio", IMP_PURE, "1", 0.0, 100.0, IMP_OPEN_LOW, "Length of an orifice over its diameter"),
    FRACTION("discharge_coefficient", IMP_OPEN_LOW, "Discharge coefficient of the orifices"),
    FREE_AIR("air_use", "Free air that the gun takes while spraying"),
    IMP_FIELD_RECORD("air_window", air_window, "Air pressure that the gun needs, gauge"),
    RATED_PRESSURE("Highest working pressure of the gun"),
    RATED_TEMPERATURE("Highest working temperature of the gun"),
    IMP_FIELD_END
};

static const imp_param transfer_pump_rows[] = {
    IMP_FIELD_QUANTITY("pressure_ratio", IMP_PURE, "1", 0.0, 100.0, IMP_OPEN_LOW, "Stall pressure of the liquid over the air pressure"),
    FREE_AIR("air_use", "Free air that the pump takes at the planned flow"),
    AIR_PRESSURE("air_pressure", "Air pressure that its regulator is set to, gauge"),
    IMP_FIELD_RECORD("air_window", air_window, "Air pressure at which the pump may run, gauge"),
    DIAMETER("line_bore", 200.0, "Inner diameter of the liquid line from drum to proportioning pump"),
    LENGTH("line_length", 200.0, "Length of that line"),
    IMP_FIELD_QUANTITY("rise", IMP_LENGTH, "m", -20.0, 20.0, IMP_CLOSED, "Height of the proportioning pump's inlet above the liquid in the drum"),
    IMP_FIELD_END
};
static const imp_param transfer_pumps_rows[] = {
    IMP_FIELD_RECORD("iso", transfer_pump_rows, "Transfer pump in the iso drum"),
    IMP_FIELD_RECORD("resin", transfer_pump_rows, "Transfer pump in the resin drum"),
    IMP_FIELD_END
};

static const imp_param drum_heater_rows[] = {
    POWER("power", 50.0, "Power of the heating for one drum"),
    FRACTION("efficiency", IMP_OPEN_LOW, "Share of that heat that reaches the liquid"),
    IMP_FIELD_QUANTITY("loss", IMP_HEAT_LOSS, "W/K", 0.0, 1000.0, IMP_CLOSED, "Heat that one drum loses to the air for each kelvin"),
    IMP_FIELD_END
};

static const imp_param compressor_rows[] = {
    FREE_AIR("delivery", "Rated delivery, as volume at its own intake"),
    IMP_FIELD_QUANTITY("receiver_volume", IMP_VOLUME, "L", 0.0, IMP_LITRE(2e4), IMP_OPEN_LOW, "Volume of the air receiver"),
    AIR_PRESSURE("cut_in", "Receiver pressure at which it starts, gauge"),
    AIR_PRESSURE("cut_out", "Receiver pressure at which it stops, gauge"),
    IMP_FIELD_FLAG("same_supply", "Whether it draws from the same electrical supply as the rig"),
    POWER("power", 500.0, "Shaft power of its motor"),
    POWER("starting_power", 5000.0, "Apparent power that its motor draws at start"),
    IMP_FIELD_END
};

static const imp_param air_line_rows[] = {
    DIAMETER("bore", 200.0, "Inner diameter of the air hose to the far end"),
    LENGTH("length", 500.0, "Length of that hose"),
    IMP_FIELD_END
};

static const char *const breathing_sources[] = {"own_compressor", "cylinders", "ambient_air_pump", "shared_compressor", NULL};

static const imp_param breathing_rows[] = {
    FREE_AIR("demand", "Free air for all breathing sets together"),
    IMP_FIELD_CHOICE("source", breathing_sources, "Where the breathing air comes from"),
    IMP_FIELD_END
};

static const char *const kinds[] = {"rig", NULL};

const imp_param imp_rig_rows[] = {
    IMP_FIELD_HEAD(kinds),
    IMP_FIELD_RECORD("pumps", pumps_rows, "Proportioning pumps"),
    IMP_FIELD_RECORD("drive", drive_rows, "What drives the pumps"),
    IMP_FIELD_QUANTITY("fluid_pressure_limit", IMP_PRESSURE, "bar", 0.0, IMP_BAR(1000.0), IMP_OPEN_LOW, "Highest fluid pressure that the rig may make"),
    IMP_FIELD_RECORD("heaters", heaters_rows, "Primary heaters"),
    IMP_FIELD_RECORD("hose", hose_rows, "Heated hose sections and their heating circuit"),
    IMP_FIELD_RECORD("whip", whip_rows, "Whip hose between the heated hose and the gun"),
    IMP_FIELD_RECORD("gun", gun_rows, "The gun"),
    IMP_FIELD_RECORD("transfer_pumps", transfer_pumps_rows, "Transfer pumps in the drums"),
    IMP_FIELD_RECORD("drum_heater", drum_heater_rows, "Heating for one drum: jacket, band or blanket"),
    IMP_FIELD_TABLE("loads", imp_load_rows, "Every electrical load of the rig"),
    POWER("starting_power", 5000.0, "Apparent power that the rig's largest motor draws at start, from its plate or data sheet"),
    IMP_FIELD_RECORD("compressor", compressor_rows, "Air compressor"),
    IMP_FIELD_RECORD("air_line", air_line_rows, "Air hose from the receiver to the far end"),
    FREE_AIR("tools_air_use", "Free air that other tools take while spraying"),
    IMP_FIELD_RECORD("breathing_air", breathing_rows, "Breathing air of the crew"),
    IMP_FIELD_RECORD("limits", imp_limit_rows, "The rig maker's own limits for the pre-job rules"),
    IMP_FIELD_END
};
/* clang-format on */
