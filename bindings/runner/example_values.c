#include "example_values.h"

#include <stdio.h>
#include <string.h>

/* The end of "room.entry.row", and a value for it; the first that fits is the first to be tried. */
static const struct {
    const char *end, *value;
} familiar[] = {
    /* one entry's own */
    {"dip_ratio.iso_diameter", "571 mm"},
    {"dip_ratio.resin_diameter", "571 mm"},
    {"dip_ratio.iso_drop", "210 mm"},
    {"dip_ratio.resin_drop", "204 mm"},
    {"counter_ratio.iso_cycles", "1040"},
    {"counter_ratio.resin_cycles", "1000"},
    {"hose_circuit.voltage", "60 V"},
    {"yield.cost.mass", "420 kg"},
    {"running_cost.time", "8 h"},
    /* temperatures and humidity */
    {"air_temperature", "20 degC"},
    {"ambient_temperature", "10 degC"},
    {"surface_temperature", "14 degC"},
    {"start_temperature", "15 degC"},
    {"line_temperature", "15 degC"},
    {"reference_temperature", "25 degC"},
    {"temperature_1", "40 degC"},
    {"temperature_2", "100 degC"},
    {"iso_temperature", "50 degC"},
    {"temperature", "45 degC"},
    {"temperature_rise", "30 K"},
    {"relative_humidity", "50 %"},
    {"altitude", "500 m"},
    /* liquids */
    {"iso_density", "1230 kg/m^3"},
    {"resin_density", "1120 kg/m^3"},
    {"reference_density", "1120 kg/m^3"},
    {"in_place_density", "35 kg/m^3"},
    {"density", "1150 kg/m^3"},
    {"viscosity_1", "46 mm^2/s"},
    {"viscosity_2", "6.8 mm^2/s"},
    {"viscosity", "200 mPa s"},
    {"expansion", "0.0007 1/K"},
    {"heat_capacity", "1.8 kJ/(kg K)"},
    {"heat_capacity_total", "60 kJ/K"},
    {"flow_index", "0.8"},
    {"consistency", "0.5"},
    {"reynolds", "3000"},
    /* ratio and index */
    {"volume_ratio", "1"},
    {"mass_ratio", "1.1"},
    {"measured_ratio", "1.03"},
    {"nominal_ratio", "1"},
    {"index", "1.05"},
    {"nco_content", "31 %"},
    {"hydroxyl_number", "300 mgKOH/g"},
    {"iso_mass", "110 kg"},
    {"resin_mass", "100 kg"},
    /* pumps, hoses, gun */
    {"displacement", "100 cm^3"},
    {"cycle_rate", "30 1/min"},
    {"drive_area", "60 cm^2"},
    {"iso_area", "10 cm^2"},
    {"resin_area", "10 cm^2"},
    {"free_air_flow", "500 L/min"},
    {"mass_flow", "6 kg/min"},
    {"flow", "3 L/min"},
    {"supply_absolute_pressure", "300 kPa"},
    {"line_drop", "50 kPa"},
    {"gauge_pressure", "8 bar"},
    {"pressure_drop", "40 bar"},
    {"pressure", "80 bar"},
    {"inner_diameter", "9.5 mm"},
    {"outer_diameter", "16 mm"},
    {"diameter", "1.2 mm"},
    {"bore", "9.5 mm"},
    {"section_length", "15 m"},
    {"length", "60 m"},
    {"length_ratio", "3"},
    /* heat */
    {"power", "12 kW"},
    {"power", "10 hp"},
    {"loss", "20 W/K"},
    {"loss_coefficient", "0.8 W/(m K)"},
    {"insulation_conductivity", "0.035 W/(m K)"},
    {"conductivity", "0.026 W/(m K)"},
    {"section_resistance", "0.2 ohm"},
    {"lead_resistance", "0.02 ohm"},
    {"sections", "4"},
    {"taps", "40 V"},
    {"taps", "60 V"},
    {"taps", "75 V"},
    {"required_power_per_length", "40 W/m"},
    {"current_limit", "60 A"},
    {"current_setting", "40 A"},
    /* supply */
    {"rated_voltage", "230 V"},
    {"voltage", "400 V"},
    {"voltage", "230 V"},
    {"phases", "3"},
    {"method", "C"},
    {"gauge", "10"},
    {"fault_current", "1 kA"},
    {"clearing_time", "0.1 s"},
    {"current", "32 A"},
    {"section", "6 mm^2"},
    {"running_power", "15 kW"},
    {"running_power_factor", "0.9"},
    {"starting_power", "30 kVA"},
    {"duty", "60 %"},
    {"energy_price", "0.3 money/kWh"},
    /* compressed air */
    {"cut_in", "7 bar"},
    {"cut_out", "9 bar"},
    {"demand", "300 L/min"},
    {"supply", "500 L/min"},
    /* work */
    {"area", "120 m^2"},
    {"thickness", "80 mm"},
    {"maximum_lift", "50 mm"},
    {"drum_volume", "200 L"},
    {"iso_volume", "340 L"},
    {"resin_volume", "340 L"},
    {"volume", "150 L"},
    {"volume", "400 m^3"},
    {"mass", "340 kg"},
    {"dry_film", "2 mm"},
    {"solids_by_volume", "95 %"},
    {"target_u", "0.3 W/(m^2 K)"},
    {"unit_price", "6 money/kg"},
    {"labour_time", "16 h"},
    {"labour_rate", "45 money/h"},
};

/* Whether text ends with `end`, which begins at its start or behind a point or an underscore. */
static bool ends_with(const char *text, const char *end)
{
    const size_t length = strlen(text), end_length = strlen(end);
    if (end_length > length || strcmp(text + length - end_length, end) != 0)
        return false;
    return end_length == length || strchr("._", text[length - end_length - 1]) != NULL;
}

static bool read_value(const imp_param *row, const char *text, double *number)
{
    imp_quantity quantity;
    if (row->kind == IMP_CHOICE) {
        const int index = imp_param_choice(row, text);
        *number = index;
        return index >= 0;
    }
    return imp_quantity_parse(text, strlen(text), &quantity, NULL, NULL) == IMP_OK &&
           imp_param_accept(row, &quantity, text, number, NULL) == IMP_OK;
}

size_t example_values(const imp_calc *calc, const imp_param *row, double *numbers, size_t most)
{
    char path[256];
    size_t count = 0;
    snprintf(path, sizeof path, "%s.%s", calc->id, row->name);
    for (size_t i = 0; i < sizeof familiar / sizeof familiar[0] && count < most; i++) {
        if (ends_with(path, familiar[i].end) && read_value(row, familiar[i].value, &numbers[count]))
            count++;
    }
    return count;
}
