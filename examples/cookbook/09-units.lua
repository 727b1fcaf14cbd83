-- Unit conversions: quantities carry their unit, and wrong sums are refused. The figures are invented.
--   impinge run examples/cookbook/09-units.lua
local imp = require "impinge"
local q = imp.q

local pressure = q "1200 psi"
print(pressure, "=", pressure:to "bar", "=", pressure:to("MPa", 3))
print(q "3/8 in", "=", q "3/8 in":to "mm", "=", q "3/8 in":to "mil")
print(q "2.2 lb/ft^3", "=", q "2.2 lb/ft^3":to("kg/m^3", 4))
print(q "55 gal", "=", q "55 gal":to "L")

-- Readings and differences of temperature are two things.
local spread = q "14 degC" - q "9.5 degC"
print("spread", spread, "in degF", spread:to "degF_diff")
print("one degree warmer:", q "14 degC" + q "1 K", "=", (q "14 degC" + q "1 K"):to "degF")

-- What makes no sense is an error at its line; pcall shows it without ending the script.
print(select(2, pcall(function() return q "3 bar" + q "2 m" end)))
print(select(2, pcall(function() return q "14 degC" + q "14 degC" end)))
