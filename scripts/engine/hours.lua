-- hours.lua: which hours of a weather forecast can be sprayed. Each row's readings are laid over the job's site, and the
-- rules on the weather, the company's too, are judged as they would be on site. Readings that the job holds for one moment
-- stand for no other: what a forecast lacks is not known in any of its hours.
--
-- hours.of(book, options) returns { file =, clock = { calendar =, zone = }, rules = { { id =, title = } }, steady = { findings },
--   silenced = { rules }, assumed = difference or nil, faults = { text }, counts = { verdict = number },
--   verdict =, exit_code =, hours = { hour }, stretches = { { from =, to =, verdict = worst } } } with hour = { time = s, step = s,
--   verdict =, readings = { name = quantity }, dew_point =, spread =, reasons = { outcome with id and title } }.

local imp = require "impinge"
local evaluate = require "engine.evaluate"
local fault = require "engine.fault"
local label = require "engine.label"
local verdict = require "engine.verdict"

local hours = {}

local group, site = "weather", "site."
local most_rows, longest_gap = 1000, imp.q "366 d"
local usual_step = 3600 -- of a single row, whose length nothing tells

-- An error of the reader, without the place in our own script and with the file's name.
local function sentence_of(message, path)
  message = tostring(message):gsub("^[^%s:]+%.lua:%d+: ", "")
  return message:find(path, 1, true) and message or path .. ": " .. message
end

local function open(path)
  local ok, day = pcall(imp.log.open, path, { gap = longest_gap }) -- hours apart are no gap
  if not ok then fault.input("%s", sentence_of(day, path)) end
  return day
end

-- The columns that the job's site has as readings: { name, path, unit, low, high }.
local function readings_of(day, path)
  local found = {}
  for _, column in ipairs(day:columns()) do
    local field = host.field(site .. column.name)
    if field and field.kind == "number" then
      local ok, problem = pcall(imp.q(1, column.unit).value, imp.q(1, column.unit), field.unit)
      if not ok then fault.input("%s: %s: %s", path, column.name, (tostring(problem):gsub("^[^%s:]+%.lua:%d+: ", ""))) end
      found[#found + 1] = { name = column.name, path = site .. column.name, unit = column.unit, low = field.low, high = field.high }
    end
  end
  return found
end

-- The rules on the weather: those that need a reading which a log can hold, hour by hour; the others once.
local function split_rules(book)
  local by_hour, once, silenced = {}, {}, {}
  for _, rule in ipairs(book.rules) do
    if rule.group == group and rule.silenced then
      silenced[#silenced + 1] = rule
    elseif rule.group == group and not rule.confirm then
      local changes = false
      for _, path in ipairs(rule.uses or {}) do
        changes = changes or path:sub(1, #site) == site and host.log_column(path:sub(#site + 1))
      end
      local list = changes and by_hour or once
      list[#list + 1] = rule
    end
  end
  return by_hour, once, silenced
end

local function rows_of(day, readings, path)
  local names, rows = {}, {}
  for i, reading in ipairs(readings) do names[i] = reading.name end
  local ok, problem = pcall(day.rows, day, names, function(time, ...)
    if #rows == most_rows then error(("%s: a forecast has at most %d rows"):format(path, most_rows), 0) end
    if rows[1] and time <= rows[#rows].time then error(("%s: row %d is not later than the one before"):format(path, #rows + 1), 0) end
    local row = { time = time, readings = {} }
    for i, reading in ipairs(readings) do
      local number = (select(i, ...))
      row.readings[reading.name] = number and imp.q(number, reading.unit)
    end
    rows[#rows + 1] = row
  end)
  if not ok then fault.input("%s", sentence_of(problem, path)) end
  if #rows == 0 then fault.input("%s: holds no row that can be used", path) end
  return rows
end

-- What an hour lays over the job, and what cannot be used of it: { path = why }.
local function overlays_of(row, readings, below_air)
  local overlays, unusable = {}, {}
  local air = row.readings.air_temperature
  if below_air and air and row.readings.surface_temperature == nil then row.readings.surface_temperature = air - below_air end
  for name, value in pairs(row.readings) do overlays[site .. name] = value end
  for _, reading in ipairs(readings) do
    local value = overlays[reading.path]
    if value and (reading.low and value < reading.low or reading.high and value > reading.high) then
      overlays[reading.path] = nil
      unusable[reading.path] = ("the forecast's %s, %s, cannot be"):format(label.of(reading.path), tostring(value))
    end
  end
  return overlays, unusable
end

-- A rule on one hour: only what the forecast says of that hour counts.
local function judge(rule, overlays, unusable)
  for _, path in ipairs(rule.uses or {}) do
    if path:sub(1, #site) == site and host.log_column(path:sub(#site + 1)) and overlays[path] == nil then
      return { verdict = "not known", reason = unusable[path] or ("the forecast has no %s"):format(label.of(path)) }
    end
  end
  return (evaluate.outcome(rule, "site", overlays))
end

local function condition_of(overlays)
  local given = {}
  for _, name in ipairs { "air_temperature", "relative_humidity", "surface_temperature" } do
    given[name] = overlays[site .. name]
    if given[name] == nil then return {} end
  end
  given.humidity_over = host.job().site.humidity_over
  local ok, condition = pcall(imp.climate.surface_condition, given)
  return ok and condition or {}
end

local function hour_of(row, readings, by_hour, below_air)
  local overlays, unusable = overlays_of(row, readings, below_air)
  local condition = condition_of(overlays)
  local hour = { time = row.time, verdict = "go", readings = row.readings, reasons = {},
                 dew_point = condition.dew_point, spread = condition.spread }
  for _, rule in ipairs(by_hour) do
    local outcome = judge(rule, overlays, unusable)
    if verdict.rank(outcome.verdict) < verdict.rank(hour.verdict) then hour.verdict = outcome.verdict end
    if verdict.rank(outcome.verdict) <= verdict.rank "caution" then
      outcome.id, outcome.title, outcome.file, outcome.replaced = rule.id, rule.title, rule.file, rule.replaced
      hour.reasons[#hour.reasons + 1] = outcome
    end
  end
  return hour
end

-- A row stands until the next; the last as long as the one before it.
local function set_steps(list)
  for i, hour in ipairs(list) do
    local following = list[i + 1]
    hour.step = following and following.time - hour.time or i > 1 and list[i - 1].step or usual_step
  end
end

local function can_spray(hour) return hour.verdict == "go" or hour.verdict == "caution" end

-- Hours that follow each other. A gap in the forecast, longer than the shortest step, ends a stretch.
local function stretches_of(list)
  local stretches, least = {}, math.huge
  for _, hour in ipairs(list) do least = math.min(least, hour.step) end
  for _, hour in ipairs(list) do
    local last = stretches[#stretches]
    hour.step = math.min(hour.step, least)
    if can_spray(hour) then
      if last and last.to == hour.time then
        last.to = hour.time + hour.step
        if hour.verdict == "caution" then last.verdict = "caution" end
      else
        stretches[#stretches + 1] = { from = hour.time, to = hour.time + hour.step, verdict = hour.verdict }
      end
    end
  end
  return stretches
end

-- The best that any hour is: nobody needs all of them.
local function best_of(counts)
  for _, name in ipairs { "go", "caution", "not known", "stop" } do
    if counts[name] > 0 then return name end
  end
end

-- A difference of temperatures above nothing, or nil.
local function difference_of(text)
  local ok, difference = pcall(imp.q, text)
  local freezing = imp.q "0 degC"
  local comparable, colder = pcall(function() return ok and freezing - difference < freezing end)
  return comparable and colder and difference or nil
end

function hours.of(book, options)
  local path = options.forecast
  local day = open(path)
  local readings = readings_of(day, path)
  local by_hour, once, silenced = split_rules(book)
  local below_air
  if options.surface_below then
    below_air = difference_of(options.surface_below)
    if not below_air then
      fault.usage("--surface-below: expected a difference of temperatures such as \"2 K\", got %q", options.surface_below)
    end
  end
  local is_calendar, zone = day:clock()
  local made = { file = path, clock = { calendar = is_calendar, zone = zone }, rules = {}, steady = {}, silenced = {}, faults = {}, assumed = below_air, hours = {},
                 counts = { go = 0, caution = 0, ["not known"] = 0, stop = 0 } }
  for _, row in ipairs(rows_of(day, readings, path)) do
    local hour = hour_of(row, readings, by_hour, below_air)
    made.hours[#made.hours + 1] = hour
    made.counts[hour.verdict] = made.counts[hour.verdict] + 1
  end
  for _, found in ipairs(day:faults().found) do
    if found.key ~= "stuck" then made.faults[#made.faults + 1] = ("%d %s"):format(found.count, found.text) end -- forecasts repeat themselves
  end
  day:close()
  set_steps(made.hours)
  made.stretches = stretches_of(made.hours)
  for _, rule in ipairs(by_hour) do made.rules[#made.rules + 1] = { id = rule.id, title = rule.title } end
  for _, rule in ipairs(once) do made.steady[#made.steady + 1] = evaluate.finding(rule, "site", false) end
  for _, rule in ipairs(silenced) do
    made.silenced[#made.silenced + 1] = { id = rule.id, title = rule.title, reason = rule.silenced.reason, by = rule.silenced.by, safety = rule.safety }
  end
  made.verdict = best_of(made.counts)
  made.exit_code = verdict.exit_code(made.verdict)
  return made
end

return hours
