-- Text made safe for the format it is written into. Every writer goes through here.
--
-- What cannot be shown harmlessly is replaced, visibly, by U+FFFD (the replacement character): bytes that are no UTF-8,
-- control characters (other than tab and line end), and marks that turn the reading direction or end a line unseen.
-- All else reads back as it was written. JSON keeps everything but bytes that are no UTF-8.
local escape = {}

local replacement = "\u{FFFD}"

-- Bytes that are no UTF-8, replaced one by one.
local function valid(text)
  if utf8.len(text) then return text end
  local parts, from = {}, 1
  while true do
    local length, bad = utf8.len(text, from)
    if length then break end
    parts[#parts + 1] = text:sub(from, bad - 1) .. replacement
    from = bad + 1
  end
  parts[#parts + 1] = text:sub(from)
  return table.concat(parts)
end

-- C1 controls and U+061C; U+200E, 200F, 2028 to 202E; U+2066 to 2069; U+FEFF.
local unseen = { "\xC2[\x80-\x9F]", "\xD8\x9C", "\xE2\x80[\x8E\x8F\xA8-\xAE]", "\xE2\x81[\xA6-\xA9]", "\xEF\xBB\xBF" }

local function visible(value)
  local text = valid(tostring(value)):gsub("[\0-\8\11\12\14-\31\127]", replacement)
  for _, pattern in ipairs(unseen) do text = text:gsub(pattern, replacement) end
  return text
end
escape.visible = visible

local html_marks = { ["&"] = "&amp;", ["<"] = "&lt;", [">"] = "&gt;", ['"'] = "&quot;", ["'"] = "&#39;" }

-- For text between tags and for attributes in double quotes.
function escape.html(value)
  return (visible(value):gsub("[&<>\"']", html_marks))
end

-- One line of plain text: line ends and tabs become one blank.
function escape.line(value)
  return (visible(value):gsub("[\r\n\t]+", " "))
end

-- One line of Markdown: every mark that means something is written with a backslash.
function escape.markdown(value)
  local text = escape.line(value):gsub("[\\`*_{}%[%]<>#|~&!]", "\\%0")
  text = text:gsub("^(%s*)([-+=])", "%1\\%2")
  return (text:gsub("^(%s*%d+)([.)])", "%1\\%2"))
end

-- Text cut to so many characters, with an ellipsis where some are left out.
function escape.cut(value, most)
  local text = escape.line(value)
  local length = utf8.len(text)
  if length <= most then return text end
  return text:sub(1, utf8.offset(text, most) - 1) .. "\u{2026}"
end

local function json_mark(c)
  if c == '"' then return '\\"' end
  if c == "\\" then return "\\\\" end
  if c == "\n" then return "\\n" end
  return string.format("\\u%04x", c:byte())
end

local function json_code(c) return string.format("\\u%04x", utf8.codepoint(c)) end

-- A JSON string with its quotes. Marks that nobody sees are written by their number.
function escape.json(value)
  local text = valid(tostring(value)):gsub('[%c"\\\127]', json_mark)
  for _, pattern in ipairs(unseen) do text = text:gsub(pattern, json_code) end
  return '"' .. text .. '"'
end

local function is_plain_number(text)
  return text:find("^[+-]?[%d.]+[eE]?[+-]?%d*$") ~= nil and tonumber(text) ~= nil
end

-- A CSV cell (RFC 4180). A leading = + - @ or tab would be run as a formula by spreadsheets: it gets a leading
-- apostrophe, unless the cell is a plain number.
function escape.csv(value)
  local text = visible(value)
  if text:find("^[=+%-@\t\r]") and not is_plain_number(text) then text = "'" .. text end
  if text:find('[",\r\n;\t]') then text = '"' .. text:gsub('"', '""') .. '"' end
  return text
end

return escape
