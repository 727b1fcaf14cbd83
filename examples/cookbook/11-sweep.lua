-- A sweep as CSV: dew point and spread as the air cools towards the evening, over an invented wall at 12 degC.
--   impinge run examples/cookbook/11-sweep.lua
local imp = require "impinge"
local csv = require "report.csv"
local q = imp.q

local columns, names = imp.sweep {
  calculation = "climate.surface_condition",
  with = { relative_humidity = q "65 %", surface_temperature = q "12 degC" },
  vary = "air_temperature", from = q "20 degC", to = q "8 degC", steps = 7,
}
local function line(cells) print((csv.line(cells):gsub("[\r\n]+$", ""))) end -- quotes what needs it, and disarms formulas

local heads, units = {}, {}
for k, name in ipairs(names) do
  units[k] = columns[name][1]:unit()
  heads[k] = ("%s [%s]"):format(name, units[k])
end
line(heads)
for i = 1, #columns[names[1]] do
  local cells = {}
  for k, name in ipairs(names) do cells[k] = ("%.3g"):format(columns[name][i]:value(units[k])) end
  line(cells)
end
