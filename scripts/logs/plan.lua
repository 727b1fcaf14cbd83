-- Log rules that hold the day against the job.
local imp = require "impinge"
local flows = require "logs.shared.flows"
local q = imp.q

-- Sprayed volumes: by running counts where their displacement is known, else by the flows.
local function volume_of(day, job, side, spraying)
  local displacement = job.rig.pumps[side].displacement
  if day:has(side .. "_cycles") and displacement then
    return (day[side .. "_cycles"] * displacement):later():increase(spraying)
  end
  if day:has(side .. "_flow") then return day[side .. "_flow"]:later():integral(spraying) end
end

local function ask_volumes(day, job)
  local spraying = day:spraying()
  if not spraying then return nil, "the log does not tell when it was sprayed" end
  local iso, resin = volume_of(day, job, "iso", spraying), volume_of(day, job, "resin", spraying)
  if not iso or not resin then return nil, "neither counters nor flows tell how much was sprayed" end
  return { iso = iso, resin = resin }
end

-- Mass sprayed, and the mass that the work needs; or nil and why not.
local function masses(answers, job)
  local work, material = job.work, job.material
  if not (material.iso.density and material.resin.density) then return nil, "the material has no densities" end
  if not answers.iso or not answers.resin then return nil, "nothing was sprayed" end
  local used = answers.iso * material.iso.density + answers.resin * material.resin.density
  if work.kind == "coating" then return nil, "work of this kind is not held against its plan by mass" end
  if not (work.area and work.thickness and material.foam.in_place_density) then
    return nil, "the job does not say area, thickness and in-place density"
  end
  local needed = imp.yield.foam {
    area = work.area, thickness = work.thickness, in_place_density = material.foam.in_place_density,
    loss = work.loss, surface_factor = work.surface_factor,
  }
  return used, needed
end

fact {
  id = "material-against-plan",
  title = "Material used against needed",
  group = "plan",
  needs_job = true,
  any_of = flows.sets,
  criterion_text = "volumes sprayed times the densities, against the mass that area, thickness and loss of the job need",
  ask = ask_volumes,
  judge = function(answers, job)
    local used, needed = masses(answers, job)
    if not used then return nil, needed end
    local reached = imp.yield.area_from_material {
      mass = used, thickness = job.work.thickness, in_place_density = job.material.foam.in_place_density,
      loss = job.work.loss, surface_factor = job.work.surface_factor,
    }
    return {
      { label = "mass used", value = q(used:value "kg", "kg") }, { label = "mass needed", value = needed.mass },
      { label = "used / needed", value = q((used / needed.mass):value "1" * 100, "%") },
      { label = "area that this mass covers", value = reached, note = "at the planned thickness and loss" },
      { label = "area planned", value = job.work.area },
    }
  end,
}

event {
  id = "material-over-plan",
  title = "More material used than the plan needs",
  group = "plan",
  needs_job = true,
  any_of = flows.sets,
  criterion = { excess = q "10 %" },
  tighter = { excess = "lower" },
  criterion_text = "mass sprayed above the mass that the whole job needs by more than the excess",
  source = "practice",
  advice = "Measure thickness and density of what stands; look for overspray and for a wrong count.",
  ask = ask_volumes,
  judge = function(answers, job, criterion)
    local used, needed = masses(answers, job)
    if not used then return nil, needed end
    if used <= needed.mass * (1 + criterion.excess) then return {} end
    return { { values = { { label = "mass used", value = q(used:value "kg", "kg") }, { label = "mass needed", value = needed.mass } } } }
  end,
}

fact {
  id = "operating-point",
  title = "Expected operating point against measured",
  group = "plan",
  needs_job = true,
  criterion_text = "the rig solved at the job's settings, against means while spraying",
  ask = function(day)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    local asked
    for _, name in ipairs { "iso_flow", "resin_flow", "iso_pressure", "resin_pressure", "iso_gun_pressure", "resin_gun_pressure",
                            "iso_temperature", "resin_temperature" } do
      if day:has(name) then
        asked = asked or {}
        asked[name] = day[name]:later():mean(spraying)
      end
    end
    if not asked then return nil, "the log has no flow, pressure or temperature" end
    return asked
  end,
  judge = function(answers, job)
    local ok, point = pcall(imp.rig.operating_point, {
      rig = job.rig, material = job.material, hoses = job.hoses, settings = job.settings, site = job.site, supply = job.supply, stock = job.stock })
    if not ok then return nil, "the rig cannot be solved: " .. tostring(point):gsub("^[^%s:]+:%d+: ", "") end
    local expected = { iso_pressure = "iso_pump_pressure", resin_pressure = "resin_pump_pressure", iso_temperature = "iso_heater_temperature",
                       resin_temperature = "resin_heater_temperature" }
    local values = {}
    for name, measured in imp.sorted_pairs(answers) do
      local wanted = point[expected[name] or name]
      if wanted then
        local label = name:gsub("_", " ")
        values[#values + 1] = { label = label .. ", measured", value = measured }
        values[#values + 1] = { label = label .. ", expected", value = q(wanted, measured:unit()) }
      end
    end
    return values
  end,
}
