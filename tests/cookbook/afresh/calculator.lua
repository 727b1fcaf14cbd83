-- A one-off, written from the cookbook: diesel for a day of heating an invented hall. impinge calc calculator.lua area=... hours=...
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "hall_heat", title = "Diesel to keep a hall warm for a day of spraying", formula = "m = U A dT t/(eta H)", source = "heat balance by hand",
  inputs = {
    { name = "area", unit = "m^2", low = q "1 m^2", high = q "50000 m^2", help = "of walls and roof" },
    { name = "u_value", unit = "W/(m^2 K)", low = q "0.1 W/(m^2 K)", high = q "10 W/(m^2 K)", default = q "2 W/(m^2 K)" },
    { name = "rise", unit = "K", low = q "0 K", high = q "60 K", default = q "10 K" },
    { name = "hours", unit = "h", low = q "0.5 h", high = q "24 h", default = q "8 h" },
    { name = "efficiency", unit = "%", low = 0.1, high = 1, default = 0.85 },
  },
  outputs = { { name = "energy", unit = "kWh" }, { name = "diesel", unit = "L" } },
  compute = function(given)
    local energy = given.u_value * given.area * given.rise * given.hours
    return { energy = energy, diesel = energy / given.efficiency / q "10 kWh/L" } -- about 10 kWh a litre, common practice
  end,
  cases = { { name = "by hand", inputs = { area = "500 m^2" }, expect = { energy = q "80 kWh", diesel = q "9.412 L" }, within = "0.1 %" } },
}
