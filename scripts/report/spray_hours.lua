-- Spray hours: which hours of a forecast can be sprayed, with the spread to the dew point and the wind of each, and why
-- not the others.
local clock_of = require "report.log_words".clock
local display = require "report.display"
local page = require "report.page"
local said = require "report.said"
local view_of = require "report.view".of

-- "2031-04-17 07:00": nobody forecasts seconds.
local function clock(hours, seconds)
  return (clock_of(hours.clock, seconds):gsub("^(%d+%-%d+%-%d+ %d+:%d+):%d+$", "%1"))
end

local function span(t, hours, stretch)
  local from, to = clock(hours, stretch.from), clock(hours, stretch.to)
  if from:sub(1, 10) == to:sub(1, 10) and hours.clock.calendar then to = to:sub(12) end
  local text = from .. " " .. t "to" .. " " .. to
  return stretch.verdict == "caution" and t("hours_with_caution", text) or text
end

-- "Surface is clear of the dew point: 1.8 K, at least 3.0 K"
local function reason(t, outcome, system)
  local title, is_english = said.title(t, outcome)
  if outcome.value and outcome.limit then
    local limit = outcome.verdict == "caution" and outcome.caution_limit or outcome.limit
    return { text = ("%s: %s, %s %s"):format(title, display.show(outcome.value, system), said.limit_kind(t, outcome), display.show(limit, system)), english = is_english }
  end
  local sentence, sentence_is_english = t:sentence(outcome.reason)
  return { text = ("%s: %s"):format(title, sentence), english = is_english or sentence_is_english }
end

local function rows_of(t, hours, system)
  local rows = {}
  for i, hour in ipairs(hours.hours) do
    local why = {}
    for k, outcome in ipairs(hour.reasons) do why[k] = reason(t, outcome, system) end
    local unknown = t "not known"
    rows[i] = { clock(hours, hour.time), t("verdict " .. hour.verdict), hour.spread or unknown, hour.readings.wind_speed or unknown,
                hour.readings.air_temperature or unknown, hour.readings.relative_humidity or unknown, { lines = why } }
  end
  return rows
end

local function data_of(results, hours)
  local list = {}
  for i, hour in ipairs(hours.hours) do
    local reasons = {}
    for k, outcome in ipairs(hour.reasons) do
      reasons[k] = { id = outcome.id, title = outcome.title, verdict = outcome.verdict, reason = outcome.reason, value = outcome.value,
                     limit = outcome.limit, limit_kind = outcome.limit_kind, caution_limit = outcome.caution_limit }
    end
    list[i] = { time = clock(hours, hour.time), verdict = hour.verdict, dew_point = hour.dew_point, spread = hour.spread,
                readings = hour.readings, reasons = reasons }
  end
  local stretches = {}
  for i, stretch in ipairs(hours.stretches) do
    stretches[i] = { from = clock(hours, stretch.from), to = clock(hours, stretch.to), verdict = stretch.verdict }
  end
  return { job = results.job, version = results.version, verdict = hours.verdict, counts = hours.counts, forecast = hours.file, hours = list,
           stretches = stretches, rules = hours.rules, silenced = hours.silenced, surface_below_air = hours.assumed, faults = hours.faults,
           cautions = results.cautions }
end

local function notes_of(t, hours, system)
  local notes = { t "hours_exit_code" }
  if hours.assumed then notes[#notes + 1] = t("hours_assumed", display.show(hours.assumed, system)) end
  if #hours.faults > 0 then notes[#notes + 1] = t("hours_faults", table.concat(hours.faults, ", ")) end
  for _, finding in ipairs(hours.steady) do
    if finding.verdict ~= "not applicable" then
      notes[#notes + 1] = t("hours_steady", (t:title(finding)), t("verdict " .. finding.verdict), (t:sentence(finding.reason or "")))
    end
  end
  for _, rule in ipairs(hours.silenced) do notes[#notes + 1] = t("hours_silenced", rule.title, rule.by, rule.reason) end
  return notes
end

-- "9 of 30 hours can be sprayed, 2 of them with caution, first 2031-04-17 10:00": no hour's verdict is that of all.
local function head_of(t, hours)
  local all, can, only_hours = #hours.hours, hours.counts.go + hours.counts.caution, true
  for _, hour in ipairs(hours.hours) do only_hours = only_hours and hour.step == 3600 end
  local what = t(only_hours and "hours_hours" or "hours_rows")
  if can == 0 then return t("hours_none", tostring(all), what) end
  local caution = hours.counts.caution > 0 and t("hours_of_them", tostring(hours.counts.caution)) or ""
  return t("hours_some", tostring(can), tostring(all), what, caution, clock(hours, hours.stretches[1].from))
end

return function(results)
  local view, hours = view_of(results), results.hours
  local t, system = view.t, view.system
  local blocks, stretches = {}, {}
  local function add(block) blocks[#blocks + 1] = block end
  add { kind = "text", text = t "hours_note" }
  for i, stretch in ipairs(hours.stretches) do stretches[i] = span(t, hours, stretch) end
  if #stretches > 0 then
    add { kind = "heading", text = t "hours_stretches" }
    add { kind = "list", items = stretches }
  end
  add { kind = "heading", text = t "hours_each" }
  add { kind = "table", unseen = true, has_reasons = true, caption = t "hours_each", rows = rows_of(t, hours, system), columns = {
    { label = t "time" }, { label = t "verdict" }, { label = t "hours_spread" }, { label = t "hours_wind" }, { label = t "hours_air" },
    { label = t "hours_humidity" }, { label = t "hours_why" } } }
  for _, note in ipairs(notes_of(t, hours, system)) do add { kind = "text", text = note } end
  local cautions, is_english = t:cautions(results.cautions)
  add { kind = "heading", text = t "before_you_start" }
  add { kind = "list", items = cautions, english = is_english }
  return {
    report = "spray hours", title = t "spray_hours", view = view, digits = 3, verdict = hours.verdict, verdict_word = head_of(t, hours),
    verdict_text = t("hours_counts", tostring(hours.counts.go), tostring(hours.counts.caution), tostring(#hours.hours)),
    first = t:list "first_cautions", facts = page.job_facts(t, results), blocks = blocks, footer = t("footer", results.version or ""), data = data_of(results, hours),
  }
end
