-- data.lua: a chart's description made plain: numbers in the axes' units, the axes themselves, and the table behind it.
local axis = require "chart.axis"
local thin = require "chart.thin"

local data = {}

local plot_columns = 360 -- columns that a line is thinned to: about one a unit of the drawing's width
local most_rows = 60     -- of the table; longer data are shown by spans with lowest and highest value
local span_rows = 30

local function plain_series(spec, given, number)
  local made = { label = given.label or "", step = given.step, style = given.style or number, marks = given.marks, x = {}, y = {} }
  local points = given.points
  for i = 1, points and #points or #(given.x or {}) do
    local x = axis.number(spec.x, points and points[i][1] or given.x and given.x[i])
    local y
    if points then y = points[i][2] else y = given.y[i] end
    if x then
      made.x[#made.x + 1] = x
      made.y[#made.x] = y and axis.number(spec.y, y) or false
    end
  end
  return made
end

local function bar_series(spec, given, number)
  local made = { label = given.label or "", style = given.style or number, y = {} }
  for i = 1, #spec.categories do made.y[i] = given.values[i] and axis.number(spec.y, given.values[i]) or false end
  return made
end

local function widen(range, value)
  if not value then return end
  range.low = math.min(range.low or value, value)
  range.high = math.max(range.high or value, value)
end

local function plain_marks(spec, prepared)
  for i, window in ipairs(spec.windows or {}) do
    local along = window.axis == "x" and spec.x or spec.y
    prepared.windows[i] = { axis = window.axis or "y", label = window.label, from = axis.number(along, window.from), to = axis.number(along, window.to) }
  end
  for i, limit in ipairs(spec.limits or {}) do prepared.limits[i] = { value = axis.number(spec.y, limit.value), label = limit.label } end
  for _, event in ipairs(spec.events or {}) do
    local at = axis.number(spec.x, event.at)
    if at then prepared.events[#prepared.events + 1] = { at = at, to = axis.number(spec.x, event.to), label = event.label or "" } end
  end
  table.sort(prepared.events, function(a, b) return a.at < b.at end)
end

local function ranges(prepared)
  local x, y = {}, {}
  for _, series in ipairs(prepared.series) do
    for i = 1, #series.y do widen(y, series.y[i]) end
    if series.x then widen(x, series.x[1]) widen(x, series.x[#series.x]) end
  end
  for _, limit in ipairs(prepared.limits) do -- with room above, so that the line is not the frame's
    widen(y, limit.value)
    widen(y, limit.value and limit.value + math.abs(limit.value) * 0.02)
  end
  for _, window in ipairs(prepared.windows) do
    widen(window.axis == "y" and y or {}, window.from)
    widen(window.axis == "y" and y or {}, window.to)
  end
  return x, y
end

function data.prepare(spec, worded)
  local prepared = { spec = spec, worded = worded, series = {}, windows = {}, limits = {}, events = {} }
  for i, given in ipairs(spec.series or {}) do
    prepared.series[i] = spec.categories and bar_series(spec, given, i) or plain_series(spec, given, i)
  end
  plain_marks(spec, prepared)
  local x, y = ranges(prepared)
  prepared.x_axis = not spec.categories and axis.new(spec.x, x.low, x.high, 6) or nil
  prepared.y_axis = axis.new(spec.y, y.low, y.high, 5)
  return prepared
end

-- Points of a series for the drawing.
function data.drawn(series)
  if #series.x <= 4 * plot_columns then return series.x, series.y end
  return thin.arrays(series.x, series.y, plot_columns)
end

local function heading(label, given)
  local unit = not axis.is_time(given) and given.unit
  if unit and unit ~= "" and unit ~= "1" then return label .. ", " .. unit end
  return label
end

local function bar_rows(prepared)
  local spec, headings, rows = prepared.spec, { prepared.spec.x and prepared.spec.x.label or "" }, {}
  for _, series in ipairs(prepared.series) do headings[#headings + 1] = heading(series.label, spec.y) end
  for i, name in ipairs(spec.categories) do
    rows[i] = { name }
    for j, series in ipairs(prepared.series) do rows[i][j + 1] = axis.value_text(prepared.y_axis, series.y[i] or nil) end
  end
  return headings, rows
end

-- Every x that any series has, in order, or nil when there are too many for a table.
local function all_x(prepared)
  local seen, list = {}, {}
  for _, series in ipairs(prepared.series) do
    for _, x in ipairs(series.x) do
      if not seen[x] then
        seen[x] = true
        list[#list + 1] = x
        if #list > most_rows then return nil end
      end
    end
  end
  table.sort(list)
  return list
end

local function point_rows(prepared, list)
  local spec, headings, rows, row_of = prepared.spec, { axis.title(prepared.spec.x) }, {}, {}
  for i, x in ipairs(list) do
    rows[i] = { axis.value_text(prepared.x_axis, x) }
    row_of[x] = rows[i]
  end
  for j, series in ipairs(prepared.series) do
    headings[j + 1] = heading(series.label, spec.y)
    for _, row in ipairs(rows) do row[j + 1] = "" end
    for i, x in ipairs(series.x) do
      local row = row_of[x]
      row[j + 1] = axis.value_text(prepared.y_axis, series.y[i] or nil)
    end
  end
  return headings, rows
end

local function span_bounds(prepared)
  local low, high
  for _, series in ipairs(prepared.series) do
    if series.x[1] then
      low = math.min(low or series.x[1], series.x[1])
      high = math.max(high or series.x[#series.x], series.x[#series.x])
    end
  end
  local step = axis.step(prepared.spec.x, high - low, span_rows)
  return math.floor(low / step + 1e-9), math.floor(high / step + 1e-9), step
end

local function span_rows_of(prepared)
  local spec, worded = prepared.spec, prepared.worded
  local first, last, step = span_bounds(prepared)
  local headings, rows = { axis.title(spec.x) .. ", " .. worded(spec, "from") }, {}
  for i = first, last do rows[i - first + 1] = { axis.value_text(prepared.x_axis, i * step) } end
  for j, series in ipairs(prepared.series) do
    headings[2 * j] = heading(series.label .. ", " .. worded(spec, "lowest"), spec.y)
    headings[2 * j + 1] = heading(series.label .. ", " .. worded(spec, "highest"), spec.y)
    local spans = {}
    for i, x in ipairs(series.x) do
      local row = math.floor(x / step + 1e-9) - first + 1
      spans[row] = spans[row] or {}
      widen(spans[row], series.y[i])
    end
    for row = 1, #rows do
      local span = spans[row] or {}
      rows[row][2 * j] = axis.value_text(prepared.y_axis, span.low)
      rows[row][2 * j + 1] = axis.value_text(prepared.y_axis, span.high)
    end
  end
  return headings, rows
end

-- Headings and rows of texts.
function data.rows(prepared)
  if prepared.spec.categories then return bar_rows(prepared) end
  local list = all_x(prepared)
  if list then return point_rows(prepared, list) end
  return span_rows_of(prepared)
end

return data
