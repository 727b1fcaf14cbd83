-- drive.lua: what the set pressure asks of the drive: its pressure, its motor and its oil.

local imp = require "impinge"
local point = require "rules.shared.point"

-- What is left of the drive where its own limits do not hold the flow back: the value of one output, or why not known.
-- needs: the paths without which the core cannot find it.
local function asked_of_drive(output, needs)
  return function(job)
    local missing = {}
    for _, path in ipairs(needs) do
      if imp.path(job, path) == nil then missing[#missing + 1] = path end
    end
    local at, why, lacking = point.unlimited(job)
    if not at and lacking then
      table.move(lacking, 1, #lacking, #missing + 1, missing)
      return nil, why, missing
    end
    if not at then
      local _, _, unknown = point.of(job) -- where the rule gun-pressure cannot tell, the stop is told here
      return (unknown and point.without or point.not_judged)(why)
    end
    if #missing > 0 then return nil, "missing: " .. table.concat(missing, ", "), missing end
    point.show_inputs(job)
    return at[output], { parts = {
      { label = "iso at the pump", value = at.iso_pump_pressure },
      { label = "resin at the pump", value = at.resin_pump_pressure },
      { label = "flow of both sides", value = at.flow },
    }, note = "at the flow that the set pressure drives through the gun, were the drive strong enough" }
  end
end

local levers = { "settings.pressure", "rig.gun.iso_orifice", "rig.gun.resin_orifice" }

rule {
  id = "drive-pressure",
  title = "Drive pressure is enough for the set pressure",
  group = "drive", stage = "site",
  compute = asked_of_drive("drive_pressure", { "rig.pumps.iso.area", "rig.pumps.resin.area", "rig.drive.area" }),
  at_most = { from = { "rig.drive.pressure_limit" } },
  lever = levers,
  source = "balance of forces on drive and pumps, friction left out; the rig's ratings",
  advice = "Set less pressure: the drive stalls below the one that is set.",
}

rule {
  id = "motor-power",
  title = "Drive motor is strong enough",
  group = "drive", stage = "site",
  uses = { "rig.drive.motor_power" },
  compute = asked_of_drive("motor_power", { "rig.drive.efficiency" }),
  at_most = { from = { "rig.drive.motor_power" } },
  lever = levers,
  source = "pressure times flow over the drive's efficiency; the rig's ratings",
  advice = "Set less pressure or use a smaller gun chamber: the motor gives no more flow.",
}

rule {
  id = "drive-oil-flow",
  title = "Drive gets enough oil for the flow",
  group = "drive", stage = "site",
  compute = asked_of_drive("oil_flow", { "rig.pumps.iso.area", "rig.pumps.resin.area", "rig.drive.area" }),
  at_most = { from = { "rig.drive.oil_flow" } },
  lever = levers,
  source = "piston speed times the drive's area; the rig's ratings",
  advice = "Use a smaller gun chamber: the oil pump moves the drive no faster.",
}
