-- A document: what a report says, before it has a form. Every form writes the same cells.
--
-- document = { report = "set-up sheet", title =, view =, verdict = or nil, verdict_word = or nil, verdict_text =, facts = { { label, text } },
--              banner = what must not be overlooked, above all, or nil,
--              last = the last line of plain text, or nil for the verdict, first = { lines under the verdict } or nil, blocks = { ... }, footer =, one_page = true, digits = 3 or nil, data = what JSON gets }
-- block = { kind = "heading", text = } | { kind = "text", text =, small = true } | { kind = "list", items = { text } }
--       | { kind = "boxes", items = { { text =, done = true } } } | { kind = "chart", spec = }
--       | { kind = "signed", labels = { text } }
--       | { kind = "table", caption =, unseen = true where a heading says it, is_again = true where its
--         headings stand above already, is_even = true for columns of one width, has_reasons = true where the last column
--         needs room, columns = { { label =, number = true, blank = true } }, rows = { { cell, ... } } }
-- A row may have group = a heading for it and the rows below that have none. A cell is a text, a quantity,
-- { low = quantity, high = quantity, is_worked_out = true }, { lines = { text or { text =, english = true } } }
-- (several, which plain text sets under each other), or { text =, english = true } for text that is not translated.
local imp = require "impinge"
local display = require "report.display"

local cell = {}

-- The texts of a cell of several lines.
function cell.lines(document, value)
  local texts = {}
  for i, line in ipairs(value.lines or {}) do texts[i] = (cell.text(document, line)) end
  return texts
end

-- The cell as plain text, not yet escaped, and whether it stayed in English.
function cell.text(document, value)
  if value == nil then return "" end
  local system, digits = document.view.system, document.digits
  if imp.is_quantity(value) then return display.show(value, system, digits) end
  if type(value) ~= "table" then return tostring(value) end
  if value.lines then return table.concat(cell.lines(document, value), "; ") end
  if value.text then return value.text, value.english and document.view.t.language ~= "en" end
  local t = document.view.t
  digits = value.is_worked_out and 3 or digits
  if value.low == nil then return t "at_most" .. " " .. display.show(value.high, system, digits) end
  if value.high == nil then return t "at_least" .. " " .. display.show(value.low, system, digits) end
  local low, low_unit = display.parts(value.low, system, digits)
  local high, unit = display.parts(value.high, system, digits)
  if low_unit ~= unit then return display.show(value.low, system, digits) .. " " .. t "to" .. " " .. display.show(value.high, system, digits) end
  return low .. " " .. t "to" .. " " .. high .. (unit ~= "" and " " .. unit or "")
end

return cell
