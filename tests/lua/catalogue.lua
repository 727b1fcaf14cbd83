-- The catalogue from a script. Dew point at 20 degC and 50 %: 9.27 degC, ASHRAE Fundamentals 2017 ch. 1 relations (see reference/climate.json).
local fails = require "fails"

local dew = imp.climate.dew_point{ air_temperature = q "20 degC", relative_humidity = q "50 %" }
assert(math.abs(dew:value "degC" - 9.27) < 0.01, "a single output comes back bare")
assert(dew:unit() == "degC")
assert(imp.climate.dew_point{ air_temperature = "20 degC", relative_humidity = "50 %" } == dew, "texts are read as a person types them")
assert(imp.climate.dew_point{ air_temperature = q "68 degF", relative_humidity = 0.5 } - dew < q "1e-9 K", "numbers are pure")
assert(imp.climate.dew_point{ air_temperature = "20 degC", relative_humidity = 0.5, humidity_over = "water" } == dew, "a choice is its text")

local flow = imp.hose.pressure_drop{ flow = q "3 L/min", bore = q "3/8 in", length = q "60 m", density = q "1.1 kg/L", viscosity = q "180 cP" }
for _, name in ipairs { "pressure_drop", "velocity", "reynolds", "friction_factor" } do assert(imp.is_quantity(flow[name]), name) end
assert((flow.friction_factor * flow.reynolds / 64 - 1):abs() < 1e-12, "laminar: f = 64/Re")

-- small integers where a choice's texts are numbers
local drop = imp.electrical.voltage_drop{ current = q "10 A", length = q "50 m", section = q "2.5 mm^2", voltage = q "400 V", phases = 3 }
assert(drop.drop == imp.electrical.voltage_drop{ current = q "10 A", length = q "50 m", section = q "2.5 mm^2", voltage = q "400 V", phases = "3" }.drop)

-- lists and records
local tap = imp.heat.hose_tap{ section_resistance = q "0.3 ohm", sections = 4, section_length = q "15 m", taps = { q "30 V", "60 V", q "90 V" },
  current_limit = q "45 A", current_setting = q "40 A" }
assert(tap.voltage == q "60 V" and type(tap.limited_by) == "string")
local loads = { { kind = "resistive", connection = "L1-N", power = q "2300 W", power_factor = 1 }, { kind = "resistive", connection = "L2-N", power = "2300 W" } }
local lines = imp.electrical.line_currents{ voltage = q "400 V", loads = loads }
assert(math.abs(lines.L1:value "A" - 2300 * math.sqrt(3) / 400) < 1e-9 and lines.L3:value "A" < 1e-9)

-- a record goes in, tables come out: the pressure falls along the hose by the sum of its sections' drops
local run = imp.hose.run{ fluid = { density = q "1.2 kg/L", heat_capacity = q "1.8 kJ/(kg K)", viscosity = { { temperature = q "25 degC", viscosity = q "200 mPa s" } } },
  sections = { { bore = q "9.5 mm", length = q "15 m" }, { bore = "6 mm", length = "3 m" } }, flow = q "3 L/min", inlet_temperature = q "25 degC",
  inlet_pressure = q "100 bar", ambient_temperature = q "25 degC" }
local fall = run.drops[1].pressure_drop + run.drops[2].pressure_drop
assert(#run.drops == 2 and (fall / run.pressure_drop - 1):abs() < 1e-9 and run.profile[1].pressure == q "100 bar")
fails(function() return imp.hose.run{ fluid = { denssity = q "1.2 kg/L" } } end, 'hose.run: fluid.denssity: unknown name; did you mean "density"?')
fails(function() return imp.hose.run{ fluid = q "1 L" } end, "expected a record in braces")

-- money keeps its currency
local cost = imp.electrical.running_cost{ power = q "10 kW", time = q "3 h", energy_price = q "0.30 EUR/kWh" }
assert(tostring(cost.cost) == "9 EUR")

-- refusals
local function dew_point(inputs) return function() return imp.climate.dew_point(inputs) end end
local warm = q "20 degC"
fails(dew_point { air_temperature = warm, relative_humidity = q "12 bar" }, 'climate.dew_point: relative_humidity: expected a number such as')
fails(dew_point { air_temperature = warm, relative_humidity = q "12 bar" }, 'got "12 bar"')
fails(dew_point { air_temperature = warm, relative_humidity = 1.4 }, "climate.dew_point: relative_humidity: 140 % is above 100 %")
fails(dew_point { air_temperature = warm, relative_humdity = 0.5 }, 'relative_humdity: unknown input; did you mean "relative_humidity"?')
fails(dew_point { air_temperature = warm }, "missing relative_humidity")
fails(dew_point {}, "missing air_temperature, relative_humidity")
fails(dew_point { air_temperature = 20, relative_humidity = 0.5 }, "got 20; a number needs its unit here")
fails(dew_point { air_temperature = "hot", relative_humidity = 0.5 }, '"hot" does not begin with a number')
fails(dew_point { air_temperature = q "5 K", relative_humidity = 0.5 }, "a difference")
fails(dew_point { air_temperature = true, relative_humidity = 0.5 }, "got true")
fails(dew_point { air_temperature = {}, relative_humidity = 0.5 }, "got a table")
fails(dew_point { air_temperature = warm, relative_humidity = 0 / 0 }, "not a finite number")
fails(dew_point { air_temperature = warm, relative_humidity = 0.5, humidity_over = "steam" }, "one of branch, water")
fails(dew_point { warm, 0.5 }, "inputs are named")
fails(dew_point(3), "expected named inputs in braces")
fails(function() return imp.climate.dew_point() end, "got nothing")
fails(function() return imp.climate.dewpoint {} end, 'no calculation "climate.dewpoint"; did you mean "climate.dew_point"?')
fails(function() return imp.climte end, 'imp has no "climte"; did you mean "climate"?')
local function with_loads(value) return function() return imp.electrical.line_currents{ voltage = q "400 V", loads = value } end end
fails(with_loads "all", "loads: expected a list of records")
fails(with_loads { { kind = "resistive", connection = "L1-N", power = q "1 m" } }, "electrical.line_currents: loads[1].power: expected a power")
fails(with_loads { loads[1], { kind = "resistive", conection = "L1-N" } }, 'loads[2].conection: unknown name; did you mean "connection"?')
fails(with_loads { loads[1], { kind = "resistive", power = q "1 W" } }, "loads[2].connection: missing")
fails(with_loads { a = loads[1] }, "without gaps or names")
fails(with_loads { 5 }, "expected a record in braces, got 5")
fails(function() return imp.heat.hose_tap{ section_resistance = q "0.3 ohm", sections = 4, section_length = q "15 m", taps = { q "30 V", q "3 m" },
  current_limit = q "45 A", current_setting = q "40 A" } end, "heat.hose_tap: taps[2]: expected a voltage")
fails(function() return imp.electrical.running_cost{ power = q "1 kW", time = q "1 h", energy_price = q "1 EUR/kWh", fuel_price = q "1 USD/L",
  specific_consumption = q "0.3 L/kWh" } end, "another amount is in")

-- groups are made when they are asked for, and looking through the module is asking for all
local seen, in_order = {}, {}
for name, value in pairs(imp) do seen[name] = type(value) end
for name in imp.sorted_pairs(imp) do in_order[#in_order + 1] = name end
assert(seen.climate == "table" and seen.yield == "table" and seen.stats == "table" and seen.q == "function" and seen.version == "string")
for i, name in ipairs(in_order) do assert(seen[name] and (i == 1 or in_order[i - 1] < name), name) end
assert(imp.hose == imp.hose and imp.hose.fill == imp.hose.fill)

-- what can be asked
local ids = imp.catalogue()
assert(#ids > 50)
for _, id in ipairs(ids) do
  local entry = imp.explain(id)
  local group, name = id:match "^([^.]+)%.(.+)$"
  assert(type(imp[group][name]) == "function", id)
  assert(entry.id == id and #entry.title > 0 and #entry.source > 0 and #entry.outputs > 0, id)
  for _, row in ipairs(entry.inputs) do
    assert(row.name and row.kind and row.help, id)
    assert(not (row.required and row.default ~= nil), id)
    if row.kind == "number" then assert(row.unit and row.dimension, id) end
  end
end
local humidity = imp.explain "climate.dew_point".inputs[2]
assert(humidity.name == "relative_humidity" and humidity.required and humidity.unit == "%" and humidity.high == q "100 %")
fails(function() return imp.explain "climate.dewpoint" end, 'did you mean "climate.dew_point"?')
fails(function() return imp.explain(7) end, "expected the id of a calculation")

-- sheets
local sheet = imp.sheet{ calculation = "climate.dew_point", with = { air_temperature = q "20 degC", relative_humidity = 0.5 } }
assert(sheet.calculation == "climate.dew_point" and sheet.formula and sheet.source and sheet.validity)
local result = sheet.lines[#sheet.lines]
assert(result.role == "result" and result.name == "dew_point" and result.value == dew and result.text:find "degC")
assert(sheet.lines[1].role == "input" and sheet.lines[1].value == q "20 degC")
fails(function() return imp.sheet{ calculation = "climate.dew_point" } end, "climate.dew_point: expected named inputs")
fails(function() return imp.sheet "climate.dew_point" end, "sheet: expected")

-- the module
assert(imp.api_level == 1 and imp.version:find "^%d+%.%d+%.%d+$")
imp.require_api(1)
fails(function() imp.require_api(99) end, "this script needs API level 99")
fails(function() imp.require_api "1" end, "whole number")
assert(require "impinge" == imp)
local order = {}
for key in imp.sorted_pairs { b = 1, a = 2, [10] = 3, [2] = 4, [2.5] = 5, B = 6 } do order[#order + 1] = tostring(key) end
assert(table.concat(order, " ") == "2 2.5 10 B a b", table.concat(order, " "))
fails(function() imp.sorted_pairs(1) end, "expected a table, got 1")
