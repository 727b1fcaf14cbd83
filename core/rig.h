/* rig.h — the rig as one system: one drive, two pumps, heaters, hoses and gun solved together.
 *
 * For a flow Q of both sides together (volume at the pumps, at drum temperature) everything else follows:
 *   1. Ratio        Q_iso/Q_resin = (V eta_v)_iso/(V eta_v)_resin, displacement and volumetric efficiency of the pumps
 *                   (the slip lowers what a pump delivers); the material's volume ratio where they are not given.
 *   2. Mass flow    m = rho(T_drum) Q_side.
 *   3. Heater       T_in = min(T_set, T_drum + P/(m cp)), P = rated power x efficiency x (voltage/rated voltage)^2; the
 *                   drum temperature where that is higher. Pressure lost in the heater is not known and left out.
 *   4. Hoses, whip  imp_hose_pair_march; each hose loses half of the pair's loss coefficient, the whip like the hose.
 *                   The rise is spread evenly over the heated hose's length.
 *   5. Gun          dp = rho/2 (Q_gun/(n Cd A))^2 with rho, mu at the gun, against atmospheric pressure in the chamber.
 *                   Cd as given, else after Lichtarowicz et al. from the Reynolds number, that held inside 10 .. 20000.
 *   6. Pump gauge   p = dp_gun + dp_hoses on each side.
 *   7. Drive        drive pressure = (p_iso A_iso + p_resin A_resin)/A_drive (pump.drive_pressure without friction);
 *                   motor power = (p_iso Q_iso + p_resin Q_resin)/efficiency; oil flow = A_drive x piston speed,
 *                   piston speed = Q_side/(eta_v A_side) of the faster side.
 *
 * The machine holds its set pressure; the flow follows. Which gauge that is: the higher of the two at the pumps, so
 * that no gauge shows more than was set (or, as IMP_RIG_MEAN_GAUGE, the mean weighted with the pumps' areas: what a
 * drive that holds its oil pressure does). Of all flows at which every one of these holds gauge <= set pressure, drive
 * pressure, motor power, oil flow and fluid pressure each <= limit the solver takes the largest: it steps down from a
 * flow that no rig of these orifices can exceed to the first that satisfies all, then closes in on the edge with a
 * bracket that only shrinks. What holds the flow there governs. All quantities SI; pressures gauge unless named
 * absolute. Not-a-number = not known, where allowed. */
#ifndef IMP_RIG_H
#define IMP_RIG_H

#include "hose_pair.h"

enum { IMP_RIG_MOST_TAPS = 32 };

typedef struct imp_rig_side {
    imp_fluid fluid;                          /* points given; fitted by the solver */
    double vapour_pressure;                   /* Pa absolute; may be unknown */
    double displacement;                      /* m^3 a cycle; may be unknown */
    double pump_area;                         /* m^2; may be unknown */
    double volumetric_efficiency;             /* 1 where unknown */
    double set_temperature;                   /* K, of the heater; not-a-number: heater off */
    double heater_power;                      /* W at rated voltage; not-a-number: no limit known */
    double heater_voltage;                    /* V rated; may be unknown: gives its rated power */
    double heater_efficiency;                 /* 1 where unknown */
    double hose_bore, whip_bore;              /* m */
    double orifice, orifice_count;            /* m of one; equal ones */
    double transfer_ratio, transfer_air;      /* liquid over air pressure; Pa at this pump's own regulator */
    double line_bore, line_length, line_rise; /* from drum to pump, m */
    double drum_least;                        /* K that the drum must have; may be unknown */
} imp_rig_side;

typedef enum imp_rig_gauge { IMP_RIG_HIGHER_GAUGE, IMP_RIG_MEAN_GAUGE } imp_rig_gauge;

typedef struct imp_rig {
    imp_rig_side side[IMP_SIDES];
    /* drive */
    double motor_power, drive_pressure_limit, drive_area, oil_flow, drive_efficiency; /* efficiency 1 where unknown */
    double fluid_pressure_limit;
    /* hose pair and its circuit */
    double sections, section_length, roughness, fitting_loss, rise;
    double section_resistance; /* ohm; not-a-number: the hose is not heated */
    double taps[IMP_RIG_MOST_TAPS];
    size_t tap_count;
    double current_limit, lead_resistance, primary_voltage;
    double heat_split;                                                  /* share of the iso hose */
    double insulation_inner, insulation_outer, insulation_conductivity; /* where the loss coefficient is not known */
    double loss_coefficient;                                            /* W/(m K) of the pair */
    double mutual_conductance;                                          /* W/(m K); 0 where unknown */
    double heat_capacity_per_length;                                    /* J/(m K), without the liquid */
    double hose_rated_pressure, most_sections;
    double sensor_side, sensor_position; /* imp_side; m, the run's end where unknown */
    /* whip and gun */
    double whip_fitted, whip_length, whip_heated, whip_resistance, whip_rated_pressure;
    double discharge_coefficient, orifice_length_ratio, gun_rated_pressure;
    /* drums */
    double drum_temperature;                                                  /* K; the air's where unknown */
    double drum_volume, drum_heater_power, drum_heater_efficiency, drum_loss; /* for the time to heat up */
    /* settings, site, supply */
    double set_pressure, hose_temperature, hose_current, transfer_air;
    double ambient_temperature, altitude, wind_speed;
    double supply_voltage, measured_voltage, supply_phases, breaker; /* phases 1 or 3 */
    double volume_ratio;                                             /* iso over resin, where the pumps do not tell */
    double gun_pressure_least, hose_temperature_least, planned_flow; /* what the job needs; may be unknown */
    imp_rig_gauge gauge;
} imp_rig;

/* Every value not known, and the defaults where there are some. */
void imp_rig_init(imp_rig *rig);

typedef enum imp_rig_limit {
    IMP_RIG_SET_PRESSURE,
    IMP_RIG_DRIVE_PRESSURE,
    IMP_RIG_MOTOR_POWER,
    IMP_RIG_OIL_FLOW,
    IMP_RIG_FLUID_PRESSURE,
    IMP_RIG_LIMITS
} imp_rig_limit;

typedef struct imp_rig_side_result {
    double flow, mass_flow; /* m^3/s at the pump, kg/s */
    double pump_pressure, hose_end_pressure, gun_pressure;
    double heater_temperature, hose_end_temperature, gun_temperature;
    double heater_power;  /* W drawn */
    double heater_margin; /* W that the heater could draw more; negative: it lacks as much to hold the set temperature;
                             not-a-number: not known */
    double discharge_coefficient, gun_viscosity, gun_density, impingement_reynolds;
    double inlet_pressure, inlet_margin;    /* gauge; net positive suction pressure; not-a-number: not known */
    double highest_pressure, rating_margin; /* still or flowing; weakest rated part less local pressure */
    double residence_time;                  /* s from heater to gun */
    imp_hose_run_result run;
} imp_rig_side_result;

typedef struct imp_rig_result {
    double flow, volume_ratio, cycle_rate; /* cycle rate: not-a-number where the pumps do not tell */
    imp_rig_side_result side[IMP_SIDES];
    double set_gauge; /* the gauge that the set pressure refers to */
    double imbalance; /* |iso - resin| over the higher, at the gun */
    double momentum_ratio, mixed_temperature;
    double drive_pressure, motor_power, oil_flow; /* not-a-number: not known */
    imp_rig_limit governs;
    double used[IMP_RIG_LIMITS]; /* share of each limit that is used; not-a-number: no such limit known */
    double hose_share, hose_heat, hose_heat_most, hose_power; /* W/m to the pair, the most of it, W in all */
    double sensor_temperature;
    imp_hose_heat heat;
    bool extrapolated, outside_orifice_range;
    int trials; /* flows that were tried */
} imp_rig_result;

/* The operating point. traces may be NULL, else [IMP_SIDES].
 * IMP_MISSING: every value that is needed and absent, in one sentence, by its path ("rig.gun.iso_orifice").
 * IMP_RANGE: a value outside its row, or parts that do not go together (an orifice wider than the hose before it).
 * IMP_NO_SOLUTION: a limit that is exceeded before anything flows, and by how much. */
imp_status imp_rig_operating_point(const imp_rig *rig, imp_hose_trace *traces, imp_rig_result *result,
                                   imp_error *error);

/* What "works" means for the questions below; not-a-number = does not matter. */
typedef struct imp_rig_need {
    double gun_pressure;    /* least, either side */
    double flow;            /* least */
    double gun_temperature; /* least, either side */
    bool hose_heat;         /* the circuit must hold the set temperature of a hose that stands still */
} imp_rig_need;

typedef enum imp_rig_shortfall {
    IMP_RIG_NOTHING,
    IMP_RIG_GUN_PRESSURE,
    IMP_RIG_FLOW,
    IMP_RIG_GUN_TEMPERATURE,
    IMP_RIG_RANGE_END, /* nothing lacks yet: the rig's own rating, or the end of what was searched */
    IMP_RIG_NO_FLOW,   /* the rig has no operating point there */
    IMP_RIG_HOSE_HEAT  /* the hose loses more, standing still at its set temperature, than its circuit gives */
} imp_rig_shortfall;

/* Largest number of sections with which the rig works, and with which a heated hose also holds its set temperature between
 * two passes, whether the need says so or not; *limit says what the next one would lack. IMP_NO_SOLUTION when
 * one section is too many, with what lacks and by how much. */
imp_status imp_rig_most_sections(const imp_rig *rig, const imp_rig_need *need, int *sections, imp_rig_shortfall *limit,
                                 imp_rig_result *result, imp_error *error);

/* Both orifices widened by one factor (0.2 .. 5) until the need is just met: the largest orifices, and with them the
 * largest flow. result is the operating point there. */
imp_status imp_rig_largest_orifice(const imp_rig *rig, const imp_rig_need *need, double *factor,
                                   imp_rig_shortfall *limit, imp_rig_result *result, imp_error *error);

/* Lowest air temperature, down to -60 degC, with which the rig works, and with which a heated hose also holds its set
 * temperature between two passes, whether the need says so or not; drums follow it unless their temperature is known. */
imp_status imp_rig_lowest_ambient(const imp_rig *rig, const imp_rig_need *need, double *ambient,
                                  imp_rig_shortfall *limit, imp_rig_result *result, imp_error *error);

typedef enum imp_rig_place { IMP_RIG_AT_GUN, IMP_RIG_AT_PUMP } imp_rig_place;

/* Set temperature of one side (its heater's, and the hose's where the sensor is on that side) that makes iso and resin
 * pressure equal at the gun or at the pumps, between its drum and 120 degC. IMP_NO_SOLUTION when none does, with the
 * nearest. The pumps fix the ratio of the flows, so at the gun temperature only counts through the density and a
 * discharge coefficient that follows the Reynolds number; at the pumps the hoses' drops count in full. */
imp_status imp_rig_balancing_temperature(const imp_rig *rig, imp_side side, imp_rig_place place, double *temperature,
                                         imp_rig_result *result, imp_error *error);

typedef struct imp_rig_heat_up {
    double time;                              /* s until everything is warm */
    double drum_time, hose_time, heater_time; /* each; 0 where nothing is to be done */
    double power_wanted, power_available; /* W with everything on; what the supply gives (not-a-number: not limited) */
    double share;                         /* of the wanted power that each gets at first */
    double energy;                        /* J from the supply */
} imp_rig_heat_up;

/* Time to heat both drums (to what they must have), hoses and heaters (to their set temperatures) from their start. The
 * supply's power is shared by all that is on in the same proportion; what is warm only takes what it loses, and leaves
 * the rest to the others. heater_heat_capacity: J/K of one primary heater with its liquid. available: W; not-a-number:
 * from breaker and voltage, power factor 1, or unlimited where these are not known. */
imp_status imp_rig_heat_up_time(const imp_rig *rig, double heater_heat_capacity, double available,
                                imp_rig_heat_up *result, imp_error *error);

#endif
