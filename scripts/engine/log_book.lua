-- log_book.lua: what log rules are declared: the standard ones, and what company files add, tighten, silence and replace.
--
-- event {
--   id, title, group, level = "caution" (the default), "stop" or "note", advice, source ("practice": common practice, no
--     source), criterion_text = "the criterion in words or as a formula",
--   needs = { columns that the log must have }, any_of = { { columns }, { columns } } (one set must be whole),
--   criterion = { name = quantity, or { from = path or { paths } of the job, default = quantity, source= } },
--   tighter = { name = "lower" or "higher" }: which way a figure of the criterion is stricter, for tighten,
--   compute = function(day, job, criterion)
--     return mask                                   the event is wherever the mask is 1
--     return mask, { { "label", column }, ... }     and each span carries mean, least and greatest of these
--     return { { label =, mask =, values = as above or nil }, ... }   the same event of several things
--     return nil, "why it is not known" end
--   or, for what takes more than a mask,
--   ask = function(day, job, criterion) return { name = column:later():mean(), ... } end   (or nil, why not)
--   judge = function(answers, job, criterion) return { { from =, to =, note =, values = { { label =, value = } } }, ... } end
-- }
-- fact { id, title, group, source, needs, any_of, criterion, ask, judge -> { { label =, value =, note = }, ... } }
-- tighten { id, criterion = { name = quantity }, reason }    silence { id, reason }    replace { id, reason, fields }
--
-- job is nil without --job. A rule sees the log as columns whose answers come later: see bindings/column_lua.h.

local imp = require "impinge"
local common = require "engine.declared"
local fault = require "engine.fault"

local book = {}

local fields = {
  event = { "id", "title", "group", "level", "advice", "source", "criterion_text", "needs", "any_of", "criterion", "tighter",
            "compute", "ask", "judge" },
  fact = { "id", "title", "group", "source", "criterion_text", "needs", "any_of", "criterion", "tighter", "ask", "judge", "needs_job" },
  tighten = { "id", "criterion", "reason" },
  silence = { "id", "reason" },
}
fields.event[#fields.event + 1] = "needs_job"
fields.replace = table.move(fields.event, 1, #fields.event, 1, {})
fields.replace[#fields.replace + 1] = "reason"
book.fields = fields -- by word: what the list of the interface names

local levels = { note = true, caution = true, stop = true }

local fail = common.fail

local function is_value(x) return type(x) == "number" or imp.is_quantity(x) end
book.is_value = is_value

local function is_function(x) return type(x) == "userdata" and not imp.is_quantity(x) end

local function check_names(rule, name)
  local list = rule[name]
  if list ~= nil and type(list) ~= "table" then fail(rule, "%q: %s must be a list of columns", rule.id, name) end
  for _, column in ipairs(list or {}) do
    if type(column) ~= "string" then fail(rule, "%q: %s must be a list of columns", rule.id, name) end
  end
end

local function check_criterion(rule)
  for name, value in host.sorted_pairs(rule.criterion or {}) do
    local ok = is_value(value) or type(value) == "table" and (value.from ~= nil or is_value(value.default))
    if type(name) ~= "string" or not ok then
      fail(rule, "%q: criterion %s must be a quantity, or a table with from and default", rule.id, tostring(name))
    end
  end
end

local function check(rule)
  if type(rule.title) ~= "string" then fail(rule, "%q needs title, a text", rule.id) end
  if type(rule.group) ~= "string" then fail(rule, "%q needs group, a text", rule.id) end
  if not levels[rule.level] then fail(rule, "%q: level must be \"note\", \"caution\" or \"stop\"", rule.id) end
  check_names(rule, "needs")
  for _, set in ipairs(rule.any_of or {}) do
    if type(set) ~= "table" then fail(rule, "%q: any_of must be a list of lists of columns", rule.id) end
  end
  check_criterion(rule)
  for _, name in ipairs { "compute", "ask", "judge" } do
    if rule[name] ~= nil and not is_function(rule[name]) then fail(rule, "%q: %s must be a function", rule.id, name) end
  end
  if rule.is_fact and (not rule.ask or not rule.judge) then fail(rule, "%q needs ask and judge, two functions", rule.id) end
  if not rule.is_fact and (rule.compute ~= nil) == (rule.judge ~= nil) then
    fail(rule, "%q needs either compute, or ask and judge", rule.id)
  end
end

local function known(rules, declared)
  return rules.by_id[declared.id] or fail(declared, "there is no log rule %q", declared.id)
end

local function with_defaults(rule)
  rule.group = rule.group or "company"
  rule.level = rule.level or "caution"
  rule.practice = rule.source == "practice"
  return rule
end

local apply = {}

function apply.event(rules, declared)
  local other = rules.by_id[declared.id]
  if other then
    fail(declared, "there is already a log rule %q (%s:%d); use replace to change it", declared.id, other.file, other.line)
  end
  declared.is_fact = declared.declared == "fact"
  check(with_defaults(declared))
  rules.list[#rules.list + 1] = declared
  declared.place = #rules.list
  rules.by_id[declared.id] = declared
end
apply.fact = apply.event

local function default_of(value)
  if type(value) == "table" then return value.default end
  return value
end

local function is_looser(direction, asked, held)
  if direction == "higher" then return asked < held end
  return asked > held
end

function apply.tighten(rules, declared)
  local rule = known(rules, declared)
  if type(declared.criterion) ~= "table" then fail(declared, "%q needs criterion, a table", declared.id) end
  for name, asked in host.sorted_pairs(declared.criterion) do
    local held = (rule.criterion or {})[name]
    if held == nil then fail(declared, "%q has no criterion %q", declared.id, tostring(name)) end
    if not is_value(asked) then fail(declared, "%q: %s must be a quantity", declared.id, name) end
    local direction = (rule.tighter or {})[name]
    if not direction then fail(declared, "%q: %s cannot be tightened, only replaced", declared.id, name) end
    local own_figure = default_of(held)
    if own_figure ~= nil then
      local ok, looser = pcall(is_looser, direction, asked, own_figure)
      if not ok then fail(declared, "%q: %s: %s", declared.id, name, tostring(looser)) end
      if looser then
        fail(declared, "%q: %s %s is looser than the rule's own, %s; tighten can only tighten", declared.id, name,
             tostring(asked), tostring(own_figure))
      end
    end
  end
  rule.tightened = rule.tightened or {}
  table.insert(rule.tightened, { criterion = declared.criterion, reason = declared.reason,
                                 by = ("%s:%d"):format(declared.file, declared.line) })
end

function apply.silence(rules, declared)
  common.need_reason(declared)
  known(rules, declared).silenced = { reason = declared.reason, by = ("%s:%d"):format(declared.file, declared.line) }
end

-- A replacement with functions of its own is a new rule under the old id; one without keeps what it does not name.
function apply.replace(rules, declared)
  local old = known(rules, declared)
  common.need_reason(declared)
  local rule = { declared = "replace", file = declared.file, line = declared.line, is_fact = old.is_fact }
  local anew = declared.compute ~= nil or declared.judge ~= nil
  for _, name in ipairs(anew and { "id", "title", "group", "level" } or fields.event) do rule[name] = old[name] end
  for _, name in ipairs(fields.event) do
    if declared[name] ~= nil then rule[name] = declared[name] end
  end
  rule.place, rule.silenced = old.place, old.silenced
  rule.tightened = not anew and old.tightened or nil
  check(with_defaults(rule))
  rule.replaced = { reason = declared.reason, by = ("%s:%d"):format(declared.file, declared.line) }
  rules.list[rule.place] = rule
  rules.by_id[rule.id] = rule
end

-- files: { { path =, name = } } in order.
function book.read(files)
  local rules = { list = {}, by_id = {} }
  for _, file in ipairs(files) do
    local loaded, message = host.load_rules(file.path)
    if not loaded then fault.raise("%s", message) end
    for _, declared in ipairs(loaded.rules) do
      common.check_fields(declared, fields, "off-ratio")
      declared.file = file.name or declared.file
      apply[declared.declared](rules, declared)
    end
  end
  return rules
end

-- The figures of a criterion for this job: { name = quantity }, { name = where from }; or nil, the names that are missing.
function book.criterion(rule)
  local job, found, origins, missing = host.job(), {}, {}, {}
  for name, declared in host.sorted_pairs(rule.criterion or {}) do
    local value, origin = nil, "the rule's own"
    if is_value(declared) then
      value = declared
    else
      local paths = type(declared.from) == "table" and declared.from or { declared.from }
      for _, path in ipairs(paths) do
        if job ~= nil and value == nil then
          value = imp.path(job, path)
          if value ~= nil then origin = path end
        end
      end
      if value == nil then value = declared.default end
      if value == nil then missing[#missing + 1] = paths[1] or name end
    end
    if type(value) == "number" then value = imp.q(value, "1") end
    for _, change in ipairs(rule.tightened or {}) do
      local asked = change.criterion[name]
      if asked ~= nil and (value == nil or is_looser(rule.tighter[name], value, asked)) then
        value, origin = asked, change.by
      end
    end
    found[name], origins[name] = value, origin
  end
  if #missing > 0 then return nil, missing end
  return found, origins
end

return book
