-- Solving backwards, sweeping, sensitivity and uncertainty, for an id and for a declared calculator alike.
local fails = require "fails"

local function close(a, b, share) return ((a - b) / b):abs() <= share end

-- JCGM 100:2008, example H.1 (end-gauge calibration): combined standard uncertainty 32 nm to first order (H.1.4),
-- and 34 nm with the terms of second order (H.1.7), which a simulation has too; test_runner_engine.c draws more of them.
local gauge = calculator {
  id = "end_gauge", title = "End gauge by comparison", formula = "l = ls + d - ls (da t + as dt)", source = "JCGM 100:2008, H.1",
  inputs = {
    { name = "ls", unit = "nm" }, { name = "d", unit = "nm" }, { name = "da", unit = "1/K" }, { name = "t", unit = "K" },
    { name = "as", unit = "1/K" }, { name = "dt", unit = "K" },
  },
  outputs = { { name = "l", unit = "nm", digits = 9 } },
  compute = function(given) return given.ls + given.d - given.ls * (given.da * given.t + given.as * given.dt) end,
}
local values = { ls = q "50000623 nm", d = q "215 nm", da = q "0 1/K", t = q "-0.1 K", as = q "11.5e-6 1/K", dt = q "0 K" }
local sd = { ls = q "25 nm", d = q "9.7 nm", da = q "0.58e-6 1/K", t = q "0.41 K", as = q "1.2e-6 1/K", dt = q "0.029 K" }
assert(close(gauge(values), q "50000838 nm", 1e-9))
local u = imp.uncertainty { calculation = gauge, with = values, sd = sd, draws = 1000, seed = 7 }.l
assert((u.linear - q "32 nm"):abs() <= q "0.5 nm", tostring(u.linear))
assert((u.simulated - q "34 nm"):abs() <= q "0.5 nm" + 4 * u.simulated_error, tostring(u.simulated))
local again = imp.uncertainty { calculation = gauge, with = values, sd = sd, draws = 1000, seed = 7 }.l
assert(u.simulated == again.simulated and u.mean == again.mean, "the same seed gives the same draws")
assert(imp.uncertainty { calculation = gauge, with = values, sd = sd, draws = 1000, seed = 8 }.l.simulated ~= u.simulated)

-- mix.dip_ratio states its own uncertainty: two readings of 1 mm a drop are 2^(1/2) mm
local dips = { iso_diameter = "571 mm", iso_drop = "148 mm", resin_diameter = "571 mm", resin_drop = "147 mm" }
local root = q(math.sqrt(2), "mm")
local ratio = imp.uncertainty { calculation = "mix.dip_ratio", with = dips, sd = { iso_drop = root, resin_drop = root } }
assert(close(ratio.volume_ratio.linear, imp.mix.dip_ratio(dips).standard_uncertainty, 1e-9))
assert((ratio.volume_ratio.simulated - ratio.volume_ratio.linear):abs() <= 4 * ratio.volume_ratio.simulated_error + 1e-4)

-- a temperature's uncertainty is a difference
local spread = imp.uncertainty { calculation = "climate.dew_point", with = { air_temperature = "20 degC", relative_humidity = "50 %" },
  sd = { air_temperature = "0.5 K" }, draws = 1000 }
assert(spread.dew_point.linear:unit() == "K" and spread.dew_point.mean:unit() == "degC")

-- solving and putting the answer back
local hose = { flow = q "3 L/min", length = q "60 m", density = q "1.1 kg/L", viscosity = q "180 cP" }
local bore, all = imp.solve_for { calculation = "hose.pressure_drop", with = hose, unknown = "bore", target = { pressure_drop = q "20 bar" } }
assert(#all == 1 and all[1] == bore and bore:unit() == "mm")
hose.bore = bore
assert(close(imp.hose.pressure_drop(hose).pressure_drop, q "20 bar", 1e-9))
hose.bore = nil

local parabola = calculator { id = "parabola", title = "Two answers", inputs = { { name = "x", low = -5, high = 5 } }, outputs = { { name = "y" } },
  compute = function(given) return given.x ^ 2 end }
local first, both = imp.solve_for { calculation = parabola, unknown = "x", target = { y = 4 } }
assert(#both == 2 and close(both[2], q "2", 1e-12) and close(first, q "-2", 1e-12))

-- a calculator refused over part of the range is solved over the rest: yield.foam refuses a loss of 100 % and more
local lossy = calculator { id = "lossy", title = "Refuses part", inputs = { { name = "loss", low = 0, high = 3 } }, outputs = { { name = "mass", unit = "kg" } },
  compute = function(given)
    return imp.yield.foam { area = q "1 m^2", thickness = q "1 m", in_place_density = q "10 kg/m^3", loss = given.loss }.mass
  end }
assert(close(imp.solve_for { calculation = lossy, unknown = "loss", target = { mass = q "20 kg" } }, q "50 %", 1e-12))
local refuses = calculator { id = "refuses", title = "Refuses part", inputs = { { name = "x", low = 0, high = 10 } }, outputs = { { name = "y" } },
  compute = function(given) if given.x > 5 then return nil, "too much" end return given.x * 3 end }
assert(close(imp.solve_for { calculation = refuses, unknown = "x", target = { y = 6 } }, q "2", 1e-12))
fails(function() return imp.solve_for { calculation = refuses, unknown = "x", target = { y = 60 } } end,
  "refuses: no x between 0 and 10 gives y = 60; the closest is 15")
-- but a mistake in the script is no refusal
local broken = calculator { id = "broken", title = "Broken", inputs = { { name = "x", low = 0, high = 10 } }, outputs = { { name = "y" } },
  compute = function(given) return given.x + nil end }
fails(function() return imp.solve_for { calculation = broken, unknown = "x", target = { y = 6 } } end, "broken")

-- sweeping
local columns, names = imp.sweep { calculation = "hose.pressure_drop", with = hose, vary = "bore", from = q "8 mm", to = q "12 mm", steps = 3 }
assert(table.concat(names, " ") == "bore pressure_drop velocity reynolds friction_factor")
assert(#columns.bore == 3 and columns.bore[2] == q "10 mm" and columns.bore[3] == q "12 mm")
hose.bore = q "10 mm"
assert(columns.pressure_drop[2] == imp.hose.pressure_drop(hose).pressure_drop)
local part = imp.sweep { calculation = refuses, vary = "x", from = 0, to = 10, steps = 11 }
assert(#part.y == 11 and part.y[6] == q "15" and part.y[7] == false, "a refused point is false")
assert(#imp.sweep { calculation = refuses, vary = "x", from = 0, to = 5 }.x == 21)

-- sensitivity: of laminar flow the drop goes with bore^-4 (Hagen-Poiseuille)
local moves = imp.sensitivity { calculation = "hose.pressure_drop", with = hose }.pressure_drop
assert(math.abs(moves.bore.elasticity + 4) < 1e-6 and math.abs(moves.length.elasticity - 1) < 1e-6)
local drop = imp.hose.pressure_drop(hose).pressure_drop
assert(close(moves.length.derivative * q "60 m", drop, 1e-6) and moves.length.derivative:unit() == "bar/m")
assert(imp.sensitivity { calculation = "climate.dew_point", with = { air_temperature = "20 degC", relative_humidity = 0.5 } }
  .dew_point.air_temperature.elasticity == nil, "a reading has no share")

-- refusals
local function solve(fields) return function() return imp.solve_for(fields) end end
fails(solve { calculation = "hose.pressure_drop", with = {}, unknown = "bor", target = {} }, 'has no input "bor"; did you mean "bore"?')
fails(solve { calculation = parabola, unknown = "x", target = { z = 3 } }, 'solve_for: target: parabola has no output "z"')
fails(solve { calculation = parabola, unknown = "x", target = {} }, "expected one output with its value, got an empty table")
fails(solve { calculation = parabola, unknown = "x", target = { y = q "3 bar" } }, "solve_for: target: y: expected a pure number")
fails(solve { calculation = parabola, unknown = "x", target = { y = -1 } }, "no x between -5 and 5 gives y = -1")
fails(solve { calculation = gauge, with = values, unknown = "d", target = { l = q "1 m" } }, "has no allowed range to search in")
fails(solve { calculation = parabola, unknow = "x" }, 'solve_for: unknown field "unknow"; did you mean "unknown"?')
fails(solve { calculation = 5 }, "expected the id of a calculation")
fails(solve(3), "solve_for: expected { calculation = id")
fails(function() imp.sweep { calculation = parabola, vary = "x", from = 0, to = 9 } end, "x: 9 is above 5")
fails(function() imp.sweep { calculation = parabola, vary = "x", from = 0, to = 1, steps = 1 } end, "steps: expected a whole number from 2 to 10000, got 1")
fails(function() imp.uncertainty { calculation = parabola, with = { x = 1 }, sd = { x = -1 } } end, "uncertainty: sd: x: -1 is below 0")
fails(function() imp.uncertainty { calculation = parabola, with = { x = 1 }, sd = { z = 1 } } end, 'sd: parabola has no input "z"')
fails(function() imp.uncertainty { calculation = parabola, with = { x = 1 } } end, "sd: expected standard uncertainties")
fails(function() imp.uncertainty { calculation = parabola, with = { x = 1 }, sd = {}, draws = 1.5 } end, "draws: expected a whole number")
fails(function() imp.sensitivity { calculation = parabola } end, "parabola: missing x")

-- the shortest number that reads back the same
assert(imp.exact(q "0.6 mil") == "0.6" and imp.exact(q "0.6 mil", "mil") == "0.6" and imp.exact(0.1) == "0.1" and imp.exact(q "20.1 degC") == "20.1")
fails(function() imp.exact "x" end, "exact: expected a quantity")
