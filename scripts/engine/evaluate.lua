-- evaluate.lua: one rule on one job becomes one finding.

local imp = require "impinge"
local fault = require "engine.fault"
local label = require "engine.label"
local limits = require "engine.limits"
local verdict = require "engine.verdict"

local evaluate = {}

-- What a rule may see: the job, with values laid over it while a lever is tried. Functions of a rule run in the rule's
-- own state; what they read and calculate is kept for the finding.
function evaluate.context(overlays, record)
  local context = { overlays = overlays, reads = {}, sheets = {} }

  function context.read(path)
    if overlays and overlays[path] ~= nil then return overlays[path] end
    context.reads[#context.reads + 1] = path
    return imp.path(host.job(), path)
  end

  function context.call(remote)
    local ok, results, info = host.call(remote, overlays, record)
    if not ok then error(results, 0) end
    if record and info then
      for _, path in ipairs(info.reads or {}) do context.reads[#context.reads + 1] = path end
      for _, sheet in ipairs(info.sheets or {}) do context.sheets[#context.sheets + 1] = sheet end
    end
    return results
  end

  return context
end

local function is_missing(context, path)
  local value = context.read(path)
  return value == nil or type(value) == "table" and #value == 0
end

local function all_missing(context, paths)
  local missing = {}
  for _, path in ipairs(paths) do
    if is_missing(context, path) then missing[#missing + 1] = path end
  end
  return missing
end

-- Missing inputs: of `uses` every one; of `any_of` those of the set that lacks fewest, where no set is whole. The second
-- result: what every set lacks, where all of `uses` is given and no set is whole.
local function missing_inputs(rule, context)
  local missing = all_missing(context, rule.uses or {})
  local all_given, fewest, lacking = #missing == 0, nil, {}
  for i, set in ipairs(rule.any_of or {}) do
    lacking[i] = all_missing(context, set)
    if not fewest or #lacking[i] < #fewest then fewest = lacking[i] end
  end
  for _, path in ipairs(fewest or {}) do missing[#missing + 1] = path end
  return missing, all_given and fewest and #fewest > 0 and lacking or nil
end

-- The fields of one way to give a value, several of one record as the record: { "measured.dips" }.
local function by_record(paths)
  local records, seen, count = {}, {}, {}
  local function record_of(path) return path:match "^(.*)%." or path end
  for _, path in ipairs(paths) do count[record_of(path)] = (count[record_of(path)] or 0) + 1 end
  for _, path in ipairs(paths) do
    local name = count[record_of(path)] > 1 and record_of(path) or path
    if not seen[name] then records[#records + 1] = name end
    seen[name] = true
  end
  return records
end

local function name_missing(paths)
  local names = {}
  for _, path in ipairs(paths) do names[#names + 1] = ("%s (%s)"):format(label.of(path), path) end
  return "missing: " .. table.concat(names, ", ")
end

-- The rule's own advice answers a stop: what is missing is to be found out first. `advice` is for this very gap.
local function not_known(outcome, missing, reason, advice)
  outcome.verdict = "not known"
  outcome.missing = missing
  outcome.reason = reason or name_missing(missing)
  if advice then
    outcome.advice = advice
  elseif #missing > 0 then
    outcome.find_out = table.concat(missing, ", ")
    outcome.advice = ("Find out and write %s."):format(outcome.find_out)
  end
  return outcome
end

-- What only spraying shows holds nobody from beginning with care.
local function not_proved(outcome, rule, lacking)
  local ways, missing = {}, {}
  for i, paths in ipairs(lacking) do
    local names = {}
    for j, path in ipairs(by_record(paths)) do
      missing[#missing + 1] = path
      names[j] = ("%s (%s)"):format(label.of(path), path)
    end
    ways[i] = table.concat(names, ", ")
  end
  outcome.verdict, outcome.missing = "caution", missing
  outcome.reason = "not proved yet: " .. rule.from_spraying
  outcome.note = "missing: " .. table.concat(ways, ", or ")
  return outcome
end

-- An explicit no is known, and stops; what the job does not say is not known.
local function confirm(rule, context, outcome)
  local ok, answer = pcall(context.read, rule.confirmed_by)
  if ok and answer == true then
    outcome.verdict, outcome.reason = "go", "confirmed"
    return outcome
  end
  if ok and answer == false then
    outcome.verdict, outcome.reason = "stop", "the job says that this is not so"
    return outcome
  end
  return not_known(outcome, { rule.confirmed_by }, "not confirmed: set " .. rule.confirmed_by .. " to true once somebody has seen it",
    rule.advice)
end

-- The same quantity shown in another's unit, so that both read alike. A difference keeps its own beside a reading.
local function shown_like(other, quantity)
  local ok, number = pcall(quantity.value, quantity, other:unit())
  return ok and imp.q(number, other:unit()) or quantity
end

-- A compute function returns a value and details, or nil and why the value is not known.
-- details: note, assumed = "what the job does not say, and is taken for granted", parts, advice, source (of this job's finding), uncertainty, caution = "why a go is only a caution", stop = "why this is a stop".
local function compute(rule, context, outcome)
  local results = context.call(rule.compute)
  local value, details = results[1], results[2]
  if type(details) == "string" then
    if value ~= nil then error("compute returns a value and a table of details, or nil and a reason", 0) end
    return not_known(outcome, type(results[3]) == "table" and results[3] or {}, details)
  end
  details = details or {}
  outcome.assumed, outcome.parts = details.assumed, details.parts or {}
  outcome.note = details.note and details.assumed and details.note .. " " .. details.assumed or details.note or details.assumed
  outcome.advice = details.advice or rule.advice
  outcome.source = details.source
  if details.stop then
    outcome.verdict, outcome.reason = "stop", details.stop
    if limits.is_value(value) then outcome.value = limits.quantity(value) end
    return outcome
  end
  if value == nil then return not_known(outcome, details.missing or {}, details.reason or "the rule could not find its value", details.advice) end
  if not limits.is_value(value) then error("compute must return a quantity", 0) end
  value = limits.quantity(value)
  outcome.value = value

  local found, problem = limits.resolve(rule, context)
  if not found then
    return not_known(outcome, problem.missing, problem.reason or "no limit is given; " .. name_missing(problem.missing))
  end
  local judged = verdict.judge(value, found, details.uncertainty)
  outcome.verdict, outcome.reason, outcome.limits = judged.verdict, judged.reason, found
  outcome.uncertainty = details.uncertainty
  if judged.side then
    local limit = judged.side.limit
    outcome.limit, outcome.limit_kind = limit.value, judged.side.kind
    outcome.value = shown_like(limit.value, value)
    outcome.margin = shown_like(limit.value, judged.side.margin)
    outcome.limit_origin, outcome.limit_path, outcome.limit_by = limit.origin, limit.path, limit.by
    outcome.limit_source, outcome.limit_practice = limit.source, limit.practice
  end
  if judged.caution then
    outcome.caution_limit, outcome.caution_origin = judged.caution.limit.value, judged.caution.limit.origin
  end
  if problem and outcome.verdict ~= "stop" then
    return not_known(outcome, problem.missing, problem.reason or "a limit is not given; " .. name_missing(problem.missing))
  end
  if details.caution and outcome.verdict == "go" then
    outcome.verdict, outcome.reason = "caution", details.caution
  end
  local loosened, figures = limits.loosened(found)
  if loosened then
    outcome.note = outcome.note and outcome.note .. " " .. figures or figures
    outcome.loosened_note = figures
    if outcome.verdict == "go" then
      outcome.verdict, outcome.reason, outcome.loosened = "caution", loosened, true
      outcome.advice = "Keep to the stricter limit, or have whoever set it agree to the job's in writing."
    end
  end
  return outcome
end

local function applies(rule, context)
  if rule.applies == nil then return true end
  local results = context.call(rule.applies)
  if type(results[1]) ~= "boolean" then error("applies must return true, or false and a reason", 0) end
  return results[1], results[2] or "the rule does not apply to this job"
end

local function judge(rule, context, stage, outcome)
  local does_apply, why_not = applies(rule, context)
  if not does_apply then
    outcome.verdict, outcome.reason = "not applicable", why_not
    return outcome
  end
  if stage == "plan" and rule.stage == "site" then
    outcome.verdict, outcome.reason = "to be read on site", rule.confirm and "to be confirmed on site" or "read on site"
    return outcome
  end
  if rule.confirm then return confirm(rule, context, outcome) end
  local missing, lacking = missing_inputs(rule, context)
  if lacking and rule.from_spraying then return not_proved(outcome, rule, lacking) end
  if #missing > 0 then return not_known(outcome, missing) end
  return compute(rule, context, outcome)
end

-- An error's sentence at the place of the rule, where the error comes from the engine's own checks.
local function placed(rule, message)
  local rest = message:match "^[^:]-engine/%w+%.lua:%d+: (.*)$"
  if not rest and message:find "^[^%s:]+:%d+: " then return message end
  return ("%s:%d: %s"):format(rule.file, rule.line, rest or message)
end

-- The rule's own advice would answer a value that nobody knows.
local correct_the_script = "Correct the script: what this rule looks after is not judged until it runs."

-- The verdict on a rule and all that belongs to it, without the rule's own texts. A rule that throws is a stop;
-- a mistaken declaration goes on to whoever called.
function evaluate.outcome(rule, stage, overlays, record)
  local context = evaluate.context(overlays, record)
  local outcome = { advice = rule.advice, parts = {} }
  local ok, message = pcall(judge, rule, context, stage, outcome)
  if not ok then
    if fault.message(message) then error(message, 0) end
    message = placed(rule, tostring(message))
    outcome = { verdict = "stop", advice = correct_the_script, parts = {}, script_error = message,
                reason = "the rule's script failed: " .. message }
  end
  return outcome, context
end

-- A job's value as an input of findings, or false; the job itself does not change between rules.
local known_inputs = {}
local function input_at(path)
  if known_inputs[path] == nil then
    known_inputs[path] = false
    local field = host.field(path)
    local ok, value = pcall(imp.path, host.job(), path)
    if field and field.kind ~= "record" and ok
       and (limits.is_value(value) or type(value) == "string" or type(value) == "boolean") then
      known_inputs[path] = { path = path, label = label.of(path), value = value, origin = host.origin(path) }
    end
  end
  return known_inputs[path]
end

local function inputs_of(rule, context)
  local inputs, seen = {}, {}
  local function add(path)
    if seen[path] then return end
    seen[path] = true
    inputs[#inputs + 1] = input_at(path) or nil
  end
  for _, path in ipairs(rule.uses or {}) do add(path) end
  for _, path in ipairs(context.reads) do add(path) end
  return inputs
end

-- The outcome with the rule's texts: what a report shows. The working, inputs and sheets, only where a report shows it.
-- The second result: the paths of all that was read of the job, records that were read whole among them.
function evaluate.finding(rule, stage, with_working)
  local finding, context = evaluate.outcome(rule, stage, nil, with_working or "reads")
  finding.id, finding.title, finding.group, finding.stage = rule.id, rule.title, rule.group, rule.stage
  finding.safety, finding.shown = rule.safety == true, rule.shown
  finding.place, finding.file, finding.line = rule.place, rule.file, rule.line
  finding.confirm, finding.phase = rule.confirm, rule.phase
  finding.note = finding.note or rule.note
  local from_limit = finding.limit_origin == "default"
  finding.practice = from_limit and finding.limit_practice or rule.practice or false
  local found_source = finding.source
  finding.source = rule.source ~= "practice" and rule.source or nil
  if from_limit and finding.limit_source then finding.source = finding.limit_source end
  finding.source = found_source or finding.source
  if finding.practice and not finding.source then finding.source = "common practice, no source" end
  finding.inputs = with_working and inputs_of(rule, context) or {}
  finding.sheets = context.sheets
  finding.missing = finding.missing or {}
  finding.levers = {}
  return finding, context.reads
end

return evaluate
