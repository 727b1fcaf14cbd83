-- Columns of logs and in memory. day_path is tests/logs/small.csv, an invented log of ten rows with a gap after 6 s.
local imp = require "impinge"
local fails = require "fails"
local q = imp.q
local function near(a, b, tolerance) return math.abs(a - b) <= (tolerance or 1e-12) * math.max(1, math.abs(b)) end

-- in memory
local c = imp.column({ 1.2, 1.3, 0 / 0, q "160 kPa" }, "bar")
assert(#c == 4 and c[1] == q "1.2 bar" and c[3] == nil and c[4]:to "bar" == "1.6 bar" and c[5] == nil)
assert(imp.is_column(c) and not imp.is_column(q "1 bar") and c:unit() == "bar")
assert(c:count() == 3 and c:min() == q "1.2 bar" and c:max() == q "1.6 bar" and near(c:sum():value "bar", 4.1))
assert(near(c:mean():value "bar", 4.1 / 3) and (c * 2)[1] == q "2.4 bar" and near((c - q "1 bar")[2]:value "bar", 0.3, 1e-9))
assert(c:above(q "1.25 bar"):count() == 2 and c:above(q "1.25 bar"):opposite():count() == 1 and c:missing():count() == 1)
assert(c:between(q "1.25 bar", q "1.6 bar"):count() == 2 and c:outside(q "1.25 bar", q "1.5 bar"):count() == 2)
assert(c:mean(c:above(q "1.25 bar")):value "bar" == 1.45)
assert((c:above(q "1.25 bar") & c:below(q "1.5 bar")):count() == 1 and (c:above(q "1.5 bar") | c:below(q "1.25 bar")):count() == 2)
assert((~c:above(q "1.25 bar")):count() == 1)
assert(c:or_else(q "1 bar")[3] == q "1 bar" and c:lesser(q "1.25 bar")[2] == q "1.25 bar" and c:greater(q "1.25 bar")[1] == q "1.25 bar")
assert(near((c ^ 2)[2]:value "bar^2", 1.69) and near((c / q "1 bar"):sqrt()[1]:value "1", math.sqrt(1.2)))
assert(c:values "kPa"[4] == 160 and c:values()[1] == 1.2 and c:values()[3] ~= c:values()[3])
assert((-imp.column { 1, -2 }):abs()[2] == q "2" and imp.column({}):mean() == nil and imp.column({}):count() == 0)
local readings = imp.column({ 14, 16 }, "degC")
assert(readings:mean() == q "15 degC" and readings:sd():unit() == "K" and (readings - q "10 degC")[1] == q "4 K")
fails(function() return readings + readings end, "two temperature readings cannot be added")
fails(function() return readings:sum() end, "do not add up")
fails(function() return c + imp.column({ 1, 2, 3, 4 }, "m") end, "cannot add a pressure and a length")
fails(function() return c + imp.column({ 1 }, "bar") end, "differ in length: 4 and 1")
fails(function() return c:above(q "1 m") end, "cannot compare")
fails(function() return c & c end, "expected a mask")
fails(function() return c:rolling(q "1 s") end, "no time")
fails(function() return c:integral() end, "no time")
fails(function() return c.nothing end, "a column has no \"nothing\"")
fails(function() return imp.column({ "x" }, "bar") end, "value 1: expected a number, got \"x\"")
fails(function() return imp.column({ 1 / 0 }, "bar") end, "value 1 is not finite")
fails(function() return c .. 1 end, "concatenate")
fails(function() return c:quantile(1.5) end, "0 to 1")
-- e-Handbook 7.2.6.2 describes quantiles by order statistics; for five values in order p = 0.25 is the second
assert(imp.column({ 5, 1, 4, 2, 3 }):quantile(0.25) == q "2" and imp.column({ 1, 2 }):quantile(0.5) == q "1.5")

-- NIST StRD, univariate summary statistics, NumAcc1 (certified: mean 10000002, standard deviation 1), from memory
local numbers = imp.column { 10000001, 10000003, 10000002 }
assert(numbers:mean() == q "10000002" and numbers:sd() == q "1")

-- NIST/SEMATECH e-Handbook 6.3.2.4, worked EWMA example: target 50, s = 2.0539, weight 0.3; data and averages from memory
local data = imp.column { 52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1 }
local ewma = imp.stats.ewma(data, { weight = 0.3, target = 50, sd = 2.0539 })
local printed = { 50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99 }
for i, value in ipairs(printed) do assert(math.abs(ewma.averages[i]:value "1" - value) <= 0.0051, i) end
assert(math.abs(ewma.upper[20]:value "1" - 52.5884) < 0.01 and math.abs(ewma.lower[20]:value "1" - 47.4115) < 0.01 and #ewma.signals == 0)

-- individuals: centre -+ 3 mean moving range / d2(2) = 1.128 (e-Handbook 6.3.2.2); 10, 12, 10, 12 have a moving range of 2
local chart = imp.stats.individuals(imp.column({ 10, 12, 0 / 0, 10, 12 }, "bar"))
assert(chart.centre == q "11 bar" and chart.moving_range == q "2 bar" and math.abs(chart.upper:value "bar" - (11 + 3 * 2 / 1.128)) < 0.0025) -- 1.128 is rounded
assert(#imp.stats.individuals(imp.column { 1, 1.1, 1, 1.1, 1, 1.1, 9, 1.1, 1, 1.1, 1, 1.1, 1, 1.1, 1, 1.1, 1 }).signals == 1)
-- a shift of 3 standard deviations signals, and the sums follow the definition
local shifted = imp.stats.cusum(imp.column { 0, 0, 0, 3, 3, 3 }, { target = 0, sd = 1, k = 0.5, h = 4 })
assert(shifted.high[4] == q "2.5" and shifted.high[5] == q "5" and shifted.first == 5 and #shifted.signals == 2)
assert(imp.stats.cusum(imp.column { 0, 0.4, -0.4, 0.4 }, { target = 0, sd = 1, k = 0.5, h = 4 }).first == nil)
fails(function() return imp.stats.individuals(imp.column { 1 }) end, "")

-- of a log
local day = imp.log.open(day_path)
assert(day:has "iso_flow" and day:has "time" and not day:has "resin_cycles" and #day:columns() == 5 and day:columns()[2].unit == "L/min")
assert(day.iso_flow:unit() == "L/min" and day.time:last() == q "22 s")
fails(function() return day.iso_flw end, "did you mean \"iso_flow\"?")
fails(function() return day.iso_flow + day.iso_pressure end, "cannot add a volume flow and a pressure")
fails(function() return day.iso_flow + imp.column({ 1 }, "L/min") end, "one column is of a log and the other is in memory")
fails(function() return #day.iso_flow end, "count()")
local ratio = day.iso_flow / day.resin_flow -- 0/0 is missing
local spraying = day.trigger:equals(1)
assert(ratio:count() == 7 and near(ratio:mean():value "1", (3 * 1.1 + 4) / 7))
-- volumes by hand: each row holds until the next; the row at 6 s and the last have no duration
assert(near(day.iso_flow:integral():value "L", (6 + 6.6 * 3 + 6 + 6 + 6) / 60))
assert(day.iso_flow:integral():unit() == "L" and near(day.iso_flow:integral(spraying):value "L", day.iso_flow:integral():value "L"))
assert(spraying:time() == q "7 s" and day.time:time() == q "8 s")
assert(near(day.iso_pressure:time_mean(spraying):value "bar", (90 + 91 + 92 + 92 + 90 + 90) / 6))
assert(day.iso_pressure:count() == 9 and day.iso_pressure:max() == q "92 bar" and day.iso_pressure:missing():count() == 1)
assert(day.iso_temperature:rate():max():value "K/s" == 20 and day.iso_temperature:change():count() == 8)
assert(day.iso_temperature:mean() == q "41.6 degC" and day.iso_temperature:first() == q "20 degC")
assert(math.abs(day.iso_pressure:quantile(0.5):value "bar" - 90) <= 90 * 0.0005)
assert(near(day.iso_flow:rolling(q "2 s"):max():value "L/min", 6.6))

-- spans: 1.1 from 2 s until the row at 5 s
local off = (ratio - 1):abs():above(0.05) & spraying
local function list(mask)
  local found = {}
  for span in mask:spans() do found[#found + 1] = span end
  return found
end
local spans = list(off)
assert(#spans == 1 and spans[1].start == q "2 s" and spans[1].finish == q "5 s" and spans[1].duration == q "3 s" and spans[1].rows == 3)
assert(near(ratio:mean(spans[1]):value "1", 1.1) and day.iso_pressure:min(spans[1]) == q "91 bar" and near(day.iso_flow:integral(spans[1]):value "L", 3 * 6.6 / 60))
assert(tostring(spans[1].from):find "2" and #list(off:lasting(q "3 s")) == 1 and #list(off:lasting(q "3.1 s")) == 0)
for span in spraying:spans(day.iso_pressure) do assert(day.iso_pressure:max(span) <= q "92 bar") end
assert(#list(spraying) == 2, "a gap parts spans")
fails(function() return spans[1].length end, "no \"length\"")

-- answers that share one pass
local asked = { day.iso_flow:later():mean(), day.iso_pressure:later():max(), spraying:later():spans(ratio), ratio:later():resample(q "5 s", spraying) }
assert(near(asked[1]:get():value "L/min", (6 * 4 + 6.6 * 3) / 10) and asked[2]:get() == q "92 bar")
local shots = asked[3]:get()
assert(#shots == 2 and shots.count == 2 and shots.total == q "7 s" and near(shots[1].values[1].mean:value "1", 5.3 / 5))
local series = asked[4]:get()
assert(#series.mean == 3 and near(series.mean[1]:value "1", 4.3 / 4) and series.time[3] == q "20 s" and series.count[3] == q "2")

-- row by row
local total, seen = 0, 0
day:rows({ "iso_flow", day.iso_pressure }, function(time, flow, pressure)
  seen, total = seen + 1, total + flow
  assert(time >= 0 and (pressure == nil) == (time == 5))
end)
assert(seen == 10 and near(total, 43.8))
seen = 0
day:rows({ "iso_flow" }, function() seen = seen + 1; return seen < 3 end)
assert(seen == 3)
fails(function() day:rows({ "iso_flow" }, function() error "mine" end) end, "mine")
assert(day.iso_pressure:max() == q "92 bar", "the log is whole after a stopped and a failed pass")

local summary = day:summary()
assert(summary.rows == 10 and summary.spraying_time == q "7 s" and summary.sprays == 2 and near(summary.iso_volume:value "L", 43.8 / 60))
assert(day:faults().rows == 10 and day:faults().found[1].key == "gap" and day:faults().found[1].lines[1].line == 9 and day:faults().missing.iso_pressure == 1)
day:close()
fails(function() return day.iso_flow end, "closed")
fails(function() return ratio:mean() end, "closed")
fails(function() return imp.log.open "/etc/passwd" end, "only files named on the command line")
fails(function() return imp.log.open(5) end, "expected a file's name, got 5")
