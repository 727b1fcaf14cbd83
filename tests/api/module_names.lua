-- Names that scripts see, one a line:  lua5.4 module_names.lua SCRIPTS_FOLDER SCRATCH.csv, with the module on LUA_CPATH.
-- Functions and tables of `imp`, methods and operators of its values, and the keys of rules' declarations, from the live
-- module and from the tables that check them. Calculations are left to "impinge list".
local imp = require "impinge"
package.path = arg[1] .. "/?.lua"

local lines = {}
local function add(...) lines[#lines + 1] = string.format(...) end

local calculations = {}
for _, id in ipairs(imp.catalogue()) do calculations[id] = true end

local function add_table(values, prefix)
  for name, value in pairs(values) do
    local path = prefix .. name
    if type(value) == "table" then
      add_table(value, path .. ".")
    elseif not calculations[path:gsub("^imp%.", "")] then
      add("%s %s", type(value) == "function" and "function" or "field", path)
    end
  end
end
add_table(imp, "imp.")

-- Methods are the metatable's __index, or stand in a table that its function looks them up in.
local function methods_of(metatable)
  local index = metatable.__index
  for i = 1, type(index) == "function" and 4 or 0 do
    local _, upvalue = debug.getupvalue(index, i)
    if type(upvalue) == "table" then return upvalue end
  end
  return type(index) == "table" and index or {}
end

local function add_value(class, value)
  local metatable = assert(debug.getmetatable(value), class)
  for name, method in pairs(methods_of(metatable)) do
    if type(method) == "function" then add("method %s:%s", class, name) end
  end
  for name in pairs(metatable) do
    if name:find "^__" and name ~= "__index" and name ~= "__name" and name ~= "__metatable" and name ~= "__gc" then add("operator %s %s", class, name) end
  end
end

local file = assert(io.open(arg[2], "w"))
file:write "time [s],iso_flow [L/min]\n0,1\n1,2\n2,2\n"
file:close()
local day = imp.log.open(arg[2])
add_value("quantity", imp.q "1 bar")
add_value("column", imp.column({ 1, 2 }, "bar"))
add_value("day", day)
add_value("answer", day.iso_flow:later():mean())
for span in day.iso_flow:above(imp.q "1.5 L/min"):spans() do
  local _, refusal = pcall(function() return span.none end) -- which names the fields that there are
  for name in refusal:match("a span has (.*), no"):gsub(" and ", ", "):gmatch "%w+" do
    assert(span[name] ~= nil, name)
    add("field span.%s", name)
  end
end

for from, words in pairs { ["pre-job rules"] = require("engine.declarations").fields, ["log rules"] = require("engine.log_book").fields } do
  for word, names in pairs(words) do
    for _, name in ipairs(names) do add("key %s: %s.%s", from, word, name) end
  end
end

table.sort(lines)
local last
for _, line in ipairs(lines) do
  if line ~= last then print(line) end
  last = line
end
