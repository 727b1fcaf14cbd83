-- Job logs as JSON: stable names, all digits, keys in a stated order.
local imp = require "impinge"
local json = require "report.json"

local function plain_series(series)
  if not series then return nil end
  local made = {}
  for name, points in imp.sorted_pairs(series) do
    local lists = { unit = points.mean:unit() }
    for _, key in ipairs { "time", "count", "mean", "min", "max" } do
      lists[key] = function() return points[key]:values() end
    end
    made[name] = lists
  end
  return made
end

local function copy(from, without)
  local to = {}
  for key, value in pairs(from) do
    if not without[key] then to[key] = value end
  end
  return to
end

local chart_columns = { centre = true, lower = true, upper = true, moving_range = true, moving_range_upper = true }

-- Years of logs make a long report: it goes to `write` piece by piece.
return function(report, write)
  local document = copy(report, { kind = true, day = true, days = true, units = true, charts = true })
  document.impinge, document.report = 1, report.kind
  document.charts = {}
  for i, chart in ipairs(report.charts) do
    local made = { figure = chart.key, signals = chart.signals }
    for name in pairs(chart_columns) do made[name] = chart[name] end
    document.charts[i] = made
  end
  local function plain_day(day)
    local made = copy(day, { series = true, zone = true, calendar = true })
    made.series = plain_series(day.series)
    return made
  end
  if report.day then document.day = plain_day(report.day) end
  if report.days then
    document.days = {}
    for i, day in ipairs(report.days) do document.days[i] = copy(plain_day(day), { series = true }) end
  end
  json.write(document, write)
end
