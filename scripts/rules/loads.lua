-- loads.lua: whether the rig's loads name everything that it draws: what is not among them is in no current.

local imp = require "impinge"
local hose = require "rules.shared.hose"
local supply = require "rules.shared.supply"
local q = imp.q

-- A load may round its part's plate; common practice, no source.
local rounding = 0.98

-- Of the hose transformer, where everything that tells it is given; a circuit that cannot work has rules of its own.
local function hose_power(job)
  for _, path in ipairs(hose.circuit_paths) do
    local value = imp.path(job, path)
    if value == nil or type(value) == "table" and #value == 0 then return nil end
  end
  local ok, apparent = pcall(hose.apparent_power, job)
  return ok and apparent or nil
end

local write_all = "Write every part that draws from the supply among the rig's loads, with the power on its plate: "
  .. "what is not there is in no current, and a cable can burn under it."

rule {
  id = "loads-complete",
  title = "The rig's loads name all that it draws",
  group = "power", stage = "plan",
  uses = supply.paths,
  safety = true,
  compute = function(job)
    local loads, why, missing = supply.loads(job)
    if not loads then return nil, why, missing end
    local compared, short, parts = supply.parts_beside_loads(job, loads, hose_power(job)), {}, {}
    if #compared == 0 then
      return nil, "neither heaters nor a drive motor are given to compare the loads with",
        { "rig.heaters.iso.power", "rig.heaters.resin.power" }
    end
    for _, beside in ipairs(compared) do
      parts[#parts + 1] = { label = beside.part .. " takes, by the rig", value = beside.needs }
      parts[#parts + 1] = { label = beside.part .. " takes, by the loads", value = beside.listed }
      if beside.listed < beside.needs * rounding then
        short[#short + 1] = ("the %s (%s): %s, and the loads have %s"):format(beside.part, beside.paths,
          beside.needs:to(beside.unit, 3), beside.listed:to(beside.unit, 3))
      end
    end
    if #short > 0 then
      return nil, { missing = { "rig.loads" }, advice = write_all, parts = parts,
        reason = "too little is among the rig's loads (rig.loads) for " .. table.concat(short, "; for ") }
    end
    return q "0", { parts = parts, note = "What is neither a heater, the drive, the hose nor the compressor cannot be checked." }
  end,
  at_most = q "0",
  shown = { value = "all that is known is listed", yes = q "0" },
  source = "the sum of the parts; 2 % for rounded plates: common practice, no source",
  advice = write_all,
}
