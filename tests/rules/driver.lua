-- driver.lua: one case of cases.lua in the engine's own state: judge it and say what is wrong, or nothing.

local fault = require "engine.fault"
local declarations = require "engine.declarations"
local evaluate = require "engine.evaluate"
local results = require "engine.results"
local cases = require "rules.cases"

-- Every path that the rules name is a field of some document.
local function check_paths(book)
  local limits = require "engine.limits"
  for _, rule in ipairs(book.rules) do
    local paths = {}
    local function add(list) for _, path in ipairs(list) do paths[#paths + 1] = path end end
    add(rule.uses or {})
    for _, set in ipairs(rule.any_of or {}) do add(set) end
    for _, lever in ipairs(rule.lever or {}) do add { type(lever) == "table" and lever.path or lever } end
    for _, kind in ipairs(limits.kinds) do
      if type(rule[kind]) == "table" and rule[kind].from then add(limits.from_paths(rule[kind].from)) end
    end
    if rule.confirmed_by then add { rule.confirmed_by } end
    for _, path in ipairs(paths) do
      if not host.field(path) then return ("%s names %q, which no document has"):format(rule.id, path) end
    end
  end
end

local function check_rule(book, case, options)
  local rule = book.by_id[case.rule]
  if not rule then return "there is no such rule" end
  local finding = case.solve and results.judge(rule, options.stage) or evaluate.finding(rule, options.stage)
  if finding.verdict ~= case.verdict then
    return ("expected %s, got %s: %s"):format(case.verdict, finding.verdict, tostring(finding.reason))
  end
  return case.check and case.check(finding, rule)
end

local function run(case, options)
  if case.paths then return check_paths(declarations.read(results.rule_files(options))) end
  if case.rule then return check_rule(declarations.read(results.rule_files(options, case.group)), case, options) end
  local all = results.of(options)
  if case.verdict and all.verdict ~= case.verdict then
    local worst = all.findings[1]
    return ("expected %s, got %s: %s: %s"):format(case.verdict, all.verdict, worst.id, tostring(worst.reason))
  end
  return case.check and case.check(all)
end

-- Whether the case went wrong, and how.
return function(number)
  local case = cases[number]
  local ok, message = pcall(run, case, host.options())
  local mistake = not ok and fault.message(message)
  if case.fault then
    if not mistake then return "expected the mistake " .. case.fault .. ", got " .. tostring(message) end
    return not mistake:find(case.fault, 1, true) and "expected the mistake " .. case.fault .. ", got " .. mistake or nil
  end
  if not ok then return mistake or tostring(message) end
  return message or nil
end
