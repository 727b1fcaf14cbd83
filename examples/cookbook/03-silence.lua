-- Silence a standard rule that does not fit the work. The report lists it with the reason and with what it would have said.
-- An invented contractor who sprays inside closed halls only.
--   impinge check examples/orchard-store/job.json --rules examples/cookbook/03-silence.lua --report-file examples/cookbook/06-own-report.lua   # exit code 1
--   impinge test examples/cookbook/03-silence.lua

silence { id = "wind-speed-in-window", reason = "closed halls only" }

-- Silencing a rule that is marked as safety is allowed, but no verdict is then better than caution.
silence { id = "re-entry-time", reason = "the owner's safety officer keeps the doors" }

case { rule = "wind-speed-in-window", name = "a storm outside", job = { site = { wind_speed = "25 m/s" } }, verdict = "not applicable" }
