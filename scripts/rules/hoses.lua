-- hoses.lua: how many sections, what pressure stands in them, and what of it reaches the gun.

local imp = require "impinge"
local common = require "rules.shared.common"
local liquid = require "rules.shared.liquid"
local point = require "rules.shared.point"
local work = require "rules.shared.work"
local q = imp.q

rule {
  id = "hose-sections",
  title = "Rig may carry this many hose sections",
  group = "hoses", stage = "plan",
  uses = { "hoses.sections" },
  compute = function(job) return job.hoses.sections end,
  at_most = { from = { "rig.hose.most_sections" } },
  lever = { { path = "hoses.sections", whole = true } },
  source = "the rig's ratings",
  advice = "Take sections off, or move the rig closer.",
}

rule {
  id = "hose-pressure-rating",
  title = "No part sees more pressure than it is rated for",
  group = "hoses", stage = "plan",
  uses = common.join({ "settings.pressure", "hoses.rise" }, work.material_paths),
  safety = true,
  -- Still liquid stands at the set pressure, and higher in the part of the run that lies below the rig. Flowing it
  -- stands nowhere higher, so that the operating point is not needed here.
  compute = function(job)
    local set, rise = job.settings.pressure, job.hoses.rise
    local parts = { { label = "set pressure", value = set } }
    local highest = set
    if rise < imp.q "0 m" then
      for _, side in ipairs(common.sides) do
        local at_bottom = liquid.still_pressure(set, job.material[side].density, rise)
        parts[#parts + 1] = { label = side .. " pressure at the lowest point, still", value = at_bottom }
        highest = highest:max(at_bottom)
      end
    end
    return highest, { parts = parts }
  end,
  at_most = function(job)
    local parts = { "rig.fluid_pressure_limit", "rig.hose.rated_pressure", "rig.gun.rated_pressure" }
    if job.hoses.whip then parts[#parts + 1] = "rig.whip.rated_pressure" end
    return common.weakest(job, nil, parts)
  end,
  lever = { "settings.pressure" },
  source = "the parts' ratings; hydrostatics",
  advice = "Lower the set pressure or replace the weakest part; never take a part above its rating.",
}

rule {
  id = "gun-pressure",
  title = "Enough pressure reaches the gun while spraying",
  group = "hoses", stage = "site",
  compute = function(job)
    local at, why, missing = point.of(job)
    if not at then return point.without(why, missing) end
    point.show_inputs(job)
    return at.iso_gun_pressure:min(at.resin_gun_pressure), { parts = {
      { label = "iso at the gun", value = at.iso_gun_pressure },
      { label = "resin at the gun", value = at.resin_gun_pressure },
      { label = "iso lost in the hoses", value = at.iso_pump_pressure - at.iso_gun_pressure },
      { label = "resin lost in the hoses", value = at.resin_pump_pressure - at.resin_gun_pressure },
      { label = "flow of both sides", value = at.flow },
      { label = "held there by", value = at.governs },
    } }
  end,
  at_least = { from = "window.pressure.min" },
  lever = { point.levers.sections, point.levers.pressure, point.levers.iso_temperature, point.levers.resin_temperature,
            point.levers.hose_temperature, "rig.gun.iso_orifice", "rig.gun.resin_orifice" },
  source = "the material's data sheet; operating point of the rig",
  advice = "Take sections off, set more pressure inside the window, spray warmer, or use a smaller gun chamber.",
}

-- The least temperature that the material wants: the side's own, else the hose's.
local function least_temperature(side)
  local paths = {}
  for _, window in ipairs { side .. "_temperature", "hose_temperature" } do
    paths[#paths + 1] = "window." .. window .. ".min"
    paths[#paths + 1] = "material.window." .. window .. ".min"
  end
  return { from = paths }
end

for _, side in ipairs(common.sides) do
  rule {
    id = side .. "-gun-temperature",
    title = (side == "iso" and "Iso" or "Resin") .. " reaches the gun warm enough while spraying",
    group = "hoses", stage = "site",
    compute = function(job)
      local at, why, missing = point.of(job)
      if not at then return point.not_judged(why, missing) end
      point.show_inputs(job)
      local set, gun = job.settings[side .. "_temperature"], at[side .. "_gun_temperature"]
      return gun, { parts = {
        { label = side .. " as set at the heater", value = set },
        { label = side .. " lost on the way to the gun", value = set - gun },
        { label = "flow of both sides", value = at.flow },
      } }
    end,
    at_least = least_temperature(side),
    lever = { point.levers[side .. "_temperature"], point.levers.hose_temperature, "settings.hose_current",
              point.levers.sections },
    source = "the material's data sheet; operating point of the rig",
    advice = "Set the hose heat and the heater warmer inside the window, shelter the hose and the whip, or take sections off.",
  }
end

rule {
  id = "gun-balance",
  title = "Iso and resin reach the gun at like pressures",
  group = "hoses", stage = "site",
  compute = function(job)
    local at, why, missing = point.of(job)
    if not at then return point.not_judged(why, missing) end
    point.show_inputs(job)
    local higher = at.iso_gun_pressure > at.resin_gun_pressure and "iso" or "resin"
    return at.imbalance, { parts = {
      { label = "iso at the gun", value = at.iso_gun_pressure },
      { label = "resin at the gun", value = at.resin_gun_pressure },
      { label = "iso at the pump", value = at.iso_pump_pressure },
      { label = "resin at the pump", value = at.resin_pump_pressure },
      { label = "higher", value = higher },
    }, note = "difference of the two pressures at the gun over the higher one, flowing; the gauges at the pumps show the "
      .. "hoses' losses too" }
  end,
  at_most = { from = "limits.balance", default = q "20 %", practice = true },
  caution_above = { from = "limits.balance_caution", default = q "10 %", practice = true },
  lever = { "rig.gun.iso_orifice", "rig.gun.resin_orifice", point.levers.iso_temperature, point.levers.resin_temperature },
  source = "practice",
  advice = "The pumps fix the ratio, so the orifices decide: clean them, or match them to the ratio and the densities.",
}
