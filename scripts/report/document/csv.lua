-- A document's tables as CSV: one line a row, with the table's caption before it; quantities in two cells, number and unit.
local imp = require "impinge"
local cell = require "report.document.cell"
local csv = require "report.csv"
local display = require "report.display"

local function add_cells(cells, document, value)
  if imp.is_quantity(value) then
    cells[#cells + 1], cells[#cells + 2] = display.parts(value, document.view.system, document.digits)
  else
    cells[#cells + 1] = cell.text(document, value)
    cells[#cells + 1] = ""
  end
end

return function(document)
  local lines = { document.banner and csv.line { document.banner } }
  for _, block in ipairs(document.blocks) do
    if block.kind == "table" then
      local headings, group = { "table", "group" }, ""
      for i, column in ipairs(block.columns) do
        headings[#headings + 1] = column.label
        if i > 1 then headings[#headings + 1] = column.label .. ", " .. document.view.t "unit" end
      end
      lines[#lines + 1] = csv.line(headings)
      for _, row in ipairs(block.rows) do
        group = row.group or group
        local cells = { block.caption, group, (cell.text(document, row[1])) }
        for i = 2, #block.columns do add_cells(cells, document, row[i]) end
        lines[#lines + 1] = csv.line(cells)
      end
    end
  end
  return table.concat(lines)
end
