-- Plain text for a terminal or a printer of fixed letters.
local escape = require "report.escape"

local wrap = {}

wrap.width = 100

-- Capitals beyond ASCII that the languages of the message tables write.
local capitals = { ["á"] = "Á", ["é"] = "É", ["í"] = "Í", ["ó"] = "Ó", ["ú"] = "Ú", ["ü"] = "Ü", ["ñ"] = "Ñ" }

function wrap.capitals(text) return (text:upper():gsub(utf8.charpattern, capitals)) end

function wrap.columns(text) return utf8.len(text) or #text end

-- Last byte of the line that begins at byte `at` and has room for so many columns. A longer word stands out, so that a path
-- can be copied; one that is longer than a whole line is broken.
local function end_of_line(text, at, room)
  local limit = (utf8.offset(text, room + 1, at) or #text + 1) - 1
  if limit >= #text then return #text end
  if text:byte(limit + 1) == 32 then return limit end
  local blank = text:sub(at, limit):match "^.*() "
  if blank then return at + blank - 2 end
  local last = (text:find(" ", limit + 1, true) or #text + 1) - 1
  return wrap.columns(text:sub(at, last)) > wrap.width and limit or last
end

-- Text in lines of at most wrap.width columns where its words allow it; following lines begin with `rest`.
function wrap.lines(text, first, rest)
  text = escape.line(text):gsub("%s+", " "):gsub("^ ", ""):gsub(" $", "")
  local lines, at, lead = {}, 1, first
  repeat
    local last = end_of_line(text, at, wrap.width - wrap.columns(lead))
    lines[#lines + 1] = (lead .. text:sub(at, last)):gsub(" +$", "")
    at, lead = last + (text:byte(last + 1) == 32 and 2 or 1), rest
  until at > #text
  return table.concat(lines, "\n")
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
