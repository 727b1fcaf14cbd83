-- declared.lua: what every declaration of a rule file has in common, of checks and of logs: its place in the file, its fields
-- and its id.

local fault = require "engine.fault"

local declared = {}

-- Written by the host, not by the file.
local own = { declared = true, file = true, line = true }

function declared.fail(declaration, message, ...)
  fault.raise("%s:%d: %s: %s", declaration.file or "?", declaration.line or 0, declaration.declared, message:format(...))
end

-- fields: { word = { names } }; example: an id such as this kind of rule has.
function declared.check_fields(declaration, fields, example)
  local known = {}
  local names = fields[declaration.declared]
  for _, name in ipairs(names) do known[name] = true end
  for name in host.sorted_pairs(declaration) do
    if not known[name] and not own[name] then
      declared.fail(declaration, "has no field %q; its fields are %s", tostring(name), table.concat(names, ", "))
    end
  end
  if not known.id then return end -- a case tells the rule it is about
  if type(declaration.id) ~= "string" or not declaration.id:match "^[%l%d][%l%d-]*$" then
    declared.fail(declaration, "id must be a name such as \"%s\" (small letters, digits, hyphens)", example)
  end
end

-- The name nearest to a mistyped one among names, a list, or nil; a third of the letters may be wrong.
function declared.nearest(name, names)
  local least, nearest = #name // 3 + 2, nil
  for _, other in ipairs(names) do
    local distance = host.name_distance(name, other, least)
    if distance < least then least, nearest = distance, other end
  end
  return nearest
end

function declared.need_reason(declaration)
  if type(declaration.reason) ~= "string" or not declaration.reason:match "%S" then
    declared.fail(declaration, "%q needs a reason: it is printed in the report", declaration.id)
  end
end

return declared
