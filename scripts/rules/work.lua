-- work.lua: the day's plan, and when people may come back.

local imp = require "impinge"
local common = require "rules.shared.common"
local hose = require "rules.shared.hose"
local liquid = require "rules.shared.liquid"
local work = require "rules.shared.work"
local q = imp.q

-- Time between lifts or coats that nobody sprays in; nil, why not, missing where the supplier's time is not known.
local function waiting(job)
  if work.is_coating(job) then
    local coats = job.work.coats or q "1"
    if coats <= 1 then return q "0 h" end
    local wait = job.material.coating.recoat_time
    if not wait then return nil, "the supplier's time between coats is not known", { "material.coating.recoat_time" } end
    return wait * (coats - 1)
  end
  local foam = job.material.foam
  if not (job.work.thickness and foam.maximum_lift) then
    return nil, "lifts are not known", { "work.thickness", "material.foam.maximum_lift" }
  end
  local ok, lifts = pcall(imp.yield.lifts, { thickness = job.work.thickness, maximum_lift = foam.maximum_lift,
                                             minimum_lift = foam.minimum_lift })
  if not ok then return nil, "the thickness cannot be sprayed in allowed lifts", {} end
  if lifts.lifts <= 1 then return q "0 h" end
  if not foam.lift_wait then return nil, "the supplier's time between lifts is not known", { "material.foam.lift_wait" } end
  return foam.lift_wait * (lifts.lifts - 1)
end

-- Time for the hose to warm up, or nil and why it is not counted.
local function warm_up(job)
  for _, path in ipairs(common.join({ "settings.hose_temperature", "site.air_temperature" }, hose.circuit_paths,
                                    hose.content_paths)) do
    if imp.path(job, path) == nil then return nil, "not counted: not known yet" end
  end
  local result = hose.warm_up(job)
  if not result then return nil, "not counted: not known yet" end
  if result.unreachable then return nil, "not counted: the set temperature is never reached" end
  return result.time
end

rule {
  id = "day-plan",
  title = "Work fits into the shift",
  group = "work", stage = "plan",
  uses = common.join({ "shift", "settings.flow", "work.trigger_fraction" }, work.paths, work.material_paths),
  compute = function(job)
    local mass, why, missing = work.mass_needed(job)
    if not mass then return nil, why, missing end
    local wait, no_wait, wait_missing = waiting(job)
    if not wait then return nil, no_wait, wait_missing end
    local mass_flow = liquid.side_flow(job, "iso") * job.material.iso.density
      + liquid.side_flow(job, "resin") * job.material.resin.density
    local spraying = imp.yield.spray_time { mass = mass, mass_flow = mass_flow,
                                            trigger_fraction = job.work.trigger_fraction }
    local heat_up, not_counted = warm_up(job)
    local zero = q "0 h"
    local set_up, clean_up = job.work.set_up_time or zero, job.work.clean_up_time or zero
    -- masking and setting up go on while the hose warms up
    local before = heat_up and set_up:max(heat_up) or set_up
    local parts = {
      { label = "setting up", value = set_up },
      { label = "hose warm-up, during setting up", value = heat_up or not_counted },
      { label = "spraying, pauses counted", value = spraying.elapsed_time },
      { label = "of which the trigger is pulled", value = spraying.spraying_time },
      { label = "waiting between lifts or coats", value = wait },
      { label = "cleaning up", value = clean_up },
    }
    return before + spraying.elapsed_time + wait + clean_up, { parts = parts, assumed = common.assumed(job, {
      work.flat, { "work.set_up_time", "no time for setting up" }, { "work.clean_up_time", "no time for cleaning up" } }) }
  end,
  at_most = { from = { "shift" } },
  lever = { "shift", "work.area", "settings.flow", "work.trigger_fraction" },
  source = "sum of times",
  advice = "Plan a second day, a smaller area or a second rig; do not shorten the wait between lifts.",
}

rule {
  id = "re-entry-time",
  title = "Time before people may come back is known",
  group = "work", stage = "plan",
  uses = { "material.supplier_reentry_time" },
  safety = true, known = true,
  -- The longer of the supplier's time and the ventilation's; a purge time alone is never a re-entry time.
  compute = function(job)
    local supplier = job.material.supplier_reentry_time
    local caution = common.caution_of_zero(supplier)
    local parts = { { label = "supplier's re-entry time", value = supplier } }
    local remaining, stricter = common.limit(job, "remaining_fraction")
    caution = caution or stricter and "the job lets more remain in the air than another limit does" or nil
    if not (job.site.air_change_rate and remaining) then return supplier, { parts = parts, caution = caution } end
    local purge = imp.climate.purge_time { air_change_rate = job.site.air_change_rate, remaining_fraction = remaining }
    parts[#parts + 1] = { label = "time to ventilate", value = purge }
    return supplier:max(purge), { parts = parts, caution = caution }
  end,
  source = "the material's data sheet",
  advice = "Get the re-entry time from the supplier; without it keep everybody out.",
}
