-- What a sandboxed script finds in its globals, one a line: impinge run sandbox_names.lua
local own = { imp = true, _G = true, arg = true }
for name, value in imp.sorted_pairs(_G) do
  if type(value) == "table" and not own[name] then
    for inner in imp.sorted_pairs(value) do print("global " .. name .. "." .. inner) end
  elseif not own[name] then
    print("global " .. name)
  end
end
