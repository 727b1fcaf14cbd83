-- What reports show beyond the findings: the operating point, the state along the hoses, the line currents. Everything is
-- the catalogue's; what a job does not tell is left out, with the reason.
local imp = require "impinge"
local drums = require "rules.shared.drums"
local supply = require "rules.shared.supply"

local figures = {}

local function records(job)
  return { rig = job.rig, material = job.material, hoses = job.hoses, settings = job.settings, site = job.site, supply = job.supply, stock = job.stock }
end

-- The catalogue's sentence without the place in a script that stands before it.
local function reason_of(message)
  return (tostring(message):gsub("^[^%s:]+%.lua:%d+: ", ""):gsub("^[%w_]+%.[%w_]+: ", ""))
end
figures.reason_of = reason_of

-- A calculation that a job may not tell enough for: its result, or nil and why not.
function figures.try(calculation, ...)
  local ok, result, why = pcall(calculation, ...)
  if not ok then return nil, reason_of(result) end
  if result == nil then return nil, why end
  return result
end

local function profile(rows)
  local made = {}
  for i, row in ipairs(rows or {}) do
    made[i] = { section = row.section, position = row.position, pressure = row.pressure, temperature = row.temperature }
  end
  return made
end

local function add_point(results, job)
  local point, why = figures.try(imp.rig.operating_point, records(job))
  if not point then
    results.no_operating_point = why
    return
  end
  results.profiles = results.profiles or { iso = profile(point.iso_profile), resin = profile(point.resin_profile) }
  point.iso_profile, point.resin_profile = nil, nil
  results.operating_point = point
end

local function lines_of(currents)
  local lines = {}
  for i, line in ipairs(currents.lines) do lines[i] = { line = line.label, current = line.value } end
  return lines
end

-- What a list of paths lacks in the job, as the rules name it.
function figures.missing(job, paths)
  for _, path in ipairs(paths) do
    local value = imp.path(job, path)
    if value == nil or type(value) == "table" and #value == 0 then return path end
  end
end

local function add_currents(results, job)
  if figures.missing(job, supply.paths) then return end
  local design = figures.try(supply.design_currents, job)
  if not design then return end
  results.line_currents = { heating = lines_of(design.heating), spraying = lines_of(design.spraying), breaker = job.supply.breaker }
  results.line_currents.power_heating, results.line_currents.power_spraying = design.heating.active_power, design.spraying.active_power
end

-- Add to results, once: planned_flow, operating_point or no_operating_point, profiles, line_currents.
function figures.add(results)
  if results.operating_point or results.no_operating_point then return results end
  local job = host.job()
  results.planned_flow = job.settings.flow
  add_point(results, job)
  add_currents(results, job)
  return results
end

-- How long a side's drums must be warmed before spraying, nil where that is not known or they are warm; and how long before
-- setting up to begin with it, nil where there is time enough while setting up.
function figures.conditioning(job, side)
  if figures.missing(job, drums.paths(side)) then return nil end
  local time = figures.try(drums.conditioning, job, side)
  if not time or time <= imp.q "0 h" then return nil end
  local before = time - (job.work.set_up_time or imp.q "0 h")
  return time, before > imp.q "0 h" and before or nil
end

-- The finding of a rule, or nil.
function figures.finding(results, id)
  for _, finding in ipairs(results.findings) do
    if finding.id == id then return finding end
  end
end

return figures
