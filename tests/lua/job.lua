-- Reading a job: the global `job` is the view of tests/jobs/base.json, an invented job.
local fails = require "fails"

assert(job.site.air_temperature == q "18 degC" and tostring(job.site.air_temperature) == "18 degC", "a quantity, in the unit as written")
assert(job.name:find "Test hall" and job.date == "2031-05-14", "texts and dates are texts")
assert(job.supply.phases == "3" and job.supply.neutral == true, "a choice is its text, a flag a boolean")
assert(imp.is_quantity(job.crew) and job.crew == q(2), "a pure number is a pure quantity")
assert(job.rig.fluid_pressure_limit == q "150 bar", "an inline record is reached like any other")
local taps = job.rig.hose.taps
assert(type(taps) == "table" and #taps == 5 and taps[2] == q "45 V", "a list is an array of quantities")
local loads = job.rig.loads
assert(type(loads) == "table" and #loads > 0 and imp.is_quantity(loads[1].power), "a table is an array of records")
assert(job.window.pressure.min == nil, "absent fields are nil, through absent records too")
assert(job.supply.generator.rating == nil)
assert(job.site.humidity_over == "branch", "a default stands in")
assert(tostring(job) == "job" and tostring(job.rig.hose) == "job: rig.hose")
assert(job.site == job.site and job.site ~= job.rig)

-- paths
assert(imp.path(job, "site.air_temperature") == job.site.air_temperature)
assert(imp.path(job, "rig.hose.taps[2]") == q "45 V")
assert(imp.path(job, "window.pressure.min") == nil)
assert(imp.path(job.rig, "hose.current_limit") == q "45 A")
fails(function() return imp.path(job, "site.air_temprature") end, 'did you mean "air_temperature"?')
fails(function() return imp.path(job, "") .. "" end, "concatenate")
fails(function() return imp.path({}, "site") end, "expected a record of the job")
fails(function() return imp.path(job, 5) end, "expected a path")

-- fields in the order of the field table
local names = {}
for name, value in pairs(job.site) do
  names[#names + 1] = name
  assert(value ~= nil)
end
assert(table.concat(names, " ", 1, 3) == "air_temperature relative_humidity surface_temperature")
for _ in pairs(job.window) do error "an absent record has no fields" end

-- refusals
fails(function() return job.site.air_temprature end, 'job has no "site.air_temprature"; did you mean "air_temperature"?')
fails(function() return job.sitte end, 'job has no "sitte"; did you mean "site"?')
fails(function() return job.rig.loads[1].powr end, 'job has no "rig.loads[1].powr"; did you mean "power"?')
fails(function() return job[1] end, "fields of a job record are named")
fails(function() job.site.altitude = q "3 m" end, "the job is read-only")
fails(function() job.new = 1 end, "the job is read-only")
fails(function() return #job.site end, "length")
assert(getmetatable(job) == "job record")

-- records go into calculations as they are
local lines = imp.electrical.line_currents{ voltage = job.supply.voltage, loads = job.rig.loads }
assert(lines.L1 > q "0 A")
local tap = imp.heat.hose_tap{ section_resistance = job.rig.hose.section_resistance, sections = job.hoses.sections, section_length = job.rig.hose.section_length,
  taps = job.rig.hose.taps, current_limit = job.rig.hose.current_limit, current_setting = job.settings.hose_current }
assert(tap.voltage > q "0 V")
local run = imp.hose.run{ fluid = job.material.iso, sections = { { bore = job.rig.hose.iso_bore, length = q "60 m" } }, flow = q "3 L/min",
  inlet_temperature = job.settings.iso_temperature, inlet_pressure = job.settings.pressure, ambient_temperature = job.site.air_temperature }
assert(#run.profile > 2 and run.profile[1].pressure == q "90 bar" and run.drops[1].pressure_drop > q "0 bar")
assert(run.profile[1].temperature == q "50 degC" and type(run.extrapolated) == "string")
