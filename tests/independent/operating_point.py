#!/usr/bin/python3
"""An independent solution of the rig's operating point, to compare the core with.

Written from the equations that core/rig.h, core/hose_run.h and core/hose_pair.h state, in another formulation: nothing is
marched. Temperatures at Chebyshev points along both hoses, the flow, the share of hose heat and the discharge
coefficients are all unknowns of one system, solved at once by SciPy (MINPACK's hybrid method). Colebrook's friction
factor is its closed form with the Lambert W function; the viscosity fit is SciPy's least squares; limits are
complementarity conditions. Needs python3-scipy; run it to write operating_point.json anew:

    python3 operating_point.py > operating_point.json

All rigs and materials are invented.
"""
import copy
import json
import math

import numpy as np
import scipy
from scipy import interpolate, optimize, special

G = 9.80665
UNITS = {"": 1, "1": 1, "%": 0.01, "mm": 1e-3, "m": 1, "cm^2": 1e-4, "cm^3": 1e-6, "L": 1e-3, "L/min": 1e-3 / 60, "bar": 1e5,
         "kPa": 1e3, "kW": 1e3, "kVA": 1e3, "V": 1, "A": 1, "ohm": 1, "W/(m K)": 1, "J/(m K)": 1, "kg/m^3": 1,
         "kJ/(kg K)": 1e3, "mPa s": 1e-3, "1/K": 1, "m/s": 1, "W/K": 1}


def si(value):
    """A document's value in SI; everything nested with it."""
    if isinstance(value, dict):
        return {key: si(item) for key, item in value.items()}
    if isinstance(value, list):
        return [si(item) for item in value]
    if isinstance(value, str):
        number, _, unit = value.partition(" ")
        try:
            number = float(number)
        except ValueError:
            return value
        return number + 273.15 if unit == "degC" else number * UNITS[unit]
    return value


# ---- liquids and friction ----

def vogel(points):
    """ln mu = a + b/(T - c): straight line in 1/T for two points, least squares in ln mu for more."""
    t = np.array([p["temperature"] for p in points])
    y = np.log([p["viscosity"] for p in points])
    if len(t) == 1:
        return y[0], 0.0, 0.0
    if len(t) == 2:
        b = (y[0] - y[1]) / (1 / t[0] - 1 / t[1])
        return y[0] - b / t[0], b, 0.0
    start = [-8.0, 800.0, min(t) - 120.0]
    fit = optimize.least_squares(lambda v: v[0] + v[1] / (t - v[2]) - y, start, x_scale=[1, 500, 50], xtol=1e-15, ftol=1e-15,
                                 gtol=1e-15, max_nfev=10000)
    return tuple(fit.x)


def colebrook(re, e):
    """Friction factor in closed form: 1/sqrt f = 2/ln10 W(z) - const, exact for Colebrook's equation."""
    a, b = e / 3.7, 2.51 / re
    k = 2 / math.log(10)
    # x = -k ln(a + b x); with w = (a + b x)/(b k): w + ln w = a/(b k) - ln(b k)
    right = a / (b * k) - math.log(b * k)
    w = special.lambertw(math.exp(right)).real if right < 700 else right - math.log(right)
    x = -k * math.log(b * k * w)
    return 1 / x**2


def friction(re, e):
    if re <= 2000:
        return 64 / re
    if re >= 4000:
        return colebrook(re, e)
    h = 1e-6
    slope = (math.log(colebrook(4000 * math.exp(h), e)) - math.log(colebrook(4000 * math.exp(-h), e))) / (2 * h)
    curve = interpolate.CubicHermiteSpline([math.log(2000), math.log(4000)],
                                           [math.log(64 / 2000), math.log(colebrook(4000, e))], [-1.0, slope])
    return math.exp(float(curve(math.log(re))))


class Liquid:
    def __init__(self, data):
        self.rho0, self.t0 = data["density"], data.get("reference_temperature", 293.15)
        self.beta, self.cp = data.get("expansion", 0.0), data["heat_capacity"]
        self.fit = vogel(data["viscosity"])

    def mu(self, t):
        a, b, c = self.fit
        return np.exp(a + b / (t - c))

    def rho(self, t):
        return self.rho0 / (1 + self.beta * (t - self.t0))


def chebyshev(n):
    """Points on [0, 1] and the matrix that differentiates there."""
    x = 0.5 * (1 - np.cos(np.pi * np.arange(n + 1) / n))
    c = np.array([2] + [1] * (n - 1) + [2]) * (-1.0) ** np.arange(n + 1)
    dx = x[:, None] - x[None, :] + np.eye(n + 1)
    d = np.outer(c, 1 / c) / dx
    np.fill_diagonal(d, 0)
    return x, d - np.diag(d.sum(axis=1))


class Piece:
    """A stretch of the pair with constant data: the heated hose, or the whip."""

    def __init__(self, length, bores, roughness, fittings, rise, loss, heat, n):
        self.length, self.bores, self.roughness, self.fittings, self.rise = length, bores, roughness, fittings, rise
        self.loss, self.heat, self.n = loss, heat, n
        self.x, self.d = chebyshev(n)

    def gradient(self, liquid, bore, m, t):
        """Friction [Pa/m] at the points."""
        flux = m / (math.pi * bore**2 / 4)
        f = np.array([friction(flux * bore / v, self.roughness / bore) for v in liquid.mu(t)])
        return (f / bore + self.fittings / self.length) * flux**2 / (2 * liquid.rho(t))

    def drop(self, liquid, bore, m, t):
        slope = self.gradient(liquid, bore, m, t) + liquid.rho(t) * G * self.rise / self.length
        return np.linalg.solve(self.d[1:, 1:], slope[1:] * self.length)[-1]

    def at(self, position, values):
        return float(interpolate.BarycentricInterpolator(self.x, values)(position / self.length))


# ---- the rig ----

SIDES = ("iso", "resin")


def voltage_at(supply, rated):
    if not supply or "voltage" not in supply:
        return rated
    v = supply.get("measured_voltage", supply["voltage"])
    if rated > 0.75 * supply["voltage"]:
        return v
    return v / math.sqrt(3) if supply.get("phases") in (3, "3", 3.0) else v / 2


class Rig:
    def __init__(self, inputs):
        d = si(inputs)
        self.d = d
        rig, mat, hoses = d["rig"], d["material"], d["hoses"]
        self.set, site = d["settings"], d["site"]
        self.ta = d.get("air_temperature", site["air_temperature"])
        self.drum = d.get("stock", {}).get("drum_temperature", self.ta)
        self.liquid = [Liquid(mat[s]) for s in SIDES]
        pumps = [rig["pumps"][s] for s in SIDES]
        eff = [p.get("volumetric_efficiency", 1.0) for p in pumps]
        self.ratio = pumps[0]["displacement"] * eff[0] / (pumps[1]["displacement"] * eff[1])
        self.pumps, self.eff, self.drive = pumps, eff, rig["drive"]
        hose, whip, n = rig["hose"], rig["whip"], hoses["sections"]
        supply = d.get("supply", {})
        current = min(self.set.get("hose_current", hose["current_limit"]), hose["current_limit"])
        loop = n * hose["section_resistance"] + hose.get("lead_resistance", 0.0)
        ratio = voltage_at(supply, hose["primary_voltage"]) / hose["primary_voltage"]
        current = min(current, max(hose["taps"]) * ratio / loop)
        self.most = current**2 * hose["section_resistance"] / hose["section_length"]
        split = hose.get("heat_split", 0.5)
        loss = hose["loss_coefficient"] / 2
        self.hose_length = n * hose["section_length"]
        rough = hose.get("roughness", 0.0)
        self.pieces = [Piece(self.hose_length, [hose["iso_bore"], hose["resin_bore"]], rough, n * hose.get("fitting_loss", 0.0),
                             hoses.get("rise", 0.0), loss, [split * self.most, (1 - split) * self.most], 28),
                       Piece(whip["length"], [whip["iso_bore"], whip["resin_bore"]], rough, 0.0, 0.0, loss, [0.0, 0.0], 8)]
        self.sensor_side = SIDES.index(hose.get("sensor_side", "resin"))
        self.sensor = min(hose.get("sensor_position", self.hose_length), self.hose_length)
        self.heater = []
        for s in SIDES:
            h = rig["heaters"][s]
            self.heater.append(h["power"] * (voltage_at(supply, h["rated_voltage"]) / h["rated_voltage"])**2 * h.get("efficiency", 1.0))
        self.gun, self.limit = rig["gun"], rig.get("fluid_pressure_limit", math.inf)
        self.k = d.get("mutual_conductance", 0.0)

    def heater_out(self, side, m):
        rise = self.set[SIDES[side] + "_temperature"] - self.drum
        return self.drum + min(max(rise, 0.0), self.heater[side] / (m * self.liquid[side].cp))

    def flows(self, q):
        share = [self.ratio / (1 + self.ratio), 1 / (1 + self.ratio)]
        return [q * s for s in share], [q * s * self.liquid[i].rho(self.drum) for i, s in enumerate(share)]

    def unpack(self, v):
        q, share, cd, rest = math.exp(v[0]), v[1], v[2:4], v[4:]
        t = [[None, None], [None, None]]
        for side in range(2):
            for i, piece in enumerate(self.pieces):
                t[side][i], rest = rest[:piece.n + 1] * 10 + self.ta, rest[piece.n + 1:]
        return q, share, cd, t

    def gun_side(self, side, m, t, cd):
        liquid, name = self.liquid[side], SIDES[side]
        d, count = self.gun[name + "_orifice"], self.gun.get(name + "_count", 1)
        rho, mu = liquid.rho(t), liquid.mu(t)
        velocity = m / rho / (count * cd * math.pi * d**2 / 4)
        re_theory = rho * velocity * d / mu
        law = self.gun.get("discharge_coefficient")
        if law is None:
            r, re = self.gun["orifice_length_ratio"], min(max(re_theory, 10.0), 2e4)
            law = 1 / (1 / (0.827 - 0.0085 * r) + 20 / re * (1 + 2.25 * r)
                       - 0.005 * r / (1 + 7.5 * math.log10(0.00015 * re)**2))
        return rho / 2 * velocity**2, law, re_theory * cd

    def state(self, v):
        """Everything that follows from a guess, and how far it is from a solution."""
        q, share, cd, t = self.unpack(v)
        flow, m = self.flows(q)
        residual, pressure = [], []
        for side in range(2):
            liquid = self.liquid[side]
            start = self.heater_out(side, m[side])
            drop = 0.0
            for i, piece in enumerate(self.pieces):
                ts, other = t[side][i], t[1 - side][i]
                pf = piece.gradient(liquid, piece.bores[side], m[side], ts)
                balance = (share * piece.heat[side] - piece.loss * (ts - self.ta) + m[side] / liquid.rho(ts) * pf
                           + self.k * (other - ts)) * piece.length / (m[side] * liquid.cp)
                r = piece.d @ ts - balance
                r[0] = ts[0] - start
                residual.extend(r / 10)
                start = ts[-1]
                drop += piece.drop(liquid, piece.bores[side], m[side], ts)
            gun, law, re = self.gun_side(side, m[side], start, cd[side])
            residual.append(cd[side] - law)
            pressure.append((gun + drop, gun, drop, start, re))
        p = [x[0] for x in pressure]
        area = [x["area"] for x in self.pumps]
        drive = sum(x * a for x, a in zip(p, area)) / self.drive["area"]
        motor = sum(x * f for x, f in zip(p, flow)) / self.drive.get("efficiency", 1.0)
        oil = self.drive["area"] * max(f / (e * a) for f, e, a in zip(flow, self.eff, area))
        used = {"set pressure": max(p) / self.d.get("set_pressure", self.set["pressure"]),
                "drive pressure": drive / self.drive["pressure_limit"], "motor power": motor / self.drive["motor_power"],
                "oil flow": oil / self.drive["oil_flow"], "fluid pressure limit": max(p) / self.limit}
        residual.append(math.log(max(used.values())))
        sensor = self.pieces[0].at(self.sensor, t[self.sensor_side][0])
        gap = (self.set["hose_temperature"] - sensor) / 10
        # heat on and holding, heat full and short, or heat off and not needed
        residual.append(min(1 - share, max(gap, -share)))
        return residual, dict(q=q, flow=flow, m=m, share=share, cd=cd, t=t, pressure=pressure, drive=drive, motor=motor, oil=oil,
                              used=used, sensor=sensor)

    def solve(self):
        best = None
        for start_flow in (6e-3 / 60, 4e-3 / 60, 9e-3 / 60, 2e-3 / 60):
            guess = [math.log(start_flow), 0.7, 0.75, 0.75]
            for side in range(2):
                for piece in self.pieces:
                    guess += [(self.set[SIDES[side] + "_temperature"] - self.ta) / 10] * (piece.n + 1)
            found = optimize.root(lambda v: self.state(v)[0], guess, method="hybr", tol=1e-13, options={"maxfev": 20000})
            worst = np.max(np.abs(found.fun))
            if best is None or worst < best[0]:
                best = (worst, found.x)
            if best[0] < 1e-9:
                break
        assert best[0] < 1e-8, f"not solved: residual {best[0]}"
        return self.state(best[1])[1]

    def outputs(self):
        s = self.solve()
        out = {"flow": s["q"], "volume_ratio": self.ratio, "drive_pressure": s["drive"], "motor_power": s["motor"], "oil_flow": s["oil"],
               "hose_heating": s["share"] * self.most, "hose_heating_most": self.most, "sensor_temperature": s["sensor"],
               "governs": max(s["used"], key=s["used"].get)}
        for side, name in enumerate(SIDES):
            p, gun, _, end, re = s["pressure"][side]
            hose, bore = self.pieces[0], self.pieces[0].bores[side]
            liquid, m = self.liquid[side], s["m"][side]
            out[name + "_flow"] = s["flow"][side]
            out[name + "_pump_pressure"] = p
            out[name + "_hose_end_pressure"] = p - hose.drop(liquid, bore, m, s["t"][side][0])
            out[name + "_gun_pressure"] = gun
            out[name + "_heater_temperature"] = s["t"][side][0][0]
            out[name + "_hose_end_temperature"] = s["t"][side][0][-1]
            out[name + "_gun_temperature"] = end
            out[name + "_discharge_coefficient"] = s["cd"][side]
            out[name + "_impingement_reynolds"] = re
            ends = [m / (math.pi * b**2 / 4) * b / liquid.mu(t) for b, t in ((bore, s["t"][side][0][0]), (bore, s["t"][side][0][-1]))]
            out["note_" + name + "_hose_reynolds"] = ends
        out["imbalance"] = abs(out["iso_gun_pressure"] - out["resin_gun_pressure"]) / max(out["iso_gun_pressure"], out["resin_gun_pressure"])
        out["note_heat_share"] = s["share"]
        return out


# ---- the three rigs ----

def liquid(density, expansion, capacity, points):
    return {"density": f"{density} kg/m^3", "reference_temperature": "25 degC", "expansion": f"{expansion} 1/K",
            "heat_capacity": f"{capacity} kJ/(kg K)",
            "viscosity": [{"temperature": f"{t} degC", "viscosity": f"{v} mPa s"} for t, v in points]}


LAMINAR = {
    "rig": {
        "name": "Comparison rig (invented)",
        "pumps": {"iso": {"displacement": "82 cm^3", "area": "5.1 cm^2", "volumetric_efficiency": "96 %"},
                  "resin": {"displacement": "82 cm^3", "area": "5.1 cm^2", "volumetric_efficiency": "95 %"}},
        "drive": {"motor_power": "5.2 kW", "pressure_limit": "140 bar", "area": "10.4 cm^2", "oil_flow": "30 L/min", "efficiency": "68 %"},
        "fluid_pressure_limit": "160 bar",
        "heaters": {"iso": {"power": "7.1 kW", "rated_voltage": "400 V", "efficiency": "93 %"},
                    "resin": {"power": "7.1 kW", "rated_voltage": "400 V", "efficiency": "93 %"}},
        "hose": {"section_length": "16 m", "iso_bore": "9.6 mm", "resin_bore": "9.6 mm", "roughness": "0.0015 mm", "fitting_loss": 1.6,
                 "section_resistance": "0.44 ohm", "heat_split": "48 %", "taps": ["40 V", "60 V", "90 V"], "current_limit": "36 A",
                 "primary_voltage": "230 V", "lead_resistance": "0.03 ohm", "loss_coefficient": "0.66 W/(m K)",
                 "sensor_side": "resin", "sensor_position": "24 m"},
        "whip": {"length": "3.1 m", "iso_bore": "6.2 mm", "resin_bore": "6.6 mm", "heated": False},
        "gun": {"iso_orifice": "0.94 mm", "resin_orifice": "0.99 mm", "discharge_coefficient": "76 %"},
    },
    "material": {
        "name": "Comparison material (invented)",
        "iso": liquid(1231, 0.00066, 1.55, ((10, 520), (25, 221), (40, 108), (60, 49))),
        "resin": liquid(1152, 0.00083, 1.91, ((10, 1390), (25, 548), (40, 246), (60, 101))),
        "volume_ratio": 1.0,
    },
    "hoses": {"sections": 4, "whip": True, "rise": "5.5 m"},
    "settings": {"iso_temperature": "46 degC", "resin_temperature": "49 degC", "hose_temperature": "49.6 degC", "pressure": "104 bar"},
    "site": {"air_temperature": "11 degC"},
    "supply": {"voltage": "400 V", "measured_voltage": "391 V", "phases": "3"},
    "stock": {"drum_temperature": "21 degC"},
}


def transition():
    """A thin two-part coating through narrow hoses: the resin between laminar and turbulent, the orifices after their own law."""
    d = copy.deepcopy(LAMINAR)
    d["rig"]["hose"].update({"iso_bore": "8.1 mm", "resin_bore": "6.3 mm", "sensor_side": "iso", "sensor_position": "60 m"})
    d["rig"]["gun"] = {"iso_orifice": "0.82 mm", "resin_orifice": "0.86 mm", "iso_count": 2, "resin_count": 2, "orifice_length_ratio": 4}
    d["material"]["iso"] = liquid(1110, 0.0007, 1.62, ((15, 38), (30, 21), (50, 11.5)))
    d["material"]["resin"] = liquid(1018, 0.0009, 1.95, ((15, 21), (50, 5.6)))
    d["settings"].update({"pressure": "88 bar", "hose_temperature": "44 degC", "iso_temperature": "42 degC", "resin_temperature": "40 degC"})
    return d


def cold():
    """A cold site: hose heat and resin heater at their limits, the gun below the rig, heat passing between the hoses."""
    d = copy.deepcopy(LAMINAR)
    d["rig"]["drive"].update({"motor_power": "1.9 kW"})
    d["rig"]["heaters"]["resin"]["power"] = "4.2 kW"
    d["hoses"].update({"sections": 5, "rise": "-7 m"})
    d["settings"].update({"pressure": "140 bar", "hose_temperature": "55 degC", "iso_temperature": "52 degC", "resin_temperature": "52 degC"})
    d["site"]["air_temperature"] = "-14 degC"
    d["stock"]["drum_temperature"] = "16 degC"
    d["supply"]["measured_voltage"] = "378 V"
    d["mutual_conductance"] = "0.35 W/(m K)"
    return d


def questions():
    """Answers for the laminar rig, each found by moving one input of the solution above."""
    least = 66e5

    def gun(d):
        out = Rig(d).outputs()
        return min(out["iso_gun_pressure"], out["resin_gun_pressure"])

    def with_(**change):
        d = copy.deepcopy(LAMINAR)
        for path, value in change.items():
            place = d
            *way, last = path.split("__")
            for key in way:
                place = place[key]
            place[last] = value
        return d

    sections = max(n for n in range(1, 9) if gun(with_(hoses__sections=n)) >= least)
    factor = optimize.brentq(lambda k: gun(with_(rig__gun__iso_orifice=f"{0.94 * k} mm", rig__gun__resin_orifice=f"{0.99 * k} mm")) - least,
                             0.6, 1.2, xtol=1e-10)
    no_drum = {key: value for key, value in LAMINAR.items() if key != "stock"}

    def cold_air(t):
        d = copy.deepcopy(no_drum)
        d["site"]["air_temperature"] = f"{t} degC"
        return gun(d) - 60e5

    ambient = optimize.brentq(cold_air, -40, 20, xtol=1e-8)

    def at_pumps(t):
        out = Rig(with_(settings__iso_temperature=f"{t} degC")).outputs()
        return out["iso_pump_pressure"] - out["resin_pump_pressure"]

    iso = optimize.brentq(at_pumps, 22, 60, xtol=1e-8)
    return {"least_gun_pressure": least, "sections": sections, "orifice_factor": factor, "least_gun_pressure_cold": 60e5,
            "ambient": ambient + 273.15, "iso_balancing_at_pumps": iso + 273.15}


if __name__ == "__main__":
    rigs = []
    for name, data in (("laminar", LAMINAR), ("hose in transition", transition()), ("cold, heating at its limit", cold())):
        rigs.append({"name": name, "inputs": data, "expected": Rig(data).outputs()})
    print(json.dumps({"computed_with": f"SciPy {scipy.__version__}, NumPy {np.__version__}: operating_point.py", "units": "SI",
                      "rigs": rigs, "questions": questions()}, indent=1))
