-- feed.lua: pressure at the inlet of the proportioning pumps.

local imp = require "impinge"
local air_supply = require "rules.shared.air"
local common = require "rules.shared.common"
local liquid = require "rules.shared.liquid"
local point = require "rules.shared.point"
local q = imp.q

local function paths(side)
  local pump = "rig.transfer_pumps." .. side .. "."
  return { "settings.flow", "stock.drum_temperature", "material.volume_ratio", pump .. "pressure_ratio",
           pump .. "line_bore", pump .. "line_length", pump .. "rise", "material." .. side .. ".density",
           "material." .. side .. ".viscosity" }
end

local function air_paths(side)
  return { { "settings.transfer_air_pressure" }, { "rig.transfer_pumps." .. side .. ".air_pressure" } }
end

-- Gauge pressure that the transfer pump makes at its drum, what the line takes by friction, and the liquid's state; or nil
-- and why not.
local function feed(job, side)
  local pump = job.rig.transfer_pumps[side]
  local drum = job.stock.drum_temperature
  local resistance, no_viscosity = liquid.viscosity(job, side, drum)
  if not resistance then return nil, no_viscosity end
  local extrapolated = resistance.extrapolated == "yes"
  local air, arriving = air_supply.set_for_transfer(job, side), air_supply.arriving_if_known(job)
  local out_of_reach = arriving ~= nil and arriving < air
  local density = liquid.density(job, side, drum)
  local flow, of_what = point.flow_while_spraying(job, side)
  local line = imp.hose.pressure_drop { flow = flow, bore = pump.line_bore,
                                        length = pump.line_length, density = density, viscosity = resistance.viscosity }
  local parts = { { label = of_what, value = flow } }
  if out_of_reach then
    parts[2] = { label = "air as the regulator is set", value = air }
    air = arriving
  end
  for _, part in ipairs {
    { label = out_of_reach and "air that arrives at the transfer pump" or "air pressure at the transfer pump", value = air },
    { label = "pressure at the drum", value = air * pump.pressure_ratio },
    { label = "viscosity at drum temperature" .. (extrapolated and ", extrapolated" or ""), value = resistance.viscosity },
    { label = "line drop", value = line.pressure_drop },
  } do
    parts[#parts + 1] = part
  end
  return { supply = air * pump.pressure_ratio, drop = line.pressure_drop, density = density, rise = pump.rise,
           parts = parts, caution = extrapolated and "the drum temperature lies outside the material's viscosity points" or nil }
end

for _, side in ipairs(common.sides) do
  local name = side == "iso" and "Iso" or "Resin"
  local lever = { "stock.drum_temperature", "settings.transfer_air_pressure", "settings.pressure", "settings.flow",
                  "rig.transfer_pumps." .. side .. ".line_bore" }

  rule {
    id = side .. "-inlet-pressure",
    title = name .. " pump inlet has enough pressure",
    group = "feed", stage = "site",
    uses = paths(side), any_of = air_paths(side),
    compute = function(job)
      local line, why = feed(job, side)
      if not line then return nil, why end
      local lift = liquid.still_pressure(line.supply, line.density, line.rise)
      return lift - line.drop, { parts = line.parts, caution = line.caution }
    end,
    -- common practice, from memory
    at_least = { from = "limits.inlet_pressure", default = q "1 bar", practice = true },
    caution_below = { from = "limits.inlet_pressure_caution", default = q "3 bar", practice = true },
    lever = lever,
    source = "practice",
    advice = "Warm the drum, raise the transfer pump's air, or use a shorter or wider line; look at the strainer.",
  }

  rule {
    id = side .. "-suction-margin",
    title = name .. " does not boil at the pump inlet",
    group = "feed", stage = "site",
    uses = common.join(paths(side), { "material." .. side .. ".vapour_pressure", "site.altitude" }),
    any_of = air_paths(side),
    compute = function(job)
      local line, why = feed(job, side)
      if not line then return nil, why end
      local vapour = job.material[side].vapour_pressure
      line.parts[#line.parts + 1] = { label = "vapour pressure", value = vapour }
      return imp.pump.inlet_margin {
        supply_absolute_pressure = line.supply + imp.climate.pressure_at_altitude { altitude = job.site.altitude },
        line_drop = line.drop, vapour_pressure = vapour, rise = line.rise, density = line.density,
      }, { parts = line.parts, caution = line.caution }
    end,
    at_least = { from = "limits.inlet_margin", default = q "0 bar", source = "net positive suction head, ISO 17769-1" },
    lever = lever,
    source = "net positive suction head, ISO 17769-1",
    advice = "Warm a thick liquid or cool a boiling one, raise the transfer pump's air, or use a wider line.",
  }
end
