-- chart.lua: line, step and bar charts as inline SVG that need no colour, no script and no network.
--
--   local chart = require "chart"
--   chart.figure(spec)   HTML: <figure> with heading, drawing, list of events and, to be opened, the table of its data
--   chart.svg(spec)      the drawing alone, role=img with title and description
--   chart.rows(spec)     the data as texts: list of headings, list of rows (for a table of text, Markdown or CSV)
--   chart.thin(x, y, n)  two arrays with at most four points in each of n columns, so that no peak is lost;
--   chart.collector(low, high, n)  the same for points that come one by one: c:add(x, y), c:missing(x), x, y = c:points()
--
-- spec = {
--   title = "Pressure along the hoses", description = "one sentence for who cannot see it",
--   x = axis, y = axis,
--   series = { { label = "iso", points = { {x, y}, ... } }            a line; y nil: missing, the line breaks
--              { label = "resin", x = { ... }, y = { ... } }          the same as two arrays
--              { label = ..., step = true, style = 2, marks = false }, ... },
--   windows = { { axis = "y", from = 62, to = 105, label = "window" } },   shaded; from or to nil: open; axis "x" for spans
--   limits  = { { value = 50, label = "breaker" } },                       a line across, labelled
--   events  = { { at = x, to = x or nil, label = "trigger released" } },   numbered marks above, listed below
--   categories = { "L1", "L2" }     makes a bar chart: every series has `values`, one a category; needs no x
--   height = 260, words = { ... }   optional; words: the chart's own few words in another language
-- }
-- axis = { label = "Time", unit = "bar", kind = "number" | "time" (seconds, shown h:mm) | "clock" (seconds since midnight
--   or since 1970-01-01, shown hh:mm), low =, high =, from_zero = true, exact = true (ends where the data end),
--   decimals = 2 (of the table) }
-- Every x and y may be a number in the axis's unit or a quantity. Series differ by dashes, marks and label; style 1 is a
-- full line with round marks, 2 long dashes with squares, 3 dots with triangles, 4 dash-dot with diamonds, 5 thin full.
-- Lines of more points than the drawing can show are thinned by the same rule. Coordinates have one fixed decimal, so the
-- same data give the same bytes.
local axis = require "chart.axis"
local draw = require "chart.draw"
local data = require "chart.data"
local escape = require "report.escape"
local thin = require "chart.thin"

local chart = { thin = thin.arrays, collector = thin.collector }

local words_default = {
  data = "Figures behind this chart", lowest = "lowest", highest = "highest", from = "from", window = "window",
  limit = "limit", event = "Event", at = "at", to = "to", none = "no figures",
}

local function worded(spec, key)
  return spec.words and spec.words[key] or words_default[key]
end

function chart.svg(spec)
  return draw.svg(data.prepare(spec, worded))
end

function chart.rows(spec)
  return data.rows(data.prepare(spec, worded))
end

local function event_list(prepared)
  local items = {}
  for i, event in ipairs(prepared.events) do
    local at = axis.value_text(prepared.x_axis, event.at)
    if event.to then at = at .. " " .. worded(prepared.spec, "to") .. " " .. axis.value_text(prepared.x_axis, event.to) end
    items[i] = "<li>" .. escape.html(at .. " " .. event.label) .. "</li>"
  end
  return #items > 0 and "<ol class=events>" .. table.concat(items) .. "</ol>\n" or ""
end

local function data_table(prepared)
  local headings, rows = data.rows(prepared)
  local parts = { "<table class=data><caption>" .. escape.html(prepared.spec.title) .. "</caption><thead><tr>" }
  for _, heading in ipairs(headings) do parts[#parts + 1] = "<th scope=col>" .. escape.html(heading) .. "</th>" end
  parts[#parts + 1] = "</tr></thead><tbody>\n"
  for _, row in ipairs(rows) do
    parts[#parts + 1] = "<tr><th scope=row>" .. escape.html(row[1]) .. "</th>"
    for i = 2, #headings do parts[#parts + 1] = "<td>" .. escape.html(row[i] or "") .. "</td>" end
    parts[#parts + 1] = "</tr>\n"
  end
  parts[#parts + 1] = "</tbody></table>"
  return table.concat(parts)
end

function chart.figure(spec)
  local prepared = data.prepare(spec, worded)
  local title = escape.html(spec.title)
  return "<figure class=chart>\n<figcaption>" .. title .. "</figcaption>\n" .. draw.svg(prepared) .. event_list(prepared) ..
    "<details><summary aria-label=\"" .. escape.html(worded(spec, "data")) .. ": " .. title .. "\">" .. escape.html(worded(spec, "data")) ..
    "</summary><div class=wide tabindex=0 role=group aria-label=\"" .. title .. "\">" .. data_table(prepared) .. "</div></details>\n</figure>\n"
end

return chart
