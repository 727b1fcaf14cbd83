-- work.lua: how much material the work takes.

local imp = require "impinge"

local work = {}

function work.is_coating(job)
  return job.work.kind == "coating"
end

work.paths = { "work.kind", "work.area", "work.loss" }

local foam_paths = { "work.thickness", "material.foam.in_place_density" }
local coating_paths = { "work.dry_film", "material.coating.solids_by_volume" }

-- Mass of material that the work takes, loss counted, or nil, why not, and the missing paths.
function work.mass_needed(job)
  local task, missing = job.work, {}
  for _, path in ipairs(work.is_coating(job) and coating_paths or foam_paths) do
    if imp.path(job, path) == nil then missing[#missing + 1] = path end
  end
  if #missing > 0 then return nil, "missing: " .. table.concat(missing, ", "), missing end
  if work.is_coating(job) then
    local coating = imp.yield.coating { area = task.area * (task.surface_factor or 1), dry_film = task.dry_film,
                                        solids_by_volume = job.material.coating.solids_by_volume, loss = task.loss,
                                        profile_dead_volume = task.profile_dead_volume }
    local ratio, iso, resin = job.material.volume_ratio, job.material.iso.density, job.material.resin.density
    return coating.volume * (ratio * iso + resin) / (ratio + 1)
  end
  return imp.yield.foam { area = task.area, thickness = task.thickness,
                          in_place_density = job.material.foam.in_place_density, loss = task.loss,
                          surface_factor = task.surface_factor }.mass
end

-- What the mass takes for granted where the job does not say.
work.flat = { "work.surface_factor", "a flat surface, of no more than its plane area" }

-- The mass split into the two sides' masses and volumes.
function work.split(job, mass)
  local iso, resin = job.material.iso.density, job.material.resin.density
  return imp.yield.split {
    mass = mass, iso_density = iso, resin_density = resin,
    mass_ratio = imp.mix.mass_ratio { volume_ratio = job.material.volume_ratio, iso_density = iso, resin_density = resin },
  }
end

work.material_paths = { "material.volume_ratio", "material.iso.density", "material.resin.density" }

return work
