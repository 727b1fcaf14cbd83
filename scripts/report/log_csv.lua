-- Job logs as CSV (RFC 4180): of one log everything in one long table, of many the fleet table with a row each.
local imp = require "impinge"
local csv = require "report.csv"
local display = require "report.display"
local fleet = require "engine.log_fleet"
local words = require "report.log_words"

local function split(value, system)
  if value == nil then return "", "" end
  if not imp.is_quantity(value) then return tostring(value), "" end
  return display.parts(value, system, 6)
end

local function day_table(report)
  local day, system = report.day, report.units
  local lines = { csv.line { "section", "id", "what", "value", "unit", "from", "to", "seconds", "note" } }
  local function add(section, id, what, value, from, to, seconds, note)
    local number, unit = split(value, system)
    lines[#lines + 1] = csv.line { section, id, what or "", number, unit, from or "", to or "", seconds and seconds:value "s" or "", note or "" }
  end
  if day.unusable then
    add("file", "unusable", nil, nil, nil, nil, nil, day.unusable)
    return table.concat(lines)
  end
  local plain = { "rows", "first_time", "last_time", "sprays", "volume_by" }
  for _, key in ipairs(plain) do add("total", key, nil, day.summary[key]) end
  for key, value in imp.sorted_pairs(day.summary) do
    if imp.is_quantity(value) then add("total", key, nil, value) end
  end
  for _, window in ipairs(day.summary.windows) do
    for _, part in ipairs { "below", "inside", "above" } do add("window", window.column, part, nil, nil, nil, window[part]) end
  end
  for _, event in ipairs(day.events) do
    if #event.spans == 0 then add("event", event.id, event.status, nil, nil, nil, nil, event.reason) end
    for _, span in ipairs(event.spans) do
      local values = {}
      for i, entry in ipairs(span.values) do values[i] = words.value(entry, system) end
      if span.note then table.insert(values, 1, span.note) end
      add(event.level, event.id, span.label, nil, words.clock(day, span.start), words.clock(day, span.finish), span.duration, table.concat(values, "; "))
    end
  end
  for _, fact in ipairs(day.facts) do
    if fact.status ~= "known" then add("fact", fact.id, fact.status, nil, nil, nil, nil, fact.reason) end
    for _, entry in ipairs(fact.values or {}) do add("fact", fact.id, entry.label, entry.value, nil, nil, nil, entry.note) end
  end
  for _, column in ipairs(day.summary.columns) do
    for _, key in ipairs { "min", "mean", "max", "spraying_min", "spraying_mean", "spraying_max" } do add("column", column.name, key, column[key]) end
    add("column", column.name, "missing", column.missing)
  end
  for _, found in ipairs(day.faults.found) do add("damage", found.key, found.text, found.count) end
  return table.concat(lines)
end

local function fleet_table(report)
  local system, head = report.units, { "file", "from", "to", "rows", "sprays" }
  for _, figure in ipairs(fleet.figures) do
    head[#head + 1] = figure.key
    head[#head + 1] = figure.key .. "_unit"
  end
  for _, key in ipairs { "stops", "cautions", "damage", "outliers", "unusable" } do head[#head + 1] = key end
  local lines = { csv.line(head) }
  local function add(row, name)
    local cells = { name, row.first_time or "", row.last_time or "", row.rows or "", row.sprays or "" }
    for _, figure in ipairs(fleet.figures) do
      local number, unit = split(row[figure.key], system)
      cells[#cells + 1], cells[#cells + 2] = number, unit
    end
    local outliers = {}
    for key in imp.sorted_pairs(row.outliers or {}) do outliers[#outliers + 1] = key end
    for _, value in ipairs { row.stops or "", row.cautions or "", row.damage or "", table.concat(outliers, " "), row.unusable or "" } do
      cells[#cells + 1] = value
    end
    lines[#lines + 1] = csv.line(cells)
  end
  for _, row in ipairs(report.rows) do add(row, row.file) end
  add(report.totals, "total")
  return table.concat(lines)
end

return function(report)
  return report.day and day_table(report) or fleet_table(report)
end
