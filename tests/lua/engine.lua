-- What the check engine may do, run as its script: job is tests/jobs/base.json, an invented job.
local fails = require "fails"
local folder = host.options().folder

-- options, fields, origins
local options = host.options()
assert(options.stage == "site" and options.strict == true and options.digits == 4 and options.units == nil)
assert(#options.rules == 2 and options.rules[2] == "b.lua")
assert(host.job().site.altitude == q "250 m")
local field = host.field "site.surface_temperature"
assert(field.title == "surface temperature" and field.unit == "degC" and field.kind == "number" and field.low < field.high and field.help)
assert(host.field "window.pressure.min".title == "pressure min")
assert(host.field "rig.loads[1].power".unit == "kW" and host.field "rig.hose.taps".kind == "list")
assert(host.field "site.nothing" == nil and host.field "site..altitude" == nil)
assert(host.origin "site.altitude" == "job" and host.origin "rig.hose.current_limit" == "rig")
assert(host.origin "material.volume_ratio" == "material" and host.origin "site.humidity_over" == "default")
assert(host.origin "window.pressure.min" == nil)
fails(function() return host.origin "site.nothing" end, "unknown field")
assert(host.date() == "2031-05-14", "the job's own date comes first")
host.write "written "
host.write "twice"
fails(function() host.write(5) end, "expected a text, got 5")

-- declarations
local loaded = assert(host.load_rules(folder .. "/good.lua"))
local rules, by_id = loaded.rules, {}
for _, each in ipairs(rules) do by_id[each.id] = by_id[each.id] or each end
assert(rules[1].declared == "rule" and rules[1].id == "first" and rules[1].line == 7 and rules[1].file:find "good.lua$")
assert(rules[1].at_least == q "3 K" and rules[1].uses[1] == "site.air_temperature" and type(rules[1].compute) == "userdata")
assert(rules[2].declared == "tighten" and rules[2].at_least == q "5 K")
assert(rules[3].declared == "silence" and rules[4].declared == "replace" and rules[5].id == "altitude")

local function call(id, overlays, record) return host.call(by_id[id].compute or by_id[id].applies, overlays, record) end

-- a call: results, what it read, its sheets
local ok, results, info = host.call(rules[1].compute, nil, true)
assert(ok and results.n == 2 and imp.is_quantity(results[1]) and results[1]:unit() == "K" and results[2].note == "as read")
assert(results[2].parts[1].value == 3)
assert(table.concat(info.reads, " ") == "site.air_temperature site.relative_humidity site.surface_temperature")
assert(#info.sheets == 1 and info.sheets[1].calculation == "climate.surface_condition" and #info.sheets[1].lines > 3)
ok, results, info = host.call(rules[1].compute)
assert(ok and #info.sheets == 0 and #info.reads == 0, "nothing is kept unless it is asked for")
ok, results, info = call("reads", nil, true)
assert(ok and results.n == 4 and results[1] == nil and results[2] == q "250 m")
assert(table.concat(info.reads, " ") == "rig.loads rig.hose.taps window.pressure.min site.altitude", table.concat(info.reads, " "))
ok, results = call "returns-many"
assert(ok and results.n == 6 and results[1] == nil and results[2] == "why" and math.type(results[3]) == "integer" and results[4] == 2.5)
assert(results[5] == true and results[6].list[1] == q "1 m" and results[6].list[2] == "x")
ok, results = host.call(rules[4].applies)
assert(ok and results[1] == false and results[2] == "no generator")
assert(call "counter" and select(2, call "counter")[1] == 2, "one state a file")

-- overlays are laid over the job for a call and taken back
ok, results = call("altitude", { ["site.altitude"] = q "1000 ft" })
assert(ok and tostring(results[1]) == "1000 ft" and host.job().site.altitude == q "250 m")
ok, results = call("altitude", { ["site.altitude"] = q "3 m", ["site.surface_temperature"] = q "0 degC", ["supply.phases"] = "1", ["supply.neutral"] = false })
assert(ok and results[1] == q "3 m" and host.job().supply.phases == "3" and host.job().supply.neutral == true)
ok, results = call("reads", { ["window.pressure.min"] = q "50 bar" })
assert(ok and results[1] == q "50 bar" and host.job().window.pressure.min == nil)
call("fails", { ["site.altitude"] = q "3 m" })
assert(host.job().site.altitude == q "250 m", "taken back after an error too")
local function refused(overlays, part)
  local fine, message = call("altitude", overlays)
  assert(fine == false and message:find(part, 1, true), tostring(message))
end
refused({ ["site.altitud"] = q "3 m" }, 'did you mean "altitude"?')
refused({ ["site.altitude"] = q "3 bar" }, "expected a length")
refused({ ["site.altitude"] = q "30 km" }, "is above")
refused({ ["site.altitude"] = 3 }, "needs its unit")
refused({ ["site"] = q "3 m" }, "only a number, a choice or a flag")
refused({ ["site.altitude"] = q "3 m", ["supply.phases"] = "2" }, "one of 1, 3")
fails(function() call("altitude", { q "3 m" }) end, "from paths")
fails(function() call("altitude", 3) end, "from paths")
fails(function() host.call(print) end, "expected a function of a rule file")
assert(host.job().site.altitude == q "250 m")

-- a rule that fails says where
local function failing(id, part)
  local fine, message, about = call(id)
  assert(fine == false and message:find(part, 1, true), tostring(message))
  return message, about
end
assert(failing("fails", "deliberate"):find "good.lua:%d+: deliberate$")
assert(failing("typo", 'did you mean "altitude"?'):find "good.lua:%d+: ")
failing("returns-function", "result 1: a function cannot be handed over")
failing("returns-cycle", "holds itself")
failing("returns-nan", "not finite")
failing("returns-record", "a record of the job cannot be handed over")
failing("declares", "declared while the file loads")
failing("changes-job", "the job is read-only")
local _, about = failing("forever", "used up its budget of")
assert(about.limit == true)
failing("altitude", "used up its budget of") -- its file is at its end
ok = host.call(assert(host.load_rules(folder .. "/good.lua")).rules[1].compute)
assert(ok, "a fresh state knows nothing of it")

-- a file that does not load
local function unloadable(name, part)
  local nothing, message = host.load_rules(folder .. "/" .. name)
  assert(nothing == nil and message:find(part, 1, true), tostring(message))
end
unloadable("bad_unit.lua", "bad_unit.lua:2: ")
unloadable("not_a_table.lua", 'expected its fields in braces, as in rule { id = "...", ... }, got "x"')
unloadable("cyclic.lua", "a table that holds itself")
unloadable("odd_keys.lua", "keys must be texts or numbers")
unloadable("missing.lua", "missing.lua")
fails(function() host.load_rules() end, "expected a file's path")
