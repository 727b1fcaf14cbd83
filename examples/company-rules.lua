-- Company rules of an invented contractor. Run them with:
--   impinge check examples/orchard-store/job.json --rules examples/company-rules.lua
--   impinge test examples/company-rules.lua
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

-- What these rules must say, each on a job that says only this.
case { rule = "two-people-on-site", name = "alone", job = { crew = 1 }, verdict = "stop" }
case { rule = "two-people-on-site", name = "in pairs", job = { crew = 2 }, verdict = "go" }
case {
  rule = "surface-clear-of-dew-point", name = "4.7 K would pass the standard rule, and not ours",
  job = { site = { air_temperature = "20 degC", relative_humidity = "50 %", surface_temperature = "14 degC" } },
  verdict = "stop", value = q "4.73 K", limit = q "5 K", within = q "0.01 K",
}
case { rule = "wind-speed-in-window", name = "silenced", job = {}, verdict = "not applicable" }
