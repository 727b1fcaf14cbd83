-- What quantities and the inputs of calculations refuse, each with its sentence, and the edges beside it.
local imp = require "impinge"
local fails = require "fails"
local q = imp.q
local bar = q "1 bar"

-- every calculation: an input that it has not, values of a wrong kind, no table at all
local rooms, entries = { "climate", "fluid", "hose", "heat", "electrical", "pump", "gun", "mix", "yield", "air", "rig", "stats" }, 0
for _, room in ipairs(rooms) do
  for name, entry in pairs(imp[room] or {}) do
    if type(entry) == "function" and not (room == "stats" and (name == "ewma" or name == "cusum")) then
      entries = entries + 1
      fails(function() return entry { zzzzzzzzzzzz = 1 } end, ": zzzzzzzzzzzz: unknown input")
      fails(function() return entry(5) end, ": expected named inputs in braces, as in { ")
      fails(function() return entry { [5] = 1 } end, ": inputs are named, as in { name = value }")
    end
  end
end
assert(entries > 80, entries)
local function surface(with)
  local given = { air_temperature = q "20 degC", relative_humidity = 0.5, surface_temperature = q "15 degC" }
  for name, value in pairs(with) do given[name] = value end
  return function() return imp.climate.surface_condition(given) end
end
for _, wrong in ipairs { true, {}, "", "warm", "20", 20, q "20 K", q "20 bar", "20 degC\0", ("1"):rep(300) .. " degC", print } do
  fails(surface { air_temperature = wrong }, "climate.surface_condition: air_temperature: ")
end
for _, wrong in ipairs { "ise", 7, true, {}, q "1 m" } do fails(surface { humidity_over = wrong }, "humidity_over: ") end
local voltage_drop = { current = q "10 A", length = q "50 m", section = q "2.5 mm^2", voltage = q "400 V" }
local function drop(phases) voltage_drop.phases = phases return imp.electrical.voltage_drop(voltage_drop).drop end
assert(drop(q "3") == drop "3" and drop(3) == drop "3", "a choice that is a number may come as one")
fails(function() return drop(q "2") end, "phases: ")
fails(function() return imp.stats.mean { values = 5 } end, "values: ")
fails(function() return imp.stats.mean { values = { 1, "x" } } end, "values[2]: ")
fails(function() return imp.stats.mean { values = { 1, {} } } end, "values[2]: ")
local many = {}
for i = 1, 70000 do many[i] = i end
fails(function() return imp.stats.mean { values = many } end, "values: more than ")
fails(function() return imp.electrical.line_currents { voltage = q "400 V", loads = { 5 } } end, "loads[1]")
fails(function() return imp.electrical.line_currents { voltage = q "400 V", loads = { { 5 } } } end, "fields of a record are named")
fails(function() return imp.electrical.line_currents { voltage = q "400 V", loads = { { zzzzzzzzzzzz = 5 } } } end, "zzzzzzzzzzzz: unknown name")
fails(function() return imp.electrical.line_currents { voltage = q "400 V", loads = { { name = 5, kind = "resistive", connection = "L1-N", power = q "1 W" } } } end, "name: ")
fails(function() return imp.electrical.running_cost { power = q "10 kW", time = q "3 h", energy_price = q "0.30 EUR/kWh", fuel_price = q "1 USD/L" } end, "where another amount is in")

-- quantities: methods want one before the colon
for _, name in ipairs { "to", "value", "unit", "abs", "format", "min", "max" } do
  if bar[name] then fails(function() return bar[name](5) end, "expected a quantity before the colon, got 5") end
end
fails(function() return bar:to() end, 'expected a unit such as "bar", got ')
fails(function() return bar:to "glorp" end, "glorp")
fails(function() return bar:value "m" end, "expected a length, got a pressure (100000 Pa)")
fails(function() return bar:value(5) end, 'expected a unit such as "bar", got 5')
fails(function() return q() end, 'q: expected a text such as "12 bar", or a number and a unit')
fails(function() return q(1 / 0, "bar") end, "q: expected a finite number")
fails(function() return q(0 / 0, "bar") end, "q: expected a finite number")
fails(function() return q(1, "glorp") end, "glorp")
fails(function() return q(("1"):rep(1000)) end, "q: a quantity's text has at most ")
fails(function() return q "5 glorp" end, "glorp")
fails(function() return q(bar, "m") end, "expected a length, got a pressure")
fails(function() return q(true) end, "q: expected a text")
assert(q(bar) == bar and q(bar, "kPa"):unit() == "kPa" and q(5, "bar") == q "5 bar" and q(5) == q "5")

-- arithmetic
for _, wrong in ipairs { true, {}, "1 bar", print } do
  fails(function() return bar + wrong end, "cannot add: expected a quantity or a number, got ")
  fails(function() return wrong - bar end, "cannot subtract: expected a quantity or a number, got ")
  fails(function() return bar * wrong end, "cannot multiply: expected a quantity or a number, got ")
  fails(function() return bar / wrong end, "cannot divide: expected a quantity or a number, got ")
  fails(function() return bar < wrong end, "cannot compare: expected a quantity or a number, got ")
end
fails(function() return bar - q "1 m" end, "cannot subtract")
fails(function() return q "20 degC" * 2 end, "cannot be multiplied")
fails(function() return q "20 degC" / 2 end, "cannot be divided")
fails(function() return q "20 degC" ^ 2 end, "cannot be raised to a power")
fails(function() return -q "20 degC" end, "a temperature reading cannot be negated")
fails(function() return q("20 degC"):abs() end, "a temperature reading has no absolute value")
fails(function() return bar ^ bar end, "the exponent must be a pure number")
fails(function() return bar ^ 0.3 end, "must be a multiple of 1/2")
fails(function() return bar / 0 end, "division by zero")
fails(function() return q "1 K" - q "20 degC" end, "cannot be subtracted from a temperature difference")
assert(bar ^ 1 == bar and (bar ^ 1):unit() == "bar" and bar ^ 0 == q "1" and (q "4 m^2" ^ 0.5) == q "2 m" and bar ^ q "2" == bar * bar)
assert(-bar == q "-1 bar" and (-bar):abs() == bar and 2 * bar == bar * 2 and 1 / bar == q "1 1/bar" and 1 + q "2" == q "3")
assert((q "68 degF" - q "50 degF"):value "K" == 10 and q "20 degC" + q "1 K" == q "21 degC" and q "1 K" + q "20 degC" == q "21 degC")
assert((q "50 degF" + q "10 K" - q "50 degF"):unit() ~= "degF" and bar ~= 5 and bar ~= {} and not rawequal(bar, q "1 bar") and bar == q "1 bar")
assert(bar ~= imp.column { 1 }, "userdata of another kind")

-- texts
assert(("p = " .. bar) == "p = 1 bar" and (bar .. " of air") == "1 bar of air" and (bar .. 5) == "1 bar5" and (bar .. bar) == "1 bar1 bar")
fails(function() return bar .. {} end, "cannot join a quantity and a table")
fails(function() return bar .. true end, "cannot join a quantity and ")
if imp.exact then
  fails(function() return imp.exact "x" end, "exact: expected a quantity")
  fails(function() return imp.exact(bar, "m") end, "expected a length, got a pressure")
end
fails(function() return imp.stats.mean { values = { q "1 m", q "1 bar" } } end, "values[1]: expected a pure number")
