-- How the figures of job logs read: shared by the reports on them.
local imp = require "impinge"
local display = require "report.display"
local fleet = require "engine.log_fleet"

local words = {}

words.levels = { stop = "STOP", caution = "CAUTION", note = "NOTE" }
words.verdicts = {
  stop = "events that should have stopped the work", caution = "events to be careful about", go = "no event that matters",
}

words.short = { stop = "STOP", caution = "CAUTION", go = "IN ORDER" }

-- How many events of each kind, and of many logs how many there are and how many are of no use.
function words.counts(report)
  if report.day then return string.format("%d to stop for, %d to be careful about", report.day.counts.stop, report.day.counts.caution) end
  return string.format("%d files, %d not usable", #report.rows, report.unusable)
end

-- The verdict once more, for the end of a text that has scrolled by.
function words.last(report) return words.short[report.verdict] .. ": " .. words.counts(report) end

-- A time of the length that it has: "45 s", "12.5 min", "3.25 h".
function words.duration(time)
  if time == nil then return "-" end
  local seconds = time:value "s"
  if seconds < 120 then return time:to("s", 3) end
  if seconds < 7200 then return time:to("min", 3) end
  return time:to("h", 3)
end

-- What was read or worked out, to three digits; a ratio near 1 needs one more to say anything.
function words.measured(value, system)
  local is_pure = imp.is_quantity(value) and value:unit() == "1"
  return words.show(value, system, is_pure and 4 or 3)
end

-- digits: nil for those that the number deserves, as where somebody has typed it.
function words.show(value, system, digits)
  if imp.is_quantity(value) then
    local ok = pcall(value.value, value, "s")
    if ok then return words.duration(value) end
  end
  return display.show(value, system, digits)
end

-- Seconds of a log's own clock as text, in its zone: "2031-04-17 07:40:12" or "840 s".
function words.clock(day, time)
  if time == nil then return "" end
  local seconds = imp.is_quantity(time) and time:value "s" or time
  if not day.calendar then return imp.q(seconds, "s"):to("s", 6) end
  local whole = math.floor(seconds + day.zone:value "s")
  local days, rest = whole // 86400, whole % 86400
  -- civil date from days since 1970-01-01 (proleptic Gregorian calendar)
  local z = days + 719468
  local era = z // 146097
  local doe = z - era * 146097
  local yoe = (doe - doe // 1460 + doe // 36524 - doe // 146096) // 365
  local doy = doe - (365 * yoe + yoe // 4 - yoe // 100)
  local mp = (5 * doy + 2) // 153
  local month = mp < 10 and mp + 3 or mp - 9
  return string.format("%04d-%02d-%02d %02d:%02d:%02d", yoe + era * 400 + (month <= 2 and 1 or 0), month, doy - (153 * mp + 2) // 5 + 1,
                       rest // 3600, rest // 60 % 60, rest % 60)
end

-- When a span was: "07:40:12 to 07:41:30", with the date where the day is one of several.
function words.when(day, span)
  if span.start == nil then return "the whole log" end
  local from, to = words.clock(day, span.start), words.clock(day, span.finish)
  if span.finish == nil or from == to then return from end
  if day.calendar and from:sub(1, 10) == to:sub(1, 10) then to = to:sub(12) end
  return from .. " to " .. to
end

function words.value(entry, system)
  local text = entry.label .. " " .. words.measured(entry.value, system)
  if entry.low and entry.high and entry.low ~= entry.high then
    text = text .. " (" .. words.measured(entry.low, system) .. " to " .. words.measured(entry.high, system) .. ")"
  end
  if entry.note then text = text .. ", " .. entry.note end
  return text
end

-- One span as a line.
function words.span(day, span, system)
  local parts = { words.when(day, span) }
  if span.duration then parts[#parts + 1] = words.duration(span.duration) end
  if span.label then parts[#parts + 1] = span.label end
  if span.note then parts[#parts + 1] = span.note end
  for _, entry in ipairs(span.values or {}) do parts[#parts + 1] = words.value(entry, system) end
  return table.concat(parts, "; ")
end

function words.criterion(rule, system)
  local parts = {}
  for _, entry in ipairs(rule.criterion or {}) do
    parts[#parts + 1] = entry.name .. " " .. words.show(entry.value, system) .. (entry.from ~= "the rule's own" and " (" .. entry.from .. ")" or "")
  end
  return (rule.criterion_text or "") .. (#parts > 0 and ": " .. table.concat(parts, ", ") or "")
end

function words.source(rule)
  return rule.practice and "common practice, no source" or rule.source
end

-- The totals of a day, as { label, text } in a stated order.
function words.totals(day, system)
  local s, list = day.summary, {}
  local function add(label, text) if text then list[#list + 1] = { label, text } end end
  local function show(value) return value and words.measured(value, system) end
  add("From", s.first_time)
  add("To", s.last_time)
  add("Logged", words.duration(s.logged_time))
  add("Spraying", s.spraying_time and words.duration(s.spraying_time) .. " in " .. s.sprays .. (s.sprays == 1 and " spray" or " sprays"))
  add("Recirculating", s.recirculating_time and words.duration(s.recirculating_time))
  add("Idle", s.idle_time and words.duration(s.idle_time))
  add("Longest spray", s.longest_spray and words.duration(s.longest_spray))
  add("Iso sprayed", s.iso_volume and show(s.iso_volume) .. (s.iso_mass and ", " .. show(s.iso_mass) or ""))
  add("Resin sprayed", s.resin_volume and show(s.resin_volume) .. (s.resin_mass and ", " .. show(s.resin_mass) or ""))
  add("Volumes by", s.iso_volume and s.volume_by)
  add("Iso pumped in all", show(s.iso_pumped))
  add("Resin pumped in all", show(s.resin_pumped))
  add("Ratio", s.ratio and show(s.ratio) .. (s.ratio_uncertainty and " with a standard uncertainty of " .. show(s.ratio_uncertainty) or ", uncertainty not known"))
  local is_smooth = s.volume_by == "flows" -- a counter's steps make a rolling ratio jump
  add("Rolling ratio", is_smooth and s.rolling_least and show(s.rolling_least) .. " to " .. show(s.rolling_greatest))
  add("Off ratio", is_smooth and s.off_ratio_time and words.duration(s.off_ratio_time))
  add("Pressure imbalance", s.imbalance_mean and show(s.imbalance_mean) .. " (" .. show(s.imbalance_least) .. " to " .. show(s.imbalance_greatest) .. ")")
  return list
end

-- What is wrong with the file, as sentences.
function words.damage(day)
  local list = {}
  for _, found in ipairs(day.faults.found) do
    local lines, column = {}, nil
    for i = 1, math.min(#found.lines, 5) do
      lines[i] = tostring(found.lines[i].line)
      column = column or found.lines[i].column
    end
    list[#list + 1] = string.format("%d %s (line%s %s%s)%s", found.count, found.text, #found.lines == 1 and "" or "s", table.concat(lines, ", "),
                                    found.count > #lines and ", ..." or "", column and " in " .. column or "")
  end
  return list
end

-- The table of many files: its head, a row of texts for each file that can be used, the totals last. Only the figures that
-- any file has; `nothing` stands where one has not. `unusable` (may be nil) makes the row of a file that is of no use.
function words.files(report, nothing, unusable)
  local figures, labels, rows = {}, { "File", "From" }, {}
  for _, figure in ipairs(fleet.figures) do
    for _, row in ipairs(report.rows) do
      if row[figure.key] ~= nil then
        figures[#figures + 1], labels[#labels + 1] = figure, figure.title
        break
      end
    end
  end
  for _, title in ipairs { "Stops", "Cautions", "Damage" } do labels[#labels + 1] = title end
  local function add(row, name, from)
    local cells = { name, from or nothing }
    for _, figure in ipairs(figures) do
      local value = row[figure.key]
      local text = value ~= nil and (figure.unit and value:to(figure.unit, 3) or words.measured(value, report.units)) or nothing
      cells[#cells + 1] = value ~= nil and row.outliers and row.outliers[figure.key] and text .. " (outlier)" or text
    end
    for _, key in ipairs { "stops", "cautions", "damage" } do cells[#cells + 1] = tostring(row[key]) end
    rows[#rows + 1] = cells
  end
  for _, row in ipairs(report.rows) do
    if not row.unusable then add(row, row.file, row.first_time) elseif unusable then rows[#rows + 1] = unusable(row) end
  end
  add(report.totals, "Total", report.totals.files .. " files")
  return labels, rows
end

return words
