-- NEW.FILE: rules of your own for the pre-job check, after the standard ones.
--   impinge check JOB.json --rules NEW.FILE
--   impinge test NEW.FILE                        (judges the cases below)
-- "impinge check JOB.json" shows every rule's group and id in brackets, [group: id]; each can be tightened, silenced or
-- replaced here by its id.
local imp = require "impinge"
local q = imp.q

-- A rule computes one value and holds it against a limit. This one asks for two people on site.
rule {
  id = "NEW-NAME",                          -- small letters, digits and hyphens; tells it from all others
  title = "Two people are on site",         -- what is right when it passes
  group = "work",                           -- a heading of the report: weather, power, air, hoses, material, work, ...
  stage = "plan",                           -- "plan": can be judged in the office; "site": needs readings on site
  uses = { "crew" },                        -- fields of the job; when one is missing the finding is "not known" and names it
  compute = function(job) return job.crew end,
  at_least = q "2",                         -- or at_most; caution_below and caution_above give a band of caution
  -- lever = { "site.surface_temperature" } -- what the crew can change: the tool then says which value would pass
  source = "practice",                      -- a standard, a data sheet, or "practice"
  advice = "Send a second person; nobody sprays alone.",
}

-- A rule that calculates takes the catalogue; "impinge list" shows it.
rule {
  id = "NEW-NAME-spread",
  title = "The surface is warmer than the air's dew point by 4 K",
  group = "weather",
  stage = "site",
  uses = { "site.air_temperature", "site.relative_humidity", "site.surface_temperature" },
  compute = function(job)
    return imp.climate.surface_condition {
      air_temperature = job.site.air_temperature,
      relative_humidity = job.site.relative_humidity,
      surface_temperature = job.site.surface_temperature,
    }.spread
  end,
  at_least = q "4 K",
  lever = { "site.surface_temperature", "site.relative_humidity" },
  source = "practice",
  advice = "Warm the surface or wait.",
}

-- Something a person must confirm, by a field of the job: true is go, false a stop, nothing "not known".
rule {
  id = "NEW-NAME-confirm",
  title = "Hoses lie where the crew sees them",
  group = "confirm",
  stage = "site",
  confirm = "The hoses lie in sight, and nobody drives over them.",
  confirmed_by = "confirmed.hoses_laid_out",
  source = "practice",
  advice = "Lay the hoses where somebody sees them, or bridge them.",
}

-- What a company makes stricter, leaves out or does otherwise; take the two hyphens away.
-- tighten { id = "surface-clear-of-dew-point", at_least = q "5 K", reason = "company practice" }
-- silence { id = "wind-speed-in-window", reason = "we spray in closed halls only" }

-- What each rule must say, so that a change of a figure cannot go unseen. job says all that the job would say here; quantities
-- as in a job file. verdict: go, caution, stop, not known, not applicable, to be read on site.
case { rule = "NEW-NAME", name = "two are enough", job = { crew = 2 }, verdict = "go" }
case { rule = "NEW-NAME", name = "one is not", job = { crew = 1 }, verdict = "stop" }
case { rule = "NEW-NAME", name = "nobody says", job = {}, verdict = "not known", missing = { "crew" } }
case { rule = "NEW-NAME-confirm", name = "somebody has seen it", job = { confirmed = { hoses_laid_out = true } }, verdict = "go" }
case {
  rule = "NEW-NAME-spread", name = "a cold wall",
  job = { site = { air_temperature = "20 degC", relative_humidity = "50 %", surface_temperature = "12 degC" } },
  verdict = "stop",
  value = q "2.7 K", within = q "0.1 K",          -- the dew point at 20 degC and 50 % is 9.3 degC
  passes = { ["site.surface_temperature"] = q "13.3 degC" },
}
