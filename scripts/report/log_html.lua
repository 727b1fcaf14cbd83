-- Job logs as one HTML page that needs nothing else: the day report of one, the table of many.
local chart = require "chart"
local charts = require "report.log_charts"
local display = require "report.display"
local escape = require "report.escape"
local messages = require "report.messages"
local page = require "report.page"
local words = require "report.log_words"
local h = escape.html

local classes = { stop = "stop", caution = "caution", note = "none", go = "go" }
local short = words.short

local function verdict_box(verdict, count)
  return "<div class=\"verdict " .. classes[verdict] .. "\"><strong>" .. short[verdict] .. "</strong> " .. h(words.verdicts[verdict]) .. count .. "</div>\n"
end

local function section(title, inner)
  return inner ~= "" and "<section><h2>" .. h(title) .. "</h2>\n" .. inner .. "</section>\n" or ""
end

local function rows_table(label, head, rows)
  local parts = { "<table class=list><thead><tr>" }
  for _, text in ipairs(head) do parts[#parts + 1] = "<th scope=col>" .. h(text) .. "</th>" end
  parts[#parts + 1] = "</tr></thead><tbody>\n"
  for _, row in ipairs(rows) do
    parts[#parts + 1] = "<tr><th scope=row>" .. h(row[1]) .. "</th>"
    for i = 2, #head do parts[#parts + 1] = "<td data-label=\"" .. h(head[i]) .. "\">" .. h(row[i] or "") .. "</td>" end
    parts[#parts + 1] = "</tr>\n"
  end
  parts[#parts + 1] = "</tbody></table>"
  return page.wide(label, table.concat(parts))
end

local function rule_notes(rule, system)
  local parts = { "<details><summary>Criterion and source</summary><div><p>" .. h(words.criterion(rule, system)) .. "</p>" }
  local source = words.source(rule)
  if source then parts[#parts + 1] = "<p>Source: " .. h(source) .. "</p>" end
  for _, change in ipairs(rule.tightened or {}) do
    parts[#parts + 1] = "<p>Tightened in " .. h(change.by) .. ": " .. h(change.reason or "no reason given") .. "</p>"
  end
  if rule.replaced then parts[#parts + 1] = "<p>Replaced in " .. h(rule.replaced.by) .. ": " .. h(rule.replaced.reason) .. "</p>" end
  for _, sheet in ipairs(rule.sheets or {}) do
    parts[#parts + 1] = "<p>" .. h(sheet.title) .. ": <code>" .. h(sheet.formula or "") .. "</code></p>"
  end
  parts[#parts + 1] = "</div></details>"
  return table.concat(parts)
end

local most_spans = 30

local function event_article(day, event, system)
  local items = {}
  for i = 1, math.min(#event.spans, most_spans) do items[i] = "<li>" .. h(words.span(day, event.spans[i], system)) .. "</li>" end
  if event.count > most_spans then items[#items + 1] = "<li>and " .. event.count - most_spans .. " more</li>" end
  local found = event.status == "failed" and h(event.reason)
    or event.count .. (event.count == 1 and " time" or " times") .. (event.time and ", " .. words.duration(event.time) .. " in all" or "")
  return "<article class=" .. classes[event.level] .. "><h3><span class=mark>" .. words.levels[event.level] .. "</span> " .. h(event.title) .. "</h3>\n<p>" ..
    found .. "</p><ul>" .. table.concat(items) .. "</ul>" .. (event.advice and "<p class=action>" .. h(event.advice) .. "</p>" or "") ..
    rule_notes(event, system) .. "</article>\n"
end

local function events(day, system)
  local found, none, unknown = {}, {}, {}
  for _, event in ipairs(day.events) do
    if event.status == "found" or event.status == "failed" then
      found[#found + 1] = event_article(day, event, system)
    elseif event.status == "none" then
      none[#none + 1] = { event.title, words.criterion(event, system) }
    elseif event.status == "silenced" then
      unknown[#unknown + 1] = { event.title, "silenced: " .. event.silenced.reason .. " (" .. event.silenced.by .. "); would have said: " .. event.would_be }
    else
      unknown[#unknown + 1] = { event.title, event.reason }
    end
  end
  return section("Events", #found > 0 and table.concat(found) or "<p>None.</p>") .. "__CHARTS__" ..
    section("Looked for and not found", #none > 0 and "<details><summary>" .. #none .. " kinds of event, each with its criterion</summary><div>" ..
      rows_table("Looked for and not found", { "Event", "Criterion" }, none) .. "</div></details>" or "") ..
    section("Not known", #unknown > 0 and rows_table("Not known", { "Event", "Why" }, unknown) or "")
end

local function facts(day, system)
  local parts = {}
  for _, fact in ipairs(day.facts) do
    local rows = {}
    for i, entry in ipairs(fact.values or {}) do rows[i] = { entry.label, words.measured(entry.value, system), entry.note or "" } end
    parts[#parts + 1] = section(fact.title, (#rows > 0 and rows_table(fact.title, { "What", "Value", "Note" }, rows)
      or "<p>Not known: " .. h(fact.reason or fact.status) .. "</p>") .. rule_notes(fact, system))
  end
  return table.concat(parts)
end

local function windows(day, system)
  local rows = {}
  for i, window in ipairs(day.summary.windows) do
    rows[i] = { (window.column:gsub("_", " ")), (window.low and words.show(window.low, system) or "open") .. " to " ..
      (window.high and words.show(window.high, system) or "open"), words.duration(window.below), words.duration(window.inside), words.duration(window.above) }
  end
  return #rows > 0 and section("Against the material's window, while spraying",
    rows_table("Windows", { "Column", "Window", "Below", "Inside", "Above" }, rows)) or ""
end

local function columns(day, system)
  local rows = {}
  for i, column in ipairs(day.summary.columns) do
    rows[i] = { (column.name:gsub("_", " ")), words.measured(column.spraying_min, system), words.measured(column.spraying_mean, system),
                words.measured(column.spraying_max, system), tostring(column.missing) }
  end
  return section("Columns, while spraying", rows_table("Columns", { "Column", "Lowest", "Mean", "Highest", "Missing in all" }, rows))
end

local function damage(day)
  local items = {}
  for i, sentence in ipairs(words.damage(day)) do items[i] = "<li>" .. h(sentence) .. "</li>" end
  return section("The file", "<p>" .. day.faults.rows .. " rows of " .. day.faults.lines .. " lines.</p>" ..
    (#items > 0 and "<ul>" .. table.concat(items) .. "</ul>" or "<p>Nothing wrong with it.</p>"))
end

local function drawings(day, system)
  local parts = {}
  for i, spec in ipairs(charts.all(day, system)) do parts[i] = chart.figure(spec) end
  return section("Charts", table.concat(parts))
end

local function caution_list(report)
  local items = {}
  for i, caution in ipairs(report.cautions) do items[i] = "<li>" .. h(caution) .. "</li>" end
  return "<section class=cautions><h2>Cautions</h2><ul>" .. table.concat(items) .. "</ul></section>\n"
end

local function job_facts(report, list)
  local made = {}
  for _, entry in ipairs(list) do made[#made + 1] = entry end
  local job = report.job or {}
  for _, key in ipairs { "name", "date", "rig", "material" } do
    if job[key] then made[#made + 1] = { key == "name" and "Job" or key:sub(1, 1):upper() .. key:sub(2), job[key] } end
  end
  return page.facts(made)
end

local footer = "Figures support the crew; they never replace data sheets, local codes and licensed practice."

local function day_page(t, report)
  local day, system = report.day, report.units
  if day.unusable then
    return page.whole(t, "Day report", nil, "<h1>Day report</h1><div class=\"verdict unknown\"><strong>NOT USABLE</strong> " .. h(day.unusable) .. "</div>\n", "", footer)
  end
  local head = "<h1>Day report</h1>\n" .. verdict_box(day.verdict, h(": " .. words.counts(report))) .. page.first_cautions(t) .. job_facts(report, { { "Log", day.file } })
  local main = section("Totals", page.facts(words.totals(day, system))) .. windows(day, system) .. events(day, system) .. facts(day, system) ..
    columns(day, system) .. damage(day) .. caution_list(report)
  local before, after = main:match "^(.-)__CHARTS__(.*)$"
  return page.whole(t, short[day.verdict] .. " - day report - " .. day.file, nil, head, before .. drawings(day, system) .. after,
    "Worked out by impinge " .. h(report.version or "") .. ". " .. footer)
end

local function fleet_rows(report)
  return words.files(report, "", function(row) return { row.file, "cannot be used: " .. row.unusable } end)
end

-- One chart a figure with limits: the files in their order.
local function fleet_charts(report)
  local parts = {}
  for _, found in ipairs(report.charts) do
    local points, events_found, unit = {}, {}, nil
    for i, row in ipairs(report.rows) do
      if row[found.key] then
        local y
        y, unit = display.number(row[found.key], report.units)
        points[#points + 1] = { i, y }
        if row.outliers[found.key] then events_found[#events_found + 1] = { at = i, label = row.file .. " lies outside the limits" } end
      end
    end
    parts[#parts + 1] = chart.figure {
      title = found.title .. " by file", description = "Individuals chart (e-Handbook 6.3.2.2): one point a file, with its limits.",
      x = { label = "File", kind = "number" }, y = { label = found.title, unit = unit, decimals = 3 },
      series = { { label = found.title, points = points } }, events = events_found,
      limits = { { value = display.number(found.lower, report.units), label = "lower limit" },
                 { value = display.number(found.upper, report.units), label = "upper limit" } },
    }
  end
  return table.concat(parts)
end

local function fleet_events(report)
  local rows = {}
  for _, day in ipairs(report.days) do
    for _, event in ipairs(day.events or {}) do
      if (event.status == "found" or event.status == "failed") and event.level ~= "note" then
        rows[#rows + 1] = { day.file, words.levels[event.level], event.title, tostring(event.count), event.time and words.duration(event.time) or "" }
      end
    end
  end
  return #rows > 0 and rows_table("Events", { "File", "Level", "Event", "Times", "In all" }, rows) or "<p>None.</p>"
end

local function fleet_page(t, report)
  local head, rows = fleet_rows(report)
  return page.whole(t, short[report.verdict] .. " - table of logs", nil,
    "<h1>Table of logs</h1>\n" .. verdict_box(report.verdict, h(": " .. words.counts(report))) .. page.first_cautions(t) .. job_facts(report, {}),
    section("Files", rows_table("Files", head, rows)) .. section("Events", fleet_events(report)) .. section("Control charts", fleet_charts(report)) ..
      caution_list(report), "Worked out by impinge " .. h(report.version or "") .. ". " .. footer)
end

return function(report)
  local t = messages.of "en"
  report.units = display.with_superscripts(report.units)
  return report.day and day_page(t, report) or fleet_page(t, report)
end
