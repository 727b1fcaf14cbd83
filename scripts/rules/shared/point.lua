-- point.lua: the rig's operating point at the job's settings, for the rules that judge it.

local imp = require "impinge"
local liquid = require "rules.shared.liquid"

local point = {}

-- The inputs of rig.operating_point and of the questions on top of it; changes = other inputs, or others for these.
function point.inputs(job, changes)
  local inputs = { rig = job.rig, material = job.material, hoses = job.hoses, settings = job.settings, site = job.site,
                   supply = job.supply, stock = job.stock, profile = "no" }
  for name, value in pairs(changes or {}) do inputs[name] = value end
  return inputs
end

-- The core names what is missing by its path.
local function named_paths(message)
  local paths = {}
  for path in message:gmatch "%l[%l_]*%.[%l_.]+" do paths[#paths + 1] = path end
  return paths
end

-- The operating point; or nil, why there is none, and the paths that are missing, or none where nothing is missing: the
-- rig cannot spray like that.
function point.of(job, changes)
  local ok, result = pcall(imp.rig.operating_point, point.inputs(job, changes))
  if ok then return result end
  local message = tostring(result):match "rig%.operating_point: (.*)$" or tostring(result)
  if message:find "^missing " then return nil, message, named_paths(message) end
  return nil, message
end

-- What compute returns where there is no operating point: a stop for the one rule that looks after there being one.
function point.without(why, missing)
  if missing then return nil, why, missing end
  return nil, { stop = "the rig has no operating point: " .. why,
                advice = "Put right what stands there, then check again: the rules that judge the spraying rig wait for it." }
end

-- The same for the rules beside it, which have nothing to judge: the stop is told once.
function point.not_judged(why, missing)
  if missing then return nil, why, missing end
  return nil, { reason = "not judged: no operating point (see the rule gun-pressure)",
                advice = "Put right what the rule gun-pressure names, then check again." }
end

-- What the pump takes in while the trigger is pulled: at the operating point, else, where there is none, as planned.
function point.flow_while_spraying(job, side)
  local at = point.of(job)
  if at then return at[side .. "_flow"], side .. " flow at the operating point" end
  return liquid.side_flow(job, side), side .. " flow as planned (the operating point is not known)"
end

-- The settings that matter most, read so that the finding lists them.
function point.show_inputs(job)
  for _, path in ipairs { "settings.pressure", "settings.iso_temperature", "settings.resin_temperature",
                          "settings.hose_temperature", "hoses.sections", "site.air_temperature",
                          "stock.drum_temperature", "rig.gun.iso_orifice", "rig.gun.resin_orifice" } do
    imp.path(job, path)
  end
end

-- What the set pressure asks of the drive: the operating point of the same rig with a drive that knows no limits.
function point.unlimited(job)
  local rig = { drive = { area = job.rig.drive.area, efficiency = job.rig.drive.efficiency } }
  for _, part in ipairs { "pumps", "heaters", "hose", "whip", "gun", "transfer_pumps" } do rig[part] = job.rig[part] end
  return point.of(job, { rig = rig })
end

-- Levers, as far as material and parts bear.
point.levers = {
  sections = { path = "hoses.sections", whole = true, most = { "rig.hose.most_sections" } },
  pressure = { path = "settings.pressure",
               most = { "window.pressure.max", "material.window.pressure.max", "rig.fluid_pressure_limit",
                        "rig.hose.rated_pressure", "rig.gun.rated_pressure" } },
}
for _, name in ipairs { "iso_temperature", "resin_temperature", "hose_temperature" } do
  point.levers[name] = { path = "settings." .. name,
                         most = { "window." .. name .. ".max", "material.window." .. name .. ".max" } }
end

return point
