-- A document as Markdown (CommonMark with tables).
local cell = require "report.document.cell"
local chart = require "chart"
local escape = require "report.escape"
local m = escape.markdown

local blocks = {}

local function row_text(cells) return "| " .. table.concat(cells, " | ") .. " |" end

local function table_text(headings, rows)
  local lines, rule = { row_text(headings) }, {}
  for i = 1, #headings do rule[i] = "---" end
  lines[2] = row_text(rule)
  for _, row in ipairs(rows) do lines[#lines + 1] = row_text(row) end
  return table.concat(lines, "\n") .. "\n"
end

local function escaped(texts)
  local made = {}
  for i, text in ipairs(texts) do made[i] = m(text) end
  return made
end

function blocks.heading(_, block) return "## " .. m(block.text) .. "\n" end
function blocks.text(_, block) return m(block.text) .. "\n" end

function blocks.list(_, block)
  local items = {}
  for i, item in ipairs(block.items) do items[i] = "- " .. m(item) end
  return table.concat(items, "\n") .. "\n"
end

function blocks.boxes(document, block)
  local items = {}
  for i, item in ipairs(block.items) do items[i] = "- [" .. (item.done and "x" or " ") .. "] " .. m((cell.text(document, item))) end
  return table.concat(items, "\n") .. "\n"
end

function blocks.chart(_, block)
  local headings, rows = chart.rows(block.spec)
  for i, row in ipairs(rows) do rows[i] = escaped(row) end
  return "**" .. m(block.spec.title) .. "**\n\n" .. table_text(escaped(headings), rows)
end

function blocks.signed(_, block) return m(table.concat(block.labels, ":          ") .. ":") .. "\n" end

function blocks.table(document, block)
  local headings, rows = {}, {}
  if block.grouped then headings[1] = m(block.grouped) end
  for _, column in ipairs(block.columns) do headings[#headings + 1] = m(column.label) end
  for i, row in ipairs(block.rows) do
    local texts = block.grouped and { m(row.group or "") } or {}
    for k in ipairs(block.columns) do texts[#texts + 1] = m((cell.text(document, row[k]))) end
    rows[i] = texts
  end
  return table_text(headings, rows)
end

return function(document)
  local t, parts = document.view.t, {}
  parts[1] = "# " .. m(document.title) .. (document.verdict and ": " .. m(document.verdict_word or t("verdict " .. document.verdict)) or "") .. "\n"
  if document.banner then table.insert(parts, 1, "**" .. m(document.banner) .. "**\n") end
  local facts = {}
  for i, fact in ipairs(document.facts) do facts[i] = "- " .. m(fact[1]) .. ": " .. m(fact[2]) end
  parts[#parts + 1] = table.concat(facts, "\n") .. "\n"
  if document.verdict_text then parts[#parts + 1] = m(document.verdict_text) .. "\n" end
  if document.first then parts[#parts + 1] = blocks.list(document, { items = document.first }) end
  for _, block in ipairs(document.blocks) do parts[#parts + 1] = blocks[block.kind](document, block) end
  parts[#parts + 1] = m(document.footer)
  return table.concat(parts, "\n") .. "\n"
end
