-- Plain text for a terminal or a printer of fixed letters.
local escape = require "report.escape"

local wrap = {}

wrap.width = 100

function wrap.columns(text) return utf8.len(text) or #text end

-- Text in lines of at most wrap.width columns where its words allow it; following lines begin with `rest`.
function wrap.lines(text, first, rest)
  local lines, line, length, bare = {}, { first }, wrap.columns(first), true
  for word in escape.line(text):gmatch("%S+") do
    local word_length = wrap.columns(word)
    if not bare and length + 1 + word_length > wrap.width then
      lines[#lines + 1] = table.concat(line)
      line, length, bare = { rest }, wrap.columns(rest), true
    end
    if not bare then
      line[#line + 1] = " "
      length = length + 1
    end
    line[#line + 1] = word
    length, bare = length + word_length, false
  end
  lines[#lines + 1] = table.concat(line)
  return (table.concat(lines, "\n"):gsub("[ ]+\n", "\n"):gsub("[ ]+$", ""))
end

function wrap.padded(text, columns)
  return text .. string.rep(" ", columns - wrap.columns(text))
end

-- Rows of texts in columns; numbers: set of columns that stand to the right.
function wrap.table(headings, rows, indent)
  local wide = {}
  for _, row in ipairs { headings, table.unpack(rows) } do
    for i = 1, #headings do wide[i] = math.max(wide[i] or 0, wrap.columns(row[i] or "")) end
  end
  local lines = {}
  local function add(row)
    local cells = {}
    for i = 1, #headings do cells[i] = wrap.padded(row[i] or "", wide[i]) end
    lines[#lines + 1] = (indent .. table.concat(cells, "  ")):gsub("%s+$", "")
  end
  add(headings)
  local rule = {}
  for i = 1, #headings do rule[i] = string.rep("-", wide[i]) end
  add(rule)
  for _, row in ipairs(rows) do add(row) end
  return table.concat(lines, "\n")
end

return wrap
