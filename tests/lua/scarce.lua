-- Columns, reductions, spans, series, rows and charts of the log named on the command line, for a test in which one allocation
-- of the whole fails: it finds what it finds undisturbed, or ends with a sentence.
local day = imp.log.open(arg[1])
local spraying, flow = day:spraying(), day.iso_flow
local smooth = flow:rolling(q "5 s")
local off = (smooth - flow):abs():above(q "0.1 L/min") & spraying & ~day.iso_pressure:missing()
local answers = { flow:later():mean(), flow:later():quantile(0.9), off:lasting(q "2 s"):later():spans(smooth), flow:later():resample(q "60 s", spraying) }
assert(answers[1]:get() < answers[2]:get() and #answers[3]:get() == 0 and #answers[4]:get().mean == 116)
assert(flow:integral(spraying) < flow:integral() and flow:trapezoid() > q "100 L" and flow:sd() > q "1 L/min" and flow:where(off):first() == nil)
assert(day.iso_pressure:unchanged(q "3 s"):count() > 0 and spraying:time() == q "4480 s" and tostring(flow):find "volume flow")
local spans = 0
for span in spraying:spans(day.iso_pressure) do
  spans = spans + 1
  assert(span.duration == q "80 s" and day.iso_pressure:mean(span) > q "90 bar" and flow:mean(span) > q "2 L/min")
end
local rows = 0
day:rows({ "iso_flow", smooth }, function() rows = rows + 1 end)
assert(rows == 1800 and spans * 80 == 4480 and day:summary().spraying_time == q "4480 s" and #day:faults().found == 0)
local memory = imp.column({ 1, 2, 4, 3 }, "bar")
assert((memory * 2 - q "1 bar"):sum() == q "16 bar" and memory:quantile(0.5) == q "2.5 bar" and #imp.stats.cusum(memory).signals == 0)
assert(imp.stats.ewma(memory).target == q "2.5 bar" and imp.column({ 20, 22 }, "degC"):mean() == q "21 degC")
