-- The same operations from Lua, beside pure Lua without any check. Run by the stock lua5.4 with the loadable module:
--   lua5.4 lua_bench.lua MODULE_FOLDER RIGS.json
package.cpath = arg[1] .. "/?.so"
local imp = require "impinge"
local q = imp.q

local function report(name, turns, work)
  local least = math.huge
  for _ = 1, 5 do
    local start = os.clock()
    for i = 1, turns do work(i) end
    least = math.min(least, (os.clock() - start) / turns)
  end
  print(string.format("%s\t%.1f", name, least * 1e9))
end

local function colebrook(reynolds, roughness)
  local x = 8.0
  for _ = 1, 60 do
    local next_x = -2.0 * math.log(roughness / 3.7 + 2.51 * x / reynolds, 10)
    if math.abs(next_x - x) < 1e-12 then break end
    x = next_x
  end
  return 1.0 / (x * x)
end

local function drop(flow, bore, length, density, viscosity)
  local area = math.pi * bore * bore / 4
  local velocity = flow / area
  local reynolds = density * velocity * bore / viscosity
  return 64 / reynolds * length / bore * density * velocity * velocity / 2
end

local reynolds, roughness = q(1e5, "1"), q(1e-4, "1")
local flow, bore, length, density, viscosity = q "3 L/min", q "9.5 mm", q "60 m", q "1100 kg/m^3", q "180 cP"
local a, b = q "3 bar", q "20 psi"
local sink
report("Lua: hose.friction_factor", 200000, function() sink = imp.hose.friction_factor { reynolds = reynolds, relative_roughness = roughness } end)
report("pure Lua: Colebrook by iteration", 200000, function(i) sink = colebrook(1e5 + (i & 1023), 1e-4) end)
report("Lua: hose.pressure_drop", 200000, function()
  sink = imp.hose.pressure_drop { flow = flow, bore = bore, length = length, density = density, viscosity = viscosity }
end)
report("pure Lua: Hagen-Poiseuille, no check", 200000, function(i) sink = drop(5e-5 + 1e-9 * (i & 1023), 9.5e-3, 60, 1100, 0.18) end)
report("Lua: quantity + quantity", 1000000, function() sink = a + b end)
report("pure Lua: number + number", 1000000, function(i) sink = i + 0.5 end)

-- The invented rigs of the independent check: plain JSON, so that a table constructor is two replacements away.
local file = assert(io.open(arg[2]))
local text = file:read "a":gsub("%[", "{"):gsub("%]", "}"):gsub('("[^"\n]*")%s*:', "[%1] =")
file:close()
for _, rig in ipairs(load("return " .. text)().rigs) do
  local inputs = rig.inputs
  local name = "Lua: operating point, " .. rig.name
  report(name, 200, function() sink = imp.rig.operating_point(inputs) end)
end
assert(sink)
