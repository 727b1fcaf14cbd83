-- limits.lua: which limit holds: the job's, else the material's, else the rig's, else the rule's own, and whatever a
-- company has tightened.

local imp = require "impinge"
local fault = require "engine.fault"

local limits = {}

limits.kinds = { "at_least", "at_most", "caution_below", "caution_above" }
local words = { at_least = "at least", at_most = "at most", caution_below = "caution below", caution_above = "caution above" }

local documents = { "", "material.", "rig." }

function limits.is_value(x)
  return type(x) == "number" or imp.is_quantity(x)
end

function limits.quantity(x)
  return type(x) == "number" and imp.q(x, "1") or x
end

local function is_lower(kind)
  return kind == "at_least" or kind == "caution_below"
end

-- a stricter than b, or looser: both false when equal
local function stricter(kind, a, b)
  if is_lower(kind) then return a > b end
  return a < b
end
limits.stricter = stricter

-- from = "limits.voltage_drop": the job's, the material's and the rig's field of that name, where they have one.
-- from = { "window.pressure.min", ... }: exactly these, in this order.
local known_paths = {}

local function from_paths(from)
  if type(from) == "table" then return from end
  if known_paths[from] then return known_paths[from] end
  local paths = {}
  for _, document in ipairs(documents) do
    if host.field(document .. from) then paths[#paths + 1] = document .. from end
  end
  if #paths == 0 then error(("no document has a field %q"):format(from), 0) end
  known_paths[from] = paths
  return paths
end
limits.from_paths = from_paths

local function document_of(path)
  return path:match "^(material)%." or path:match "^(rig)%." or "job"
end

-- The field that a path names, whichever document or record of limits it stands in.
local function field_of(path)
  return (path:gsub("^material%.", ""):gsub("^rig%.", ""):gsub("^limits%.", ""))
end

-- What a limit of the job's own is looser than: the strictest of the same field in other documents and the rule's own
-- figure; nil where it is none. A job may tighten without a word, never loosen.
local function looser_than(kind, held, paths, own, context)
  if document_of(held.path) ~= "job" then return nil end
  local strictest
  local function consider(value, origin)
    if stricter(kind, value, held.value) and not (strictest and stricter(kind, strictest.value, value)) then
      strictest = { value = value, origin = origin }
    end
  end
  for _, path in ipairs(paths) do
    local value = path ~= held.path and field_of(path) == field_of(held.path) and context.read(path) or nil
    if value ~= nil then consider(limits.quantity(value), document_of(path)) end
  end
  if own then consider(own.value, own.origin) end
  return strictest
end

-- What one declared limit amounts to: { value=, origin=, path= } or nil, { missing= } / { reason= }. A function may give
-- its limit and yet name what is missing: the true one is then at least as strict.
local function amount(declared, rule, context, kind)
  if limits.is_value(declared) then
    return { value = limits.quantity(declared), origin = rule.standard and "default" or "rule" }
  end
  if type(declared) ~= "table" then
    local results = context.call(declared)
    local value, origin = results[1], results[2]
    if value == nil then
      return nil, { reason = origin, missing = type(results[3]) == "table" and results[3] or nil, needed = true }
    end
    if not limits.is_value(value) then error("a limit must be a quantity", 0) end
    local held = { value = limits.quantity(value), origin = origin or (rule.standard and "default" or "rule"),
                   looser_than = results[4] }
    local missing = type(results[3]) == "table" and #results[3] > 0 and results[3] or nil
    return held, missing and { missing = missing, reason = "missing: " .. table.concat(missing, ", "), needed = true }
  end
  local paths = declared.from and from_paths(declared.from) or {}
  for _, path in ipairs(paths) do
    local value = context.read(path)
    if value ~= nil then
      local held = { value = limits.quantity(value), origin = document_of(path), path = path }
      local own = declared.default ~= nil and amount(declared.default, rule, context, kind) or nil
      held.looser_than = looser_than(kind, held, paths, own, context)
      return held
    end
  end
  if declared.default ~= nil then
    local found, problem = amount(declared.default, rule, context, kind)
    if found then found.practice, found.source = declared.practice, declared.source end
    return found, problem
  end
  return nil, { missing = paths, needed = declared.needed }
end

local function looser_message(kind, asked, held)
  return ("tighten: %s %s is looser than the limit that holds, %s %s (%s)"):format(
    words[kind], tostring(asked), words[kind], tostring(held.value), held.origin)
end

-- The rule's own figure, whatever the documents say: what a company's limit must not be looser than.
function limits.own(declared)
  if type(declared) == "table" then declared = declared.default end
  return limits.is_value(declared) and limits.quantity(declared) or nil
end

-- A company's limit stricter than the standard's stays in force beside a supplier's that is stricter still; one that is
-- looser than both is a mistake.
local function tightened(held, kind, rule, context)
  for _, change in ipairs(rule.tightened or {}) do
    local asked = change[kind] ~= nil and amount(change[kind], rule, context, kind)
    if asked then
      if held and stricter(kind, held.value, asked.value) then
        local own = limits.own(rule[kind])
        if not (own and not stricter(kind, own, asked.value)) then
          fault.raise("%s:%d: %s", change.file, change.line, looser_message(kind, asked.value, held))
        end
      elseif not held or stricter(kind, asked.value, held.value) then
        held = { value = asked.value, origin = "company", by = ("%s:%d"):format(change.file, change.line),
                 was = held and held.value, reason = change.reason }
      end
    end
  end
  return held
end

local owners = { material = "the material's", rig = "the rig's" }

-- Where a limit of the job's own is looser than another that would hold: why a go is only a caution, and the figures.
function limits.loosened(found)
  for _, kind in ipairs(limits.kinds) do
    local held = found[kind]
    if held and held.looser_than then
      local owner = owners[held.looser_than.origin] or "the rule's own"
      return ("the job's own limit is looser than %s"):format(owner),
             ("The job's own limit is %s %s; %s is %s %s."):format(words[kind], tostring(held.value), owner, words[kind],
                                                                 tostring(held.looser_than.value))
    end
  end
end

-- The problems of several limits as one: { missing=, reason= }.
local function together(problems)
  local missing, reason = {}, nil
  for _, problem in ipairs(problems) do
    reason = reason or problem.reason
    for _, path in ipairs(problem.missing or {}) do missing[#missing + 1] = path end
  end
  return { missing = missing, reason = reason }
end

-- All limits of a rule: { at_least = {...}, ... }, or nil, { missing= , reason= } when none of its hard limits (or of
-- its caution limits, where it has no others) is known. Where some are known and a needed one is not, or not wholly, both
-- come back: the value may be outside what is known, but never inside. A limit from documents may be absent on one end
-- (a supplier who gives no lowest) unless it is declared needed = true; one from a function never may.
function limits.resolve(rule, context)
  local found, problems, lacking = {}, {}, {}
  local hard_declared, hard_found = false, false
  for _, kind in ipairs(limits.kinds) do
    local hard = kind == "at_least" or kind == "at_most"
    local held, problem
    if rule[kind] ~= nil then
      held, problem = amount(rule[kind], rule, context, kind)
      hard_declared = hard_declared or hard
      if problem and (hard or not hard_declared) then problems[#problems + 1] = problem end
      if problem and problem.needed then lacking[#lacking + 1] = problem end
    end
    found[kind] = tightened(held, kind, rule, context)
    hard_found = hard_found or hard and found[kind] ~= nil
  end
  if hard_found or next(found) ~= nil and not hard_declared then
    return found, #lacking > 0 and together(lacking) or nil
  end
  if #problems == 0 then return found end
  return nil, together(problems)
end

return limits
