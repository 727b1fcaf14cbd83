-- Job logs as Markdown: the day report of one, the table of many, to be put into a note or an issue. Without the charts:
-- as tables they would have a row a minute.
local messages = require "report.messages"
local words = require "report.log_words"
local write = require "report.document.markdown"

local function add_table(blocks, title, labels, rows)
  if #rows == 0 then return end
  local columns = {}
  for i, label in ipairs(labels) do columns[i] = { label = label } end
  blocks[#blocks + 1] = { kind = "heading", text = title }
  blocks[#blocks + 1] = { kind = "table", caption = title, columns = columns, rows = rows }
end

local function add_list(blocks, title, items)
  if #items == 0 then return end
  blocks[#blocks + 1] = { kind = "heading", text = title }
  blocks[#blocks + 1] = { kind = "list", items = items }
end

local function add_windows(blocks, day, system)
  local rows = {}
  for i, window in ipairs(day.summary.windows) do
    rows[i] = { (window.column:gsub("_", " ")), (window.low and words.show(window.low, system) or "open") .. " to " ..
      (window.high and words.show(window.high, system) or "open"), words.duration(window.below), words.duration(window.inside), words.duration(window.above) }
  end
  add_table(blocks, "Against the material's window, while spraying", { "Column", "Window", "Below", "Inside", "Above" }, rows)
end

local most_spans = 10

local function spans_text(day, event, system)
  local parts = {}
  for i = 1, math.min(#event.spans, most_spans) do parts[i] = words.span(day, event.spans[i], system) end
  if event.count > most_spans then parts[#parts + 1] = "and " .. event.count - most_spans .. " more" end
  return table.concat(parts, " / ")
end

local function event_row(day, event, system)
  if event.status == "failed" then return { "FAILED", event.title, "", "", event.reason, "" } end
  return { words.levels[event.level], event.title, tostring(event.count), event.time and words.duration(event.time) or "",
           spans_text(day, event, system), event.advice or "" }
end

local function add_events(blocks, day, system)
  local found, none, unknown, changed = {}, {}, {}, {}
  for _, event in ipairs(day.events) do
    if event.status == "none" then
      none[#none + 1] = { event.title, words.criterion(event, system), words.source(event) or "" }
    elseif event.status == "not known" then
      unknown[#unknown + 1] = { event.title, event.reason }
    elseif event.status == "silenced" then
      unknown[#unknown + 1] = { event.title, ("silenced: %s (%s); would have said: %s"):format(event.silenced.reason, event.silenced.by, event.would_be) }
    else
      found[#found + 1] = event_row(day, event, system)
      if event.status ~= "failed" then changed[#changed + 1] = { event.title, words.criterion(event, system), words.source(event) or "" } end
    end
  end
  if #found == 0 then add_list(blocks, "Events", { "none" }) end
  add_table(blocks, "Events", { "Level", "Event", "Times", "In all", "When", "Do" }, found)
  add_table(blocks, "Criteria of these events", { "Event", "Criterion", "Source" }, changed)
  add_table(blocks, "Looked for and not found", { "Event", "Criterion", "Source" }, none)
  add_table(blocks, "Not known", { "Event", "Why" }, unknown)
end

local function add_facts(blocks, day, system)
  for _, fact in ipairs(day.facts) do
    local rows = {}
    for i, entry in ipairs(fact.values or {}) do rows[i] = { entry.label, words.measured(entry.value, system), entry.note or "" } end
    if #rows == 0 then rows[1] = { "not known", fact.reason or fact.status, "" } end
    add_table(blocks, fact.title, { "What", "Value", "Note" }, rows)
  end
end

local function add_columns(blocks, day, system)
  local rows = {}
  for i, column in ipairs(day.summary.columns) do
    rows[i] = { (column.name:gsub("_", " ")), words.measured(column.spraying_min, system), words.measured(column.spraying_mean, system),
                words.measured(column.spraying_max, system), tostring(column.missing) }
  end
  add_table(blocks, "Columns, while spraying", { "Column", "Lowest", "Mean", "Highest", "Missing in all" }, rows)
end

local function day_blocks(report)
  local day, system, blocks = report.day, report.units, {}
  add_table(blocks, "Totals", { "What", "Value" }, words.totals(day, system))
  add_windows(blocks, day, system)
  add_events(blocks, day, system)
  add_facts(blocks, day, system)
  add_columns(blocks, day, system)
  local damage = { ("%d rows of %d lines"):format(day.faults.rows, day.faults.lines) }
  for _, sentence in ipairs(words.damage(day)) do damage[#damage + 1] = sentence end
  if #damage == 1 then damage[2] = "nothing wrong with it" end
  add_list(blocks, "The file", damage)
  return blocks
end

-- ---- many ----

local function add_files(blocks, report)
  local labels, rows = words.files(report, "-")
  local unusable = {}
  for _, row in ipairs(report.rows) do unusable[#unusable + 1] = row.unusable end
  add_table(blocks, "Files", labels, rows)
  add_list(blocks, "Cannot be used", unusable)
end

local function add_limits(blocks, report)
  local rows = {}
  for _, found in ipairs(report.charts) do
    rows[#rows + 1] = { found.title, words.measured(found.lower, report.units), words.measured(found.upper, report.units) }
  end
  add_table(blocks, "Limits of the individuals charts over these files (e-Handbook 6.3.2.2)", { "Figure", "Lower", "Upper" }, rows)
end

local function fleet_blocks(report)
  local blocks, rows = {}, {}
  add_files(blocks, report)
  for _, day in ipairs(report.days) do
    for _, event in ipairs(day.events or {}) do
      if (event.status == "found" or event.status == "failed") and event.level ~= "note" then
        rows[#rows + 1] = { day.file, words.levels[event.level], event.title, tostring(event.count), event.time and words.duration(event.time) or "" }
      end
    end
  end
  add_table(blocks, "Events", { "File", "Level", "Event", "Times", "In all" }, rows)
  add_limits(blocks, report)
  return blocks
end

local function facts_of(report)
  local facts, job = {}, report.job or {}
  if report.day then facts[1] = { "Log", report.day.file } end
  for _, key in ipairs { "name", "date", "rig", "material" } do
    if job[key] then facts[#facts + 1] = { key == "name" and "Job" or key:sub(1, 1):upper() .. key:sub(2), tostring(job[key]) } end
  end
  if not report.job then facts[#facts + 1] = { "Job", "none given" } end
  return facts
end

local footer = "Figures support the crew; they never replace data sheets, local codes and licensed practice."

return function(report)
  local t, day = messages.of "en", report.day
  local document = { view = { t = t, system = report.units }, title = day and "Day report" or "Table of logs", facts = facts_of(report), blocks = {},
                     footer = ("Worked out by impinge %s. %s"):format(report.version or "", footer) }
  if day and day.unusable then
    document.verdict, document.verdict_word, document.verdict_text = "not known", "THE LOG CANNOT BE USED", day.unusable
    return write(document)
  end
  document.verdict, document.verdict_word = report.verdict, words.short[report.verdict]
  document.verdict_text = words.verdicts[report.verdict] .. ": " .. words.counts(report)
  document.first = t:list "first_cautions"
  document.blocks = day and day_blocks(report) or fleet_blocks(report)
  add_list(document.blocks, "Cautions", report.cautions)
  return write(document)
end
