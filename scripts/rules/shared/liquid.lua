-- liquid.lua: the two liquids at a temperature, and how the planned flow splits.

local imp = require "impinge"

local liquid = {}

local function plain_points(view)
  local points = {}
  for _, point in ipairs(view or {}) do
    points[#points + 1] = { temperature = point.temperature, viscosity = point.viscosity }
  end
  return points
end

-- Density of a side of the material at a temperature; without an expansion coefficient as given.
function liquid.density(job, side, temperature)
  local data = job.material[side]
  if not (data.expansion and data.reference_temperature) then return data.density end
  return imp.fluid.density { temperature = temperature, reference_density = data.density,
                             reference_temperature = data.reference_temperature, expansion = data.expansion }
end

-- Or nil and why not, where the data sheet's points are no liquid's.
function liquid.viscosity(job, side, temperature)
  local ok, found = pcall(imp.fluid.viscosity, { points = plain_points(job.material[side].viscosity), temperature = temperature })
  if ok then return found end
  local why = tostring(found):match "fluid%.viscosity: (.*)$" or tostring(found)
  return nil, ("material.%s.viscosity: %s"):format(side, (why:gsub("^points: ", "")))
end

-- Pressure of still liquid `rise` above where it is `pressure`: the drop along a run that hardly flows is its weight.
function liquid.still_pressure(pressure, density, rise)
  return pressure - imp.hose.pressure_drop { flow = imp.q "1e-9 L/min", bore = imp.q "10 mm", length = imp.q "1 m",
                                             density = density, viscosity = imp.q "1 mPa s", rise = rise }.pressure_drop
end

-- Flow of one side: the planned flow split by the volume ratio (iso for one of resin).
function liquid.side_flow(job, side)
  local ratio = job.material.volume_ratio
  local resin = job.settings.flow / (ratio + 1)
  return side == "resin" and resin or resin * ratio
end

return liquid
