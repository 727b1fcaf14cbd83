-- log_day.lua: one job log: what is asked of it, and what the answers amount to.

local imp = require "impinge"
local book = require "engine.log_book"
local fault = require "engine.fault"

local log_day = {}

local q = imp.q

-- Which columns each window of the material is about. The pressure is what counts at the gun, where that is logged.
local windows = {
  { "iso_temperature", "iso_temperature" }, { "resin_temperature", "resin_temperature" },
  { "hose_temperature", "iso_hose_temperature" }, { "hose_temperature", "resin_hose_temperature" },
  { "hose_temperature", "hose_temperature" }, { "pressure", "iso_gun_pressure", "iso_pressure" },
  { "pressure", "resin_gun_pressure", "resin_pressure" }, { "air_temperature", "air_temperature" },
  { "surface_temperature", "surface_temperature" }, { "relative_humidity", "relative_humidity" }, { "wind_speed", "wind_speed" },
}

local function of_job(path)
  local job = host.job()
  return job and imp.path(job, path)
end

-- The options of the standard summary that the job knows.
local function summary_options(day)
  local options = {
    iso_displacement = of_job "rig.pumps.iso.displacement", resin_displacement = of_job "rig.pumps.resin.displacement",
    iso_density = of_job "material.iso.density", resin_density = of_job "material.resin.density",
    nominal_ratio = of_job "material.volume_ratio", ratio_tolerance = of_job "material.ratio_tolerance", windows = {},
  }
  for _, window in ipairs(windows) do
    local low, high = of_job("material.window." .. window[1] .. ".min"), of_job("material.window." .. window[1] .. ".max")
    local column = day:has(window[2]) and window[2] or window[3] and day:has(window[3]) and window[3]
    if column and (low or high) then options.windows[#options.windows + 1] = { column = column, low = low, high = high } end
  end
  return options
end

-- What the charts show, where the log has it.
local function ask_series(day, period, spraying)
  local asked = {}
  local function add(name, column, mask) asked[name] = column:later():resample(period, mask) end
  for _, name in ipairs { "iso_temperature", "resin_temperature", "iso_hose_temperature", "resin_hose_temperature", "hose_temperature" } do
    if day:has(name) then add(name, day[name]) end
  end
  for _, name in ipairs { "iso_pressure", "resin_pressure", "iso_gun_pressure", "resin_gun_pressure", "iso_flow", "resin_flow" } do
    if day:has(name) and spraying then add(name, day[name], spraying) end
  end
  if day:has "iso_flow" and day:has "resin_flow" and spraying then
    add("ratio", day.iso_flow:where(spraying):rolling(q "60 s") / day.resin_flow:where(spraying):rolling(q "60 s"), spraying)
  end
  if spraying then
    asked.trigger = (spraying:later()):resample(period)
  end
  return asked
end

local function missing_columns(day, rule)
  local missing = {}
  for _, name in ipairs(rule.needs or {}) do
    if not day:has(name) then missing[#missing + 1] = name end
  end
  local fewest
  for _, set in ipairs(rule.any_of or {}) do
    local lacks = {}
    for _, name in ipairs(set) do
      if not day:has(name) then lacks[#lacks + 1] = name end
    end
    if not fewest or #lacks < #fewest then fewest = lacks end
  end
  for _, name in ipairs(fewest or {}) do missing[#missing + 1] = name end
  return missing
end

local function not_known(asked, reason, ...)
  asked.status, asked.reason = "not known", reason:format(...)
  return asked
end

local function failed(asked, message)
  asked.status, asked.reason, asked.script_error = "failed", "the rule's script failed: " .. message, message
  return asked
end

-- Put one rule's questions to the day.
local function ask_rule(day, rule)
  local asked = { rule = rule, sheets = {} }
  local missing = missing_columns(day, rule)
  if #missing > 0 then return not_known(asked, "the log has no %s", table.concat(missing, ", ")) end
  if rule.needs_job and not host.job() then return not_known(asked, "no job was given (--job)") end
  local criterion, origins = book.criterion(rule)
  if not criterion then return not_known(asked, "the job does not say %s", table.concat(origins, ", ")) end
  asked.criterion, asked.origins = criterion, origins
  local ok, results, info = host.log_ask(day, rule.compute or rule.ask, criterion)
  if not ok then
    if info and info.limit then fault.raise("%s", results) end
    return failed(asked, results)
  end
  if results[1] == nil then return not_known(asked, "%s", tostring(results[2] or "the rule does not say why")) end
  asked.question = results[1]
  return asked
end

-- Everything that is asked of a day. hosted: a day of host.log_open or host.log_bind.
function log_day.ask(hosted, rules, period)
  host.log_summary(hosted, summary_options(hosted), period:value "s")
  local day = { hosted = hosted, rules = {}, period = period }
  day.spraying = hosted:spraying()
  day.series = ask_series(hosted, period, day.spraying)
  for _, rule in ipairs(rules.list) do day.rules[#day.rules + 1] = ask_rule(hosted, rule) end
  return day
end

local most_listed = 100

-- Answers in place of { answer = number }. most: spans of a list.
local function answered(hosted, question, most)
  if type(question) ~= "table" then return question end
  if question.answer then
    local value = host.log_answer(hosted, question.answer, most)
    if type(value) == "table" and question.labels then value.labels = question.labels end
    return value
  end
  local copy = {}
  for key, value in host.sorted_pairs(question) do copy[key] = answered(hosted, value, most) end
  return copy
end

local function values_of(spans, span)
  local values = {}
  for i, label in ipairs(spans.labels or {}) do
    local value = span.values[i]
    if value and value.mean then
      values[#values + 1] = { label = label, value = value.mean, low = value.min, high = value.max }
    end
  end
  return values
end

-- The spans of one mask, as events: the first of them, and how many there are.
local function add_spans(event, spans, label)
  for _, span in ipairs(spans) do
    if #event.spans < most_listed then
      event.spans[#event.spans + 1] = { from = span.from, to = span.to, start = span.start, finish = span.finish,
                                        duration = span.duration, label = label, values = values_of(spans, span) }
    end
  end
  event.count = event.count + spans.count
  event.time = event.time and event.time + spans.total or spans.total
end

local function take_spans(event, answers)
  if answers.count then
    add_spans(event, answers)
  else
    for _, part in ipairs(answers) do add_spans(event, part.mask, part.label) end
  end
end

local function take_judged(event, list)
  for _, found in ipairs(list) do
    event.count = event.count + 1
    if #event.spans < most_listed then
      event.spans[#event.spans + 1] = { from = found.from, to = found.to, start = found.start, finish = found.finish,
                                        duration = found.duration, label = found.label, note = found.note, values = found.values or {} }
    end
  end
end

-- series carry plain numbers; the rules' states make columns of them
local function judge(asked, hosted)
  local rule = asked.rule
  local answers = answered(hosted, asked.question, rule.compute and most_listed or nil)
  if rule.compute then return nil, answers end
  local ok, results, info = host.log_invoke(rule.judge, answers, asked.criterion)
  if not ok then
    failed(asked, results)
    return nil
  end
  asked.sheets = info and info.sheets or {}
  if results[1] == nil then
    not_known(asked, "%s", tostring(results[2] or "the rule does not say why"))
    return nil
  end
  return results[1]
end

local function criterion_list(asked)
  local list = {}
  for name, value in host.sorted_pairs(asked.criterion or {}) do
    list[#list + 1] = { name = (name:gsub("_", " ")), value = value, from = asked.origins[name] }
  end
  return list
end

local function common(asked)
  local rule = asked.rule
  return { id = rule.id, title = rule.title, group = rule.group, place = rule.place, criterion = criterion_list(asked),
           criterion_text = rule.criterion_text, source = rule.source ~= "practice" and rule.source or nil,
           practice = rule.practice or nil, tightened = rule.tightened, replaced = rule.replaced, silenced = rule.silenced,
           sheets = asked.sheets, reason = asked.reason }
end

local function finish_event(asked, hosted)
  local event = common(asked)
  event.level, event.advice, event.spans, event.count = asked.rule.level, asked.rule.advice, {}, 0
  if not asked.status then
    local judged, answers = judge(asked, hosted)
    if answers then take_spans(event, answers) elseif judged then take_judged(event, judged) end
    event.reason = asked.reason
    event.sheets = asked.sheets
  end
  event.status = asked.status or (event.count > 0 and "found" or "none")
  if event.status == "failed" then event.level = "stop" end
  if event.silenced then event.status, event.would_be = "silenced", event.status end
  return event
end

local function finish_fact(asked, hosted)
  local fact = common(asked)
  if not asked.status then
    fact.values = judge(asked, hosted)
    fact.reason, fact.sheets = asked.reason, asked.sheets
  end
  fact.status = asked.status or "known"
  if fact.silenced then fact.status, fact.values = "silenced", nil end
  return fact
end

local rank = { stop = 3, caution = 2, note = 1 }

local function before(a, b)
  if rank[a.level] ~= rank[b.level] then return rank[a.level] > rank[b.level] end
  return a.place < b.place
end

-- What the day amounts to, once it has been run: the table that reports take.
function log_day.finish(day, name)
  local hosted = day.hosted
  local result = { file = name, events = {}, facts = {}, not_known = {}, series = {}, counts = { stop = 0, caution = 0, note = 0 } }
  result.summary = hosted:summary()
  result.faults = result.summary.faults
  result.calendar, result.zone = hosted:clock()
  result.period = day.period
  for key, answer in host.sorted_pairs(day.series) do result.series[key] = answer:get() end
  for _, asked in ipairs(day.rules) do
    if collectgarbage "count" > 1500 then collectgarbage() end -- answers of a long log
    if asked.rule.is_fact then
      result.facts[#result.facts + 1] = finish_fact(asked, hosted)
    else
      local event = finish_event(asked, hosted)
      if event.status == "found" or event.status == "failed" then
        result.counts[event.level] = result.counts[event.level] + 1
      end
      result.events[#result.events + 1] = event
      if event.id == "off-ratio" then result.off_ratio_time = event.time end
    end
  end
  table.sort(result.events, before)
  result.verdict = result.counts.stop > 0 and "stop" or result.counts.caution > 0 and "caution" or "go"
  result.not_known = nil
  return result
end

return log_day
