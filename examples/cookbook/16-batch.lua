-- Many logs, one CSV line each, as a table for the office. The logs are invented: the first two lines make them. Without a job
-- the volumes come from the flows; impinge log --job takes the counters where the rig says what they count.
--   impinge run -o day-1.csv examples/make-log.lua seed=1 rows=900
--   impinge run -o day-2.csv examples/make-log.lua seed=2 rows=900 faults=none start=2031-04-18T07:00:00+02:00
--   impinge run examples/cookbook/16-batch.lua day-1.csv day-2.csv examples/orchard-store/day.csv
local imp = require "impinge"
local csv = require "report.csv"

local function line(cells) print((csv.line(cells):gsub("[\r\n]+$", ""))) end
local function shown(value, unit) return value and ("%.4g"):format(value:value(unit)) or "" end

line { "file", "begins", "sprayed [min]", "iso [L]", "resin [L]", "ratio", "off ratio [s]" }
for _, path in ipairs(arg) do
  local day <close> = imp.log.open(path)   -- closed at the end of its turn
  local sum = day:summary()
  line { path:match "[^/]+$", sum.first_time, shown(sum.spraying_time, "min"), shown(sum.iso_volume, "L"), shown(sum.resin_volume, "L"),
         shown(sum.ratio, "1"), shown(sum.off_ratio_time, "s") }
end
