-- results.lua: the standard rules and the company's, each judged against the job, and what that amounts to.

local imp = require "impinge"
local cautions = require "engine.cautions"
local declarations = require "engine.declarations"
local evaluate = require "engine.evaluate"
local hours = require "engine.hours"
local levers = require "engine.levers"
local limits = require "engine.limits"
local order = require "engine.order"
local verdict = require "engine.verdict"

local results = {}

-- The folder that the standard rules lie in, beside this one.
local scripts = debug.getinfo(1, "S").source:match "^@(.*)engine/results%.lua$" or ""

-- group: one of the standard rules' groups; all by default.
function results.rule_files(options, group)
  local files = { { path = scripts .. "rules/" .. (group or "standard") .. ".lua", standard = true, below = scripts } }
  for _, path in ipairs(options.rules or {}) do files[#files + 1] = { path = path } end
  return files
end

-- neighbours: the other rules, whose limits a lever must keep too; may be nil.
local function add_levers(finding, rule, stage, neighbours)
  local fails = finding.verdict == "stop" or finding.verdict == "caution"
  if fails and not finding.silenced and not finding.script_error and not finding.loosened then
    finding.levers = levers.of(rule, stage, neighbours)
  end
end

-- A replacement of a rule that can hurt is looser when its verdict is better, or a limit of the same kind is.
local function is_looser(finding, was, rule, old)
  if verdict.rank(finding.verdict) > verdict.rank(was.verdict) then return true end
  for _, kind in ipairs(limits.kinds) do
    local new_limit, old_limit = (finding.limits or {})[kind], (was.limits or {})[kind]
    if old_limit and not new_limit then return true end
    if old_limit and new_limit then
      local ok, looser = pcall(limits.stricter, kind, old_limit.value, new_limit.value)
      if not ok or looser then return true end
    end
    local ok, looser = pcall(function()
      local before, now = limits.own(old[kind]), limits.own(rule[kind])
      return before ~= nil and (now == nil and rule[kind] == nil or now ~= nil and limits.stricter(kind, before, now))
    end)
    if not ok or looser then return true end
  end
  return old.confirm ~= nil and rule.confirm == nil
end

local function note_replacement(finding, rule, stage)
  local old = rule.replaced.old
  local was = evaluate.outcome(old, stage)
  finding.replaced = { reason = rule.replaced.reason, by = rule.replaced.by, would_be = was.verdict, would_say = was.reason,
                       value = was.value, limit = was.limit, limit_kind = was.limit_kind }
  if rule.safety and is_looser(finding, was, rule, old) then
    finding.replaced.looser = true
    finding.caps = true
  end
  if old.replaced then finding.replaced.before = old.replaced.by end
end

-- The last tightening speaks for all; `changes` lists them.
local function note_tightening(finding, rule)
  if not rule.tightened then return end
  local changes = {}
  for _, change in ipairs(rule.tightened) do
    local entry = { by = ("%s:%d"):format(change.file, change.line), reason = change.reason }
    for _, kind in ipairs(limits.kinds) do
      if limits.is_value(change[kind]) then entry[kind] = change[kind] end
      local held = (finding.limits or {})[kind]
      if held and held.by == entry.by then entry.holds = true end
    end
    changes[#changes + 1] = entry
  end
  local last = changes[#changes]
  finding.tightened = { by = last.by, reason = last.reason, changes = changes }
end

local function silence(finding, rule)
  finding.silenced = { reason = rule.silenced.reason, by = rule.silenced.by, would_be = finding.verdict,
                       would_say = finding.reason }
  finding.verdict = "not applicable"
  finding.reason = "silenced: " .. rule.silenced.reason
  finding.levers = {}
  finding.caps = rule.safety or finding.caps
end

-- The finding of one rule, with what a company changed; and what the rule read.
local function judged(rule, stage, with_working)
  local finding, reads = evaluate.finding(rule, stage, with_working)
  note_tightening(finding, rule)
  if rule.replaced then note_replacement(finding, rule, stage) end
  if rule.silenced then silence(finding, rule) end
  return finding, reads
end

-- The finding of one rule by itself, with what would make it pass.
function results.judge(rule, stage, with_working)
  local finding = judged(rule, stage, with_working)
  add_levers(finding, rule, stage)
  return finding
end

-- The findings of all rules. What would make one pass is looked for once all are judged, so that it stays inside the others.
local function all_findings(book, stage, with_working)
  local findings, neighbours = {}, { said = {} }
  for i, rule in ipairs(book.rules) do
    local finding, reads = judged(rule, stage, with_working)
    findings[i], neighbours[i] = finding, { rule = rule, finding = finding, reads = reads }
  end
  for i, rule in ipairs(book.rules) do add_levers(findings[i], rule, stage, neighbours) end
  return findings
end

local function job_of(job)
  return { name = job.name, date = job.date, note = job.note, currency = job.currency, display_units = job.display_units,
           rig = job.rig.name, material = job.material.name }
end

-- Plain text and tables of cells have no room for how a finding was worked out, unless it is asked for.
local without_working = { text = true, csv = true, markdown = true }

local function shows_working(options)
  return options.report_file ~= nil or options.with == "sheets" or not without_working[options.format or "text"]
end

-- All findings and what they amount to: the table that reports take.
function results.of(options)
  local stage, job = options.stage or "site", host.job()
  local book = declarations.read(results.rule_files(options))
  local findings = all_findings(book, stage, shows_working(options))
  local groups = order.groups(findings)
  order.sort(findings)
  local overall, counts, capped = verdict.overall(findings)
  return {
    kind = "pre-job check", version = imp.version, stage = stage, verdict = overall,
    exit_code = verdict.exit_code(overall), counts = counts, capped = capped, job = job_of(job),
    findings = findings, groups = groups, cautions = cautions, hours = options.forecast and hours.of(book, options) or nil,
    units = options.units or job.display_units,
  }
end

return results
