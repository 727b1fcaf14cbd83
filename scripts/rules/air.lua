-- air.lua: is there enough compressed air, and does it arrive with enough pressure.

local imp = require "impinge"
local common = require "rules.shared.common"
local q = imp.q

local consumer_paths = { "rig.transfer_pumps.iso.air_use", "rig.transfer_pumps.resin.air_use", "rig.gun.air_use" }

-- Breathing air counts only where it must come from this compressor.
local function takes_breathing_air(job)
  return job.rig.breathing_air.source == "shared_compressor"
end

-- Free air that all consumers take while spraying, with its parts; nil, why not, missing.
local function demand(job)
  local rig = job.rig
  local total = rig.transfer_pumps.iso.air_use + rig.transfer_pumps.resin.air_use + rig.gun.air_use
  local parts = { { label = "transfer pumps", value = rig.transfer_pumps.iso.air_use + rig.transfer_pumps.resin.air_use },
                  { label = "gun", value = rig.gun.air_use } }
  if rig.tools_air_use then
    total = total + rig.tools_air_use
    parts[#parts + 1] = { label = "tools", value = rig.tools_air_use }
  end
  if takes_breathing_air(job) then
    if not rig.breathing_air.demand then
      return nil, "breathing air comes from this compressor and its demand is not given", { "rig.breathing_air.demand" }
    end
    total = total + rig.breathing_air.demand
    parts[#parts + 1] = { label = "breathing air", value = rig.breathing_air.demand }
  end
  return total, parts
end

-- A rated delivery is volume at the compressor's own intake: less free air where the site is high or hot.
local function free_air_delivery(job)
  return imp.air.free_air {
    flow = job.rig.compressor.delivery, gauge_pressure = q "0 bar", temperature = job.site.air_temperature,
    ambient_pressure = imp.climate.pressure_at_altitude { altitude = job.site.altitude },
  }
end

-- Duty and starts of the compressor, or duty alone where it cannot keep up.
local function cycle(job)
  local total, parts, missing = demand(job)
  if not total then return nil, parts, missing end
  local supply = free_air_delivery(job)
  parts[#parts + 1] = { label = "demand, free air", value = total }
  parts[#parts + 1] = { label = "free air delivery here", value = supply }
  if total >= supply then
    return { duty = total / supply, keeps_up = false, parts = parts }
  end
  local compressor = job.rig.compressor
  local result = imp.air.receiver_cycle { volume = compressor.receiver_volume, cut_in = compressor.cut_in,
                                          cut_out = compressor.cut_out, demand = total, supply = supply }
  parts[#parts + 1] = { label = "running time in a cycle", value = result.run_time }
  parts[#parts + 1] = { label = "idle time in a cycle", value = result.idle_time }
  parts[#parts + 1] = { label = "starts", value = result.starts_per_hour }
  return { duty = result.duty, starts = result.starts_per_hour, keeps_up = true, parts = parts }
end

local cycle_paths = common.join(consumer_paths, { "rig.compressor.delivery", "rig.compressor.receiver_volume",
                                                  "rig.compressor.cut_in", "rig.compressor.cut_out", "site.altitude" })

rule {
  id = "compressor-duty",
  title = "Compressor has air to spare",
  group = "air", stage = "plan",
  uses = cycle_paths,
  compute = function(job)
    local result, why, missing = cycle(job)
    if not result then return nil, why, missing end
    return result.duty, { parts = result.parts,
                          note = not result.keeps_up and "the demand is above what the compressor delivers here" or nil }
  end,
  at_most = { from = "limits.air_duty", default = q "70 %", practice = true },
  caution_above = { from = "limits.air_duty_caution", default = q "60 %", practice = true },
  lever = { "rig.compressor.delivery", "rig.tools_air_use" },
  source = "practice",
  advice = "Take tools off this compressor, or bring a larger one; breathing air belongs on a source of its own.",
}

rule {
  id = "compressor-starts",
  title = "Compressor does not start too often",
  group = "air", stage = "plan",
  uses = cycle_paths,
  applies = function(job)
    local paths = { "limits.starts_per_hour", "material.limits.starts_per_hour", "rig.limits.starts_per_hour" }
    if not common.first(job, paths) then return false, "no limit of starts per hour is given" end
    return true
  end,
  compute = function(job)
    local result, why, missing = cycle(job)
    if not result then return nil, why, missing end
    return result.starts or q "0 1/h", { parts = result.parts }
  end,
  at_most = { from = "limits.starts_per_hour" },
  lever = { "rig.compressor.receiver_volume" },
  source = "the compressor's data sheet",
  advice = "Use a larger receiver, or set the cut-out higher above the cut-in.",
}

rule {
  id = "breathing-air-source",
  title = "Breathing air is planned from its own source",
  group = "air", stage = "plan",
  uses = { "rig.breathing_air.source" },
  safety = true,
  compute = function(job)
    return takes_breathing_air(job) and q "1" or q "0", {
      note = "The value is 1 where breathing air is taken from the compressor that feeds pumps and gun." }
  end,
  caution_above = q "0",
  source = "practice",
  advice = "Breathe from a source of its own grade; shared air needs its own filters, alarms and air test.",
}

-- The highest of what the consumers need at least.
local function highest_need(job)
  local pumps = job.rig.transfer_pumps
  return pumps.iso.air_window.min:max(pumps.resin.air_window.min):max(job.rig.gun.air_window.min), "rig"
end

rule {
  id = "air-pressure-at-far-end",
  title = "Air arrives with enough pressure",
  group = "air", stage = "plan",
  uses = common.join(consumer_paths, { "rig.compressor.cut_in", "rig.air_line.bore", "rig.air_line.length", "site.altitude",
                                       "rig.transfer_pumps.iso.air_window.min",
                                       "rig.transfer_pumps.resin.air_window.min", "rig.gun.air_window.min" }),
  compute = function(job)
    local total, parts, missing = demand(job)
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
    return cut_in - drop, { parts = parts }
  end,
  at_least = highest_need,
  -- the transfer pumps have regulators of their own, the gun takes what comes
  at_most = { from = { "rig.gun.air_window.max" } },
  lever = { "rig.air_line.bore", "rig.air_line.length", "rig.compressor.cut_in" },
  source = "isothermal pipe flow; the parts' ratings",
  advice = "Use a wider or shorter air hose, or set the cut-in higher.",
}

rule {
  id = "air-regulator",
  title = "Transfer pumps' air is set inside their window",
  group = "air", stage = "plan",
  uses = { "rig.transfer_pumps.iso.air_window.min", "rig.transfer_pumps.iso.air_window.max",
           "rig.transfer_pumps.resin.air_window.min", "rig.transfer_pumps.resin.air_window.max" },
  any_of = { { "settings.transfer_air_pressure" },
             { "rig.transfer_pumps.iso.air_pressure", "rig.transfer_pumps.resin.air_pressure" } },
  -- The side whose setting is closest to an end of its window speaks for both.
  compute = function(job)
    local worst, parts = nil, {}
    for _, side in ipairs(common.sides) do
      local pump = job.rig.transfer_pumps[side]
      local set = job.settings.transfer_air_pressure or pump.air_pressure
      local margin = (set - pump.air_window.min):min(pump.air_window.max - set)
      parts[#parts + 1] = { label = side .. " transfer pump's air", value = set }
      worst = worst and worst:min(margin) or margin
    end
    return worst, { parts = parts, note = "The value is how far the setting lies inside the window." }
  end,
  at_least = q "0 bar",
  lever = { "settings.transfer_air_pressure" },
  source = "the parts' ratings",
  advice = "Set the transfer pumps' regulators inside the window on their plates.",
}
