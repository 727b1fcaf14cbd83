-- flows.lua: the flow of each side as a column: the meter's, else the rate of its running count of cycles.
local imp = require "impinge"
local q = imp.q

local flows = {}

-- A counter's rate is a mean over this time (common practice, no source).
local cycle_window = q "5 s"

flows.sets = { { "iso_flow", "resin_flow" }, { "iso_cycles", "resin_cycles" } }

function flows.of(day, job, side)
  if day:has(side .. "_flow") then return day[side .. "_flow"] end
  local displacement = job and job.rig.pumps[side].displacement
  if not displacement then
    return nil, ("there is no %s flow, and its cycles count for nothing without rig.pumps.%s.displacement"):format(side, side)
  end
  return day[side .. "_cycles"]:rate():rolling(cycle_window) * displacement
end

-- Both flows, or nil and why not.
function flows.both(day, job)
  local iso, why = flows.of(day, job, "iso")
  if not iso then return nil, why end
  local resin, why_not = flows.of(day, job, "resin")
  if not resin then return nil, why_not end
  return iso, resin
end

-- Iso over resin by volume, from mean flows over a window while spraying.
function flows.ratio(day, job, window)
  local spraying = day:spraying()
  if not spraying then return nil, "the log does not tell when it was sprayed" end
  local iso, resin = flows.both(day, job)
  if not iso then return nil, resin end
  return iso:where(spraying):rolling(window) / resin:where(spraying):rolling(window), spraying
end

-- Pressure of a side where it counts: at the gun where it is logged there, else at the pump.
function flows.pressure(day, side)
  if day:has(side .. "_gun_pressure") then return day[side .. "_gun_pressure"], "gun" end
  if day:has(side .. "_pressure") then return day[side .. "_pressure"], "pump" end
end

flows.pressures = { { "iso_gun_pressure", "resin_gun_pressure" }, { "iso_pressure", "resin_pressure" } }

return flows
