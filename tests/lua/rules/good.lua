-- Invented rules for the tests of the host.
local shared = { id = "first", title = "Spread", uses = { "site.air_temperature" }, at_least = q "3 K" }
shared.compute = function(job)
  return imp.climate.surface_condition{ air_temperature = job.site.air_temperature, relative_humidity = job.site.relative_humidity,
    surface_temperature = job.site.surface_temperature }.spread, { note = "as read", parts = { { label = "n", value = 3 } } }
end
rule(shared)
shared.id = "second" -- what was declared stays as it was
tighten { id = "first", at_least = q "5 K", reason = "company practice" }
silence { id = "other", reason = "none here" }
replace { id = "other", reason = "ours", applies = function(job) return job.supply.generator.rating ~= nil, "no generator" end }
rule { id = "altitude", compute = function(job) return job.site.altitude end }
rule { id = "fails", compute = function() error "deliberate" end }
rule { id = "typo", compute = function(job) return job.site.altitud end }
rule { id = "returns-function", compute = function() return print end }
rule { id = "returns-cycle", compute = function() local t = {} t.t = t return t end }
rule { id = "returns-nan", compute = function() return { 0 / 0 } end }
rule { id = "returns-record", compute = function(job) return job.site end }
rule { id = "returns-many", compute = function() return nil, "why", 1, 2.5, true, { list = { q "1 m", "x" } } end }
rule { id = "declares", compute = function() rule { id = "late" } end }
rule { id = "changes-job", compute = function(job) job.site.altitude = q "0 m" end }
rule { id = "reads", compute = function(job)
  local count = #job.rig.loads + #job.rig.hose.taps
  for _, load in ipairs(job.rig.loads) do count = count + (load.power > q "0 W" and 1 or 0) end
  return imp.path(job, "window.pressure.min"), job.site.altitude, job.site.altitude, count
end }
rule { id = "counter", compute = (function() local n = 0 return function() n = n + 1 return n end end)() }
rule { id = "forever", compute = function() while true do end end }
