-- drums.lua: how long drums that are too cold take to warm.

local imp = require "impinge"
local q = imp.q

local drums = {}

function drums.paths(side)
  return { "stock.drum_temperature", "site.air_temperature", "material.drum_volume", "material." .. side .. ".drum_temperature.min",
           "material." .. side .. ".density", "material." .. side .. ".heat_capacity" }
end

-- Time for a side's drums to reach their window; nil, why not, missing; or nil and, fourth, why they never do.
function drums.conditioning(job, side)
  local window = job.material[side].drum_temperature.min
  local drum, air = job.stock.drum_temperature, job.site.air_temperature
  if drum >= window then return q "0 h" end
  local heater = job.rig.drum_heater
  if not (heater.power and heater.loss) then
    return nil, "the drums are too cold and the rig names no drum heater", { "rig.drum_heater.power", "rig.drum_heater.loss" }
  end
  local content = job.material[side]
  local ok, result = pcall(imp.heat.warm_up_time, {
    power = heater.power * (heater.efficiency or q "100 %"),
    heat_capacity_total = job.material.drum_volume * content.density * content.heat_capacity,
    loss = heater.loss, ambient_temperature = air, start_temperature = drum, target_temperature = window,
  })
  if ok then return result.time end
  return nil, nil, nil, tostring(result)
end

return drums
