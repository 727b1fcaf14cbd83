-- A one-off: which hose bore keeps the drop below 20 bar, and what the next bores on the shelf give. Invented liquid.
--   impinge run examples/cookbook/10-solve.lua
local imp = require "impinge"
local q = imp.q

local hose = { flow = q "3 L/min", length = q "60 m", density = q "1.1 kg/L", viscosity = q "180 cP" }
local bore = imp.solve_for { calculation = "hose.pressure_drop", with = hose, unknown = "bore", target = { pressure_drop = q "20 bar" } }
print("bore for 20 bar:", bore:to("mm", 4))

for _, size in ipairs { "1/4 in", "3/8 in", "1/2 in" } do
  hose.bore = q(size)
  local drop = imp.hose.pressure_drop(hose)
  print(size, drop.pressure_drop:to("bar", 3), "Reynolds number", drop.reynolds:to("1", 3))
end
