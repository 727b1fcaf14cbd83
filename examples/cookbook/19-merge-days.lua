-- Several days as one: volumes added, temperatures weighted with the time that was sprayed. The logs are invented.
-- For whole reports use "impinge log --partial" for each day and "impinge log --merge" for all: the same to the last digit.
--   impinge run -o mon.csv examples/make-log.lua seed=3 rows=900 faults=none
--   impinge run -o tue.csv examples/make-log.lua seed=4 rows=900 faults=none start=2031-04-18T07:00:00+02:00
--   impinge run examples/cookbook/19-merge-days.lua mon.csv tue.csv
local imp = require "impinge"
local q = imp.q

local iso, resin, time, heat = q "0 L", q "0 L", q "0 s", nil
local zero = q "0 degC"
for _, path in ipairs(arg) do
  local day <close> = imp.log.open(path)
  local sum, spraying = day:summary(), day:spraying()
  local warmth = (day.iso_hose_temperature:time_mean(spraying) - zero) * sum.spraying_time -- a difference can be weighted
  iso, resin, time = iso + sum.iso_volume, resin + sum.resin_volume, time + sum.spraying_time
  heat = heat and heat + warmth or warmth
end
print("days", #arg, "sprayed", time:to("min", 4))
print("iso", iso:to("L", 4), "resin", resin:to("L", 4), "ratio", (iso / resin):format(4))
print("iso hose while spraying", (zero + heat / time):to("degC", 3))
