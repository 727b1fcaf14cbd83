-- Column expressions: the ratio of two flows, where it was off by 5 % for 5 s while spraying. An invented log.
-- The expression is built once and evaluated block by block: constant memory, whatever the length.
--   impinge run examples/cookbook/18-columns.lua examples/orchard-store/day.csv
local imp = require "impinge"
local q = imp.q
local day = imp.log.open(arg[1])

local ratio = day.iso_flow / day.resin_flow                       -- a column; missing cells stay missing
local off = ((ratio - 1):abs():above(0.05) & day.trigger:equals(1)):lasting(q "5 s")
for span in off:spans(ratio) do
  print(span.from, "for", span.duration, "ratio", ratio:mean(span):format(3))
end

-- Answers asked for with later() share one pass.
local sprayed = day.iso_flow:where(day.trigger:equals(1))
local mean, most = sprayed:later():mean(), day.iso_pressure:later():max()
print("iso flow while spraying", mean:get():to("L/min", 3), "highest iso pressure", most:get():to("bar", 3))
