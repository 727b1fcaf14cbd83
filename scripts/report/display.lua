-- Quantities as a person reads them: in the display units asked for, to the digits that matter.
local imp = require "impinge"
local display = {}

-- What a unit is shown as. Units that are not listed stay as they are.
local systems = {
  si = {
    degF = "degC", degF_diff = "K", psi = "bar", ["in"] = "mm", ft = "m", gpm = "L/min", lb = "kg", gal = "L", ["ft^2"] = "m^2",
    ["ft^3"] = "m^3", ["lb/ft^3"] = "kg/m^3", pcf = "kg/m^3", mph = "m/s", ["W/ft"] = "W/m", ["in^3"] = "cm^3", mil = "mm",
    ["ft^2 h degF/Btu"] = "m^2 K/W", ["Btu/h"] = "kW", hp = "kW", cfm = "L/min", bdft = "m^3", ["ft/s"] = "m/s", ["lb/min"] = "kg/min",
  },
  us = {
    degC = "degF", K = "degF_diff", degC_diff = "degF_diff", bar = "psi", kPa = "psi", MPa = "psi", Pa = "psi", mm = "in", m = "ft",
    ["L/min"] = "gpm", kg = "lb", L = "gal", ["m^2"] = "ft^2", ["m^3"] = "ft^3", ["kg/m^3"] = "lb/ft^3", ["m/s"] = "mph",
    ["W/m"] = "W/ft", ["cm^3"] = "in^3", ["m^2 K/W"] = "ft^2 h degF/Btu", ["W/(m K)"] = "Btu in/(h ft^2 degF)", ["kg/min"] = "lb/min",
  },
}

-- Readings and differences to a tenth of a degree: nobody reads a thermometer closer.
local tenths = { degC = true, degF = true, K = true, degC_diff = true, degF_diff = true }

local function shown_unit(quantity, system)
  local unit = quantity:unit()
  local map = systems[system or "si"]
  return map and map[unit] or unit
end

-- "8.0 K", "62 bar", "1.47"; text passes through.
function display.show(value, system)
  if value == nil then return "-" end
  if not imp.is_quantity(value) then return tostring(value) end
  local unit = shown_unit(value, system)
  if tenths[unit] then return string.format("%.1f %s", value:value(unit), unit) end
  return value:to(unit, 4)
end

-- Number in the unit shown, for charts.
function display.number(value, system)
  local unit = shown_unit(value, system)
  return value:value(unit), unit
end

return display
