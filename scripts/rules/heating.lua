-- heating.lua: hose heat, primary heaters, drums.

local imp = require "impinge"
local common = require "rules.shared.common"
local drums = require "rules.shared.drums"
local hose = require "rules.shared.hose"
local liquid = require "rules.shared.liquid"
local point = require "rules.shared.point"
local supply = require "rules.shared.supply"
local q = imp.q

local hose_paths = common.join({ "settings.hose_temperature", "site.air_temperature" }, hose.circuit_paths)

local function needed_per_metre(job)
  local loss, why, missing = hose.loss_coefficient(job)
  if not loss then return nil, why, missing end
  return common.shown_in("W/m", loss * (job.settings.hose_temperature - job.site.air_temperature))
end

rule {
  id = "hose-tap",
  title = "Hose heat can hold the set temperature",
  group = "heating", stage = "site",
  uses = hose_paths,
  applies = function(job)
    local set, air = job.settings.hose_temperature, job.site.air_temperature
    if set and air and set <= air then return false, "the air is at least as warm as the hose temperature that is set" end
    return true
  end,
  compute = function(job)
    local needed, why, missing = needed_per_metre(job)
    if not needed then return nil, why, missing end
    local tap = hose.tap(job, { power_per_length = needed })
    return needed, { parts = {
      { label = tap.limited_by == "need met" and "lowest tap that does it" or "best tap, which does not do it",
        value = tap.voltage },
      { label = "hose current", value = tap.current },
      { label = "power to the hose", value = tap.power },
      { label = "limited by", value = tap.limited_by },
    } }
  end,
  -- at the current that is set, where that is below the circuit's limit
  at_most = function(job)
    local limit, set = job.rig.hose.current_limit, job.settings.hose_current
    if set and set < limit then return hose.tap(job, { current = set }).power_per_length, "job" end
    return hose.tap(job, { current = limit }).power_per_length, "rig"
  end,
  lever = { "settings.hose_temperature",
            { path = "settings.hose_current", most = { "rig.hose.current_limit" } }, { path = "hoses.sections", whole = true } },
  source = "heat balance of the hose; Ohm's law",
  advice = "Take sections off, insulate or shelter the hose, set more current inside the circuit's limit, or set it cooler "
    .. "inside its window.",
}

-- What a tap's winding bears where all taps share one conductor: the current that the rating gives on the highest tap.
local function highest_tap(job)
  local highest
  for _, tap in ipairs(job.rig.hose.taps) do highest = highest and highest:max(tap) or tap end
  return highest
end

rule {
  id = "hose-transformer",
  title = "Hose transformer bears the hose current",
  group = "heating", stage = "plan",
  uses = common.join(hose.circuit_paths, { "rig.hose.transformer_rating" }),
  safety = true,
  compute = function(job)
    local apparent, tap = hose.apparent_power(job)
    local rating = job.rig.hose.transformer_rating
    return apparent, {
      parts = { { label = "tap", value = tap.voltage }, { label = "hose current", value = tap.current } },
      caution = highest_tap(job) * tap.current > rating and "the tap gives more current than the rating does on the highest tap: "
        .. "the winding bears it only where the maker says so" or nil,
      note = "Apparent power from the transformer: its tap's voltage times the current, also where a regulator cuts it down.",
    }
  end,
  at_most = { from = { "rig.hose.transformer_rating" } },
  lever = { "settings.hose_current", { path = "hoses.sections", whole = true } },
  source = "apparent power, IEC 60050-141; the transformer's rating",
  advice = "Set less hose current, or use a larger transformer: an overloaded one burns.",
}

rule {
  id = "hose-warm-up",
  title = "Hose warms up in reasonable time",
  group = "heating", stage = "site",
  uses = common.join(hose_paths, hose.content_paths),
  compute = function(job)
    local warm_up, why, missing = hose.warm_up(job)
    if not warm_up then return nil, why, missing end
    if warm_up.unreachable then return nil, { stop = "the hose heat never reaches the set temperature", parts = warm_up.parts } end
    return warm_up.time, { parts = warm_up.parts }
  end,
  caution_above = { from = "limits.warm_up_time", default = q "45 min", practice = true },
  lever = { { path = "hoses.sections", whole = true }, "settings.hose_current" },
  source = "practice",
  advice = "Start the hose heat earlier, shelter the hose, or use fewer sections.",
}

for _, side in ipairs(common.sides) do
  rule {
    id = side .. "-primary-heater",
    title = (side == "iso" and "Iso" or "Resin") .. " heater is strong enough for the flow",
    group = "heating", stage = "site",
    uses = common.join({ "settings.flow", "settings." .. side .. "_temperature", "stock.drum_temperature",
                         "supply.measured_voltage", "supply.voltage", "supply.phases",
                         "rig.heaters." .. side .. ".power", "rig.heaters." .. side .. ".rated_voltage",
                         "material." .. side .. ".density", "material." .. side .. ".heat_capacity" },
                       { "material.volume_ratio" }),
    compute = function(job)
      local rise = job.settings[side .. "_temperature"] - job.stock.drum_temperature
      local planned = liquid.side_flow(job, side)
      local spraying, of_what = point.flow_while_spraying(job, side)
      local flow = planned:max(spraying)
      local parts = { { label = side .. " flow as planned", value = planned } }
      local assumed = common.assumed(job, {
        { "rig.heaters." .. side .. ".efficiency", "all of the " .. side .. " heater's heat reaches the liquid" } })
      if spraying ~= planned then parts[2] = { label = of_what, value = spraying } end
      parts[#parts + 1] = { label = "temperature rise", value = rise }
      if rise <= q "0 K" then return q "0 kW", { parts = parts, assumed = assumed, note = "the drums are already as warm as set" } end
      return imp.heat.heating_power {
        flow = flow, density = liquid.density(job, side, job.stock.drum_temperature),
        heat_capacity = job.material[side].heat_capacity, temperature_rise = rise, efficiency = job.rig.heaters[side].efficiency,
      }, { parts = parts, assumed = assumed }
    end,
    at_most = function(job)
      local heater = job.rig.heaters[side]
      return imp.electrical.heater_power { rated_power = heater.power, rated_voltage = heater.rated_voltage,
                                           voltage = supply.voltage_at(job, heater.rated_voltage) }, "rig"
    end,
    lever = { "settings.flow", point.levers.pressure, "rig.gun.iso_orifice", "rig.gun.resin_orifice",
              "stock.drum_temperature", "settings." .. side .. "_temperature" },
    source = "heat balance; V^2 for the heater",
    advice = "Spray slower, use a smaller gun orifice, or warm the drums first.",
  }
end

rule {
  id = "trapped-liquid",
  title = "Heated liquid can expand",
  group = "heating", stage = "site",
  uses = { "settings.iso_temperature", "settings.resin_temperature", "settings.hose_temperature", "site.air_temperature" },
  safety = true,
  compute = function(job)
    if job.confirmed.release_route_open then
      return q "0 K", { note = "a release route is confirmed open" }
    end
    local settings = job.settings
    local hottest = settings.iso_temperature:max(settings.resin_temperature):max(settings.hose_temperature)
    local rise = hottest - job.site.air_temperature
    return rise:max(q "0 K"), { note = "Liquid would be held between closed valves; "
      .. "no release route is confirmed (confirmed.release_route_open)." }
  end,
  at_most = q "0 K",
  shown = { value = "trapped liquid heated by" },
  source = "thermal expansion of a liquid that cannot move: its pressure rises by bars for each kelvin",
  advice = "Open the release valves to the drums and confirm it before any heat goes on: trapped liquid bursts hoses.",
}

for _, side in ipairs(common.sides) do
  rule {
    id = side .. "-drum-conditioning",
    title = (side == "iso" and "Iso" or "Resin") .. " drums reach their temperature in time",
    group = "heating", stage = "site",
    uses = drums.paths(side),
    compute = function(job)
      local time, why, missing, failed = drums.conditioning(job, side)
      if failed then return nil, { stop = "the drum heater never brings the drum to its temperature" } end
      if not time then return nil, why, missing end
      local heats = time > q "0 h"
      return time, { assumed = heats and common.assumed(job, {
        { "rig.drum_heater.efficiency", "all of the drum heater's heat reaches the liquid" } }) or nil }
    end,
    caution_above = { from = { "limits.conditioning_time", "material.limits.conditioning_time",
                               "rig.limits.conditioning_time", "shift" } },
    lever = { "stock.drum_temperature" },
    source = "practice",
    advice = "Bring the drums into the warm a day or two ahead, or heat them longer; loosen the bung or fit a vent first, and keep the iso dry.",
  }
end
