-- log_pieces.lua: the document of partial results: a JSON object with one entry a file, whose `state` is the core's own.
local imp = require "impinge"
local escape = require "report.escape"
local fault = require "engine.fault"

local pieces = {}

local version = "1"

function pieces.write(list)
  local parts = {}
  for i, piece in ipairs(list) do
    local rest = piece.unusable and '"unusable": ' .. escape.json(piece.unusable)
                 or ('"period": %s, "state": %s'):format(escape.json(piece.period:to("s", 17)), piece.text)
    parts[i] = '{"file": ' .. escape.json(piece.file) .. ", " .. rest .. "}"
  end
  return '{"impinge": ' .. version .. ', "kind": "log summary", "files": [\n' .. table.concat(parts, ",\n") .. "\n]}\n"
end

local marks = { b = "\b", f = "\f", n = "\n", r = "\r", t = "\t" }

-- The text of a JSON string.
local function text_of(raw)
  local inner = raw:match '^"(.*)"$'
  if not inner then return nil end
  inner = inner:gsub("\\u([dD][89aAbB]%x%x)\\u([dD][c-fC-F]%x%x)", function(high, low)
    return utf8.char(0x10000 + (tonumber(high, 16) - 0xD800) * 0x400 + tonumber(low, 16) - 0xDC00)
  end)
  return (inner:gsub("\\(.)(%x?%x?%x?%x?)", function(mark, digits)
    if mark == "u" then return utf8.char(tonumber(digits, 16)) end
    return (marks[mark] or mark) .. digits
  end))
end

local function refuse(path, why)
  fault.raise("partial result %s: %s; expected what \"impinge log --partial\" wrote", path, why)
end

local function read_one(path, list)
  local file, problem = io.open(path, "rb")
  if not file then fault.raise("partial result %s", problem) end
  local text = file:read "a"
  file:close()
  local document = host.json_members(text or "")
  if not document or document.kind ~= '"log summary"' then refuse(path, "this is no log summary") end
  if document.impinge ~= version then refuse(path, "it was written by another version") end
  local entries = host.json_items(document.files or "")
  if not entries or #entries == 0 then refuse(path, "it holds no file") end
  for _, entry in ipairs(entries) do
    local members = host.json_members(entry)
    local name = members and members.file and text_of(members.file)
    if not name then refuse(path, "an entry has no file") end
    if members.unusable then
      list[#list + 1] = { file = name, unusable = text_of(members.unusable) }
    else
      local ok, period = pcall(imp.q, text_of(members.period or "") or "")
      if not ok or not members.state then refuse(path, "an entry is not whole") end
      list[#list + 1] = { file = name, period = period, text = members.state }
    end
  end
end

-- The entries of all documents, in order.
function pieces.read(paths)
  local list = {}
  for _, path in ipairs(paths) do read_one(path, list) end
  return list
end

return pieces
