-- Text made safe for the format it is written into. Every writer goes through here.
local escape = {}

local html_marks = { ["&"] = "&amp;", ["<"] = "&lt;", [">"] = "&gt;", ['"'] = "&quot;", ["'"] = "&#39;" }

-- Control characters, and marks that turn the reading direction, would let a job's text disguise itself.
local function visible(text)
  text = text:gsub("[%z\1-\8\11\12\14-\31\127]", "\u{FFFD}")
  for _, mark in ipairs { "\u{202A}", "\u{202B}", "\u{202C}", "\u{202D}", "\u{202E}", "\u{2066}", "\u{2067}", "\u{2068}", "\u{2069}" } do
    text = text:gsub(mark, "\u{FFFD}")
  end
  return text
end

function escape.html(value)
  return (visible(tostring(value)):gsub("[&<>\"']", html_marks))
end

-- One line of plain text: no control characters, no line ends.
function escape.line(value)
  return (visible(tostring(value)):gsub("[\r\n\t]+", " "))
end

-- A JSON string with its quotes.
function escape.json(value)
  local text = tostring(value):gsub('[%c"\\\127]', function(c)
    if c == '"' then return '\\"' end
    if c == "\\" then return "\\\\" end
    if c == "\n" then return "\\n" end
    return string.format("\\u%04x", c:byte())
  end)
  return '"' .. text .. '"'
end

-- A CSV cell (RFC 4180). A leading = + - @ would be run as a formula by spreadsheets: it gets a leading apostrophe,
-- unless the cell is a plain number.
function escape.csv(value)
  local text = visible(tostring(value))
  if text:find("^[=+%-@]") and not text:find("^[+-]?%d[%d.]*$") then text = "'" .. text end
  if text:find('[",\r\n;]') then text = '"' .. text:gsub('"', '""') .. '"' end
  return text
end

return escape
