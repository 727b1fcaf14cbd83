-- Charts: run by `impinge run`, in the sandbox, as a script of anybody's would draw them. Ends with an error where one fails.
local axis = require "chart.axis"
local chart = require "chart"
local imp = require "impinge"
local q = imp.q

local count = 0
local function proves(sentence, holds)
  count = count + 1
  if not holds then error("not so: " .. sentence, 2) end
end

-- Eight hours at 1 Hz, with one peak of a single second and a gap of twenty minutes.
local x, y = {}, {}
for i = 0, 28799 do
  x[i + 1], y[i + 1] = 27000 + i, 95 + 8 * math.sin(i / 900) + ((i * 7919) % 13) / 4
  if i >= 9000 and i < 10200 then y[i + 1] = false end
end
y[20001] = 151.5
y[25001] = 12.25
local function day()
  return { title = "Pressure over the day", x = { label = "Time of day", kind = "clock" }, y = { label = "Pressure", unit = "bar" },
           series = { { label = "iso", x = x, y = y } }, events = { { at = 47000, label = "peak" } } }
end

local thin_x, thin_y = chart.thin(x, y, 360)
local kept, breaks = {}, 0
for i = 1, #thin_x do
  kept[thin_y[i] or "break"] = thin_x[i]
  if not thin_y[i] then breaks = breaks + 1 end
end
proves("a peak of one second in eight hours survives thinning, at its time", kept[151.5] == 27000 + 20000)
proves("so does a trough", kept[12.25] == 27000 + 25000)
proves("the first and the last point are kept", thin_x[1] == x[1] and thin_x[#thin_x] == x[#x])
proves("no column has more than four points", #thin_x - breaks <= 4 * 361)
proves("a gap of twenty minutes breaks the line once", breaks == 1)
for i = 2, #thin_x do proves("thinned points stay in order", thin_x[i] >= thin_x[i - 1]) end

local collector = chart.collector(0, 10, 5)
for i = 0, 10 do collector:add(i, i * i) end
local cx, cy = collector:points()
proves("few points pass a collector unchanged", #cx == 11 and cy[11] == 100)

local figure = chart.figure(day())
proves("eight hours at 1 Hz stay under 300 kB", #figure < 300000)
proves("the same data give the same bytes", figure == chart.figure(day()))
proves("the drawing is an image with a title", figure:find('<svg class="chart" role="img"', 1, true) and figure:find("<title>Pressure over the day</title>", 1, true))
local headings, rows = chart.rows(day())
proves("the table behind has spans with lowest and highest value", #rows >= 15 and #rows <= 40 and headings[2]:find "lowest" and headings[3] == "iso, highest, bar")
local seen = false
for _, row in ipairs(rows) do seen = seen or row[3]:find "^151%.5" ~= nil end
proves("the table shows the peak", seen)

-- Ticks
for _, span in ipairs { 1e-6, 0.037, 0.9, 1, 7, 12, 99, 1234, 5.5e8 } do
  local made = axis.new({ label = "v" }, 0, span, 5)
  local lead = made.step / 10.0 ^ math.floor(math.log(made.step, 10) + 1e-9)
  local nice = false
  for _, wanted in ipairs { 1, 2, 5, 10 } do nice = nice or math.abs(lead - wanted) < 1e-6 end
  proves("a step is 1, 2 or 5 times a power of ten: " .. made.step, nice)
  proves("the axis covers its data", made.low <= 0 and made.high >= span * (1 - 1e-9))
  local texts = {}
  for _, tick in ipairs(made.ticks) do
    proves("no two ticks read the same: " .. tick.text, not texts[tick.text])
    texts[tick.text] = true
  end
end
local hours = axis.new({ kind = "time" }, 0, 4 * 3600, 6)
proves("elapsed time steps by whole parts of an hour", hours.step == 3600 and hours.ticks[2].text == "1:00")
local short = axis.new({ kind = "time" }, 0, 50, 6)
proves("seconds are shown where they matter", short.ticks[2].text == "0:00:10")
local clock = axis.new({ kind = "clock" }, 27000, 27000 + 8 * 3600, 6)
proves("the clock shows the time of day", clock.ticks[1].text == "08:00")
-- 2031-04-17 is day 22386 after 1970-01-01 (Gregorian calendar; computed with Python 3 datetime)
local dates = axis.new({ kind = "clock" }, 22386 * 86400, 22391 * 86400, 6)
proves("days of a long log are ISO dates", dates.ticks[1].text == "2031-04-17")
local negative = axis.new({ label = "v" }, -1, 1, 5)
for _, tick in ipairs(negative.ticks) do proves("zero has no sign", tick.text ~= "-0.0" and tick.text ~= "-0") end

-- Odd data
local function drawn(series, more)
  local spec = { title = "t", x = { label = "x", unit = "m" }, y = { label = "y", unit = "bar" }, series = series }
  for key, value in pairs(more or {}) do spec[key] = value end
  return chart.figure(spec)
end
local function is_sound(text) return text:find("</figure>", 1, true) and not text:find "nan" and not text:find "inf[^o]" end
proves("no series at all draws", is_sound(drawn({})))
proves("an empty series draws", is_sound(drawn({ { label = "a", points = {} } })))
proves("one point draws", is_sound(drawn({ { label = "a", points = { { 1, 2 } } } })))
proves("a constant draws", is_sound(drawn({ { label = "a", points = { { 0, 5 }, { 1, 5 } } } })))
proves("not-a-number and infinity are missing values", is_sound(drawn({ { label = "a", points = { { 0, 5 }, { 1, 0 / 0 }, { 2, 1 / 0 }, { 3, 6 } } } })))
local units = drawn({ { label = "a", points = { { q "0 ft", q "100 psi" }, { q "10 ft", q "200 psi" } } } },
  { x = { label = "x", unit = "m", decimals = 2 }, y = { label = "y", unit = "bar", decimals = 2 } })
proves("quantities are drawn in the axis's unit", units:find("<td>13.79</td>", 1, true) and units:find("3.05", 1, true))
local hostile = '<script>"&\'\u{202E}\27'
local escaped = drawn({ { label = hostile, points = { { 0, 1 }, { 1, 2 } } } }, { title = hostile, description = hostile,
  events = { { at = 0.5, label = hostile } }, limits = { { value = 1, label = hostile } }, windows = { { from = 1, to = 2, label = hostile } } })
proves("no text breaks out", not escaped:find("<script", 1, true) and not escaped:find("\u{202E}", 1, true) and not escaped:find("\27", 1, true))
local bars = chart.figure { title = "t", y = { label = "I", unit = "A", from_zero = true }, x = { label = "line" }, categories = { "L1", "N" },
  series = { { label = "heating", values = { q "30 A", q "2 A" } } }, limits = { { value = q "50 A", label = "breaker" } } }
proves("bars are rectangles with a table", select(2, bars:gsub("<rect", "")) >= 3 and bars:find("<th scope=row>L1</th><td>30", 1, true))
local iso = drawn({ { label = "iso", points = { { 0, 1 }, { 1, 2 } } }, { label = "resin", points = { { 0, 2 }, { 1, 3 } } } })
proves("iso and resin differ by dashes, not by colour", iso:find("stroke-dasharray=\"9 5\"", 1, true) and not iso:find "#%x%x%x" and not iso:find "rgb")

-- Languages
local en, es = require "report.messages.en", require "report.messages.es"
for key, text in pairs(en.words) do
  proves("Spanish has " .. key, es.words[key])
  proves("as much is filled into " .. key, select(2, text:gsub("%%s", "")) == select(2, es.words[key]:gsub("%%s", "")))
end
for key in pairs(es.words) do proves("English has " .. key, en.words[key]) end

-- Escapes
local escape = require "report.escape"
proves("bytes that are no UTF-8 are replaced one by one", escape.html("a\xE2\x82b\xFF") == "a\u{FFFD}\u{FFFD}b\u{FFFD}")
proves("a cell that begins a formula is quoted", escape.csv("=1+1") == "'=1+1" and escape.csv("-2.5") == "-2.5" and escape.csv("-2+3") == "'-2+3")
proves("a long text is cut with an ellipsis", utf8.len(escape.cut(("\u{E9}"):rep(300), 90)) == 90)
print(count .. " of charts, languages and escapes hold")
