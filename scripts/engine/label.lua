-- label.lua: how a document's path reads to a person: "supply.cable.length" is "cable length".

local label = {}

local records = { site = true, settings = true, supply = true, stock = true, work = true, measured = true,
                  confirmed = true, rig = true, material = true, limits = true }
local ends = { min = "lowest", max = "highest" }
local special = { ["hoses.sections"] = "hose sections", ["hoses.rise"] = "height of the gun above the rig",
                  ["supply.voltage"] = "supply voltage", ["supply.phases"] = "phases of the supply",
                  ["supply.breaker"] = "breaker rating", ["supply.plug"] = "plug rating",
                  ["shift"] = "shift", ["rig.loads"] = "electrical loads",
                  ["settings.pressure"] = "set pressure", ["settings.flow"] = "planned flow",
                  ["settings.iso_temperature"] = "iso set temperature",
                  ["settings.resin_temperature"] = "resin set temperature",
                  ["settings.hose_temperature"] = "hose set temperature" }

function label.of(path)
  if special[path] then return special[path] end
  local words = {}
  for word in path:gmatch "[^.]+" do
    words[#words + 1] = (word:gsub("_", " "))
  end
  while #words > 1 and records[(words[1]:gsub(" ", "_"))] do table.remove(words, 1) end
  local last = ends[words[#words]]
  if last and #words > 1 then
    words[#words] = nil
    table.insert(words, 1, last)
  end
  return table.concat(words, " ")
end

return label
