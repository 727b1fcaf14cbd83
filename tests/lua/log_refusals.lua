-- What logs, columns and their charts refuse, each with its sentence, and the edges beside it. day_path is tests/logs/small.csv;
-- plain_path (a log that does not tell when it sprays), mapping_path and wrong_mapping_path are made by the test. All invented.
local imp = require "impinge"
local fails = require "fails"
local q = imp.q
local function near(a, b) return math.abs(a - b) <= 1e-12 * math.max(1, math.abs(b)) end

-- opening
fails(function() return imp.log.open(day_path, 5) end, 'open: expected options such as { gap = q "10 s" }')
fails(function() return imp.log.open(day_path, { gap = 5 }) end, "gap: expected a time such as")
fails(function() return imp.log.open(day_path, { gap = q "5 m" }) end, "gap: expected a time such as")
fails(function() return imp.log.open(day_path, { gap = q "-1 s" }) end, "expected a time above 0 s")
fails(function() return imp.log.open(day_path, { columns = "/nowhere/mapping.json" }) end, "only files named on the command line")
fails(function() return imp.log.open(day_path, { columns = wrong_mapping_path }) end, wrong_mapping_path)
fails(function() return imp.log.open(missing_path) end, missing_path)
fails(function() return imp.log.open() end, "expected a file's name, got")
assert(imp.log.open(plain_path, { columns = mapping_path }):has "iso_flow", "the mapping names the column \"f\"")
assert(imp.log.open(plain_path, { columns = 5 }):has "f", "no text: no mapping")

-- methods want their log
local day = imp.log.open(day_path)
local methods = { "column", "columns", "has", "spraying", "summary", "faults", "rows", "clock", "period" }
for _, name in ipairs(methods) do
  fails(function() return day[name](5, "iso_flow") end, name .. ": expected a log before the colon")
end
assert(tostring(day) == "log " .. day_path and day:column "iso_flow":max() == day.iso_flow:max())
fails(function() return day:column(5) end, "column: expected a column's name")
fails(function() return day:column "iso_flw" end, 'did you mean "iso_flow"?')
fails(function() return day[5] end, "a log has columns by their names")
local is_calendar, offset = day:clock()
assert(is_calendar == false and offset == q "0 s")
assert(day:period(q "1 s") == q "1 s")
fails(function() return day:period(5) end, "period: expected a time")
assert(day:faults().rows == 10 and day:faults().rows == 10, "before anything is asked, and again")

-- spraying, and the options of the summary
assert(day:spraying():count() == 7)
assert(imp.log.open(plain_path):spraying() == nil, "no trigger, no flow: not known")
local options = {
  iso_displacement = q "1 m", resin_displacement = q "1 bar", iso_density = q "1 L", resin_density = 1100, nominal_ratio = q "1 m",
  ratio_tolerance = "5 %", ratio_window = 10, flow_uncertainty = q "1 K", flow_threshold = q "1 kg/s", gap = q "1 m",
}
for name, value in pairs(options) do
  fails(function() return day:summary { [name] = value } end, name .. ": expected ")
end
fails(function() return day:summary { windows = { {} } } end, "windows: each needs a column")
fails(function() return day:summary { windows = { { column = "iso_pressure", low = 5 } } } end, "low: expected a quantity")
fails(function() return day:summary { windows = { { column = "iso_pressure", high = "5" } } } end, "high: expected a quantity")
local fresh = imp.log.open(day_path, { gap = q "20 s" })
local summary = fresh:summary {
  iso_density = q "1200 kg/m^3", resin_density = q "1100 kg/m^3", nominal_ratio = 1, ratio_tolerance = 0.05, ratio_window = q "2 s", flow_uncertainty = 0.005,
  windows = { { column = "iso_pressure", low = q "91 bar", high = q "95 bar" }, { column = "iso_temperature" }, 7 },
}
assert(summary.rows == 10 and near(summary.iso_volume:value "L", 43.8 / 60))
local x <close> = imp.log.open(day_path)
x:close()
x:close() -- twice is nothing

-- columns: what they are called for
local flow, pressure, temperature, spraying = day.iso_flow, day.iso_pressure, day.iso_temperature, day.trigger:equals(1)
local c = imp.column({ 1, 2, 3 }, "bar")
for _, name in ipairs { "mean", "max", "integral", "rate", "abs", "spans", "resample", "quantile", "later", "unit", "values", "above", "rolling", "lasting" } do
  fails(function() return flow[name](5) end, name)
end
fails(function() return imp.column(5) end, "column: expected a list of numbers, got 5")
fails(function() return imp.column({ 1 }, "furlongs") end, "furlongs")
fails(function() return imp.column({ q "1 m" }, "bar") end, "expected a pressure, got a length (1 m)")
fails(function() return flow[1] end, "no numbered rows")
fails(function() return c[true] end, 'a column has no "?"')
assert(c[0] == nil and c[4] == nil and c[-1] == nil)
fails(function() return flow:values() end, "of any length")
fails(function() return c:values "m" end, "expected a length, got a pressure")
fails(function() return c:later() end, "answers at once")
assert(tostring(flow) == "column of a log (a volume flow)" and tostring(spraying):find "^mask of a log")
assert(tostring(c) == "column of 3 values (a pressure)" and tostring(c:above(q "1 bar")):find "^mask of 3 values")
assert((c * c):unit() == (q "1 bar" * q "1 bar"):unit() and tostring((c * c)[2]) == tostring(q "2 bar" * q "2 bar"))

-- operators
fails(function() return c + "x" end, 'expected a column, a quantity or a number, got "x"')
fails(function() return c + {} end, "expected a column, a quantity or a number, got ")
fails(function() return "1 bar" + c end, "expected a column, a quantity or a number")
fails(function() return c ^ 3 end, "raised to 2 or 0.5 only")
fails(function() return c ^ "2" end, "raised to 2 or 0.5 only")
assert((c ^ 1)[3] == q "3 bar" and (imp.column { 4 } ^ 0.5)[1] == q "2" and (c ^ 2)[3]:value "bar^2" == 9)
local other = imp.log.open(day_path)
fails(function() return flow + other.iso_flow end, "the columns belong to different logs")
fails(function() return flow + c end, "one column is of a log and the other is in memory")
fails(function() return flow:rolling(5) end, 'rolling: expected a time such as q "5 s", got 5')
fails(function() return flow:rolling(q "5 m") end, 'rolling: expected a time such as q "5 s", got ')
fails(function() return spraying:lasting(q "0 s") end, "expected a time above 0 s")
fails(function() return flow:lasting(q "1 s") end, "expected a mask (a comparison), got a volume flow")
fails(function() return -temperature end, "has no sign")
fails(function() return flow:where(flow) end, "expected a mask")
assert(flow:where(spraying):count() == 7 and flow:differs(q "6 L/min"):count() == 6 and pressure:unchanged(q "1 s"):count() == 2)
assert(flow:duration():max() == q "1 s" and temperature:change():unit() == "K" and temperature:rate():unit() == "K/s")
-- a quantity may stand on either side
assert((q "10 bar" - c)[3] == q "7 bar" and (q "2 bar" + c)[1] == q "3 bar" and (q "2 m" * c)[2] == q "2 m" * q "2 bar")
assert((q "100 bar" - pressure):min() == q "8 bar" and (q "12 L/min" / flow):min():value "1" == 12 / 6.6)
fails(function() return q "1 m" + c end, "cannot add a length and a pressure")
fails(function() return q "1 m" + {} end, "cannot add: expected a quantity or a number, got ")
assert((2 * c)[1] == q "2 bar" and (1 - imp.column { 3 })[1] == q "-2" and (q "6 bar" / c)[2]:value "1" == 3 and (6 / c)[3]:value "1/bar" == 2)
local fahrenheit = imp.column({ 68, 86 }, "degF")
assert((fahrenheit - q "50 degF"):unit() == "degF_diff" or (fahrenheit - q "50 degF")[1]:value "K" == 10)
assert(near(fahrenheit:sd():value "K", 10 / math.sqrt(2)))
assert((fahrenheit + q "10 K")[1]:value "degC" - 30 < 1e-9 and (q "10 K" + fahrenheit)[1]:value "degC" - 30 < 1e-9)

-- reductions
fails(function() return c:mean(5) end, "mean: expected a mask or a span, got 5")
fails(function() return c:mean(spraying) end, "mean: the mask is of a log and the column is in memory")
fails(function() return flow:mean(other.trigger:equals(1)) end, "mean: the mask is not of the same log")
fails(function() return flow:mean(c:above(q "1 bar")) end, "mean: the mask is not of the same log")
fails(function() return flow:mean(flow) end, "expected a mask")
fails(function() return c:quantile "x" end, "quantile: expected a share such as 0.95")
fails(function() return c:quantile(q "1 m") end, "quantile: expected a share such as 0.95")
assert(c:quantile(q "50 %") == q "2 bar")
fails(function() return temperature:integral() end, "do not add up")
assert(flow:trapezoid():unit() == flow:integral():unit())
-- by hand: (0+6)/2 + (6+6.6)/2 + 6.6 + 6.6 + (6.6+6)/2 + (6+0)/2 until 6 s; then (6+6)/2 + (6+0)/2
assert(near(flow:trapezoid():value "L", (3 + 6.3 + 6.6 + 6.6 + 6.3 + 3 + 6 + 3) / 60))
assert(day.trigger:increase() == q "2", "two rises from 0 to 1, one of them across the gap")
assert(pressure:rate():sd() ~= nil and pressure:integral() ~= nil and flow:time() == q "8 s")

-- spans
local first
for span in spraying:spans(pressure) do first = first or span end
assert(tostring(first) == first.from .. " to " .. first.to)
assert(flow:mean(first) ~= nil and pressure:max(first) == q "92 bar" and pressure:mean(first) == pressure:mean(first))
fails(function() return other.iso_flow:mean(first) end, "mean: the span is of another log")
fails(function() return c:mean(first) end, "mean")
fails(function() return first[1] end, "a span has from, to, start, finish, duration and rows")
fails(function() return c:above(q "1 bar"):spans() end, "spans: a column in memory has no time")
fails(function() return spraying:spans(5) end, "spans: argument 1: expected a column")
fails(function() return spraying:spans(other.iso_flow) end, "spans: column 1 is not of the same log")
fails(function() return spraying:spans(flow, flow, flow, flow, flow, flow, flow, flow, flow) end, "spans: at most 8 columns")
fails(function() return flow:spans() end, "expected a mask")
for span in pressure:below(q "80 bar"):spans(day.iso_pressure:where(pressure:above(q "80 bar"))) do
  assert(day.iso_pressure:where(pressure:above(q "80 bar")):mean(span) == nil, "no value in the span")
end
fails(function() return c:resample(q "1 s") end, "resample: a column in memory has no time")
fails(function() return flow:resample(5) end, "resample: expected a time")
fails(function() return flow:resample(q "1 s", 5) end, "resample: expected a mask")
fails(function() return flow:resample(q "-1 s") end, "expected a time above 0 s")
local later = flow:later():mean()
fails(function() return later.get(5) end, "get: expected an answer before the colon")
assert(later:get() == later:get() and flow:where(flow:above(q "100 L/min")):later():mean():get() == nil)

-- rows
fails(function() return day:rows(5, print) end, "rows: expected a list of columns and a function")
fails(function() return day:rows({}, 5) end, "rows: expected a list of columns and a function")
fails(function() return day:rows({ c }, print) end, "rows: column 1: expected a column of this log or its name, got ")
fails(function() return day:rows({ other.iso_flow }, print) end, "rows: column 1: expected a column of this log or its name")
fails(function() return day:rows({ 5 }, print) end, "rows: column 1: expected a column of this log or its name, got 5")
local many = {}
for i = 1, 200 do many[i] = "iso_flow" end
fails(function() return day:rows(many, print) end, "rows: at most ")
local seen = 0
day:rows({ pressure * flow }, function(_, product) seen = seen + (product and 1 or 0) end)
assert(seen == 9, "a product of no named unit is handed out in SI")

-- a log that ends: what is left of it says so
local closing = imp.log.open(day_path)
local kept, kept_span, kept_answer = closing.iso_flow, nil, closing.iso_flow:later():max()
for span in closing.trigger:equals(1):spans() do kept_span = span end
closing:close()
assert(tostring(kept_span) == "span" and tostring(kept):find "^column of a log")
fails(function() return kept + 1 end, "closed")
fails(function() return kept:rolling(q "1 s") end, "closed")
fails(function() return kept_answer:get() end, "closed")
fails(function() return closing:summary() end, "closed")

-- charts of individual values, by their definitions: centre -+ 3 mean moving range/1.128 (e-Handbook 6.3.2.2)
local stats = imp.stats
for _, name in ipairs { "ewma", "cusum" } do
  fails(function() return stats[name](5) end, name .. ": expected a column in memory, as imp.column or resample() give, got 5")
  fails(function() return stats[name](flow) end, "got a column of a log")
  fails(function() return stats[name](c, 5) end, "table expected")
  fails(function() return stats[name](c, { target = q "1 m" }) end, "target: expected a quantity like the column's values")
  fails(function() return stats[name](c, { target = "1 bar" }) end, "target: expected a quantity like the column's values")
  fails(function() return stats[name](c, { sd = q "0 bar", target = 2 }) end, "is not above 0")
  fails(function() return stats[name](imp.column { 1 }) end, "values: expected at least 2 numbers, got 1")
end
fails(function() return stats.individuals(flow) end, "got a column of a log")
fails(function() return stats.ewma(c, { weight = "x" }) end, "weight: expected a number")
fails(function() return stats.ewma(c, { weight = 1.5 }) end, "weight: 1.5 is above 1")
fails(function() return stats.cusum(c, { k = {} }) end, "k: expected a number")
fails(function() return stats.cusum(c, { k = -1 }) end, "is below 0")
-- 1, 2, 3 bar: centre 2, mean moving range 1, so the standard deviation is 1/1.128
local charted = stats.ewma(c)
assert(charted.target == q "2 bar" and math.abs(charted.sd:value "bar" - 1 / 1.128) < 1e-3 and #charted.signals == 0)
assert(stats.ewma(c, { target = 2.5 }).target == q "2.5 bar" and stats.ewma(c, { sd = 0.5 }).sd == q "0.5 bar")
assert(stats.cusum(c, { target = q "150 kPa", sd = q "10 kPa" }).target == q "1.5 bar")
local warm = imp.column({ 20, 21, 19, 20, 40 }, "degC")
local chart = stats.ewma(warm, { target = q "20 degC", sd = q "1 K", weight = 0.5, width = 3 })
assert(chart.target == q "20 degC" and chart.sd == q "1 K" and chart.signals[1] == 5 and chart.averages:unit() == "degC")
fails(function() return stats.ewma(warm, { target = q "20 K", sd = 1 }) end, "target: expected a quantity like the column's values")
chart = stats.cusum(imp.column({ 68, 68, 50 }, "degF"), { target = 68, sd = 1.8 })
assert(chart.target == q "68 degF" and near(chart.sd:value "K", 1) and chart.first == 3 and chart.low[3]:value "K" > 9)
local low = stats.individuals(imp.column { 9, 9.1, 9, 9.1, 9, 9.1, 1, 9.1, 9, 9.1, 9, 9.1, 9, 9.1, 9, 9.1, 9 })
assert(#low.signals == 1 and low.signals[1] == 7)
assert(stats.ewma(imp.column { 0, 0, -9 }, { target = 0, sd = 1 }).signals[1] == 3)
local by_table = stats.individuals { values = { 1, 2, 3 } } -- the catalogue's entry of the same name
assert(by_table.centre == q "2")
