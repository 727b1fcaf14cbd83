-- air.lua: is there enough compressed air, and does it arrive with enough pressure.

local imp = require "impinge"
local air = require "rules.shared.air"
local common = require "rules.shared.common"
local q = imp.q

-- A rated delivery is volume at the compressor's own intake: less free air where the site is high or hot.
local function free_air_delivery(job)
  return imp.air.free_air {
    flow = job.rig.compressor.delivery, gauge_pressure = q "0 bar", temperature = job.site.air_temperature,
    ambient_pressure = imp.climate.pressure_at_altitude { altitude = job.site.altitude },
  }
end

-- Duty and starts of the compressor, or duty alone where it cannot keep up.
local function cycle(job)
  local total, parts, missing = air.demand(job)
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

local cycle_paths = common.join(air.consumer_paths, { "rig.compressor.delivery", "rig.compressor.receiver_volume",
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
    local shared = air.takes_breathing_air(job)
    local stop = shared and job.confirmed.breathing_air_own_source == true
      and "the rig takes breathing air from the compressor that feeds pumps and gun, yet a source of its own is confirmed: "
        .. "one of the two is wrong" or nil
    return shared and q "1" or q "0", { stop = stop,
      advice = stop and "Find out where the masks' air comes from, and put right rig.breathing_air.source or "
        .. "confirmed.breathing_air_own_source; nobody breathes from it until then." or nil,
      note = "Its own source: not the compressor that feeds pumps and gun." }
  end,
  caution_above = q "0",
  shown = { value = "own source", yes = q "0" },
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
  uses = common.join(air.consumer_paths, air.line_paths, { "rig.transfer_pumps.iso.air_window.min",
                                                           "rig.transfer_pumps.resin.air_window.min",
                                                           "rig.gun.air_window.min" }),
  compute = function(job)
    local pressure, parts, missing = air.arriving(job)
    if not pressure then return nil, parts, missing end
    return pressure, { parts = parts }
  end,
  at_least = highest_need,
  lever = { "rig.air_line.bore", "rig.air_line.length", "rig.compressor.cut_in" },
  source = "isothermal pipe flow; the parts' ratings",
  advice = "Use a wider or shorter air hose, or set the cut-in higher.",
}

rule {
  id = "gun-air-highest",
  title = "Gun's air never goes above its window",
  group = "air", stage = "plan",
  uses = { "rig.compressor.cut_out" },
  safety = true,
  -- The transfer pumps have regulators of their own, the gun takes what comes: between two pulls of the trigger nothing
  -- flows, nothing is lost on the way, and the receiver stands at cut-out.
  compute = function(job)
    return job.rig.compressor.cut_out, { note = "The gun gets the receiver's cut-out pressure while no air flows." }
  end,
  at_most = { from = { "rig.gun.air_window.max" } },
  lever = { "rig.compressor.cut_out" },
  source = "still air has one pressure; the parts' ratings",
  advice = "Set the compressor's cut-out lower, or use a gun whose window reaches as far.",
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
    local arriving = air.arriving_if_known(job)
    local worst, parts, out_of_reach = nil, {}, false
    for _, side in ipairs(common.sides) do
      local window, set = job.rig.transfer_pumps[side].air_window, air.set_for_transfer(job, side)
      local margin = (set - window.min):min(window.max - set)
      parts[#parts + 1] = { label = side .. " transfer pump's air", value = set }
      worst = worst and worst:min(margin) or margin
      out_of_reach = out_of_reach or arriving ~= nil and set > arriving
    end
    if arriving then parts[#parts + 1] = { label = "air that arrives, receiver at cut-in", value = arriving } end
    return worst, { parts = parts,
      caution = out_of_reach and "the regulator is set higher than the air that arrives: the pump gets less than is set" or nil,
      advice = out_of_reach and "Set the regulator below the air that arrives, or bring more air: a higher cut-in, a wider or "
        .. "shorter air hose." or nil }
  end,
  at_least = q "0 bar",
  shown = { value = "inside the window by" },
  lever = { "settings.transfer_air_pressure" },
  source = "the parts' ratings",
  advice = "Set the transfer pumps' regulators inside the window on their plates.",
}
