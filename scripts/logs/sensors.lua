-- Log rules on the sensors themselves.
local imp = require "impinge"
local q = imp.q

local moving = { "iso_temperature", "resin_temperature", "iso_hose_temperature", "resin_hose_temperature", "hose_temperature",
                 "iso_pressure", "resin_pressure", "iso_gun_pressure", "resin_gun_pressure", "iso_flow", "resin_flow" }

local function spaced(name) return (name:gsub("_", " ")) end

local function each(names)
  local sets = {}
  for i, name in ipairs(names) do sets[i] = { name } end
  return sets
end

event {
  id = "stuck-sensor",
  title = "A reading stands still while the rig works",
  group = "sensors",
  any_of = each(moving),
  criterion = { still = q "5 min" },
  tighter = { still = "lower" },
  criterion_text = "exactly the same value for at least the time still, and spraying at its end",
  source = "practice",
  advice = "Before the next job: check the sensor, its plug and the logger's channel; what rests on it in this report is not to be believed.",
  compute = function(day, _, criterion)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    local list = {}
    for _, name in ipairs(moving) do
      if day:has(name) then
        list[#list + 1] = { label = spaced(name), mask = day[name]:unchanged(criterion.still) & spraying }
      end
    end
    return list
  end,
}

-- What no rig reads, whatever the material (common practice, no source).
local possible = {
  iso_temperature = { q "-40 degC", q "150 degC" }, resin_temperature = { q "-40 degC", q "150 degC" },
  iso_hose_temperature = { q "-40 degC", q "150 degC" }, resin_hose_temperature = { q "-40 degC", q "150 degC" },
  hose_temperature = { q "-40 degC", q "150 degC" },
  iso_pressure = { q "-1 bar", q "700 bar" }, resin_pressure = { q "-1 bar", q "700 bar" },
  iso_gun_pressure = { q "-1 bar", q "700 bar" }, resin_gun_pressure = { q "-1 bar", q "700 bar" },
  iso_flow = { q "-1 L/min", q "200 L/min" }, resin_flow = { q "-1 L/min", q "200 L/min" },
  hose_current = { q "0 A", q "1000 A" }, air_pressure = { q "-1 bar", q "50 bar" },
  air_temperature = { q "-60 degC", q "70 degC" }, relative_humidity = { q "0 %", q "105 %" },
  surface_temperature = { q "-60 degC", q "120 degC" }, wind_speed = { q "0 m/s", q "100 m/s" },
}

local names = {}
for name in imp.sorted_pairs(possible) do names[#names + 1] = name end

event {
  id = "implausible-reading",
  title = "A reading that cannot be",
  group = "sensors",
  any_of = each(names),
  criterion = { lasting = q "1 s" },
  tighter = { lasting = "lower" },
  criterion_text = "outside what a rig can read, for at least the time lasting: temperatures -40 to 150 degC, pressures -1 to 700 bar, flows -1 to 200 L/min, humidity 0 to 105 %",
  source = "practice",
  advice = "Before the next job: check the sensor, its plug and the logger's range.",
  compute = function(day, _, criterion)
    local list = {}
    for _, name in ipairs(names) do
      if day:has(name) then
        local range = possible[name]
        list[#list + 1] = { label = spaced(name), mask = day[name]:outside(range[1], range[2]):lasting(criterion.lasting) }
      end
    end
    return list
  end,
}
