-- Make a standard rule stricter: 5 K to the dew point instead of 3 K, for the whole company.
-- The limits of an invented contractor; the job beside it is invented too.
--   impinge check examples/orchard-store/job.json --rules examples/cookbook/01-tighten.lua --report-file examples/cookbook/06-own-report.lua
--   impinge test examples/cookbook/01-tighten.lua
local imp = require "impinge"
local q = imp.q

-- tighten can only tighten: a looser figure is refused, with both figures in the message.
tighten {
  id = "surface-clear-of-dew-point",
  at_least = q "5 K",
  reason = "two bonding failures in one wet spring",
}

-- A case says what the rule must now say, on a job that holds only these readings.
case {
  rule = "surface-clear-of-dew-point", name = "4.7 K is no longer enough",
  job = { site = { air_temperature = "20 degC", relative_humidity = "50 %", surface_temperature = "14 degC" } },
  verdict = "stop", limit = q "5 K",
}
