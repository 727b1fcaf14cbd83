-- The working of a calculation, to be shown to somebody who checks it: inputs, formula, steps, result and source.
-- The cable is invented; sizing a supply is work for a licensed person.
--   impinge run examples/cookbook/14-sheet.lua
local imp = require "impinge"
local q = imp.q

local sheet = imp.sheet {
  calculation = "electrical.voltage_drop",
  with = { current = q "28 A", length = q "45 m", section = q "6 mm^2", voltage = q "400 V", phases = 3, power_factor = 0.9 },
}
print(sheet.title)
for _, line in ipairs(sheet.lines) do print(("  %-8s %-22s %s"):format(line.role, line.name, line.text)) end
print("Source: " .. sheet.source)
