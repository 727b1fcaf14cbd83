-- Quantities as a person reads them: in the display units asked for, to the digits that matter.
--
-- A system is "si", "us", or a table { base = "si" or "us", show = { ["bar"] = "kPa", ... } } that a file of one's own
-- gives: what the base would show in the first unit is shown in the second. has_superscripts = true in it: powers stand raised.
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

-- Prices follow what they are a price of.
local prices = { us = { ["/kg"] = "/lb", ["/m^2"] = "/ft^2", ["/L"] = "/gal" }, si = { ["/lb"] = "/kg", ["/ft^2"] = "/m^2", ["/gal"] = "/L" } }

-- Readings and differences to a tenth of a degree: nobody reads a thermometer closer.
local tenths = { degC = true, degF = true, K = true, degC_diff = true, degF_diff = true }

-- What is measured or worked out is shown to three digits. What somebody has typed is shown as typed: a limit of 103.5 bar is
-- no 104 bar. It is told by four digits, or it is a whole number.
local digits_shown, typed_digits, most_digits = 3, 4, 6

local function is_told(number, digits)
  local told = tonumber(string.format("%." .. digits .. "g", number))
  return math.abs(told - number) <= 1e-12 * math.abs(number)
end

local function digits_for(number)
  if is_told(number, typed_digits) then return typed_digits end
  if is_told(number, most_digits) and number == math.floor(number) then return most_digits end
  return digits_shown
end

local function base_of(system)
  local base = type(system) == "table" and system.base or system
  return systems[base] and base or "si"
end

-- What a unit is shown as; "money/kg" of a calculation's rows as any currency's.
function display.unit(unit, system)
  if unit:find("money", 1, true) then return (display.unit((unit:gsub("money", "EUR")), system):gsub("EUR", "money")) end
  local base = base_of(system)
  local shown = systems[base][unit]
  if not shown then
    local currency, per = unit:match "^(%u%u%u)(/.+)$"
    shown = currency and prices[base][per] and currency .. prices[base][per] or unit
  end
  return type(system) == "table" and system.show and system.show[shown] or shown
end

local function shown_unit(quantity, system) return display.unit(quantity:unit(), system) end

-- What a unit is shown as when a file names pairs one after the other: "bar", "kPa", "mm", "cm".
function display.system(base, pairs_of_units)
  if not pairs_of_units or #pairs_of_units == 0 then return base_of(base) end
  local show = {}
  for i = 1, #pairs_of_units, 2 do show[pairs_of_units[i]] = pairs_of_units[i + 1] end
  return { base = base_of(base), show = show }
end

-- The same system for a page that can show raised digits: "m²", not "m^2".
function display.with_superscripts(system)
  return { base = base_of(system), show = type(system) == "table" and system.show or nil, has_superscripts = true }
end

local raised = { ["-"] = "\u{207B}", ["0"] = "\u{2070}", ["1"] = "\u{B9}", ["2"] = "\u{B2}", ["3"] = "\u{B3}", ["4"] = "\u{2074}", ["5"] = "\u{2075}",
                 ["6"] = "\u{2076}", ["7"] = "\u{2077}", ["8"] = "\u{2078}", ["9"] = "\u{2079}" }

local function written(unit, system)
  if type(system) ~= "table" or not system.has_superscripts then return unit end
  return (unit:gsub("%^(%-?%d+)", function(power) return (power:gsub(".", raised)) end))
end

function display.is_si(system)
  if type(system) == "table" then return system.base == "si" and system.show == nil end
  return system == nil or system == "si"
end

-- The number as text, and the unit, "" for a pure number. digits: not those that the number deserves, but so many.
function display.parts(value, system, digits)
  local unit = shown_unit(value, system)
  if tenths[unit] then return (string.format("%.1f", value:value(unit)):gsub("^%-0%.0$", "0.0")), unit end
  local text = value:to(unit, digits or digits_for(value:value(unit)))
  local number, rest = text:match "^(%S+)%s+(.+)$"
  if not number then return text, "" end
  return number, written(rest, system)
end

-- "8.0 K", "62 bar", "1.47"; text passes through.
function display.show(value, system, digits)
  if value == nil then return "-" end
  if not imp.is_quantity(value) then return tostring(value) end
  local number, unit = display.parts(value, system, digits)
  return unit == "" and number or number .. " " .. unit
end

-- Digits with which a value and its limit read differently, where they differ at all; nil: those that each deserves.
function display.apart(value, limit, system)
  if not (imp.is_quantity(value) and imp.is_quantity(limit)) or value:unit() ~= limit:unit() or value == limit then return nil end
  if display.show(value, system) ~= display.show(limit, system) then return nil end
  for digits = digits_shown + 1, most_digits do
    if display.show(value, system, digits) ~= display.show(limit, system, digits) then return digits end
  end
end

-- Number in the unit shown, for charts.
function display.number(value, system)
  local unit = shown_unit(value, system)
  return value:value(unit), written(unit, system)
end

return display
