-- draw.lua: the drawing of a chart as SVG. One ink: the text colour of the page it stands in.
local axis = require "chart.axis"
local data = require "chart.data"
local escape = require "report.escape"

local draw = {}

local width, font, letter = 440, 13, 7.2 -- letter: a fair width of one letter, to place words
local left, right, foot = 54, 12, 40
local legend_row = 19

local styles = {
  { dash = nil, weight = 2, mark = "round" }, { dash = "9 5", weight = 2, mark = "square" }, { dash = "1 5", weight = 2.6, mark = "triangle" },
  { dash = "10 4 1 4", weight = 2, mark = "diamond" }, { dash = nil, weight = 1, mark = "cross" }, { dash = "4 4", weight = 1.2, mark = "open" },
}
local function style_of(series) return styles[(series.style - 1) % #styles + 1] end

-- One decimal, and no minus zero: the same data give the same bytes.
local function n(value)
  local text = string.format("%.1f", value)
  if text == "-0.0" then return "0" end
  return (text:gsub("%.0$", ""))
end

local function cut(text, most)
  text = escape.line(text)
  local length = utf8.len(text)
  if not length or length <= most then return text end
  return text:sub(1, utf8.offset(text, most) - 1) .. "\u{2026}"
end

local function words(x, y, text, anchor, more)
  return '<text x="' .. n(x) .. '" y="' .. n(y) .. '"' .. (anchor and ' text-anchor="' .. anchor .. '"' or "") .. (more or "") .. ">" .. escape.html(text) .. "</text>\n"
end

local function line(x1, y1, x2, y2, more)
  return '<path d="M' .. n(x1) .. " " .. n(y1) .. "L" .. n(x2) .. " " .. n(y2) .. '"' .. (more or "") .. "/>\n"
end

local function box(x, y, w, h, more)
  return '<rect x="' .. n(x) .. '" y="' .. n(y) .. '" width="' .. n(math.max(w, 0)) .. '" height="' .. n(math.max(h, 0)) .. '"' .. more .. "/>\n"
end

local grid = ' stroke-opacity="0.22" stroke-width="1"'

local mark_paths = {
  round = function(x, y) return '<circle cx="' .. n(x) .. '" cy="' .. n(y) .. '" r="3.2" fill="currentColor" stroke="none"/>' end,
  open = function(x, y) return '<circle cx="' .. n(x) .. '" cy="' .. n(y) .. '" r="3.2" class="hollow" stroke-width="1.5"/>' end,
  square = function(x, y) return '<path class="hollow" stroke-width="1.5" d="M' .. n(x - 3) .. " " .. n(y - 3) .. 'h6v6h-6z"/>' end,
  triangle = function(x, y) return '<path fill="currentColor" stroke="none" d="M' .. n(x) .. " " .. n(y - 4.2) .. 'l4 7h-8z"/>' end,
  diamond = function(x, y) return '<path class="hollow" stroke-width="1.5" d="M' .. n(x) .. " " .. n(y - 4.2) .. 'l4.2 4.2l-4.2 4.2l-4.2 -4.2z"/>' end,
  cross = function(x, y) return '<path stroke-width="1.5" d="M' .. n(x - 3) .. " " .. n(y - 3) .. "l6 6m0 -6l-6 6" .. '"/>' end,
}

-- A line that turns at every step of the drawing is drawn thinner, or it would fill an area.
local function stroke(style, count)
  local weight = style.weight * ((count or 0) > 400 and 0.55 or 1)
  return ' stroke-width="' .. n(weight) .. '"' .. (style.dash and ' stroke-dasharray="' .. style.dash .. '"' or "")
end

local function bar_fill(style)
  if style == 1 then return ' fill="currentColor" fill-opacity="0.72"' end
  if style == 2 then return ' fill="none" stroke-width="2"' end
  return ' fill="currentColor" fill-opacity="0.25" stroke-width="1.5" stroke-dasharray="3 2"'
end

-- Where everything lies: the legend takes as many rows as its labels need.
local function legend_places(prepared)
  local places, x, row = {}, left, 0
  if #prepared.series < 2 and not prepared.series[1] then return places, 0 end
  for i, series in ipairs(prepared.series) do
    local label = cut(series.label, 44)
    local wide = 40 + (utf8.len(label) or #label) * letter
    if x > left and x + wide > width - right then x, row = left, row + 1 end
    places[i] = { x = x, row = row, label = label }
    x = x + wide + 14
  end
  return places, row + 1
end

local function layout(prepared)
  local places, rows = legend_places(prepared)
  local event_rows = #prepared.events > 0 and 1 or 0
  local height = prepared.spec.height or 270
  local top = 24 + rows * legend_row + event_rows * 18
  local area = { x = left, y = top, w = width - left - right, h = math.max(height - top - foot, 80), legend = places, legend_top = 24 }
  area.height = area.y + area.h + (prepared.x_axis and foot or 24)
  local x_axis, y_axis = prepared.x_axis, prepared.y_axis
  function area.at_y(value) return area.y + area.h * (1 - (value - y_axis.low) / (y_axis.high - y_axis.low)) end
  if x_axis then function area.at_x(value) return area.x + area.w * (value - x_axis.low) / (x_axis.high - x_axis.low) end end
  return area
end

local function legend(prepared, area, out)
  for i, place in ipairs(area.legend) do
    local series, y = prepared.series[i], area.legend_top + place.row * legend_row + 8
    if prepared.spec.categories then
      out[#out + 1] = box(place.x, y - 6, 24, 12, bar_fill(series.style))
    else
      local style = style_of(series)
      out[#out + 1] = line(place.x, y, place.x + 30, y, stroke(style)) .. (series.marks ~= false and mark_paths[style.mark](place.x + 15, y) .. "\n" or "")
    end
    out[#out + 1] = words(place.x + 36, y + 4.5, place.label)
  end
end

local function y_scale(prepared, area, out)
  out[#out + 1] = words(4, 14, cut(axis.title(prepared.spec.y), 58))
  for _, tick in ipairs(prepared.y_axis.ticks) do
    local y = area.at_y(tick.value)
    out[#out + 1] = line(area.x, y, area.x + area.w, y, grid) .. words(area.x - 6, y + 4.5, tick.text, "end")
  end
end

local function x_scale(prepared, area, out)
  local bottom, last_end = area.y + area.h, -1e9
  for _, tick in ipairs(prepared.x_axis.ticks) do
    local x, half = area.at_x(tick.value), #tick.text * letter / 2
    out[#out + 1] = line(x, area.y, x, bottom + 4, grid)
    if x - half > last_end + 4 then -- texts never touch
      local anchor_x = math.min(x, width - half - 1)
      out[#out + 1] = words(anchor_x, bottom + 17, tick.text, "middle")
      last_end = anchor_x + half
    end
  end
  out[#out + 1] = words(area.x + area.w, bottom + 34, cut(axis.title(prepared.spec.x), 52), "end")
end

local function clamp(value, low, high) return math.max(low, math.min(high, value)) end

-- The free place for a label nearest to where it is wanted, above or below; labels are a line of letters high.
local line_height = 15
local function free_place(taken, wanted, area)
  for step = 0, 20 do
    for _, y in ipairs { wanted - step * line_height, wanted + step * line_height } do
      local is_free = y >= area.y + 10 and y <= area.y + area.h - 3
      for _, other in ipairs(taken) do is_free = is_free and math.abs(other - y) >= line_height - 1 end
      if is_free then
        taken[#taken + 1] = y
        return y
      end
    end
  end
  return wanted
end

local function windows(prepared, area, out, labels, taken)
  local edge = ' stroke-width="1" stroke-dasharray="2 3"'
  for _, window in ipairs(prepared.windows) do
    if window.axis == "y" then
      local low, high = prepared.y_axis.low, prepared.y_axis.high
      local y1, y2 = area.at_y(clamp(window.to or high, low, high)), area.at_y(clamp(window.from or low, low, high))
      out[#out + 1] = box(area.x, y1, area.w, y2 - y1, ' fill="currentColor" fill-opacity="0.09" stroke="none"')
      if window.to then out[#out + 1] = line(area.x, y1, area.x + area.w, y1, edge) end
      if window.from then out[#out + 1] = line(area.x, y2, area.x + area.w, y2, edge) end
      if window.label then
        local y = free_place(taken, math.min(y1 + 14, area.y + area.h - 4), area)
        labels[#labels + 1] = words(area.x + area.w - 4, y, cut(window.label, 40), "end", ' class="halo"')
      end
    elseif prepared.x_axis then
      local low, high = prepared.x_axis.low, prepared.x_axis.high
      local x1, x2 = area.at_x(clamp(window.from or low, low, high)), area.at_x(clamp(window.to or high, low, high))
      out[#out + 1] = box(x1, area.y, x2 - x1, area.h, ' fill="currentColor" fill-opacity="0.09" stroke="none"')
      if window.label and #window.label * letter < x2 - x1 then labels[#labels + 1] = words(x1 + 3, area.y + 13, window.label, nil, ' class="halo"') end
    end
  end
end

local function limits(prepared, area, out, taken)
  for _, limit in ipairs(prepared.limits) do
    if limit.value then
      local y = area.at_y(limit.value)
      out[#out + 1] = line(area.x, y, area.x + area.w, y, ' stroke-width="1.6" stroke-dasharray="12 4 2 4"')
      if limit.label then
        local text_y = free_place(taken, y - 5 < area.y + 8 and y + 14 or y - 5, area)
        out[#out + 1] = words(area.x + area.w - 4, text_y, cut(limit.label, 40), "end", ' class="halo"')
      end
    end
  end
end

-- Marks above the plot carry the number in the list below; marks that would touch share one: "3-7".
local function events(prepared, area, out)
  local list, i = prepared.events, 1
  while i <= #list do
    local x, last = area.at_x(list[i].at), i
    while last < #list and area.at_x(list[last + 1].at) - x < 26 do last = last + 1 end
    for k = i, last do
      local at = area.at_x(list[k].at)
      if list[k].to then out[#out + 1] = box(at, area.y - 5, math.max(area.at_x(list[k].to) - at, 1), 5, ' fill="currentColor" stroke="none"') end
      out[#out + 1] = line(at, area.y - 5, at, area.y + area.h, ' stroke-width="1" stroke-opacity="0.6"')
    end
    out[#out + 1] = words(x, area.y - 8, last > i and i .. "-" .. last or tostring(i), "middle")
    i = last + 1
  end
end

local function path_of(series, area, x, y)
  local parts, pen_down, last_y = {}, false, nil
  for i = 1, #x do
    if not y[i] then
      pen_down = false
    else
      local px, py = n(area.at_x(x[i])), n(area.at_y(y[i]))
      if not pen_down then
        parts[#parts + 1] = "M" .. px .. " " .. py
        if not y[i + 1] then parts[#parts + 1] = "h0.1" end -- a lone point shows as a dot
      elseif series.step then
        parts[#parts + 1] = "H" .. px .. (py ~= last_y and "V" .. py or "")
      else
        parts[#parts + 1] = "L" .. px .. " " .. py
      end
      pen_down, last_y = true, py
    end
  end
  return table.concat(parts)
end

local function marks(series, area, style, out)
  if series.marks == false then return end
  local count = #series.x
  local every = count <= 24 and 1 or math.ceil(count / 7)
  for i = every == 1 and 1 or math.ceil(every / 2), count, every do
    if series.y[i] then out[#out + 1] = mark_paths[style.mark](area.at_x(series.x[i]), area.at_y(series.y[i])) end
  end
  out[#out + 1] = "\n"
end

local function lines(prepared, area, out)
  for _, series in ipairs(prepared.series) do
    local style = style_of(series)
    local x, y = data.drawn(series)
    out[#out + 1] = '<path d="' .. path_of(series, area, x, y) .. '"' .. stroke(style, #x) .. "/>\n"
    marks(series, area, style, out)
  end
end

local function bars(prepared, area, out)
  local categories, bottom = prepared.spec.categories, area.y + area.h
  local slot = area.w / #categories
  local zero = area.at_y(clamp(0, prepared.y_axis.low, prepared.y_axis.high))
  local wide = slot * 0.7 / #prepared.series
  for i, name in ipairs(categories) do
    local start = area.x + slot * (i - 1) + slot * 0.15
    for j, series in ipairs(prepared.series) do
      local value = series.y[i]
      if value then
        local y = area.at_y(value)
        out[#out + 1] = box(start + (j - 1) * wide + 2, math.min(y, zero), wide - 4, math.abs(zero - y), bar_fill(series.style))
      end
    end
    out[#out + 1] = words(area.x + slot * (i - 0.5), bottom + 17, cut(name, math.max(2, math.floor(slot / letter))), "middle")
  end
end

function draw.svg(prepared)
  local area, out, spec = layout(prepared), {}, prepared.spec
  out[1] = '<svg class="chart" role="img" viewBox="0 0 ' .. width .. " " .. n(area.height) ..
    '" xmlns="http://www.w3.org/2000/svg" font-family="DejaVu Sans, Verdana, sans-serif" font-size="' .. font ..
    '" fill="currentColor">\n<title>' .. escape.html(spec.title) .. "</title>\n"
  if spec.description then out[2] = "<desc>" .. escape.html(spec.description) .. "</desc>\n" end
  out[#out + 1] = '<g fill="none" stroke="currentColor" stroke-linejoin="round" stroke-linecap="round">\n'
  local shapes = {}
  y_scale(prepared, area, shapes)
  local labels = {}
  local taken = {} -- heights at which labels stand at the right edge
  windows(prepared, area, shapes, labels, taken)
  if prepared.x_axis then x_scale(prepared, area, shapes) end
  local inside = {}
  if spec.categories then bars(prepared, area, inside) else lines(prepared, area, inside) end
  -- what lies outside fixed ends of an axis is cut off
  shapes[#shapes + 1] = '<svg x="0" y="0" width="' .. width .. '" height="' .. n(area.height) .. '">\n' .. table.concat(inside) .. "</svg>\n"
  shapes[#shapes + 1] = table.concat(labels)
  limits(prepared, area, shapes, taken)
  if prepared.x_axis then events(prepared, area, shapes) end
  shapes[#shapes + 1] = box(area.x, area.y, area.w, area.h, ' stroke-width="1"')
  legend(prepared, area, shapes)
  out[#out + 1] = (table.concat(shapes):gsub("<text ", '<text stroke="none" fill="currentColor" ')) .. "</g>\n</svg>\n"
  return table.concat(out)
end

return draw
