-- Company rules of an invented contractor. Run them with:
--   impinge check examples/orchard-store/job.json --rules examples/company-rules.lua
local imp = require "impinge"
local q = imp.q

-- One rule of our own: two people at least, whatever the job.
rule {
  id = "two-people-on-site",
  title = "Two people are on site",
  group = "work",
  stage = "plan",
  uses = { "crew" },
  compute = function(job) return job.crew end,
  at_least = q "2",
  source = "practice",
  advice = "Send a second person; nobody sprays alone.",
}

-- One standard rule made stricter: our foremen want 5 K to the dew point.
tighten {
  id = "surface-clear-of-dew-point",
  at_least = q "5 K",
  reason = "company practice after a wet spring",
}

-- One standard rule silenced: our stores are indoors.
silence {
  id = "wind-speed-in-window",
  reason = "we spray inside closed halls only",
}
