-- Rules of an invented contractor, written from the cookbook: one tightened, one silenced, one replaced, two added.
--   impinge check JOB.json --rules company.lua
local imp = require "impinge"
local q = imp.q

tighten { id = "surface-clear-of-dew-point", at_least = q "6 K", reason = "company practice" }
silence { id = "wind-speed-in-window", reason = "closed halls only" }
replace {
  id = "lift-thickness", title = "Lifts of 35 mm at most", uses = { "work.thickness" },
  compute = function(job)
    return imp.yield.lifts { thickness = job.work.thickness, maximum_lift = q "35 mm", minimum_lift = q "15 mm" }.lift_thickness
  end,
  at_most = q "35 mm", source = "practice", reason = "thinner lifts after a scorched one",
}

rule {
  id = "three-on-a-scaffold", title = "Three people where the work is above 100 m^2", group = "work", stage = "plan",
  uses = { "crew", "work.area" },
  applies = function(job) return job.work.area > q "100 m^2", "a small job" end,
  compute = function(job) return job.crew end, at_least = q "3", lever = { "crew" }, source = "practice", advice = "Send a third.",
}
rule {
  id = "light-enough", title = "Somebody has seen that there is light enough", group = "confirm",
  confirm = "Every surface is lit", confirmed_by = "confirmed.exclusion_zone_set", source = "practice",
}

case { rule = "three-on-a-scaffold", name = "two on 240 m^2", job = { crew = 2, work = { area = "240 m^2" } }, verdict = "stop" }
case { rule = "three-on-a-scaffold", name = "two on 80 m^2", job = { crew = 2, work = { area = "80 m^2" } }, verdict = "not applicable" }
