-- rule_cases.lua: the cases that rule files declare: each rule judged on a job that says only what the case says, beside what
-- the case expects. Gives a function that returns how many failed, and of how many.

local imp = require "impinge"
local compare = require "engine.compare"
local declarations = require "engine.declarations"
local fault = require "engine.fault"
local json = require "report.json"
local results = require "engine.results"

-- What every job must say.
local function bare(name)
  return { name = name, rig = { name = "rig of a case" }, material = { name = "material of a case" } }
end

-- The fragment laid over a bare job; quantities as documents write them.
local function as_document(value, under)
  if imp.is_quantity(value) then return value:format(0) end
  if type(value) ~= "table" then return value end
  local made = {}
  for key, item in pairs(under or {}) do made[key] = item end
  for key, item in pairs(value) do
    made[key] = as_document(item, type(made[key]) == "table" and made[key] or nil)
  end
  return made
end

local function missing_fault(finding, expected)
  local missing = {}
  for _, path in ipairs(finding.missing) do missing[path] = true end
  for _, path in ipairs(expected) do
    if not missing[path] then return ("%s is not among what is missing"):format(path) end
  end
end

local function lever_fault(finding, path, expected, within)
  for _, lever in ipairs(finding.levers) do
    if lever.path == path and lever.value ~= nil then return compare.fault(path, lever.value, expected, within) end
  end
  return ("%s: no value of it makes the rule pass"):format(path)
end

-- All that is not as the case expects.
local function faults_of(case, finding)
  local faults = {}
  local function add(text) faults[#faults + 1] = text end
  if finding.script_error then -- whatever the case expects: nothing was judged
    add("the rule's script failed: " .. finding.script_error)
    return faults
  end
  if finding.verdict ~= case.verdict then
    add(("it is %s (%s), expected %s"):format(finding.verdict, tostring(finding.reason), case.verdict))
    return faults
  end
  for _, name in ipairs { "value", "limit" } do
    if case[name] ~= nil then
      if finding[name] == nil then add(("there is no %s, expected %s"):format(name, tostring(case[name])))
      else add(compare.fault(name, finding[name], case[name], case.within)) end
    end
  end
  if case.reason ~= nil and not tostring(finding.reason):find(case.reason, 1, true) then
    add(("the reason is \"%s\", expected \"%s\" in it"):format(tostring(finding.reason), case.reason))
  end
  add(missing_fault(finding, case.missing or {}))
  for path, expected in host.sorted_pairs(case.passes or {}) do add(lever_fault(finding, path, expected, case.within)) end
  return faults
end

local function judge(book, case, name)
  local ok, problem = host.use_job(json.encode(as_document(case.job, bare(name))))
  if not ok then return { problem } end
  return faults_of(case, results.judge(book.by_id[case.rule], case.stage or "site", false))
end

local function run()
  local book = declarations.read(results.rule_files(host.options()))
  local failed = 0
  for number, case in ipairs(book.cases) do
    local name = ("%s: %s"):format(case.rule, case.name or "case " .. number)
    local faults = judge(book, case, name)
    if #faults > 0 then failed = failed + 1 end
    host.write(#faults == 0 and ("ok      %s\n"):format(name) or ("FAILED  %s: %s\n"):format(name, table.concat(faults, "; ")))
  end
  if #book.cases > 0 then host.write(("%d of %d cases hold\n"):format(#book.cases - failed, #book.cases)) end
  return failed, #book.cases
end

return function()
  local ok, failed, total = pcall(run)
  if ok then return failed, total end
  error(fault.message(failed) or failed, 0)
end
