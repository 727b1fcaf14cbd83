-- The stubs name exactly what the module gives:  lua5.4 stub_names.lua STUBS.lua SCRATCH.csv, with the module on LUA_CPATH.
local imp = require "impinge"
local path = arg[1]
local stubs = assert(loadfile(path))()
local faults = {}

local function fault(...) faults[#faults + 1] = string.format(...) end

-- Each name on either side, a group's names within it.
local function compare(ours, theirs, prefix)
  for name, value in pairs(ours) do
    local other = rawget(theirs, name)
    if other == nil then fault("the stubs lack %s%s", prefix, name)
    elseif type(other) ~= type(value) then fault("%s%s is a %s, in the stubs a %s", prefix, name, type(value), type(other))
    elseif type(value) == "table" then compare(value, other, prefix .. name .. ".") end
  end
  for name in pairs(theirs) do
    if rawget(ours, name) == nil then fault("the stubs name %s%s, which the module hasn't got", prefix, name) end
  end
end
compare(imp, stubs, "imp.")

-- Methods: those of the metatable (or of the function that looks them up), and those that the stubs declare for a class.
local function methods(value, class)
  local declared = {}
  for line in io.lines(path) do
    local name = line:match("^function " .. class .. ":([%w_]+)")
    if name then declared[name] = function() end end
  end
  local real = debug.getmetatable(value).__index
  for i = 1, type(real) == "function" and 3 or 0 do
    local _, upvalue = debug.getupvalue(real, i)
    if type(upvalue) == "table" then real = upvalue break end
  end
  assert(type(real) == "table", class)
  compare(real, declared, class .. ":")
end
methods(imp.q "1 bar", "quantity")
methods(imp.column({ 1, 2 }, "bar"), "column")
local file = assert(io.open(arg[2], "w"))
file:write "time [s],iso_flow [L/min]\n0,1\n1,2\n"
file:close()
methods(imp.log.open(arg[2]), "day")

if #faults > 0 then error(table.concat(faults, "\n"), 0) end
