-- Invented functions that ask a log, for the tests of the host.
local function ask(id, compute) rule { id = id, compute = compute } end
ask("mask", function(day) return day.trigger:equals(1) end)
ask("values", function(day) return day.trigger:equals(1), { { "pressure", day.iso_pressure }, { "flow", day.iso_flow } } end)
ask("later", function(day, job, least)
  return { volume = day.iso_flow:later():integral(), series = day.iso_flow:later():resample(q "5 s"), least = least, altitude = job.site.altitude,
    parts = { { label = "off", mask = day.trigger:equals(0), values = { { "flow", day.iso_flow } } } } }, "text", 5, true
end)
ask("column", function(day) return day.iso_flow end)
ask("deep", function() return { { { { { { { { { { 1 } } } } } } } } } } end)
ask("keys", function() return { [true] = 1 } end)
ask("many", function(day)
  local values = {}
  for i = 1, 9 do values[i] = { "v" .. i, day.iso_flow } end
  return day.trigger:equals(1), values
end)
ask("unlabelled", function(day) return day.trigger:equals(1), { { 5, day.iso_flow } } end)
ask("valueless", function(day) return day.trigger:equals(1), { { "x", 5 } } end)
ask("fails", function() error "deliberate" end)
ask("summary", function(day) return day:summary().rows end)
ask("rows", function(day) day:rows({ "iso_flow" }, function() end) end)
ask("get", function(day) return day.iso_flow:later():mean():get() end)
ask("judge", function(answers, job, criterion) return #answers, job.site.altitude, criterion end)
