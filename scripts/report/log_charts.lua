-- The day report's charts as chart.lua wants them. nil where the log has nothing to draw.
local display = require "report.display"

local charts = {}

local function display_quantity(value, system) return (display.number(value, system)) end

-- Points of one series in display units; a stretch without any is a gap.
local function points_of(day, series, system)
  local points, unit, zone = {}, nil, day.calendar and day.zone:value "s" or 0
  local period = day.period:value "s"
  local times, before = series.time:values "s", nil
  for i, time in ipairs(times) do
    local value = series.mean[i]
    if value then
      local y
      y, unit = display.number(value, system)
      if before and time - before > 1.5 * period then points[#points + 1] = { before + period + zone, nil } end
      points[#points + 1] = { time + zone + period / 2, y }
      before = time
    end
  end
  return points, unit
end

local most_marks = 30

-- Events as marks: what matters of these groups, and the drum changes.
local function marks(day, groups)
  local list, zone = {}, day.calendar and day.zone:value "s" or 0
  for _, event in ipairs(day.events) do
    local is_shown = event.status == "found" and (event.level ~= "note" and groups[event.group] or event.id == "drum-change")
    for _, span in ipairs(is_shown and event.spans or {}) do
      if span.start and #list < most_marks then
        list[#list + 1] = { at = span.start:value "s" + zone, to = span.finish and span.finish > span.start and span.finish:value "s" + zone or nil,
                            label = event.title .. (span.label and " (" .. span.label .. ")" or "") }
      end
    end
  end
  table.sort(list, function(a, b) return a.at < b.at or a.at == b.at and a.label < b.label end)
  return list
end

local function window_of(day, columns, system)
  for _, window in ipairs(day.summary.windows) do
    for _, name in ipairs(columns) do
      if window.column == name then
        return { { from = window.low and display_quantity(window.low, system), to = window.high and display_quantity(window.high, system), label = "window" } }
      end
    end
  end
  return {}
end

local function figure(day, system, spec)
  local lines, unit = {}, nil
  for i, entry in ipairs(spec.lines) do
    local series = day.series[entry[1]]
    if series and #series.time > 0 then
      local points, its_unit = points_of(day, series, system)
      unit = unit or its_unit
      lines[#lines + 1] = { label = entry[2], points = points, style = i, marks = false }
    end
  end
  if #lines == 0 then return nil end
  return {
    title = spec.title, description = spec.title .. " over the day, means over " .. day.period:to "min" .. "; events are numbered and listed.",
    x = { label = "Time", kind = day.calendar and "clock" or "time", exact = true },
    y = { label = spec.label, unit = unit, decimals = spec.decimals or 1, from_zero = spec.from_zero },
    series = lines, windows = spec.windows or window_of(day, spec.columns or {}, system), events = marks(day, spec.groups), limits = spec.limits,
  }
end

function charts.all(day, system)
  local list = {}
  local function add(spec) list[#list + 1] = figure(day, system, spec) end
  add { title = "Pressures while spraying", groups = { pressure = true, feed = true }, label = "Pressure", columns = { "iso_gun_pressure", "iso_pressure" },
        lines = { { "iso_pressure", "iso" }, { "resin_pressure", "resin" }, { "iso_gun_pressure", "iso at the gun" }, { "resin_gun_pressure", "resin at the gun" } } }
  add { title = "Temperatures at the heaters", groups = { temperature = true }, label = "Temperature", columns = { "iso_temperature" },
        lines = { { "iso_temperature", "iso" }, { "resin_temperature", "resin" } } }
  add { title = "Temperatures of the hoses", groups = { temperature = true }, label = "Temperature", columns = { "iso_hose_temperature", "hose_temperature" },
        lines = { { "iso_hose_temperature", "iso hose" }, { "resin_hose_temperature", "resin hose" }, { "hose_temperature", "hose" } } }
  local ratio, windows = nil, {}
  for _, event in ipairs(day.events) do
    if event.id == "off-ratio" then ratio = event end
  end
  if ratio then
    local found = {}
    for _, entry in ipairs(ratio.criterion) do found[entry.name] = entry.value end
    if found.nominal and found.tolerance then
      windows[1] = { from = (found.nominal * (1 - found.tolerance)):value "1", to = (found.nominal * (1 + found.tolerance)):value "1", label = "tolerance" }
    end
  end
  add { title = "Ratio, iso over resin by volume", groups = { ratio = true, company = true }, label = "Ratio", decimals = 3, windows = windows, lines = { { "ratio", "mean over 60 s" } } }
  add { title = "Flows while spraying", groups = { feed = true }, label = "Flow", decimals = 2, from_zero = true, lines = { { "iso_flow", "iso" }, { "resin_flow", "resin" } } }
  return list
end

return charts
