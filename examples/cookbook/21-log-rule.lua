-- A log rule of your own: the hose cold while spraying, with a company's own figure. The log is invented.
--   impinge log examples/orchard-store/day.csv --rules examples/cookbook/21-log-rule.lua --format csv   # exit code 2
local imp = require "impinge"
local q = imp.q

event {
  id = "cold-hose-for-us",
  title = "Resin hose below our own figure while spraying",
  group = "temperature", level = "caution",
  needs = { "resin_hose_temperature" },
  criterion = { least = q "46.8 degC", lasting = q "10 s" },
  tighter = { least = "higher" },                  -- so that another file can tighten it
  criterion_text = "resin hose temperature below `least` for at least `lasting`, and sprayed meanwhile",
  source = "practice",
  compute = function(day, _, criterion)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    return day.resin_hose_temperature:below(criterion.least):lasting(criterion.lasting) & spraying,
           { { "resin hose", day.resin_hose_temperature } }
  end,
}
