#include "hose.h"

#include <math.h>

#include "check_rows.h"
#include "hose_march.h"
#include "hose_rows.h"
#include "rooms.h"
#include "solve.h"

static const double pi = 3.14159265358979323846;
static const double standard_gravity = 9.80665; /* m/s^2, ISO 80000-3 */

static double bore_area(double bore)
{
    return pi * bore * bore / 4.0;
}

/* hose.reynolds */

static const imp_param reynolds_in[] = {
    HOSE_FLOW_ROW(IMP_REQUIRED, "volume flow through the hose"),
    HOSE_BORE_ROW,
    HOSE_DENSITY_ROW,
    HOSE_VISCOSITY_ROW,
};
static const imp_param reynolds_out[] = {
    {.name = "reynolds",
     .symbol = "Re",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .trend = "+-+-",
     .help = "laminar up to 2000, turbulent from 4000"},
    {.name = "velocity",
     .symbol = "v",
     .kind = IMP_NUMBER,
     .dimension = IMP_VELOCITY,
     .unit = "m/s",
     .trend = "+-00",
     .help = "mean velocity in the bore"},
};

imp_status imp_hose_reynolds(double flow, double bore, double density, double viscosity, double *reynolds,
                             double *velocity, imp_error *error)
{
    const double values[4] = {flow, bore, density, viscosity};
    const imp_status status = imp_check_rows(reynolds_in, values, 4, error);
    if (status != IMP_OK)
        return status;
    *reynolds = 4.0 * density * flow / (pi * bore * viscosity);
    *velocity = flow / bore_area(bore);
    return IMP_OK;
}

static imp_status reynolds_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_hose_reynolds(in[0].number, in[1].number, in[2].number, in[3].number, &call->out[0].number,
                             &call->out[1].number, call->error);
}

/* hose.friction_factor */

static const imp_param friction_factor_in[] = {
    {.name = "reynolds",
     .symbol = "Re",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1e8,
     .ends = IMP_OPEN_LOW,
     .help = "Reynolds number on the bore"},
    {.name = "relative_roughness",
     .symbol = "e",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = HOSE_ROUGHEST,
     .fallback = 0.0,
     .help = "roughness of the wall over the bore; 0 is smooth"},
};
static const imp_param friction_factor_out[] = {
    {.name = "friction_factor",
     .symbol = "f",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .trend = "?+",
     .help = "Darcy's, four times Fanning's"},
};

imp_status imp_hose_friction_factor(double reynolds, double relative_roughness, double *factor, imp_error *error)
{
    const double values[2] = {reynolds, relative_roughness};
    const imp_status status = imp_check_rows(friction_factor_in, values, 2, error);
    if (status != IMP_OK)
        return status;
    *factor = imp_hose_friction(reynolds, relative_roughness);
    return IMP_OK;
}

static imp_status friction_factor_evaluate(const imp_call *call)
{
    return imp_hose_friction_factor(call->in[0].number, call->in[1].number, &call->out[0].number, call->error);
}

/* hose.pressure_drop and its inverse, hose.flow_for_drop */

enum { FLOW, BORE, LENGTH, DENSITY, VISCOSITY, ROUGHNESS, FITTING_LOSS, RISE, LINE_INPUTS };

static const imp_param pressure_drop_in[LINE_INPUTS] = {
    HOSE_FLOW_ROW(IMP_REQUIRED, "volume flow through the hose"),
    HOSE_BORE_ROW,
    HOSE_LENGTH_ROW,
    HOSE_DENSITY_ROW,
    HOSE_VISCOSITY_ROW,
    HOSE_ROUGHNESS_ROW,
    HOSE_FITTING_LOSS_ROW,
    HOSE_RISE_ROW,
};
static const imp_param pressure_drop_out[] = {
    {.name = "pressure_drop",
     .symbol = "dp",
     .kind = IMP_NUMBER,
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .trend = "+-+??+++",
     .help = "inlet pressure less outlet pressure; negative where a falling hose gains more than it loses"},
    {.name = "velocity",
     .symbol = "v",
     .kind = IMP_NUMBER,
     .dimension = IMP_VELOCITY,
     .unit = "m/s",
     .trend = "+-000000",
     .help = "mean velocity in the bore"},
    {.name = "reynolds",
     .symbol = "Re",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .trend = "+-0+-000",
     .help = "laminar up to 2000, turbulent from 4000"},
    {.name = "friction_factor",
     .symbol = "f",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .trend = "??0??+00",
     .help = "Darcy's, four times Fanning's"},
};

static const imp_param flow_for_drop_in[LINE_INPUTS] = {
    {.name = "pressure_drop",
     .symbol = "dp",
     .kind = IMP_NUMBER,
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_REQUIRED,
     .low = IMP_BAR(-1000.0),
     .high = IMP_BAR(1000.0),
     .help = "inlet pressure less outlet pressure"},
    HOSE_BORE_ROW,
    HOSE_LENGTH_ROW,
    HOSE_DENSITY_ROW,
    HOSE_VISCOSITY_ROW,
    HOSE_ROUGHNESS_ROW,
    HOSE_FITTING_LOSS_ROW,
    HOSE_RISE_ROW,
};
static const imp_param flow_for_drop_out[] = {
    {.name = "flow",
     .symbol = "Q",
     .kind = IMP_NUMBER,
     .dimension = IMP_FLOW,
     .unit = "L/min",
     .trend = "++-?"
              "?---",
     .help = "volume flow through the hose"},
};

/* first: the flow or the pressure drop, whichever the rows begin with. */
static imp_status check_line(const imp_param *rows, double first, const imp_hose_line *line, double density,
                             double viscosity, imp_error *error)
{
    const double values[LINE_INPUTS] = {first,     line->bore,      line->length,       density,
                                        viscosity, line->roughness, line->fitting_loss, line->rise};
    const imp_status status = imp_check_rows(rows, values, LINE_INPUTS, error);
    if (status != IMP_OK)
        return status;
    const imp_param *relative = &friction_factor_in[1];
    if (line->roughness <= relative->high * line->bore)
        return IMP_OK;
    char rough[96], bore[96], limit[96];
    return imp_fail(error, IMP_RANGE, rows[ROUGHNESS].name, "%s is more than %s of the bore of %s",
                    imp_param_format(&rows[ROUGHNESS], line->roughness, 6, rough, sizeof rough),
                    imp_param_format(relative, relative->high, 6, limit, sizeof limit),
                    imp_param_format(&rows[BORE], line->bore, 6, bore, sizeof bore));
}

imp_status imp_hose_pressure_drop(const imp_hose_line *line, double flow, double density, double viscosity,
                                  imp_hose_drop *drop, imp_error *error)
{
    const imp_status status = check_line(pressure_drop_in, flow, line, density, viscosity, error);
    if (status != IMP_OK)
        return status;
    const double velocity = flow / bore_area(line->bore);
    const double reynolds = 4.0 * density * flow / (pi * line->bore * viscosity);
    const double factor = imp_hose_friction(reynolds, line->roughness / line->bore);
    const double losses =
        (factor * line->length / line->bore + line->fitting_loss) * density * velocity * velocity / 2.0;
    *drop = (imp_hose_drop){.pressure_drop = losses + density * standard_gravity * line->rise,
                            .velocity = velocity,
                            .reynolds = reynolds,
                            .friction_factor = factor};
    return IMP_OK;
}

/* Re^2 (f L/d + K) = 2 rho d^2 (driving pressure)/mu^2, in logarithms. */
typedef struct drop_equation {
    double relative_roughness, length_ratio, fitting_loss, log_drive;
} drop_equation;

static double excess_drop(double log_reynolds, void *context)
{
    const drop_equation *equation = context;
    const double factor = imp_hose_friction(exp(log_reynolds), equation->relative_roughness);
    return log(factor * equation->length_ratio + equation->fitting_loss) + 2.0 * log_reynolds - equation->log_drive;
}

static imp_status refuse_drive(const imp_hose_line *line, double pressure_drop, double density, imp_error *error)
{
    char drop[96], rise[96], lift[96];
    const imp_param *row = &flow_for_drop_in[0];
    imp_param_format(row, pressure_drop, 6, drop, sizeof drop);
    if (line->rise == 0.0)
        return imp_fail(error, IMP_NO_SOLUTION, row->name, "%s drives no flow; it must be above 0 bar", drop);
    return imp_fail(error, IMP_NO_SOLUTION, row->name, "%s drives no flow; with a rise of %s it must be above %s", drop,
                    imp_param_format(&flow_for_drop_in[RISE], line->rise, 6, rise, sizeof rise),
                    imp_param_format(row, density * standard_gravity * line->rise, 6, lift, sizeof lift));
}

imp_status imp_hose_flow_for_drop(const imp_hose_line *line, double pressure_drop, double density, double viscosity,
                                  double *flow, imp_error *error)
{
    imp_status status = check_line(flow_for_drop_in, pressure_drop, line, density, viscosity, error);
    if (status != IMP_OK)
        return status;
    const double driving = pressure_drop - density * standard_gravity * line->rise;
    if (!(driving > 0.0))
        return refuse_drive(line, pressure_drop, density, error);

    const double drive = 2.0 * density * line->bore * line->bore / (viscosity * viscosity) * driving;
    const double length_ratio = line->length / line->bore;
    /* Laminar flow has a closed form. Friction is never below laminar friction, so elsewhere this is an upper bound. */
    const double linear = 64.0 * length_ratio;
    double reynolds = 2.0 * drive / (linear + sqrt(linear * linear + 4.0 * line->fitting_loss * drive));
    if (reynolds > HOSE_LAMINAR_REYNOLDS) {
        drop_equation equation = {.relative_roughness = line->roughness / line->bore,
                                  .length_ratio = length_ratio,
                                  .fitting_loss = line->fitting_loss,
                                  .log_drive = log(drive)};
        const double margin = 0.01; /* keeps rounding from hiding the change of sign */
        double log_reynolds = 0.0;
        status = imp_solve_bracketed(excess_drop, &equation, log(HOSE_LAMINAR_REYNOLDS) - margin,
                                     log(reynolds) + margin, 1e-14, &log_reynolds, error);
        if (status != IMP_OK)
            return status;
        reynolds = exp(log_reynolds);
    }
    *flow = reynolds * pi * line->bore * viscosity / (4.0 * density);
    return IMP_OK;
}

static imp_hose_line line_of(const imp_value *in)
{
    return (imp_hose_line){.bore = in[BORE].number,
                           .length = in[LENGTH].number,
                           .roughness = in[ROUGHNESS].number,
                           .fitting_loss = in[FITTING_LOSS].number,
                           .rise = in[RISE].number};
}

static imp_status pressure_drop_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_hose_line line = line_of(in);
    const double density = in[DENSITY].number;
    imp_hose_drop drop;
    const imp_status status =
        imp_hose_pressure_drop(&line, in[FLOW].number, density, in[VISCOSITY].number, &drop, call->error);
    if (status != IMP_OK)
        return status;
    const double dynamic = density * drop.velocity * drop.velocity / 2.0;
    imp_sheet_step(call->sheet, "dp_f", "loss along the hose", "f (L/d) rho v^2/2",
                   drop.friction_factor * line.length / line.bore * dynamic, "bar");
    imp_sheet_step(call->sheet, "dp_K", "loss in the fittings", "K rho v^2/2", line.fitting_loss * dynamic, "bar");
    imp_sheet_step(call->sheet, "dp_z", "lift", "rho g z", density * standard_gravity * line.rise, "bar");
    call->out[0].number = drop.pressure_drop;
    call->out[1].number = drop.velocity;
    call->out[2].number = drop.reynolds;
    call->out[3].number = drop.friction_factor;
    return IMP_OK;
}

static imp_status flow_for_drop_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_hose_line line = line_of(in);
    const double density = in[DENSITY].number, viscosity = in[VISCOSITY].number;
    double flow = 0.0;
    const imp_status status = imp_hose_flow_for_drop(&line, in[0].number, density, viscosity, &flow, call->error);
    if (status != IMP_OK)
        return status;
    const double reynolds = 4.0 * density * flow / (pi * line.bore * viscosity);
    imp_sheet_step(call->sheet, "Re", "Reynolds number of the flow found", "4 rho Q/(pi d mu)", reynolds, "1");
    if (reynolds > 0.0)
        imp_sheet_step(call->sheet, "f", "friction factor (Darcy) of the flow found", "64/Re, or Colebrook",
                       imp_hose_friction(reynolds, line.roughness / line.bore), "1");
    call->out[0].number = flow;
    return IMP_OK;
}

/* hose.fill */

static const imp_param fill_in[] = {
    HOSE_BORE_ROW,
    HOSE_LENGTH_ROW,
    HOSE_FLOW_ROW(IMP_OPTIONAL, "volume flow, for the time it takes to replace the contents"),
};
static const imp_param fill_out[] = {
    {.name = "volume",
     .symbol = "V",
     .kind = IMP_NUMBER,
     .dimension = IMP_VOLUME,
     .unit = "L",
     .trend = "++0",
     .help = "contents of the hose"},
    {.name = "residence_time",
     .symbol = "t",
     .kind = IMP_NUMBER,
     .dimension = IMP_TIME,
     .unit = "s",
     .presence = IMP_OPTIONAL,
     .trend = "++-",
     .help = "contents over flow; only where a flow is given"},
};

imp_status imp_hose_volume(double bore, double length, double *volume, imp_error *error)
{
    const double values[2] = {bore, length};
    const imp_status status = imp_check_rows(fill_in, values, 2, error);
    if (status != IMP_OK)
        return status;
    *volume = bore_area(bore) * length;
    return IMP_OK;
}

imp_status imp_hose_residence_time(double bore, double length, double flow, double *time, imp_error *error)
{
    const double values[3] = {bore, length, flow};
    const imp_status status = imp_check_rows(fill_in, values, 3, error);
    if (status != IMP_OK)
        return status;
    *time = bore_area(bore) * length / flow;
    return IMP_OK;
}

static imp_status fill_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    double volume = 0.0, time = 0.0;
    imp_status status = imp_hose_volume(in[0].number, in[1].number, &volume, call->error);
    if (status == IMP_OK && in[2].given)
        status = imp_hose_residence_time(in[0].number, in[1].number, in[2].number, &time, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = volume;
    call->out[1] = (imp_value){.number = time, .given = in[2].given};
    return IMP_OK;
}

#define FRICTION_FORMULA                                                                                               \
    "f = 64/Re to Re = 2000; 1/sqrt(f) = -2 log10(k/(3.7 d) + 2.51/(Re sqrt(f))) from 4000; between, ln f is the "     \
    "cubic in ln Re with the values and slopes of both"
#define FRICTION_SOURCE                                                                                                \
    "Hagen-Poiseuille; C. F. Colebrook, J. Inst. Civil Engineers 11 (1939); transition: cubic with the monotone "      \
    "condition of Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980)"
#define FRICTION_VALIDITY                                                                                              \
    "full, steady flow of a Newtonian liquid in a round bore, relative roughness to 0.05, Re to 1e8; no published "    \
    "law holds from Re 2000 to 4000, where the blend only keeps the result continuous and rising with flow"

#define MARCH_FORMULA                                                                                                  \
    "m cp dT/dx = q - U (T - Ta) + (m/rho) p_f; dp/dx = -p_f - rho g z/L; p_f = (f/d + K/L) G^2/(2 rho); m = rho(T0) " \
    "Q; "                                                                                                              \
    "G = 4 m/(pi d^2); Re = G d/mu(T)"
#define MARCH_SOURCE                                                                                                   \
    "heat and momentum balance of a hose, any textbook of heat transfer; Darcy-Weisbach; marched by J. R. Dormand "    \
    "and "                                                                                                             \
    "P. J. Prince, J. Comput. Appl. Math. 6 (1980) 19; " FRICTION_SOURCE
#define MARCH_VALIDITY                                                                                                 \
    "steady flow; " FRICTION_VALIDITY "; fittings spread over their section; kinetic energy and conduction along the " \
    "hose left out"

/* Invented, and no recommendation. */
#define EXAMPLE_LIQUID(density_, heat_capacity_, cool_, warm_)                                                         \
    "{\"density\": \"" density_ " kg/m^3\", \"heat_capacity\": \"" heat_capacity_ " kJ/(kg K)\", \"viscosity\": "      \
    "[{\"temperature\": \"20 degC\", \"viscosity\": \"" cool_ " mPa s\"}, "                                            \
    "{\"temperature\": \"50 degC\", \"viscosity\": \"" warm_ " mPa s\"}]}"
#define EXAMPLE_SIDE(liquid_)                                                                                          \
    "'{\"fluid\": " liquid_                                                                                            \
    ", \"flow\": \"2.5 L/min\", \"inlet_temperature\": \"45 degC\", \"inlet_pressure\": \"90 bar\"}'"
#define RUN_EXAMPLE                                                                                                    \
    "fluid='" EXAMPLE_LIQUID("1150", "1.9", "700", "150") "' sections='[{\"bore\": \"9.6 mm\", \"length\": \"15 m\", " \
                                                          "\"heating\": \"20 W/m\", \"loss_coefficient\": \"0.3 W/(m " \
                                                          "K)\"}, {\"bore\": \"6.4 mm\", \"length\": \"3 m\"}]' "      \
                                                          "flow=\"2.5 L/min\" inlet_temperature=\"45 degC\" "          \
                                                          "inlet_pressure=\"90 bar\" ambient_temperature=\"5 degC\""
#define PAIR_EXAMPLE                                                                                                   \
    "iso=" EXAMPLE_SIDE(EXAMPLE_LIQUID("1230", "1.6", "290", "65")) " resin=" EXAMPLE_SIDE(EXAMPLE_LIQUID(             \
        "1150", "1.9", "700",                                                                                          \
        "150")) " sections='[{\"length\": \"45 m\", "                                                                  \
                "\"iso_bore\": \"9.6 mm\", \"resin_bore\": \"9.6 mm\", \"heating\": \"40 W/m\", "                      \
                "\"loss_coefficient\": \"0.6 W/(m K)\"}]' ambient_temperature=\"5 degC\" "                             \
                "control='{\"side\": \"resin\", \"position\": \"15 m\", \"set_temperature\": \"46 degC\"}'"

const imp_calc imp_hose_calcs[] = {
    IMP_CALC(reynolds, "hose.reynolds", "Reynolds number in a hose", "Re = 4 rho Q/(pi d mu); v = 4 Q/(pi d^2)",
             "O. Reynolds 1883; any fluid mechanics textbook", "round bore, running full, Newtonian liquid"),
    IMP_CALC(friction_factor, "hose.friction_factor", "Friction factor (Darcy)",
             "f = 64/Re to Re = 2000; 1/sqrt(f) = -2 log10(e/3.7 + 2.51/(Re sqrt(f))) from 4000; between, with "
             "t = ln(Re/2000)/ln(2), h = ln(2), f1 = 0.032, s1 = -1, f2 and s2 = d(ln f)/d(ln Re) of the second law at "
             "4000: "
             "ln f = (1 + 2 t)(1 - t)^2 ln f1 + t^2 (3 - 2 t) ln f2 + h t (1 - t) ((1 - t) s1 - t s2)",
             FRICTION_SOURCE, FRICTION_VALIDITY),
    IMP_CALC(pressure_drop, "hose.pressure_drop", "Pressure drop along a hose",
             "dp = (f L/d + K) rho v^2/2 + rho g z; v = 4 Q/(pi d^2); Re = rho v d/mu; " FRICTION_FORMULA,
             "Darcy-Weisbach; " FRICTION_SOURCE, FRICTION_VALIDITY),
    IMP_CALC(flow_for_drop, "hose.flow_for_drop", "Flow that a pressure drop drives",
             "Q so that (f L/d + K) rho v^2/2 + rho g z = dp; v = 4 Q/(pi d^2); Re = rho v d/mu; " FRICTION_FORMULA,
             "Darcy-Weisbach, solved by bracketing; " FRICTION_SOURCE, FRICTION_VALIDITY),
    IMP_CALC(
        imp_hose_power_law, "hose.power_law_drop", "Pressure drop of a power-law liquid",
        "dp = f (L/d) rho v^2/2; v = 4 Q/(pi d^2); Re_MR = rho v^(2-n) d^n/(K 8^(n-1) ((3 n + 1)/(4 n))^n); "
        "f = 64/Re_MR to 2100; f = 4 F with 1/sqrt(F) = 4/n^0.75 log10(Re_MR F^(1-n/2)) - 0.4/n^1.2 from 4000; "
        "between, ln f is the cubic in ln Re_MR with the values and slopes of both",
        "A. B. Metzner and J. C. Reed, AIChE J. 1 (1955) 434; D. W. Dodge and A. B. Metzner, AIChE J. 5 (1959) 189",
        "shear stress = K (shear rate)^n in a smooth, level, round bore running full; the turbulent law was "
        "measured for n from 0.36 to 1; outside that it is extended"),
    IMP_CALC(fill, "hose.fill", "Contents of a hose", "V = pi d^2 L/4; t = V/Q", "geometry",
             "round bore, running full; a hose swells a little under pressure"),
    IMP_CALC_EXAMPLE(imp_hose_run, "hose.run", "One hose, section by section",
                     MARCH_FORMULA "; T = T0 and p = p0 at the inlet; T1, p1 at the end", MARCH_SOURCE, MARCH_VALIDITY,
                     RUN_EXAMPLE),
    IMP_CALC_EXAMPLE(
        imp_hose_pair, "hose.pair", "Iso and resin hose in one jacket, with one heating circuit and one sensor",
        "on each side " MARCH_FORMULA " + k (T_other - T) in the heat balance; q is s g q_most for iso and "
        "s (1 - g) q_most for resin, U half of the pair's; s = the least of 0 .. 1 that holds Ts at xs",
        MARCH_SOURCE, MARCH_VALIDITY, PAIR_EXAMPLE),
    IMP_CALC_END,
};
