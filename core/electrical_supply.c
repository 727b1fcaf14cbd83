/* Generator and running cost: the entries of the electrical room that look at the supply as a whole. */
#include <math.h>

#include "check_rows.h"
#include "electrical.h"
#include "electrical_rows.h"

static const char *const generator_limits[] = {"running", "starting", "unbalance", NULL};

const imp_param imp_electrical_generator_in[13] = {
    {.name = "running_power",
     .symbol = "P",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1e6,
     .ends = IMP_OPEN_LOW,
     .help = "of everything that runs together"},
    {.name = "running_power_factor",
     .symbol = "cos",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "1",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1.0,
     .ends = IMP_OPEN_LOW,
     .help = "of everything that runs together"},
    {.name = "starting_power",
     .symbol = "S_m",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "kVA",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1e7,
     .help = "locked-rotor apparent power of the largest motor as it is started; 0 without motors"},
    {.name = "dip_limit",
     .symbol = "d",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.01,
     .high = 0.5,
     .fallback = 0.2,
     .help = "voltage dip that the other loads stand"},
    {.name = "reactance",
     .symbol = "x",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "1",
     .presence = IMP_DEFAULT,
     .low = 0.01,
     .high = 1.0,
     .fallback = 0.2,
     .help = "transient reactance of the alternator, per unit of its rating"},
    {.name = "altitude",
     .symbol = "h",
     .kind = IMP_NUMBER,
     .dimension = IMP_LENGTH,
     .unit = "m",
     .presence = IMP_DEFAULT,
     .low = -430.0,
     .high = 5000.0,
     .fallback = 0.0,
     .help = "of the site above sea level"},
    {.name = "ambient_temperature",
     .symbol = "T",
     .kind = IMP_NUMBER,
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .presence = IMP_DEFAULT,
     .low = IMP_CELSIUS(-50.0),
     .high = IMP_CELSIUS(60.0),
     .fallback = IMP_CELSIUS(25.0),
     .help = "of the air it takes in"},
    {.name = "installed",
     .symbol = "S_i",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "kVA",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1e7,
     .ends = IMP_OPEN_LOW,
     .help = "rating of the generator that is there"},
    {.name = "largest_line_current",
     .symbol = "I_max",
     .kind = IMP_NUMBER,
     .dimension = IMP_CURRENT,
     .unit = "A",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 10000.0,
     .help = "of the most loaded line of a three-phase generator; voltage is needed with it"},
    {.name = "voltage",
     .symbol = "U",
     .kind = IMP_NUMBER,
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .presence = IMP_OPTIONAL,
     .low = 1.0,
     .high = 1000.0,
     .help = "from line to line, at which that current flows"},
    {.name = "time",
     .symbol = "t",
     .kind = IMP_NUMBER,
     .dimension = IMP_TIME,
     .unit = "h",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = IMP_DAY(366.0),
     .help = "that it runs, for energy and fuel"},
    {.name = "duty",
     .symbol = "duty",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .fallback = 1.0,
     .help = "mean power over running_power in that time"},
    {.name = "specific_consumption",
     .symbol = "b",
     .kind = IMP_NUMBER,
     .dimension = IMP_SPECIFIC_CONSUMPTION,
     .unit = "L/kWh",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 10e-3 / 3.6e6,
     .ends = IMP_OPEN_LOW,
     .help = "fuel per electrical energy at that mean power; part load takes more of it; time is needed with it"},
};
const imp_param imp_electrical_generator_out[5] = {
    {.name = "rating",
     .symbol = "S",
     .dimension = IMP_POWER,
     .unit = "kVA",
     .trend = "+-+-+++0++000",
     .help = "least rating on the nameplate, without margin"},
    {.name = "governed_by",
     .kind = IMP_CHOICE,
     .choices = generator_limits,
     .trend = "?????????????",
     .help = "running load, motor start or the most loaded line"},
    {.name = "voltage_dip",
     .symbol = "d_i",
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_OPTIONAL,
     .high = 1.0,
     .trend = "00+0+++-00000",
     .help = "when the largest motor starts on the installed generator"},
    {.name = "energy",
     .symbol = "E",
     .dimension = IMP_ENERGY,
     .unit = "kWh",
     .presence = IMP_OPTIONAL,
     .trend = "+000000000++0",
     .help = "electrical, where the time is given"},
    {.name = "fuel",
     .symbol = "V",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .presence = IMP_OPTIONAL,
     .trend = "+000000000+++",
     .help = "for that energy, where the specific consumption is given"},
};

/* Share of its rating that is left: common practice, no source. Engine makers print 3 to 4 % for each 300 m above 150 m
 * to 1500 m, and 1 to 3 % for each 5 K above 25 degC to 40 degC. */
static double derating(double altitude, double temperature)
{
    const double height = fmax(0.0, altitude - 150.0), heat = fmax(0.0, temperature - IMP_CELSIUS(25.0));
    return (1.0 - 0.035 * height / 300.0) * (1.0 - 0.01 * heat / 5.0);
}

/* Optional inputs that need one another. */
static imp_status check_pairs(const imp_generator_case *load, imp_error *error)
{
    if (isnan(load->largest_line_current) != isnan(load->voltage))
        return imp_fail(error, IMP_MISSING, isnan(load->voltage) ? "voltage" : "largest_line_current",
                        "missing; the most loaded line needs both its current and the voltage from line to line");
    if (!isnan(load->specific_consumption) && isnan(load->time))
        return imp_fail(error, IMP_MISSING, "time", "missing; fuel needs the time that the generator runs");
    return IMP_OK;
}

imp_status imp_electrical_generator(const imp_generator_case *load, imp_generator_need *need, imp_error *error)
{
    const double values[] = {load->running_power,
                             load->running_power_factor,
                             load->starting_power,
                             load->dip_limit,
                             load->reactance,
                             load->altitude,
                             load->ambient_temperature,
                             load->installed,
                             load->largest_line_current,
                             load->voltage,
                             load->time,
                             load->duty,
                             load->specific_consumption};
    imp_status status = IMP_OK;
    for (size_t i = 0; status == IMP_OK && i < sizeof values / sizeof values[0]; i++)
        if (imp_electrical_generator_in[i].presence != IMP_OPTIONAL || !isnan(values[i]))
            status = imp_check(&imp_electrical_generator_in[i], values[i], error);
    if (status == IMP_OK)
        status = check_pairs(load, error);
    if (status != IMP_OK)
        return status;
    const double left = derating(load->altitude, load->ambient_temperature);
    const double running = load->running_power / load->running_power_factor;
    const double starting = load->reactance * (1.0 / load->dip_limit - 1.0) * load->starting_power;
    const double unbalance =
        isnan(load->voltage) ? 0.0 : sqrt(3.0) * load->voltage * load->largest_line_current;
    const double largest = fmax(running, fmax(starting, unbalance));
    need->rating = largest / left;
    /* a balanced load's line asks for the running power again, to the last bit */
    need->governed_by = largest <= running * (1.0 + 1e-9) ? IMP_GENERATOR_RUNNING
                        : starting >= unbalance           ? IMP_GENERATOR_STARTING
                                                          : IMP_GENERATOR_UNBALANCE;
    /* x/(x + S/S_m), written so that no motor means no dip */
    need->voltage_dip =
        load->reactance * load->starting_power / (load->reactance * load->starting_power + load->installed * left);
    need->energy = load->running_power * load->duty * load->time;
    need->fuel = need->energy * load->specific_consumption;
    return IMP_OK;
}

imp_status imp_electrical_generator_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_generator_case load = {in[0].number, in[1].number,  in[2].number,  in[3].number, in[4].number,
                                     in[5].number, in[6].number,  in[7].number,  in[8].number, in[9].number,
                                     in[10].number, in[11].number, in[12].number};
    imp_generator_need need;
    const imp_status status = imp_electrical_generator(&load, &need, call->error);
    if (status != IMP_OK)
        return status;
    imp_sheet_step(call->sheet, "k", "share of the rating left by altitude and heat (common practice)", "",
                   derating(load.altitude, load.ambient_temperature), "%");
    call->out[0].number = need.rating;
    call->out[1].number = need.governed_by;
    const double optional[] = {need.voltage_dip, need.energy, need.fuel};
    for (int i = 0; i < 3; i++)
        call->out[2 + i] = (imp_value){.number = optional[i], .given = !isnan(optional[i])};
    return IMP_OK;
}

const imp_param imp_electrical_running_cost_in[6] = {
    ROW_POWER("while it is on"),
    {.name = "duty",
     .symbol = "duty",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .fallback = 1.0,
     .help = "share of the time in which it is on"},
    {.name = "time",
     .symbol = "t",
     .kind = IMP_NUMBER,
     .dimension = IMP_TIME,
     .unit = "h",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = IMP_DAY(36525.0),
     .help = "from start to end"},
    {.name = "energy_price",
     .symbol = "c_e",
     .kind = IMP_NUMBER,
     .dimension = IMP_MONEY_PER_ENERGY,
     .unit = "money/kWh",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1e3,
     .help = "of electrical energy, with its currency"},
    {.name = "fuel_price",
     .symbol = "c_f",
     .kind = IMP_NUMBER,
     .dimension = IMP_MONEY_PER_VOLUME,
     .unit = "money/L",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1e12,
     .help = "of the generator's fuel, with its currency"},
    {.name = "specific_consumption",
     .symbol = "b",
     .kind = IMP_NUMBER,
     .dimension = IMP_SPECIFIC_CONSUMPTION,
     .unit = "L/kWh",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 10e-3 / 3.6e6,
     .ends = IMP_OPEN_LOW,
     .help = "fuel per electrical energy"},
};
const imp_param imp_electrical_running_cost_out[3] = {
    {.name = "energy", .symbol = "E", .dimension = IMP_ENERGY, .unit = "kWh", .trend = "+++000", .help = "electrical"},
    {.name = "fuel",
     .symbol = "V",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .presence = IMP_OPTIONAL,
     .trend = "+++00+",
     .help = "where the specific consumption is given"},
    {.name = "cost",
     .symbol = "C",
     .dimension = IMP_MONEY,
     .unit = "money",
     .trend = "++++++",
     .help = "of the energy or the fuel"},
};
enum { COST_ENERGY_PRICE = 3, COST_FUEL_PRICE, COST_CONSUMPTION };

imp_status imp_electrical_running_cost(const imp_running_cost *run, double *energy, double *fuel, double *cost,
                                       imp_error *error)
{
    const double values[] = {run->power,        run->duty,       run->time,
                             run->energy_price, run->fuel_price, run->specific_consumption};
    imp_status status = imp_check_rows(imp_electrical_running_cost_in, values, 3, error);
    for (size_t i = COST_ENERGY_PRICE; status == IMP_OK && i <= COST_CONSUMPTION; i++)
        if (!isnan(values[i]))
            status = imp_check(&imp_electrical_running_cost_in[i], values[i], error);
    if (status != IMP_OK)
        return status;
    const bool by_energy = !isnan(run->energy_price), by_fuel = !isnan(run->fuel_price);
    if (by_energy && by_fuel)
        return imp_fail(error, IMP_NOT_APPLICABLE, "fuel_price",
                        "energy_price is given too; give the one that is paid, the mains' or the fuel's");
    if (!by_energy && !by_fuel)
        return imp_fail(error, IMP_MISSING, NULL, "missing energy_price, or fuel_price with specific_consumption");
    if (by_fuel && isnan(run->specific_consumption))
        return imp_fail(error, IMP_MISSING, "specific_consumption", "missing; a fuel price needs the fuel per energy");
    const double joules = run->power * run->duty * run->time;
    const double litres = joules * run->specific_consumption;
    *energy = joules;
    *fuel = litres;
    *cost = by_energy ? joules * run->energy_price : litres * run->fuel_price;
    return IMP_OK;
}

imp_status imp_electrical_running_cost_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_running_cost run = {in[0].number, in[1].number, in[2].number, in[3].number, in[4].number, in[5].number};
    const imp_status status = imp_electrical_running_cost(&run, &call->out[0].number, &call->out[1].number,
                                                          &call->out[2].number, call->error);
    if (status == IMP_OK)
        call->out[1].given = !isnan(call->out[1].number);
    return status;
}
