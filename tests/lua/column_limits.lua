-- A log holds 4096 column expressions, and no more. Whatever is asked of one that is nearly full either fits, or is refused
-- with one sentence, and from the first free place on at which it fits, it always does. day_path is tests/logs/small.csv.
local imp = require "impinge"
local fails = require "fails"
local q = imp.q

-- Negate a column until there is no room, or `most` times; how often that went.
local function fill(column, most)
  for times = 0, most - 1 do
    local ok, message = pcall(function() column = -column end)
    if not ok then
      assert(message:find("more than 4096 column expressions", 1, true), message)
      return times
    end
  end
  return most
end

local function first_span(day)
  for span in day.trigger:equals(1):spans() do return span end
end

local counting = imp.log.open(day_path)
first_span(counting)
local room = fill(counting.iso_flow, 5000)
counting:close()

-- Ask a log with so many free places; whether it fits.
local function fits(free, ask)
  local day = imp.log.open(day_path)
  local span = first_span(day)
  assert(fill(day.iso_flow, room - free) == room - free)
  for i, each in ipairs(ask) do
    local ok, message = pcall(each, day, span)
    assert(ok or message:find("more than 4096 column expressions", 1, true), message)
    ask[each] = ok
  end
  day:close()
  return ask[ask[1]]
end

local questions = {
  function(day) return day.iso_pressure:above(q "1 bar") end,
  function(day) return q "1 L/min" + day.iso_flow end,
  function(day) return day.iso_flow + day.resin_flow end,
  function(day) return day.iso_flow:between(q "1 L/min", q "6.3 L/min") end,
  function(day) return day.iso_pressure:rolling(q "5 s") end,
  function(day) return day.iso_pressure:missing() end,
  function(day) return day:spraying():count() end,
  function(day) return day.iso_pressure:mean() end,
  function(day, span) return day.iso_flow:quantile(0.5, span) end,
  function(day) return day.iso_pressure:resample(q "5 s", day.trigger:equals(1)) end,
  function(day) return day.trigger:equals(0):spans(day.iso_pressure) end,
  function(day) day:rows({ "iso_pressure" }, function() end) end,
}
fits(0, questions)
for i, ask in ipairs(questions) do assert(questions[ask] == false, "question " .. i .. " needs no room") end
fits(256, questions)
for i, ask in ipairs(questions) do assert(questions[ask] == true, "question " .. i .. " does not fit") end
local function summary(day) return day:summary().spraying_time end
assert(not fits(0, { summary }) and fits(256, { summary }))
fits(1, { questions[1], questions[4] })

-- the rows of a span are a mask of six expressions
local fitted = false
for free = 1, 7 do
  local now = fits(free, { questions[9] })
  assert(now or not fitted, "fits with less room and not with more")
  fitted = now
end
assert(fitted)

-- A series takes rows of its own log alone, as every reduction does.
local one, other = imp.log.open(day_path), imp.log.open(day_path)
local memory = imp.column({ 1, 2 }, "bar")
fails(function() return one.iso_flow:resample(q "5 s", other.trigger:equals(1)) end, "resample: the mask is not of the same log")
fails(function() return one.iso_flow:resample(q "5 s", memory:above(q "1 bar")) end, "resample: the mask is not of the same log")
fails(function() return one.iso_flow:resample(q "5 s", 5) end, "resample: expected a mask or a span, got 5")

-- What is asked later comes with get(), once or more often; a closed log has no answers.
local later = one.iso_flow:later():mean(one.trigger:equals(1))
assert(later:get() == later:get() and later:get() == one.iso_flow:mean(one.trigger:equals(1)))
fails(function() return later.get(5) end, "get: expected an answer before the colon")
one:close()
fails(function() return later:get() end, "closed")
fails(function() return one.iso_flow end, "closed")

-- A log in degF and gallons keeps them: differences of readings are no readings, and what flows adds up to gallons.
local us = imp.log.open(us_path)
assert(us.iso_flow:integral():unit() == "gal" and us.resin_flow:trapezoid():unit() == "gal")
assert(math.abs(us.iso_flow:integral():value "gal" - 2) < 1e-12 and us.iso_temperature:mean() == q "70 degF")
local unit = (q "70 degF" - q "60 degF"):unit()
local function is_difference(found) assert(found:unit() == unit and math.abs(found:value(unit) - 10) < 1e-9, tostring(found)) end
is_difference(us.iso_temperature:sd())
is_difference(us.iso_temperature:change():max())
is_difference((us.iso_temperature - us.resin_temperature):max())
is_difference(imp.column({ 60, 70, 80 }, "degF"):sd())
is_difference(imp.stats.individuals(imp.column({ 60, 70, 60, 70 }, "degF")).moving_range)
us:close()
