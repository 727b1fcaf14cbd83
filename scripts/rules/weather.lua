-- weather.lua: air, surface, wind and wood, as read on site.

local imp = require "impinge"
local q = imp.q

rule {
  id = "surface-clear-of-dew-point",
  title = "Surface is clear of the dew point",
  group = "weather", stage = "site",
  uses = { "site.air_temperature", "site.relative_humidity", "site.surface_temperature" },
  compute = function(job)
    local condition = imp.climate.surface_condition {
      air_temperature = job.site.air_temperature,
      relative_humidity = job.site.relative_humidity,
      surface_temperature = job.site.surface_temperature,
      humidity_over = job.site.humidity_over,
    }
    return condition.spread, { parts = {
      { label = "dew point", value = condition.dew_point },
      { label = "humidity at the surface", value = condition.surface_humidity },
    } }
  end,
  at_least = { from = "limits.dew_point_spread", default = q "3 K", source = "ISO 8502-4" },
  caution_below = { from = "limits.dew_point_spread_caution", default = q "4 K", practice = true },
  lever = { "site.surface_temperature", "site.relative_humidity" },
  source = "ISO 8502-4",
  advice = "Warm the surface with warm dry air and no open flame, dry the air, or wait; wipe nothing dry and spray on it.",
}

-- A reading against the job's own window, else the material's.
local function window_rule(id, title, name, needs, advice, lever, applies)
  rule {
    id = id, title = title, group = "weather", stage = "site",
    uses = not needs.compute and { "site." .. name } or nil,
    applies = applies,
    compute = needs.compute or function(job) return job.site[name] end,
    at_least = needs.min and { from = "window." .. name .. ".min" } or nil,
    at_most = needs.max and { from = "window." .. name .. ".max" } or nil,
    lever = lever and { "site." .. name } or nil,
    source = "the material's data sheet",
    advice = advice,
  }
end

window_rule("air-temperature-in-window", "Air temperature is in the material's window", "air_temperature", { min = true, max = true },
  "Heat the place without open flame, or shade it, or wait for the right hours of the day.", true)

window_rule("surface-temperature-in-window", "Surface temperature is in the material's window", "surface_temperature",
  { min = true, max = true }, "Warm the surface without open flame, or shade it; measure it again where it is coldest.", true)

window_rule("relative-humidity-in-window", "Humidity is in the material's window", "relative_humidity", { min = true, max = true },
  "Dry and ventilate the place, or wait.", true)

window_rule("wind-speed-in-window", "Wind is below the material's limit", "wind_speed", { max = true },
  "Put up screens or wait for the wind to drop; overspray travels far.", true)

-- Either tells: another surface, or how moist the wood is.
local function wood_moisture(job)
  local moisture, missing = job.site.wood_moisture, { "site.wood_moisture" }
  if moisture then return moisture end
  if job.work.substrate == nil then table.insert(missing, 1, "work.substrate") end
  return nil, "missing: " .. table.concat(missing, ", "), missing
end

window_rule("wood-moisture-in-window", "Wood is dry enough", "wood_moisture", { min = true, max = true, compute = wood_moisture },
  "Let the wood dry with ventilation and warm dry air, never with an open flame; measure it again in several places.", true,
  function(job)
    local substrate = job.work.substrate
    if substrate ~= nil and substrate ~= "wood" then return false, "the surface is not wood" end
    return true
  end)
