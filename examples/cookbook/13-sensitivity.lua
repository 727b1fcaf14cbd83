-- What moves the pressure drop most? Elasticity: the drop's change in percent for one percent of an input. Invented hose.
--   impinge run examples/cookbook/13-sensitivity.lua
local imp = require "impinge"
local q = imp.q

local of_drop = imp.sensitivity {
  calculation = "hose.pressure_drop",
  with = { flow = q "3 L/min", bore = q "10 mm", length = q "60 m", density = q "1.1 kg/L", viscosity = q "180 cP" },
}.pressure_drop

local names = {}
for name in imp.sorted_pairs(of_drop) do names[#names + 1] = name end
table.sort(names, function(a, b) return math.abs(of_drop[a].elasticity) > math.abs(of_drop[b].elasticity) end)
for i = 1, 4 do print(names[i], ("%+.2f %%"):format(of_drop[names[i]].elasticity)) end
