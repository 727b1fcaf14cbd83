-- air.lua: what the consumers of compressed air take, and the pressure at which it arrives.

local imp = require "impinge"

local air = {}

air.consumer_paths = { "rig.transfer_pumps.iso.air_use", "rig.transfer_pumps.resin.air_use", "rig.gun.air_use" }
air.line_paths = { "rig.compressor.cut_in", "rig.air_line.bore", "rig.air_line.length", "site.altitude" }

-- Breathing air counts only where it must come from this compressor.
function air.takes_breathing_air(job)
  return job.rig.breathing_air.source == "shared_compressor"
end

-- Free air that all consumers take while spraying, with its parts; nil, why not, missing.
function air.demand(job)
  local rig = job.rig
  local total = rig.transfer_pumps.iso.air_use + rig.transfer_pumps.resin.air_use + rig.gun.air_use
  local parts = { { label = "transfer pumps", value = rig.transfer_pumps.iso.air_use + rig.transfer_pumps.resin.air_use },
                  { label = "gun", value = rig.gun.air_use } }
  if rig.tools_air_use then
    total = total + rig.tools_air_use
    parts[#parts + 1] = { label = "tools", value = rig.tools_air_use }
  end
  if air.takes_breathing_air(job) then
    if not rig.breathing_air.demand then
      return nil, "breathing air comes from this compressor and its demand is not given", { "rig.breathing_air.demand" }
    end
    total = total + rig.breathing_air.demand
    parts[#parts + 1] = { label = "breathing air", value = rig.breathing_air.demand }
  end
  return total, parts
end

-- Gauge pressure at the far end of the air line with the receiver at cut-in, and its parts; nil, why not, missing; or nil
-- and details with the reason for a stop.
function air.arriving(job)
  local total, parts, missing = air.demand(job)
  if not total then return nil, parts, missing end
  local line, cut_in = job.rig.air_line, job.rig.compressor.cut_in
  local ok, drop = pcall(imp.air.line_drop, {
    free_air_flow = total, bore = line.bore, length = line.length, inlet_gauge_pressure = cut_in,
    temperature = job.site.air_temperature,
    ambient_pressure = imp.climate.pressure_at_altitude { altitude = job.site.altitude },
  })
  parts[#parts + 1] = { label = "receiver at cut-in", value = cut_in }
  if not ok then return nil, { stop = "the air line cannot pass this flow", parts = parts } end
  parts[#parts + 1] = { label = "drop along the air line", value = drop }
  return cut_in - drop, parts
end

-- What arrives, none where the line cannot pass the flow; nil where the job does not tell enough for it.
function air.arriving_if_known(job)
  for _, paths in ipairs { air.consumer_paths, air.line_paths } do
    for _, path in ipairs(paths) do
      if imp.path(job, path) == nil then return nil end
    end
  end
  local pressure, details = air.arriving(job)
  if pressure == nil and type(details) == "table" then return imp.q "0 bar" end
  return pressure
end

-- The transfer pump's air as its regulator is set.
function air.set_for_transfer(job, side)
  return job.settings.transfer_air_pressure or job.rig.transfer_pumps[side].air_pressure
end

return air
