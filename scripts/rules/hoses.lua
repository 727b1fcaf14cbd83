-- hoses.lua: how many sections, and what pressure stands in them.

local imp = require "impinge"
local common = require "rules.shared.common"
local liquid = require "rules.shared.liquid"
local work = require "rules.shared.work"

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
  -- Still liquid stands at the set pressure, and higher in the part of the run that lies below the rig.
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
