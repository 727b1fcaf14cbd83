-- Replace a standard rule: keep its id and its place in the report, with a computation and a limit of your own.
-- Everything here is invented: an enclosure where wind is measured at the opening, not at the surface.
--   impinge test examples/cookbook/02-replace.lua
local imp = require "impinge"
local q = imp.q

-- With a compute of its own the rule is new; without one only the named fields change. The report shows what the standard
-- rule would have said, and a reason is asked for.
replace {
  id = "wind-speed-in-window",
  title = "Wind at the opening of our enclosure is below 9 m/s",
  uses = { "site.wind_speed" },
  compute = function(job) return job.site.wind_speed end,
  at_most = q "9 m/s", caution_above = q "7 m/s",
  source = "practice",
  reason = "we spray inside a wind-break and read the wind outside it",
}

case { rule = "wind-speed-in-window", name = "8 m/s outside", job = { site = { wind_speed = "8 m/s" } }, verdict = "caution" }
case { rule = "wind-speed-in-window", name = "10 m/s outside", job = { site = { wind_speed = "10 m/s" } }, verdict = "stop" }
