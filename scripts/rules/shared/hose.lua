-- hose.lua: the heated hose: what it loses, what its circuit gives, how long it takes to warm up.

local imp = require "impinge"
local common = require "rules.shared.common"
local supply = require "rules.shared.supply"

local hose = {}

function hose.length(job)
  return job.hoses.sections * job.rig.hose.section_length
end

-- Heat lost by a metre of the hose pair for each kelvin: the rig's figure, else from its insulation.
-- Returns nil, why not, missing where neither is known.
function hose.loss_coefficient(job)
  local circuit = job.rig.hose
  if circuit.loss_coefficient then return circuit.loss_coefficient end
  local insulation = circuit.insulation
  if not (insulation.inner_diameter and insulation.outer_diameter and insulation.conductivity) then
    local missing = { "rig.hose.loss_coefficient" }
    return nil, "neither the hose's loss coefficient nor its insulation is given", missing
  end
  return imp.heat.hose_loss {
    inner_diameter = insulation.inner_diameter, outer_diameter = insulation.outer_diameter,
    insulation_conductivity = insulation.conductivity, fluid_temperature = job.settings.hose_temperature,
    ambient_temperature = job.site.air_temperature, wind_speed = job.site.wind_speed,
  }.loss_coefficient
end

-- What the hose circuit gives with a current setting, or for a power that each metre needs.
function hose.tap(job, wanted)
  local circuit = job.rig.hose
  local primary = circuit.primary_voltage
  return imp.heat.hose_tap {
    section_resistance = circuit.section_resistance, sections = job.hoses.sections, section_length = circuit.section_length,
    taps = circuit.taps, current_limit = circuit.current_limit, lead_resistance = circuit.lead_resistance,
    current_setting = wanted.current, required_power_per_length = wanted.power_per_length,
    supply_ratio = primary and supply.voltage_at(job, primary) / primary or nil,
  }
end

hose.circuit_paths = { "hoses.sections", "rig.hose.section_length", "rig.hose.section_resistance", "rig.hose.taps",
                              "rig.hose.current_limit", "rig.hose.primary_voltage", "supply.voltage", "supply.phases" }

-- Apparent power that the hose transformer takes at the current that is set, or at its limit; its tap beside it.
function hose.apparent_power(job)
  local set, limit = job.settings.hose_current, job.rig.hose.current_limit
  local tap = hose.tap(job, { current = set and set:min(limit) or limit })
  return tap.apparent_power, tap
end

hose.content_paths = { "rig.hose.iso_bore", "rig.hose.resin_bore", "rig.hose.heat_capacity_per_length",
                              "material.iso.density", "material.iso.heat_capacity", "material.resin.density",
                              "material.resin.heat_capacity" }

-- Time to warm the hose and the liquid in it from the air's temperature to the set one, at the current set, or at the
-- circuit's limit: { time=, parts= } or { unreachable=true, parts= }, or nil, why not, missing.
function hose.warm_up(job)
  local loss, why, missing = hose.loss_coefficient(job)
  if not loss then return nil, why, missing end
  local length = hose.length(job)
  local air = job.site.air_temperature
  local capacity = job.rig.hose.heat_capacity_per_length * length
  for _, side in ipairs(common.sides) do
    local fill = imp.hose.fill { bore = job.rig.hose[side .. "_bore"], length = length }
    capacity = capacity + fill.volume * job.material[side].density * job.material[side].heat_capacity
  end
  local tap = hose.tap(job, { current = job.settings.hose_current or job.rig.hose.current_limit })
  local parts = { { label = "power to the hose", value = tap.power }, { label = "hose current", value = tap.current },
                  { label = "heat capacity, liquid counted", value = common.shown_in("kJ/K", capacity) } }
  if job.settings.hose_temperature <= air then return { time = imp.q "0 min", parts = parts } end
  local ok, result = pcall(imp.heat.warm_up_time, {
    power = tap.power, heat_capacity_total = capacity, loss = loss * length, ambient_temperature = air,
    start_temperature = air, target_temperature = job.settings.hose_temperature,
  })
  if not ok then return { unreachable = true, parts = parts } end
  return { time = result.time, parts = parts }
end

return hose
