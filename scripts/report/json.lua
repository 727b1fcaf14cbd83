-- The pre-job check as JSON: stable names, all digits, keys in a stated order.
local imp = require "impinge"
local escape = require "report.escape"

-- Shortest text that reads back the same double.
local function number(value)
  if math.type(value) == "integer" then return string.format("%d", value) end
  if value ~= value or value == math.huge or value == -math.huge then return "null" end
  for digits = 15, 17 do
    local text = string.format("%." .. digits .. "g", value)
    if tonumber(text) == value then return text end
  end
end

local function is_array(value)
  return #value > 0 or next(value) == nil
end

local put_value

local function put_array(put, value, indent)
  local inner = indent .. "  "
  for i, item in ipairs(value) do
    put((i == 1 and "[\n" or ",\n") .. inner)
    put_value(put, item, inner)
  end
  put(#value == 0 and "[]" or "\n" .. indent .. "]")
end

local function put_object(put, value, indent)
  local inner, keys = indent .. "  ", {}
  for key in pairs(value) do keys[#keys + 1] = key end
  table.sort(keys)
  for i, key in ipairs(keys) do
    put((i == 1 and "{\n" or ",\n") .. inner .. escape.json(key) .. ": ")
    put_value(put, value[key], inner)
  end
  put("\n" .. indent .. "}")
end

-- A function stands for the value that it returns when its turn comes, so that long lists need not all be there at once.
function put_value(put, value, indent)
  if type(value) == "function" then value = value() end
  local kind = type(value)
  if imp.is_quantity(value) then
    local unit = value:unit()
    put(string.format('{"value": %s, "unit": %s}', number(value:value(unit)), escape.json(unit)))
  elseif kind == "number" then put(number(value))
  elseif kind == "boolean" then put(tostring(value))
  elseif kind ~= "table" then put(escape.json(value))
  elseif is_array(value) then put_array(put, value, indent)
  else put_object(put, value, indent) end
end

local json = {}

local piece = 16384 -- bytes

-- Hands the text to `write` in pieces.
function json.write(value, write)
  local parts, length = {}, 0
  local function put(text)
    parts[#parts + 1] = text
    length = length + #text
    if length >= piece then
      write(table.concat(parts))
      parts, length = {}, 0
    end
  end
  put_value(put, value, "")
  put "\n"
  write(table.concat(parts))
end

function json.encode(value)
  local pieces = {}
  json.write(value, function(text) pieces[#pieces + 1] = text end)
  return table.concat(pieces)
end

-- What is beside the results and no part of them.
local aside = { view = true }

return setmetatable(json, { __call = function(_, results)
  local document = { impinge = 1, report = "pre-job check" }
  for key, value in pairs(results) do
    if not aside[key] then document[key] = value end
  end
  return json.encode(document)
end })
