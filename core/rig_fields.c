/* The documents' fields that make up a rig: one table, from which reading, checking and missing names come. */
#include "rig_fields.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "document.h"
#include "electrical.h"
#include "field_table.h"
#include "heat.h"

const char *const imp_rig_side_names[IMP_SIDES] = {"iso", "resin"};

/* Where a field stands in the documents (* is the side) and in the struct. */
typedef struct field {
    const char *path;
    size_t offset; /* in imp_rig; with * in imp_rig_side */
    bool needed;
} field;

#define RIG(path_, member_)                                                                                            \
    {                                                                                                                  \
        path_, offsetof(imp_rig, member_), false                                                                       \
    }
#define SIDE(path_, member_)                                                                                           \
    {                                                                                                                  \
        path_, offsetof(imp_rig_side, member_), false                                                                  \
    }
#define NEEDED_RIG(path_, member_)                                                                                     \
    {                                                                                                                  \
        path_, offsetof(imp_rig, member_), true                                                                        \
    }
#define NEEDED_SIDE(path_, member_)                                                                                    \
    {                                                                                                                  \
        path_, offsetof(imp_rig_side, member_), true                                                                   \
    }

/* clang-format off */
static const field fields[] = {
    NEEDED_SIDE("material.*.density", fluid.density),
    SIDE("material.*.reference_temperature", fluid.reference_temperature),
    SIDE("material.*.expansion", fluid.expansion),
    NEEDED_SIDE("material.*.heat_capacity", fluid.heat_capacity),
    SIDE("material.*.vapour_pressure", vapour_pressure),
    SIDE("material.*.drum_temperature.min", drum_least),
    RIG("material.volume_ratio", volume_ratio),
    RIG("material.window.pressure.min", gun_pressure_least),
    RIG("material.window.hose_temperature.min", hose_temperature_least),
    RIG("material.drum_volume", drum_volume),
    SIDE("rig.pumps.*.displacement", displacement),
    SIDE("rig.pumps.*.area", pump_area),
    SIDE("rig.pumps.*.volumetric_efficiency", volumetric_efficiency),
    RIG("rig.drive.motor_power", motor_power),
    RIG("rig.drive.pressure_limit", drive_pressure_limit),
    RIG("rig.drive.area", drive_area),
    RIG("rig.drive.oil_flow", oil_flow),
    RIG("rig.drive.efficiency", drive_efficiency),
    RIG("rig.fluid_pressure_limit", fluid_pressure_limit),
    SIDE("rig.heaters.*.power", heater_power),
    SIDE("rig.heaters.*.rated_voltage", heater_voltage),
    SIDE("rig.heaters.*.efficiency", heater_efficiency),
    NEEDED_RIG("rig.hose.section_length", section_length),
    NEEDED_SIDE("rig.hose.*_bore", hose_bore),
    RIG("rig.hose.roughness", roughness),
    RIG("rig.hose.fitting_loss", fitting_loss),
    RIG("rig.hose.section_resistance", section_resistance),
    RIG("rig.hose.heat_split", heat_split),
    RIG("rig.hose.current_limit", current_limit),
    RIG("rig.hose.primary_voltage", primary_voltage),
    RIG("rig.hose.lead_resistance", lead_resistance),
    RIG("rig.hose.insulation.inner_diameter", insulation_inner),
    RIG("rig.hose.insulation.outer_diameter", insulation_outer),
    RIG("rig.hose.insulation.conductivity", insulation_conductivity),
    RIG("rig.hose.loss_coefficient", loss_coefficient),
    RIG("rig.hose.heat_capacity_per_length", heat_capacity_per_length),
    RIG("rig.hose.rated_pressure", hose_rated_pressure),
    RIG("rig.hose.most_sections", most_sections),
    RIG("rig.hose.sensor_side", sensor_side),
    RIG("rig.hose.sensor_position", sensor_position),
    RIG("rig.whip.length", whip_length),
    SIDE("rig.whip.*_bore", whip_bore),
    RIG("rig.whip.heated", whip_heated),
    RIG("rig.whip.resistance", whip_resistance),
    RIG("rig.whip.rated_pressure", whip_rated_pressure),
    NEEDED_SIDE("rig.gun.*_orifice", orifice),
    SIDE("rig.gun.*_count", orifice_count),
    RIG("rig.gun.orifice_length_ratio", orifice_length_ratio),
    RIG("rig.gun.discharge_coefficient", discharge_coefficient),
    RIG("rig.gun.rated_pressure", gun_rated_pressure),
    SIDE("rig.transfer_pumps.*.pressure_ratio", transfer_ratio),
    SIDE("rig.transfer_pumps.*.air_pressure", transfer_air),
    SIDE("rig.transfer_pumps.*.line_bore", line_bore),
    SIDE("rig.transfer_pumps.*.line_length", line_length),
    SIDE("rig.transfer_pumps.*.rise", line_rise),
    RIG("rig.drum_heater.power", drum_heater_power),
    RIG("rig.drum_heater.efficiency", drum_heater_efficiency),
    RIG("rig.drum_heater.loss", drum_loss),
    NEEDED_RIG("hoses.sections", sections),
    RIG("hoses.whip", whip_fitted),
    RIG("hoses.rise", rise),
    NEEDED_SIDE("settings.*_temperature", set_temperature),
    RIG("settings.hose_temperature", hose_temperature),
    NEEDED_RIG("settings.pressure", set_pressure),
    RIG("settings.flow", planned_flow),
    RIG("settings.hose_current", hose_current),
    RIG("settings.transfer_air_pressure", transfer_air),
    NEEDED_RIG("site.air_temperature", ambient_temperature),
    RIG("site.altitude", altitude),
    RIG("site.wind_speed", wind_speed),
    RIG("supply.voltage", supply_voltage),
    RIG("supply.measured_voltage", measured_voltage),
    RIG("supply.phases", supply_phases),
    RIG("supply.breaker", breaker),
    RIG("stock.drum_temperature", drum_temperature),
};
/* clang-format on */
enum { FIELD_COUNT = sizeof fields / sizeof fields[0], PATH_SIZE = 80 };

/* One field of one side: its path and its number. A field without * counts once, for the first side. */
static bool locate(const field *f, int side, const imp_rig *rig, char path[PATH_SIZE], const double **number)
{
    const char *star = strchr(f->path, '*');
    const char *base = star != NULL ? (const char *)&rig->side[side] : (const char *)rig;
    if (star == NULL && side > 0)
        return false;
    if (star == NULL)
        snprintf(path, PATH_SIZE, "%s", f->path);
    else
        snprintf(path, PATH_SIZE, "%.*s%s%s", (int)(star - f->path), f->path, imp_rig_side_names[side], star + 1);
    *number = (const double *)(const void *)(base + f->offset);
    return true;
}

void imp_rig_init(imp_rig *rig)
{
    memset(rig, 0, sizeof *rig);
    for (size_t i = 0; i < FIELD_COUNT; i++)
        for (int side = 0; side < IMP_SIDES; side++) {
            char path[PATH_SIZE];
            const double *number;
            if (locate(&fields[i], side, rig, path, &number))
                *(double *)(void *)((char *)rig + ((const char *)number - (const char *)rig)) = (double)NAN;
        }
    for (int side = 0; side < IMP_SIDES; side++) {
        rig->side[side].volumetric_efficiency = rig->side[side].heater_efficiency = 1.0;
        rig->side[side].orifice_count = 1.0;
        rig->side[side].line_rise = 0.0;
        rig->side[side].fluid.expansion = 0.0;
        rig->side[side].fluid.reference_temperature = IMP_CELSIUS(20.0);
    }
    rig->drum_heater_efficiency = 1.0;
    rig->roughness = rig->fitting_loss = rig->rise = rig->lead_resistance = rig->wind_speed = rig->altitude = 0.0;
    rig->drum_loss = 0.0;
    rig->heat_split = 0.5;
    rig->whip_fitted = 1.0;
    rig->whip_heated = 0.0;
    rig->sensor_side = IMP_RESIN;
}

double imp_rig_known_or(double value, double otherwise)
{
    return isnan(value) ? otherwise : value;
}

/* ---- from the records of a calculation's inputs ---- */

/* The value at a path below a record, or NULL where any part of the way is absent. */
static const imp_value *value_at(const imp_value *record, const imp_param *rows, const char *path)
{
    for (;;) {
        char name[PATH_SIZE];
        const size_t length = strcspn(path, ".");
        if (!record->given || rows == NULL || length >= sizeof name)
            return NULL;
        memcpy(name, path, length);
        name[length] = '\0';
        const imp_param *row = imp_param_find(rows, name);
        if (row == NULL || (size_t)(row - rows) >= record->count)
            return NULL;
        record = &record->items[row - rows];
        if (path[length] == '\0')
            return record->given ? record : NULL;
        rows = row->rows;
        path += length + 1;
    }
}

static const imp_value *input_at(const imp_value *in, const char *path)
{
    static const char *const names[RIG_RECORDS] = {"rig.",  "material.", "hoses.", "settings.",
                                                   "site.", "supply.",   "stock."};
    static const imp_param *const rows[RIG_RECORDS] = {imp_rig_rows,      imp_material_rows, imp_hoses_rows,
                                                       imp_settings_rows, imp_site_rows,     imp_supply_rows,
                                                       imp_stock_rows};
    for (int i = 0; i < RIG_RECORDS; i++)
        if (strncmp(path, names[i], strlen(names[i])) == 0)
            return value_at(&in[i], rows[i], path + strlen(names[i]));
    return NULL;
}

static imp_status read_points(const imp_value *in, imp_rig *rig, int side, imp_error *error)
{
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "material.%s.viscosity", imp_rig_side_names[side]);
    const imp_value *points = input_at(in, path);
    imp_fluid *fluid = &rig->side[side].fluid;
    fluid->count = points != NULL ? points->count : 0;
    if (fluid->count > IMP_FLUID_POINTS)
        return imp_fail(error, IMP_LIMIT, path, "%zu points; at most %d can be fitted", fluid->count, IMP_FLUID_POINTS);
    for (size_t i = 0; i < fluid->count; i++)
        fluid->points[i] = (imp_fluid_point){points->items[2 * i].number, points->items[2 * i + 1].number};
    return IMP_OK;
}

imp_status imp_rig_read(const imp_value *in, imp_rig *rig, imp_error *error)
{
    imp_rig_init(rig);
    for (size_t i = 0; i < FIELD_COUNT; i++)
        for (int side = 0; side < IMP_SIDES; side++) {
            char path[PATH_SIZE];
            const double *number;
            const imp_value *value = locate(&fields[i], side, rig, path, &number) ? input_at(in, path) : NULL;
            if (value != NULL)
                *(double *)(void *)((char *)rig + ((const char *)number - (const char *)rig)) = value->number;
        }
    if (!isnan(rig->supply_phases)) /* the choice's index */
        rig->supply_phases = rig->supply_phases == 0.0 ? 1.0 : 3.0;
    const imp_value *taps = input_at(in, "rig.hose.taps");
    rig->tap_count = taps != NULL ? taps->count : 0;
    if (rig->tap_count > IMP_RIG_MOST_TAPS)
        return imp_fail(error, IMP_LIMIT, "rig.hose.taps", "more than %d taps", IMP_RIG_MOST_TAPS);
    for (size_t i = 0; i < rig->tap_count; i++)
        rig->taps[i] = taps->items[i].number;
    imp_status status = read_points(in, rig, IMP_ISO, error);
    if (status == IMP_OK)
        status = read_points(in, rig, IMP_RESIN, error);
    return status;
}

/* ---- checks ---- */

typedef struct names {
    char text[IMP_MESSAGE_SIZE - 32];
    size_t used;
} names;

static void add_name(names *list, bool missing, const char *name)
{
    if (missing && list->used < sizeof list->text)
        list->used += (size_t)snprintf(list->text + list->used, sizeof list->text - list->used, "%s%s",
                                       list->used > 0 ? ", " : "", name);
}

static bool has_insulation(const imp_rig *rig)
{
    return !isnan(rig->insulation_inner) && !isnan(rig->insulation_outer) && !isnan(rig->insulation_conductivity);
}

/* Fitted unless the job says that it is not: without its length nothing can be told. */
static bool has_whip(const imp_rig *rig)
{
    return rig->whip_fitted != 0.0;
}

static imp_status refuse_missing(const imp_rig *rig, imp_error *error)
{
    names list = {.used = 0};
    for (size_t i = 0; i < FIELD_COUNT; i++)
        for (int side = 0; side < IMP_SIDES; side++) {
            char path[PATH_SIZE];
            const double *number;
            if (fields[i].needed && locate(&fields[i], side, rig, path, &number))
                add_name(&list, isnan(*number), path);
        }
    const imp_rig_side *iso = &rig->side[IMP_ISO], *resin = &rig->side[IMP_RESIN];
    const bool heated = !isnan(rig->section_resistance);
    add_name(&list, iso->fluid.count == 0, "material.iso.viscosity");
    add_name(&list, resin->fluid.count == 0, "material.resin.viscosity");
    add_name(&list, isnan(rig->loss_coefficient) && !has_insulation(rig),
             "rig.hose.loss_coefficient (or all of rig.hose.insulation)");
    add_name(&list, isnan(rig->discharge_coefficient) && isnan(rig->orifice_length_ratio),
             "rig.gun.discharge_coefficient (or rig.gun.orifice_length_ratio)");
    add_name(&list, isnan(rig->volume_ratio) && (isnan(iso->displacement) || isnan(resin->displacement)),
             "material.volume_ratio (or both displacements of rig.pumps)");
    add_name(&list, heated && rig->tap_count == 0, "rig.hose.taps");
    add_name(&list, heated && isnan(rig->current_limit), "rig.hose.current_limit");
    add_name(&list, heated && isnan(rig->hose_temperature) && isnan(rig->hose_current),
             "settings.hose_temperature (or settings.hose_current)");
    add_name(&list, !isnan(rig->motor_power) && isnan(rig->drive_efficiency), "rig.drive.efficiency");
    add_name(&list, has_whip(rig) && isnan(rig->whip_length), "rig.whip.length (or hoses.whip false)");
    add_name(&list, has_whip(rig) && isnan(iso->whip_bore), "rig.whip.iso_bore");
    add_name(&list, has_whip(rig) && isnan(resin->whip_bore), "rig.whip.resin_bore");
    add_name(&list, heated && has_whip(rig) && rig->whip_heated != 0.0 && isnan(rig->whip_resistance),
             "rig.whip.resistance");
    add_name(&list, rig->gauge == IMP_RIG_MEAN_GAUGE && (isnan(iso->pump_area) || isnan(resin->pump_area)),
             "both areas of rig.pumps (for the mean of the gauges)");
    return list.used == 0 ? IMP_OK : imp_fail(error, IMP_MISSING, NULL, "missing %s", list.text);
}

static imp_status check_ranges(const imp_rig *rig, imp_error *error)
{
    for (size_t i = 0; i < FIELD_COUNT; i++)
        for (int side = 0; side < IMP_SIDES; side++) {
            char path[PATH_SIZE];
            const double *number;
            if (!locate(&fields[i], side, rig, path, &number) || isnan(*number))
                continue;
            const imp_param *row = imp_document_row(IMP_JOB, path);
            if (row == NULL || row->kind != IMP_NUMBER)
                continue;
            const imp_status status = imp_check(row, *number, error);
            if (status == IMP_OK)
                continue;
            if (error != NULL)
                snprintf(error->place, sizeof error->place, "%s", path);
            return status;
        }
    return IMP_OK;
}

static imp_status check_side(const imp_rig *rig, int side, imp_error *error)
{
    const imp_rig_side *s = &rig->side[side];
    const double before = has_whip(rig) ? s->whip_bore : s->hose_bore;
    char place[PATH_SIZE];
    if (s->orifice >= before) {
        snprintf(place, sizeof place, "rig.gun.%s_orifice", imp_rig_side_names[side]);
        return imp_fail(error, IMP_RANGE, place, "%.4g mm is not smaller than the %s's bore of %.4g mm before it",
                        s->orifice * 1e3, has_whip(rig) ? "whip hose" : "hose", before * 1e3);
    }
    if (rig->roughness > 0.05 * fmin(before, s->hose_bore))
        return imp_fail(error, IMP_RANGE, "rig.hose.roughness", "%.4g mm is more than 5 %% of the %s bore of %.4g mm",
                        rig->roughness * 1e3, imp_rig_side_names[side], fmin(before, s->hose_bore) * 1e3);
    return IMP_OK;
}

/* A hair beyond the end is the end, in another unit. */
static imp_status check_sensor(const imp_rig *rig, imp_error *error)
{
    const double end = rig->sections * rig->section_length;
    if (isnan(rig->sensor_position) || rig->sensor_position <= end * (1.0 + 1e-9))
        return IMP_OK;
    return imp_fail(error, IMP_RANGE, "rig.hose.sensor_position",
                    "%.4g m is beyond the end of the heated hose, %.4g m with hoses.sections of %.6g",
                    rig->sensor_position, end, rig->sections);
}

imp_status imp_rig_check(const imp_rig *rig, imp_error *error)
{
    imp_status status = refuse_missing(rig, error);
    if (status == IMP_OK)
        status = check_ranges(rig, error);
    if (status == IMP_OK)
        status = check_side(rig, IMP_ISO, error);
    if (status == IMP_OK)
        status = check_side(rig, IMP_RESIN, error);
    if (status == IMP_OK)
        status = check_sensor(rig, error);
    if (status == IMP_OK && (rig->sections < 1.0 || rig->sections != floor(rig->sections)))
        status = imp_fail(error, IMP_RANGE, "hoses.sections", "%.6g is not a whole number from 1", rig->sections);
    return status;
}

/* ---- the supply's share in it ---- */

double imp_rig_voltage_at(const imp_rig *rig, double rated)
{
    if (isnan(rig->supply_voltage))
        return rated;
    const double voltage = imp_rig_known_or(rig->measured_voltage, rig->supply_voltage);
    if (!imp_electrical_is_to_neutral(rated, rig->supply_voltage))
        return voltage;
    return imp_electrical_to_neutral(voltage, rig->supply_phases == 3.0 ? 3 : 2);
}

imp_status imp_rig_heater_power(const imp_rig *rig, int side, double *power, imp_error *error)
{
    const imp_rig_side *s = &rig->side[side];
    if (isnan(s->heater_power) || isnan(s->heater_voltage)) {
        *power = s->heater_power;
        return IMP_OK;
    }
    return imp_electrical_heater_power(s->heater_power, s->heater_voltage, imp_rig_voltage_at(rig, s->heater_voltage),
                                       power, error);
}

imp_status imp_rig_hose_circuit(const imp_rig *rig, imp_rig_circuit *circuit, imp_error *error)
{
    *circuit = (imp_rig_circuit){0};
    if (isnan(rig->section_resistance))
        return IMP_OK;
    const bool whip = has_whip(rig) && rig->whip_heated != 0.0;
    const double setting = imp_rig_known_or(rig->hose_current, rig->current_limit);
    const double primary = rig->primary_voltage;
    const imp_heat_tap_supply supply = {.section_resistance = rig->section_resistance,
                                        .sections = rig->sections,
                                        .section_length = rig->section_length,
                                        .taps = rig->taps,
                                        .tap_count = rig->tap_count,
                                        .current_limit = rig->current_limit,
                                        .current_setting = &setting,
                                        .lead_resistance = rig->lead_resistance + (whip ? rig->whip_resistance : 0.0),
                                        .supply_ratio =
                                            isnan(primary) ? 1.0 : imp_rig_voltage_at(rig, primary) / primary};
    imp_heat_tap tap;
    const imp_status status = imp_heat_hose_tap(&supply, &tap, error);
    if (status != IMP_OK) {
        imp_error_prefix(error, "rig.hose", ".");
        return status;
    }
    const double whip_power = whip ? tap.current * tap.current * rig->whip_resistance : 0.0;
    *circuit = (imp_rig_circuit){.per_length = tap.power_per_length,
                                 .whip_per_length = whip ? whip_power / rig->whip_length : 0.0,
                                 .power = tap.power + whip_power,
                                 .current = tap.current};
    return IMP_OK;
}

imp_status imp_rig_loss_coefficient(const imp_rig *rig, double *coefficient, imp_error *error)
{
    if (!isnan(rig->loss_coefficient)) {
        *coefficient = rig->loss_coefficient;
        return IMP_OK;
    }
    const double emissivity = 0.9; /* of most jackets, as heat.hose_loss has it */
    const double liquid = imp_rig_known_or(rig->hose_temperature, rig->side[IMP_RESIN].set_temperature);
    imp_heat_loss loss;
    const imp_status status =
        imp_heat_hose_loss(rig->insulation_inner, rig->insulation_outer, rig->insulation_conductivity, liquid,
                           rig->ambient_temperature, rig->wind_speed, emissivity, &loss, error);
    if (status != IMP_OK)
        imp_error_prefix(error, "rig.hose.insulation", ".");
    else
        *coefficient = loss.loss_coefficient;
    return status;
}
