-- settings.lua: what the technician sets, against the material's window and the weakest rated part.

local common = require "rules.shared.common"

-- The window's upper end, or a rated part where that is weaker.
local function upper(window, parts_of)
  return function(job) return common.weakest(job, window, parts_of(job)) end
end

local function with_whip(job, paths, whip_path)
  if job.hoses.whip then paths[#paths + 1] = whip_path end
  return paths
end

local function temperature_rule(name, title, parts_of, advice)
  local setting = "settings." .. name
  local window = "window." .. name
  rule {
    id = name:gsub("_", "-") .. "-setting",
    title = title,
    group = "settings", stage = "plan",
    uses = { setting },
    compute = function(job) return job.settings[name] end,
    at_least = { from = window .. ".min" },
    at_most = upper(window, parts_of),
    lever = { setting },
    source = "the material's data sheet and the parts' ratings",
    advice = advice,
  }
end

local function liquid_parts(side)
  return function(job)
    return with_whip(job, { "rig.heaters." .. side .. ".highest_temperature", "rig.hose.rated_temperature",
                            "rig.gun.rated_temperature" }, "rig.whip.rated_temperature")
  end
end

temperature_rule("iso_temperature", "Iso set temperature is right", liquid_parts "iso",
  "Set the iso heater inside the window.")
temperature_rule("resin_temperature", "Resin set temperature is right", liquid_parts "resin",
  "Set the resin heater inside the window.")
temperature_rule("hose_temperature", "Hose set temperature is right",
  function(job)
    return with_whip(job, { "rig.hose.rated_temperature", "rig.gun.rated_temperature" }, "rig.whip.rated_temperature")
  end, "Set the hose heat inside the window.")

rule {
  id = "pressure-setting",
  title = "Set pressure is right",
  group = "settings", stage = "plan",
  uses = { "settings.pressure" },
  compute = function(job) return job.settings.pressure end,
  at_least = { from = "window.pressure.min" },
  at_most = upper("window.pressure", function(job)
    return with_whip(job, { "rig.fluid_pressure_limit", "rig.hose.rated_pressure", "rig.gun.rated_pressure" },
                     "rig.whip.rated_pressure")
  end),
  lever = { "settings.pressure" },
  source = "the material's data sheet and the parts' ratings",
  advice = "Set the pressure inside the window; the gun gets less than the rig while spraying.",
}

rule {
  id = "hose-current-setting",
  title = "Hose current is within the circuit's limit",
  group = "settings", stage = "plan",
  uses = { "settings.hose_current" },
  compute = function(job) return job.settings.hose_current end,
  at_most = { from = { "rig.hose.current_limit" } },
  lever = { "settings.hose_current" },
  source = "the rig's ratings",
  advice = "Turn the hose current down to what the hose circuit bears.",
}
