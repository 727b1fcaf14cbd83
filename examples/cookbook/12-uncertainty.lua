-- How sure is a ratio from drum dips? Standard uncertainty by the linear law (GUM) and simulated, for an invented pair of dips.
--   impinge run examples/cookbook/12-uncertainty.lua
local imp = require "impinge"
local q = imp.q

local dips = { iso_diameter = q "571 mm", iso_drop = q "148 mm", resin_diameter = q "571 mm", resin_drop = q "147 mm" }
local ratio = imp.mix.dip_ratio(dips)
local found = imp.uncertainty { calculation = "mix.dip_ratio", with = dips, sd = { iso_drop = q "2 mm", resin_drop = q "2 mm" },
                                draws = 5000, seed = 7 }
print("ratio", ratio.volume_ratio:format(4))
print("linear", found.volume_ratio.linear:format(2), "simulated", found.volume_ratio.simulated:format(2))

-- Deeper dips are worth more than better rulers: the same uncertainty of reading over four times the drop.
dips.iso_drop, dips.resin_drop = q "592 mm", q "588 mm"
found = imp.uncertainty { calculation = "mix.dip_ratio", with = dips, sd = { iso_drop = q "2 mm", resin_drop = q "2 mm" } }
print("four times the drop:", found.volume_ratio.linear:format(2))
