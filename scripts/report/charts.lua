-- The pre-job report's charts as chart.lua wants them: state along the hoses, line currents. nil where nothing is known.
local display = require "report.display"

local charts = {}

local function chart_words(t)
  return { data = t "chart data", lowest = t "lowest", highest = t "highest", from = t "from", to = t "to" }
end

local function series(view, profiles, what)
  local made, unit, along = {}, nil, nil
  for i, side in ipairs { "iso", "resin" } do
    local points = {}
    for k, row in ipairs(profiles[side] or {}) do
      local x, x_unit = display.number(row.position, view.system)
      local y, y_unit = display.number(row[what], view.system)
      points[k], along, unit = { x, y }, x_unit, y_unit
    end
    if #points > 0 then made[#made + 1] = { label = view.t(side), points = points, style = i } end
  end
  return made, unit, along
end

local function end_of(view, window, name)
  local value = window and window[name]
  if value == nil then return nil end
  return (display.number(value, view.system))
end

local function along_hoses(view, profiles, what, window)
  local t = view.t
  local lines, unit, along = series(view, profiles, what)
  if #lines == 0 then return nil end
  local spec = {
    title = t(what .. "_chart"), description = t(what .. "_about"), series = lines, words = chart_words(t),
    x = { label = t "distance", unit = along, exact = true }, y = { label = t(what), unit = unit, decimals = 1 }, windows = {},
  }
  local low, high = end_of(view, window, "min"), end_of(view, window, "max")
  if low or high then spec.windows[1] = { from = low, to = high, label = t "window" } end
  return spec
end

function charts.pressure(view, results, window)
  return results.profiles and along_hoses(view, results.profiles, "pressure", window)
end

function charts.temperature(view, results, window)
  return results.profiles and along_hoses(view, results.profiles, "temperature", window)
end

function charts.currents(view, results)
  local currents, t = results.line_currents, view.t
  if not currents then return nil end
  local names, heating, spraying, place = {}, {}, {}, {}
  for _, list in ipairs { currents.heating, currents.spraying } do
    for _, line in ipairs(list) do
      if not place[line.line] then
        names[#names + 1] = line.line
        place[line.line] = #names
      end
    end
  end
  for _, line in ipairs(currents.heating) do heating[place[line.line]] = line.current end
  for _, line in ipairs(currents.spraying) do spraying[place[line.line]] = line.current end
  return {
    title = t "current_chart", description = t "current_about", words = chart_words(t), categories = names,
    x = { label = t "line" }, y = { label = t "current", unit = "A", from_zero = true, decimals = 2 },
    series = { { label = t "heating_up", values = heating }, { label = t "spraying", values = spraying } },
    limits = currents.breaker and { { value = currents.breaker, label = t("breaker", display.show(currents.breaker, view.system)) } } or {},
  }
end

-- All there is to draw, in the order of the report.
function charts.all(view, results)
  local job, list = host.job(), {}
  for _, made in ipairs { charts.pressure(view, results, job.material.window.pressure) or false,
                          charts.temperature(view, results, job.material.window.hose_temperature) or false,
                          charts.currents(view, results) or false } do
    if made then list[#list + 1] = made end
  end
  return list
end

return charts
