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

local encode

local function is_array(value)
  return #value > 0 or next(value) == nil
end

local function encode_table(value, indent)
  local inner = indent .. "  "
  local parts = {}
  if is_array(value) then
    for _, item in ipairs(value) do parts[#parts + 1] = inner .. encode(item, inner) end
    if #parts == 0 then return "[]" end
    return "[\n" .. table.concat(parts, ",\n") .. "\n" .. indent .. "]"
  end
  local keys = {}
  for key in pairs(value) do keys[#keys + 1] = key end
  table.sort(keys)
  for _, key in ipairs(keys) do
    parts[#parts + 1] = inner .. escape.json(key) .. ": " .. encode(value[key], inner)
  end
  return "{\n" .. table.concat(parts, ",\n") .. "\n" .. indent .. "}"
end

function encode(value, indent)
  if imp.is_quantity(value) then
    local unit = value:unit()
    return string.format('{"value": %s, "unit": %s}', number(value:value(unit)), escape.json(unit))
  end
  local kind = type(value)
  if kind == "number" then return number(value) end
  if kind == "boolean" then return tostring(value) end
  if kind == "table" then return encode_table(value, indent) end
  return escape.json(value)
end

local json = {}

function json.encode(value) return encode(value, "") .. "\n" end

-- What is beside the results and no part of them.
local aside = { view = true }

return setmetatable(json, { __call = function(_, results)
  local document = { impinge = 1, report = "pre-job check" }
  for key, value in pairs(results) do
    if not aside[key] then document[key] = value end
  end
  return json.encode(document)
end })
