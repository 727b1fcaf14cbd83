-- compare.lua: whether a value is what a declared case expects, within what the case allows. See cases.lua.
local imp = require "impinge"

local compare = {}

local millionth = imp.q(1e-6)

local function as_quantity(value)
  if type(value) == "string" or type(value) == "number" then return imp.q(value) end
  return value
end

local function is_pure(value)
  return (pcall(value.value, value, "1"))
end

local function size(value)
  return value < value * 0 and -value or value
end

local function is_close(got, expected, within)
  local deviation = size(got - expected)
  if within == nil or is_pure(within) and not is_pure(deviation) then within = size(expected) * (within or millionth) end
  return deviation <= within
end

-- nil when the output holds, else what is wrong.
function compare.fault(name, got, expected, within)
  if type(within) == "table" then within = within[name] end
  local ok, close
  if imp.is_quantity(got) then
    ok, close = pcall(is_close, got, as_quantity(expected), as_quantity(within))
  else
    ok, close = true, got == expected
  end
  if not ok then return ("%s: %s"):format(name, (tostring(close):gsub("^[^%s:]+%.lua:%d+: ", ""))) end
  if not close then return ("%s is %s, expected %s"):format(name, tostring(got), tostring(expected)) end
end

return compare
