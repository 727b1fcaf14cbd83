-- Job logs as plain text: the day report of one, the table of many.
local escape = require "report.escape"
local messages = require "report.messages"
local words = require "report.log_words"

local wrap = require("report.wrap").lines

local function heading(lines, text)
  lines[#lines + 1] = ""
  lines[#lines + 1] = text
  lines[#lines + 1] = string.rep("-", #text)
end

local function labelled(lines, label, text)
  lines[#lines + 1] = wrap(text, string.format("  %-20s ", label), string.rep(" ", 23))
end

local most_spans = 10

local function changes(lines, rule)
  for _, change in ipairs(rule.tightened or {}) do
    labelled(lines, "  tightened", change.by .. ": " .. (change.reason or "no reason given"))
  end
  if rule.replaced then labelled(lines, "  replaced", rule.replaced.by .. ": " .. rule.replaced.reason) end
end

local function add_event(lines, day, event, system)
  local word = event.status == "failed" and "FAILED" or words.levels[event.level]
  lines[#lines + 1] = wrap(event.title .. " [" .. event.group .. "]", string.format("  %-9s", word), string.rep(" ", 11))
  if event.status == "failed" then
    labelled(lines, "  why", event.reason)
    return
  end
  labelled(lines, "  found", event.count .. (event.count == 1 and " time" or " times") .. (event.time and ", " .. words.duration(event.time) .. " in all" or ""))
  for i = 1, math.min(#event.spans, most_spans) do labelled(lines, "", words.span(day, event.spans[i], system)) end
  if event.count > most_spans then labelled(lines, "", "... and " .. event.count - most_spans .. " more") end
  if event.advice then labelled(lines, "  do", event.advice) end
  labelled(lines, "  criterion", words.criterion(event, system))
  if words.source(event) then labelled(lines, "  source", words.source(event)) end
  changes(lines, event)
end

local function add_events(lines, day, system)
  local found, none, unknown, silenced = {}, {}, {}, {}
  for _, event in ipairs(day.events) do
    local list = event.status == "none" and none or event.status == "not known" and unknown or event.status == "silenced" and silenced or found
    list[#list + 1] = event
  end
  heading(lines, "Events")
  if #found == 0 then lines[#lines + 1] = "  none" end
  for _, event in ipairs(found) do add_event(lines, day, event, system) end
  if #none > 0 then
    heading(lines, "Looked for and not found")
    for _, event in ipairs(none) do lines[#lines + 1] = wrap(event.title .. ": " .. words.criterion(event, system), "  * ", "    ") end
  end
  if #unknown > 0 then
    heading(lines, "Not known")
    for _, event in ipairs(unknown) do lines[#lines + 1] = wrap(event.title .. ": " .. event.reason, "  * ", "    ") end
  end
  for _, event in ipairs(silenced) do
    labelled(lines, "Silenced", event.title .. ": " .. event.silenced.reason .. " (" .. event.silenced.by .. "); would have said: " .. event.would_be)
  end
end

local function add_facts(lines, day, system)
  for _, fact in ipairs(day.facts) do
    heading(lines, fact.title)
    if fact.status == "known" then
      for _, entry in ipairs(fact.values) do
        labelled(lines, entry.label, words.measured(entry.value, system) .. (entry.note and " (" .. entry.note .. ")" or ""))
      end
      if fact.criterion_text then labelled(lines, "how", words.criterion(fact, system)) end
    else
      lines[#lines + 1] = wrap((fact.status == "failed" and "" or "not known: ") .. (fact.reason or fact.status), "  ", "  ")
    end
  end
end

local function add_windows(lines, day, system)
  if #day.summary.windows == 0 then return end
  heading(lines, "Against the material's window, while spraying")
  for _, window in ipairs(day.summary.windows) do
    local ends = (window.low and words.show(window.low, system) or "open") .. " to " .. (window.high and words.show(window.high, system) or "open")
    labelled(lines, (window.column:gsub("_", " ")), ends .. ": inside " .. words.duration(window.inside) .. ", below " ..
      words.duration(window.below) .. ", above " .. words.duration(window.above))
  end
end

local function add_columns(lines, day, system)
  heading(lines, "Columns: lowest, mean, highest (while spraying), missing")
  for _, column in ipairs(day.summary.columns) do
    local text = column.spraying_mean and words.measured(column.spraying_min, system) .. ", " .. words.measured(column.spraying_mean, system) .. ", " ..
                 words.measured(column.spraying_max, system) or column.mean and "never while spraying" or "no value"
    labelled(lines, (column.name:gsub("_", " ")), text .. (column.missing > 0 and "; " .. column.missing .. " missing" or ""))
  end
end

-- What can hurt, in a few short lines under the verdict.
local function add_first_cautions(lines)
  for _, line in ipairs(messages.of "en":list "first_cautions") do lines[#lines + 1] = wrap(line, "  ! ", "    ") end
end

local function day_report(report)
  local day, system = report.day, report.units
  local lines = { "", "DAY REPORT: " .. words.verdicts[day.verdict]:upper(), "" }
  lines[#lines + 1] = wrap(day.file .. (report.job and ", job " .. (report.job.name or "without a name") or ", no job given"), "", "")
  add_first_cautions(lines)
  heading(lines, "Totals")
  for _, entry in ipairs(words.totals(day, system)) do labelled(lines, entry[1], entry[2]) end
  add_windows(lines, day, system)
  add_events(lines, day, system)
  add_facts(lines, day, system)
  add_columns(lines, day, system)
  heading(lines, "The file")
  labelled(lines, "rows", string.format("%d of %d lines", day.faults.rows, day.faults.lines))
  for _, sentence in ipairs(words.damage(day)) do lines[#lines + 1] = wrap(sentence, "  * ", "    ") end
  if #day.faults.found == 0 then lines[#lines + 1] = "  nothing wrong with it" end
  return lines
end

local function cell(row, figure, system)
  local value = row[figure.key]
  if value == nil then return "-" end
  if figure.unit then value = value:to(figure.unit, 3) else value = words.measured(value, system) end
  return value .. (row.outliers and row.outliers[figure.key] and " !" or "")
end

local function table_lines(report)
  local fleet = require "engine.log_fleet"
  local system, figures, grid = report.units, {}, {}
  for _, figure in ipairs(fleet.figures) do
    for _, row in ipairs(report.rows) do
      if row[figure.key] ~= nil then
        figures[#figures + 1] = figure
        break
      end
    end
  end
  local head = { "File", "From" }
  for _, figure in ipairs(figures) do head[#head + 1] = figure.title end
  for _, title in ipairs { "Stops", "Cautions", "Damage" } do head[#head + 1] = title end
  grid[1] = head
  for _, row in ipairs(report.rows) do
    local cells = { escape.line(row.file), row.first_time and row.first_time:sub(1, 16) or "-" }
    if not row.unusable then
      for _, figure in ipairs(figures) do cells[#cells + 1] = cell(row, figure, system) end
      for _, key in ipairs { "stops", "cautions", "damage" } do cells[#cells + 1] = tostring(row[key]) end
      grid[#grid + 1] = cells
    end
  end
  local total = { "Total", report.totals.files .. " files" }
  for _, figure in ipairs(figures) do total[#total + 1] = cell(report.totals, figure, system) end
  for _, key in ipairs { "stops", "cautions", "damage" } do total[#total + 1] = tostring(report.totals[key]) end
  grid[#grid + 1] = total
  local width, lines = {}, {}
  for _, cells in ipairs(grid) do
    for i, text in ipairs(cells) do width[i] = math.max(width[i] or 0, utf8.len(text) or #text) end
  end
  for _, cells in ipairs(grid) do
    local parts = {}
    for i, text in ipairs(cells) do
      local pad = string.rep(" ", width[i] - (utf8.len(text) or #text))
      parts[i] = i <= 2 and text .. pad or pad .. text
    end
    lines[#lines + 1] = (table.concat(parts, "  "):gsub("%s+$", ""))
  end
  return lines
end

local function fleet_table(report)
  local lines = { "", "TABLE OF LOGS: " .. words.verdicts[report.verdict]:upper(), "" }
  add_first_cautions(lines)
  lines[#lines + 1] = ""
  for _, line in ipairs(table_lines(report)) do lines[#lines + 1] = line end
  for _, chart in ipairs(report.charts) do
    if chart.key and #chart.signals > 0 then
      lines[#lines + 1] = wrap(string.format("! %s outside %s to %s, the limits of its individuals chart over these files (e-Handbook 6.3.2.2)", chart.title,
        words.measured(chart.lower, report.units), words.measured(chart.upper, report.units)), "", "  ")
    end
  end
  for _, row in ipairs(report.rows) do
    if row.unusable then lines[#lines + 1] = wrap("cannot be used: " .. row.unusable, "* ", "  ") end
  end
  heading(lines, "Events")
  for _, day in ipairs(report.days) do
    for _, event in ipairs(day.events or {}) do
      if (event.status == "found" or event.status == "failed") and event.level ~= "note" then
        lines[#lines + 1] = wrap(string.format("%s %s: %s, %d", words.levels[event.level], day.file, event.title, event.count) ..
          (event.time and ", " .. words.duration(event.time) or ""), "  ", "    ")
      end
    end
  end
  return lines
end

return function(report)
  if report.day and report.day.unusable then
    return "\nDAY REPORT: THE LOG CANNOT BE USED\n\n" .. wrap(report.day.unusable, "", "") .. "\n"
  end
  local lines = report.day and day_report(report) or fleet_table(report)
  lines[#lines + 1] = ""
  lines[#lines + 1] = wrap(report.cautions[#report.cautions], "", "")
  lines[#lines + 1] = "\n" .. words.last(report)
  return table.concat(lines, "\n") .. "\n"
end
