-- The findings of the pre-job check as CSV (RFC 4180), one row each, with headings that do not change with the language.
local display = require "report.display"
local escape = require "report.escape"
local said = require "report.said"
local view_of = require "report.view".of

local columns = { "group", "rule", "stage", "verdict", "title", "value", "value_unit", "limit_kind", "limit", "limit_unit", "limit_from",
                  "margin", "margin_unit", "reason", "advice", "what_would_pass", "source" }

local digits = 6 -- for a spreadsheet that works on with them

local function split(value, system)
  if value == nil then return "", "" end
  if type(value) == "string" or type(value) == "boolean" then return tostring(value), "" end
  return display.parts(value, system, digits)
end

local function passes(view, finding)
  return table.concat((said.levers(view.t, finding.levers, view.system)), "; ")
end

local function row_of(view, finding)
  local t = view.t
  local value, value_unit = split(finding.value, view.system)
  local limit, limit_unit = split(finding.limit, view.system)
  local margin, margin_unit = split(finding.margin, view.system)
  return { finding.group, finding.id, finding.stage or "", finding.verdict, (t:title(finding)), value, value_unit,
           finding.limit and finding.limit_kind or "", limit, limit_unit, finding.limit_origin or "", margin, margin_unit,
           (t:sentence(finding.reason or "")), (said.advice(t, finding)) or "", passes(view, finding),
           finding.practice and t "practice" or finding.source or "" }
end

local csv = {}

function csv.line(cells)
  local parts = {}
  for i, cell in ipairs(cells) do parts[i] = escape.csv(cell) end
  return table.concat(parts, ",") .. "\r\n"
end

return setmetatable(csv, { __call = function(_, results)
  local view, lines = view_of(results), { csv.line(columns) }
  for _, finding in ipairs(results.findings) do lines[#lines + 1] = csv.line(row_of(view, finding)) end
  return table.concat(lines)
end })
