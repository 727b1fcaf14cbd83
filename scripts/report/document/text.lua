-- A document as plain text.
local cell = require "report.document.cell"
local chart = require "chart"
local escape = require "report.escape"
local wrap = require "report.wrap"

local blocks = {}

function blocks.heading(_, block) return "\n" .. block.text .. "\n" .. string.rep("-", wrap.columns(block.text)) end

function blocks.text(_, block) return wrap.lines(block.text, "", "") end

function blocks.list(_, block)
  local items = {}
  for i, item in ipairs(block.items) do items[i] = wrap.lines(item, "  * ", "    ") end
  return table.concat(items, "\n")
end

function blocks.boxes(document, block)
  local items = {}
  for i, item in ipairs(block.items) do items[i] = wrap.lines((cell.text(document, item)), item.done and "  [x] " or "  [ ] ", "      ") end
  return table.concat(items, "\n")
end

function blocks.chart(_, block)
  local headings, rows = chart.rows(block.spec)
  return "\n" .. escape.line(block.spec.title) .. "\n" .. wrap.table(headings, rows, "  ")
end

function blocks.signed(_, block)
  local parts = {}
  for i, label in ipairs(block.labels) do parts[i] = label .. ": ____________________" end
  return "\n" .. table.concat(parts, "    ")
end

local longest_cell = 72

-- Rows for the second and further lines of cells that have several; the first stands in the row itself.
local function add_lines(document, rows, texts, columns, row, before)
  for k in ipairs(columns) do
    local lines = type(row[k]) == "table" and cell.lines(document, row[k]) or {}
    for i, line in ipairs(lines) do
      local target = i == 1 and texts or {}
      for place = 1, i > 1 and before + #columns or 0 do target[place] = "" end
      target[before + k] = escape.line(line)
      if i > 1 then rows[#rows + 1] = target end
    end
  end
end

function blocks.table(document, block)
  local headings, rows = {}, {}
  if block.grouped then headings[1] = block.grouped end
  for _, column in ipairs(block.columns) do headings[#headings + 1] = column.label end
  for _, row in ipairs(block.rows) do
    local texts = {}
    if block.grouped then texts[1] = row.group or "" end
    for k, column in ipairs(block.columns) do
      local text = cell.text(document, row[k])
      texts[#texts + 1] = column.blank and row[k] == nil and "________" or escape.cut(text, longest_cell)
    end
    rows[#rows + 1] = texts
    add_lines(document, rows, texts, block.columns, row, block.grouped and 1 or 0)
  end
  return wrap.table(headings, rows, "  ")
end

return function(document)
  local t, lines = document.view.t, { "" }
  local verdict = document.verdict and (document.verdict_word or t("verdict " .. document.verdict))
  if document.banner then lines[2] = "*** " .. wrap.capitals(document.banner) .. " ***" end
  lines[#lines + 1] = wrap.lines(wrap.capitals(document.title) .. (verdict and ": " .. verdict or ""), "", "")
  lines[#lines + 1] = ""
  for _, fact in ipairs(document.facts) do lines[#lines + 1] = wrap.lines(fact[2], wrap.padded(fact[1] .. ":", 14) .. " ", string.rep(" ", 15)) end
  if document.verdict_text then lines[#lines + 1] = wrap.lines(document.verdict_text, "", "") end
  for _, line in ipairs(document.first or {}) do lines[#lines + 1] = wrap.lines(line, "  ! ", "    ") end
  if document.blocks[1] and document.blocks[1].kind == "table" then lines[#lines + 1] = "" end
  for _, block in ipairs(document.blocks) do lines[#lines + 1] = blocks[block.kind](document, block) end
  lines[#lines + 1] = ""
  lines[#lines + 1] = wrap.lines(document.footer, "", "")
  local last = document.last or verdict
  if last then lines[#lines + 1] = "\n" .. wrap.lines(last, "", "") end
  return table.concat(lines, "\n") .. "\n"
end
