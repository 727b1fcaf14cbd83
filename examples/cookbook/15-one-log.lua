-- What a day's log amounts to: times, volumes and ratio. The log is invented.
--   impinge run examples/cookbook/15-one-log.lua examples/orchard-store/day.csv
local imp = require "impinge"
local day = imp.log.open(arg[1])           -- a script reads the files that were named on its command line, and no other

local sum = day:summary()                  -- one pass over the file, whatever its length
print("from", sum.first_time, "to", sum.last_time)
print("logged", sum.logged_time:to("h", 3), "sprayed", sum.spraying_time:to("min", 3), "in", sum.sprays, "sprays")
print("iso", sum.iso_volume:to("L", 4), "resin", sum.resin_volume:to("L", 4), "ratio", sum.ratio:format(4))
print("off ratio for", sum.off_ratio_time:to "s")
for _, fault in ipairs(day:faults().found) do print("of the file:", fault.count, fault.text) end
