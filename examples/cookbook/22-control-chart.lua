-- A control chart of the ratio, dip by dip: cumulative sums find a slow drift that no single dip shows. Invented dips.
--   impinge run examples/cookbook/22-control-chart.lua
local imp = require "impinge"
local q = imp.q

local drops = { { 148, 147 }, { 151, 150 }, { 149, 149 }, { 150, 148 }, { 150, 146 }, { 152, 147 }, { 151, 145 }, { 153, 146 } }
local ratios = {}
for i, drop in ipairs(drops) do
  ratios[i] = imp.mix.dip_ratio { iso_diameter = q "571 mm", iso_drop = q(drop[1], "mm"), resin_diameter = q "571 mm",
                                  resin_drop = q(drop[2], "mm") }.volume_ratio
end
local column = imp.column(ratios)
local chart = imp.stats.cusum(column, { target = 1, sd = 0.0136, k = 0.5, h = 4 }) -- sd: what one pair of dips is good for
for i, ratio in ipairs(ratios) do print(i, ratio:format(4), "sum", ("%.3f"):format(chart.high[i]:value "1")) end
print(chart.first and "drifting since dip " .. chart.first or "no drift found", "mean", column:mean():format(4))
