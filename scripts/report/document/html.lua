-- A document as HTML.
local cell = require "report.document.cell"
local chart = require "chart"
local escape = require "report.escape"
local page = require "report.page"
local h = escape.html

local blocks = {}

local function cell_html(document, value)
  if type(value) ~= "table" or not value.lines then return page.words(cell.text(document, value)) end
  local parts = {}
  for i, line in ipairs(value.lines) do parts[i] = page.words(cell.text(document, line)) end
  return table.concat(parts, "<br>")
end

function blocks.heading(_, block) return "<h2>" .. h(block.text) .. "</h2>\n" end

function blocks.text(_, block) return "<p" .. (block.small and " class=small" or "") .. ">" .. page.words(block.text, block.english) .. "</p>\n" end

function blocks.list(_, block)
  local items = {}
  for i, item in ipairs(block.items) do items[i] = "<li>" .. page.words(item, block.english) .. "</li>" end
  return "<ul>" .. table.concat(items) .. "</ul>\n"
end

function blocks.boxes(document, block)
  local items = {}
  for i, item in ipairs(block.items) do
    items[i] = "<li><span aria-hidden=true>" .. (item.done and "\u{2611}" or "\u{2610}") .. "</span> " .. cell_html(document, item) .. "</li>"
  end
  return "<ul class=boxes>" .. table.concat(items) .. "</ul>\n"
end

function blocks.chart(_, block) return chart.figure(block.spec) end

function blocks.signed(_, block)
  local parts = {}
  for i, label in ipairs(block.labels) do parts[i] = "<span>" .. h(label) .. ":</span>" end
  return "<p class=signed>" .. table.concat(parts) .. "</p>\n"
end

local function row_html(document, block, row, span)
  local parts = { "<tr>" }
  if block.grouped and row.group then parts[2] = "<th scope=rowgroup rowspan=" .. span .. ">" .. h(row.group) .. "</th>" end
  for i = 1, #block.columns do
    local column, value = block.columns[i], row[i]
    local label = i > 1 and " data-label=\"" .. h(column.label) .. "\"" or ""
    if i == 1 then
      parts[#parts + 1] = "<th scope=row>" .. cell_html(document, value) .. "</th>"
    elseif column.blank and value == nil then
      parts[#parts + 1] = "<td class=blank" .. label .. "></td>"
    else
      parts[#parts + 1] = "<td class=number" .. (value ~= nil and value ~= "" and label or "") .. ">" .. cell_html(document, value) .. "</td>"
    end
  end
  parts[#parts + 1] = "</tr>\n"
  return table.concat(parts)
end

local function bodies(document, block)
  local parts, i = {}, 1
  while i <= #block.rows do
    local last = i
    while block.grouped and block.rows[last + 1] and not block.rows[last + 1].group do last = last + 1 end
    if not block.grouped then last = #block.rows end
    parts[#parts + 1] = "<tbody>"
    for k = i, last do parts[#parts + 1] = row_html(document, block, block.rows[k], last - i + 1) end
    parts[#parts + 1] = "</tbody>\n"
    i = last + 1
  end
  return table.concat(parts)
end

function blocks.table(document, block)
  local class = (block.narrow and "data" or block.grouped and "list grouped" or "list") .. (block.is_again and " again" or "") ..
    (block.is_even and " even" or "") .. (block.has_reasons and " reasons" or "")
  local parts = { "<table class=\"" .. class .. "\"><caption" .. (block.unseen and " class=unseen" or "") .. ">" .. h(block.caption) ..
    "</caption><thead><tr>" }
  if block.grouped then parts[#parts + 1] = "<th scope=col>" .. h(block.grouped) .. "</th>" end
  for _, column in ipairs(block.columns) do parts[#parts + 1] = "<th scope=col>" .. h(column.label) .. "</th>" end
  parts[#parts + 1] = "</tr></thead>\n" .. bodies(document, block) .. "</table>"
  local inner = table.concat(parts)
  return block.narrow and page.wide(block.caption, inner) .. "\n" or inner .. "\n"
end

return function(document)
  local view, parts = document.view, {}
  local t = view.t
  for i, block in ipairs(document.blocks) do parts[i] = blocks[block.kind](document, block) end
  local verdict = document.verdict and page.verdict(t, document.verdict, h(document.verdict_text), document.verdict_word) or ""
  local head = (document.banner and "<p class=banner>" .. h(document.banner) .. "</p>\n" or "") .. "<h1>" .. h(document.title) .. "</h1>\n" .. verdict .. (document.first and page.first_cautions(t) or "") .. page.facts(document.facts)
  return page.whole(t, document.title .. " - " .. document.facts[1][2], document.one_page and "sheet" or nil, head, table.concat(parts), h(document.footer))
end
