-- declarations.lua: the standard rules and what company files add, tighten, silence and replace, checked as they come.
--
-- rule {
--   id, title, group, stage = "plan" or "site" (the default), source, advice, note,
--   uses = { paths that must be given }, any_of = { { paths }, { paths } } (one set must be whole),
--   applies = function(job) return true, or false and why not,
--   compute = function(job) return a value and details; or nil, why it is not known, and the missing paths,
--     details = { parts = { { label=, value= } }, note=, assumed = "what is taken for granted" (shown also with a go), advice=, uncertainty= (of the value, expanded),
--                 caution = "why a go is only a caution", stop = "why it is a stop, whatever the value" }
--   at_least, at_most, caution_below, caution_above = a quantity, a function(job) that gives a quantity, where it comes
--     from, what is missing of it (the value may then be outside it, but never inside), and where the job's own limit is
--     looser than another, { value=, origin= } of that one (a go is then only a caution); or nil, why not, what is missing; or { from = "limits.voltage_drop" (the job's, else the material's, else the rig's) or { paths in
--     order }, default = quantity or function, source=, practice=true, needed=true (not known where it is absent, even if
--     the limit on the other end is given) },
--   from_spraying = "what the crew does to find the value", where it can only come from spraying (what any_of names): while it is
--     missing the finding is a caution, "not proved yet", never go and never not known, so that the work may begin with finding it,
--   known = true: no limit, the rule passes once its value is known,
--   lever = { paths, or { path=, whole=true, values = { sizes } or function(job),
--             least=, most= a quantity, or paths of which the strictest holds } },
--   safety = true: it can hurt; practice = true: common practice, no source,
--   confirm = "what a person has seen", confirmed_by = "confirmed.key", instead of compute and limits,
--   shown = { value = "needed", limit = "there is" }, words for reports to put before value and limit; or { value = "own source",
--     yes = a quantity }: the value answers a question, and is shown as a yes where it equals that, else as a no,
--   phase = when a person must have seen it: "before power" (the default), "power on" or "before the trigger"
-- }
-- case { rule = id, name, job = { fields of a job: all that it says }, stage, verdict, and where it matters
--   value, limit, within (of both: a quantity, or a share such as "0.1 %"), reason = "part of the sentence",
--   missing = { paths }, passes = { path = value that a lever gives } }: judged by "impinge test" alone

local common = require "engine.declared"
local fault = require "engine.fault"
local limits = require "engine.limits"
local verdict = require "engine.verdict"

local declarations = {}

local fields = {
  rule = { "id", "title", "group", "stage", "uses", "any_of", "applies", "compute", "at_least", "at_most",
           "caution_below", "caution_above", "lever", "source", "practice", "advice", "safety", "confirm",
           "confirmed_by", "known", "note", "phase", "shown", "from_spraying" },
  tighten = { "id", "at_least", "at_most", "caution_below", "caution_above", "reason" },
  silence = { "id", "reason" },
  case = { "rule", "name", "job", "stage", "verdict", "value", "limit", "within", "reason", "missing", "passes" },
}
fields.replace = table.move(fields.rule, 1, #fields.rule, 1, {})
fields.replace[#fields.replace + 1] = "reason"
declarations.fields = fields -- by word: what the list of the interface names

local fail = common.fail

local function check_text(declared, name, required)
  local text = declared[name]
  if text == nil and not required then return end
  if type(text) ~= "string" or not text:match "%S" then
    fail(declared, "%q needs %s, a text", declared.id, name)
  end
end

local function is_function(x)
  return x ~= nil and type(x) ~= "table" and type(x) ~= "string" and type(x) ~= "boolean" and not limits.is_value(x)
end

local function check_limit(declared, kind)
  local limit = declared[kind]
  if limit == nil or limits.is_value(limit) or is_function(limit) then return end
  if type(limit) ~= "table" or limit.from == nil and limit.default == nil then
    fail(declared, "%q: %s must be a quantity, a function, or a table with from and default", declared.id, kind)
  end
end

local function check_paths(declared, paths, name)
  if type(paths) ~= "table" then fail(declared, "%q: %s must be a list of paths", declared.id, name) end
  for _, path in ipairs(paths) do
    if type(path) ~= "string" then fail(declared, "%q: %s must be a list of paths", declared.id, name) end
  end
end

local function has_limit(declared)
  for _, kind in ipairs(limits.kinds) do
    if declared[kind] ~= nil then return true end
  end
  return false
end

local shown_fields = { value = "text", limit = "text", yes = "quantity" }

local function check_shown(rule)
  if rule.shown == nil then return end
  if type(rule.shown) ~= "table" or rule.shown.value == nil then fail(rule, "%q: shown must be a table with value, a text", rule.id) end
  for name, value in pairs(rule.shown) do
    local kind = shown_fields[name]
    if not kind then fail(rule, "%q: shown has value, limit and yes, but no %s", rule.id, tostring(name)) end
    local holds = kind == "text" and type(value) == "string" and value:match "%S" or kind == "quantity" and limits.is_value(value)
    if not holds then fail(rule, "%q: shown.%s must be a %s", rule.id, name, kind) end
  end
end

local phases = { ["before power"] = true, ["power on"] = true, ["before the trigger"] = true }

local function check_rule(rule)
  for _, name in ipairs { "title", "group" } do check_text(rule, name, true) end
  for _, name in ipairs { "source", "advice", "confirm", "confirmed_by", "note", "from_spraying" } do check_text(rule, name, false) end
  if rule.stage ~= "plan" and rule.stage ~= "site" then
    fail(rule, "%q: stage must be \"plan\" or \"site\"", rule.id)
  end
  for _, name in ipairs { "safety", "practice", "known" } do
    if rule[name] ~= nil and type(rule[name]) ~= "boolean" then
      fail(rule, "%q: %s must be true or false", rule.id, name)
    end
  end
  if (rule.confirm ~= nil) == (rule.compute ~= nil) then
    fail(rule, "%q needs either compute, a function, or confirm, a sentence", rule.id)
  end
  for _, name in ipairs { "compute", "applies" } do
    if rule[name] ~= nil and not is_function(rule[name]) then fail(rule, "%q: %s must be a function", rule.id, name) end
  end
  for _, kind in ipairs(limits.kinds) do check_limit(rule, kind) end
  if rule.compute ~= nil and not has_limit(rule) and not rule.known then
    fail(rule, "%q needs a limit: at_least, at_most, caution_below or caution_above (or known = true, "
      .. "where it is enough that the value is known)", rule.id)
  end
  check_shown(rule)
  if rule.phase ~= nil and not (rule.confirm ~= nil and phases[rule.phase]) then
    fail(rule, "%q: phase, of a confirm rule, must be \"before power\", \"power on\" or \"before the trigger\"", rule.id)
  end
  if rule.from_spraying ~= nil and (rule.compute == nil or rule.any_of == nil) then
    fail(rule, "%q: from_spraying goes with compute and with any_of, the ways to give the value", rule.id)
  end
  if rule.confirm ~= nil and has_limit(rule) then fail(rule, "%q: a confirm rule has no limit", rule.id) end
  check_paths(rule, rule.uses or {}, "uses")
  for _, set in ipairs(rule.any_of or {}) do check_paths(rule, set, "any_of") end
  for _, lever in ipairs(rule.lever or {}) do
    local path = type(lever) == "table" and lever.path or lever
    if type(path) ~= "string" then fail(rule, "%q: lever must be a list of paths", rule.id) end
  end
end

local function with_defaults(rule)
  rule.group = rule.group or "company"
  rule.stage = rule.stage or "site"
  if rule.confirm ~= nil and rule.confirmed_by == nil then
    rule.confirmed_by = "confirmed." .. rule.id:gsub("-", "_")
  end
  if rule.confirm ~= nil and rule.phase == nil then rule.phase = "before power" end
  if type(rule.lever) == "string" then rule.lever = { rule.lever } end
  if rule.source == "practice" then rule.practice = true end
  return rule
end

local function known_rule(book, declared)
  local rule = book.by_id[declared.id]
  if rule then return rule end
  local ids = {}
  for i, other in ipairs(book.rules) do ids[i] = other.id end
  local nearest = common.nearest(declared.id, ids)
  fail(declared, nearest and "there is no rule %q; did you mean %q?" or "there is no rule %q", declared.id, nearest)
end

local apply = {}

-- A group of a company's own is a heading of its own; one that is nearly a standard group is more likely mistyped.
local function look_at_group(book, declared)
  local groups, seen = {}, {}
  for _, rule in ipairs(book.rules) do
    if rule.standard and not seen[rule.group] then groups[#groups + 1] = rule.group end
    seen[rule.group] = true
  end
  if declared.standard or seen[declared.group] then return end
  local nearest = common.nearest(declared.group, groups)
  if nearest then
    io.stderr:write(("impinge: %s:%d: %s: %q: the group %q is new; did you mean %q?\n"):format(
      declared.file, declared.line, declared.declared, declared.id, declared.group, nearest))
  end
end

function apply.rule(book, declared)
  if book.by_id[declared.id] then
    local other = book.by_id[declared.id]
    fail(declared, "there is already a rule %q (%s:%d); use replace to change it", declared.id, other.file, other.line)
  end
  check_rule(with_defaults(declared))
  look_at_group(book, declared)
  declared.place = #book.rules + 1
  book.rules[declared.place] = declared
  book.by_id[declared.id] = declared
end

function apply.tighten(book, declared)
  local rule = known_rule(book, declared)
  if not has_limit(declared) then
    fail(declared, "%q needs a limit: at_least, at_most, caution_below or caution_above", declared.id)
  end
  if rule.confirm ~= nil then fail(declared, "%q is confirmed by a person and has no limit", declared.id) end
  for _, kind in ipairs(limits.kinds) do
    check_limit(declared, kind)
    local asked, own_limit = limits.own(declared[kind]), limits.own(rule[kind])
    if asked and own_limit then
      local ok, looser = pcall(limits.stricter, kind, own_limit, asked)
      if not ok then fail(declared, "%q: %s: %s", declared.id, kind, tostring(looser)) end
      if looser then
        fail(declared, "%q: %s %s is looser than the rule's own limit, %s; tighten can only tighten",
             declared.id, kind:gsub("_", " "), tostring(asked), tostring(own_limit))
      end
    end
  end
  rule.tightened = rule.tightened or {}
  rule.tightened[#rule.tightened + 1] = declared
end

function apply.silence(book, declared)
  local rule = known_rule(book, declared)
  common.need_reason(declared)
  rule.silenced = { reason = declared.reason, by = ("%s:%d"):format(declared.file, declared.line) }
end

-- A replacement with its own compute (or confirm) is a new rule under the old id; one without keeps the old one and
-- changes what it names. What can hurt stays marked.
function apply.replace(book, declared)
  local old = known_rule(book, declared)
  common.need_reason(declared)
  local rule = { declared = "rule", file = declared.file, line = declared.line }
  local anew = declared.compute ~= nil or declared.confirm ~= nil
  local kept = anew and { "id", "title", "group", "stage" } or fields.rule
  for _, name in ipairs(kept) do rule[name] = old[name] end
  for _, name in ipairs(fields.rule) do
    if declared[name] ~= nil then rule[name] = declared[name] end
  end
  rule.safety = old.safety or declared.safety
  rule.silenced = old.silenced
  rule.tightened = not anew and old.tightened or nil
  rule.place = old.place
  rule.declared = "replace"
  check_rule(with_defaults(rule))
  rule.replaced = { reason = declared.reason, by = ("%s:%d"):format(declared.file, declared.line), old = old }
  book.rules[rule.place] = rule
  book.by_id[rule.id] = rule
end

function apply.case(book, declared)
  if type(declared.rule) ~= "string" then fail(declared, "rule must be the id of the rule that is tried") end
  if not book.by_id[declared.rule] then fail(declared, "there is no rule %q declared before it", declared.rule) end
  if type(declared.job) ~= "table" then fail(declared, "job must be a table of a job's fields, such as { crew = 2 }") end
  if declared.stage ~= nil and declared.stage ~= "plan" and declared.stage ~= "site" then
    fail(declared, "stage must be \"plan\" or \"site\"")
  end
  if not pcall(verdict.rank, declared.verdict) then
    fail(declared, "verdict must be one of %s", table.concat(verdict.names, ", "))
  end
  for _, name in ipairs { "missing", "passes" } do
    if declared[name] ~= nil and type(declared[name]) ~= "table" then fail(declared, "%s must be a table", name) end
  end
  book.cases[#book.cases + 1] = declared
end

-- files: { { path=, standard=bool, below=folder that findings leave out of the file's name }, ... } in order. Mistakes are
-- errors that name file and line.
function declarations.read(files)
  local book = { rules = {}, by_id = {}, changes = {}, cases = {} }
  for _, file in ipairs(files) do
    local loaded, message = host.load_rules(file.path)
    if not loaded then fault.raise("%s", message) end
    for _, declared in ipairs(loaded.rules) do
      declared.standard = nil
      common.check_fields(declared, fields, "surface-clear-of-dew-point")
      declared.standard = file.standard
      if file.below then declared.file = declared.file:sub(#file.below + 1) end
      apply[declared.declared](book, declared)
      if declared.declared ~= "rule" and declared.declared ~= "case" then book.changes[#book.changes + 1] = declared end
    end
  end
  return book
end

return declarations
