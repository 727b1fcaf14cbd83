-- What the pre-job report says about a finding in words, the same in every format.
local imp = require "impinge"
local display = require "report.display"

local said = {}

said.order = { "stop", "not known", "caution", "go", "to be read on site", "not applicable" }

-- "64 in order, 4 not applicable"
function said.counts(t, results)
  local parts = {}
  for _, verdict in ipairs(said.order) do
    local count = results.counts[verdict]
    if count and count > 0 then parts[#parts + 1] = t("count " .. verdict, tostring(count)) end
  end
  return table.concat(parts, ", ")
end

-- A rule's title says what should be so; in front of it stands what became of it. The second result: the title stayed in English.
local outcomes = { ["stop"] = "outcome stop", ["not known"] = "outcome not known", ["caution"] = "outcome caution" }

function said.outcome(t, finding)
  local key = outcomes[finding.verdict]
  return key and t(key) .. " " or ""
end

function said.title(t, finding)
  local title, is_english = t:title(finding)
  return said.outcome(t, finding) .. title, is_english
end

-- In the office a go or a caution holds only so far: what is read and confirmed on site is still to come.
local function so_far(results)
  local may_start = results.verdict == "go" or results.verdict == "caution"
  return results.verdict .. (results.stage == "plan" and may_start and " so far" or "")
end

-- The verdict's own word or two.
function said.verdict(t, results) return t("verdict " .. so_far(results)) end

-- What a verdict means, in a sentence, with how many findings of each kind there are.
function said.meaning(t, results) return t("meaning " .. so_far(results)) .. " " .. said.counts(t, results) .. "." end

-- The verdict once more, for the end of a text that has scrolled by: "STOP: 28 to stop, 1 not known".
function said.last(t, results)
  local parts = {}
  for _, verdict in ipairs { "stop", "not known", "caution" } do
    local count = results.counts[verdict]
    if count > 0 then parts[#parts + 1] = t("count " .. verdict, tostring(count)) end
  end
  if #parts == 0 then parts[1] = t("count go", tostring(results.counts.go)) end
  return said.verdict(t, results) .. ": " .. table.concat(parts, ", ")
end

-- Value and limit as text, told apart where they differ.
function said.value_and_limit(finding, system)
  local digits = display.apart(finding.value, finding.limit, system)
  return finding.value ~= nil and display.show(finding.value, system, digits) or nil, finding.limit ~= nil and display.show(finding.limit, system, digits) or nil
end

function said.limit_kind(t, finding)
  return finding.limit_kind == "at most" and t "at_most" or t "at_least"
end

-- Value, limit and margin in the words that the rule declares for them, nil where there is none; kind is what stands in front
-- of the limit. A value that answers a question is a yes or a no, and has neither limit nor margin. is_english: of the words.
function said.figures(t, finding, system)
  local value, limit = said.value_and_limit(finding, system)
  local made = { value = value, limit = limit, kind = limit and said.limit_kind(t, finding), margin = finding.margin ~= nil and display.show(finding.margin, system, 3) or nil }
  local shown = finding.shown
  if not shown then return made end
  local label, is_english = t:sentence(shown.value)
  made.is_english = is_english
  if shown.yes ~= nil then
    local is_yes = finding.value == (imp.is_quantity(shown.yes) and shown.yes or imp.q(shown.yes, "1"))
    return { value = value and ("%s: %s"):format(label, is_yes and t "yes" or t "no"), is_english = is_english }
  end
  made.value = value and label .. " " .. value
  if shown.limit and limit then made.kind, made.is_limit_english = t:sentence(shown.limit) end
  return made
end

-- A finding's notes, { { text, is_english, is_rules_own = true or nil }, ... }: the rule's own, what is taken for granted, which limit is loosened.
function said.notes(t, finding)
  local notes, rest = {}, finding.note
  for _, last in ipairs { finding.loosened_note or false, finding.assumed or false } do
    if last and rest and rest:sub(-#last) == last then
      table.insert(notes, 1, { t:sentence(last) })
      rest = rest:sub(1, -#last - 1):gsub(" $", "")
    end
  end
  if rest and rest ~= "" then
    table.insert(notes, 1, { t:sentence(rest) })
    notes[1].is_rules_own = true
  end
  return notes
end

-- Whether a finding in order says more than how its value comes about: an assumption, a loosened limit, a company's change.
function said.is_noted(t, finding)
  return finding.assumed ~= nil or finding.loosened_note ~= nil or #said.changes(t, finding) > 0
end

-- What the words in brackets behind limits mean, where there are any.
function said.origins(t, results)
  for _, finding in ipairs(results.findings) do
    if finding.limit_origin then return t "origins" end
  end
end

local function passing_lever(t, lever, system)
  return t(lever.only_caution and "lever_caution" or "lever", lever.label, display.show(lever.value, system))
end

-- What passes with which change: two lists of sentences, of changes that do, and of those that do not. Those that are never
-- enough are one sentence.
function said.levers(t, levers, system)
  local passing, failing, never = {}, {}, {}
  for _, lever in ipairs(levers or {}) do
    if lever.value ~= nil then
      passing[#passing + 1] = passing_lever(t, lever, system)
    elseif lever.never_enough then
      never[#never + 1] = lever.label
    else
      failing[#failing + 1] = lever.text
    end
  end
  if #never > 0 then failing[#failing + 1] = t(#never == 1 and "never_enough" or "none_enough", table.concat(never, ", ")) end
  return passing, failing
end

-- What to do, or nil. The second result: it stayed in English.
function said.advice(t, finding)
  if finding.verdict == "go" or not finding.advice then return nil end
  if finding.find_out then return t("find_out", finding.find_out), false end
  return finding.advice, t.language ~= "en"
end

-- What a company changed about a rule.
function said.changes(t, finding)
  local notes = {}
  if finding.silenced then notes[#notes + 1] = t("silenced", finding.silenced.reason, t("verdict " .. finding.silenced.would_be)) end
  if finding.tightened then notes[#notes + 1] = t("tightened", finding.tightened.by, finding.tightened.reason or t "no_reason") end
  if finding.replaced then
    notes[#notes + 1] = t("replaced", finding.replaced.by or "", finding.replaced.reason or t "no_reason", t("verdict " .. finding.replaced.would_be))
  end
  return notes
end

-- A name of the catalogue as people write it.
function said.plain(name) return (name:gsub("_", " ")) end

-- The formula with its numbers, where there are any in it.
function said.substituted(line)
  return line.substituted ~= line.formula and line.substituted or nil
end

-- Whether two figures read differently; a percent is less than anybody sees on a gauge.
function said.differ(planned, predicted)
  return (predicted / planned - 1):abs() > imp.q "1 %"
end

-- The operating point in a few lines: { { label, text }, ... }
function said.point(t, results, system)
  local point, facts = results.operating_point, {}
  if not point then return facts end
  local function add(label, value)
    if value ~= nil then facts[#facts + 1] = { label, display.show(value, system) } end
  end
  add(t "flow", point.flow)
  if results.planned_flow and said.differ(results.planned_flow, point.flow) then add(t "flow_planned", results.planned_flow) end
  add(t "governs", (t:sentence(point.governs)))
  for _, side in ipairs { "iso", "resin" } do
    add(t("pump_pressure", t(side)), point[side .. "_pump_pressure"])
    add(t("gun_pressure", t(side)), point[side .. "_gun_pressure"])
    add(t("gun_temperature", t(side)), point[side .. "_gun_temperature"])
  end
  add(t "imbalance", point.imbalance)
  add(t "mixed_temperature", point.mixed_temperature)
  add(t "drive_pressure", point.drive_pressure)
  add(t "motor_power", point.motor_power)
  return facts
end

return said
