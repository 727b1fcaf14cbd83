-- Log rules on the air and the surface.
local imp = require "impinge"
local q = imp.q

event {
  id = "dew-point-spread",
  title = "Surface too near to the dew point",
  group = "weather",
  level = "stop",
  needs = { "air_temperature", "relative_humidity", "surface_temperature" },
  criterion = { spread = q "3 K", window = q "10 min" },
  tighter = { spread = "higher" },
  criterion_text = "surface temperature less dew point, from means over each window: below the spread",
  source = "ISO 8502-4 (guidance)",
  advice = "Test adhesion of what was sprayed in these times: moisture spoils it. Next time: warm the surface without open flame, or wait.",
  ask = function(day, _, criterion)
    return {
      period = day:period(criterion.window), air = day.air_temperature:later():resample(day:period(criterion.window)), humidity = day.relative_humidity:later():resample(day:period(criterion.window)),
      surface = day.surface_temperature:later():resample(day:period(criterion.window)),
    }
  end,
  judge = function(answers, _, criterion)
    local found, at = {}, {}
    for i, time in ipairs(answers.humidity.time) do at[time] = { humidity = answers.humidity.mean[i] } end
    for i, time in ipairs(answers.surface.time) do if at[time] then at[time].surface = answers.surface.mean[i] end end
    for i, time in ipairs(answers.air.time) do
      local point = at[time]
      if point and point.surface then
        local spread = imp.climate.surface_condition {
          air_temperature = q(answers.air.mean[i], answers.air.unit), relative_humidity = q(point.humidity, answers.humidity.unit),
          surface_temperature = q(point.surface, answers.surface.unit),
        }.spread
        if spread < criterion.spread then
          found[#found + 1] = { start = q(time, "s"), finish = q(time, "s") + answers.period, duration = answers.period,
                                values = { { label = "spread", value = spread } } }
        end
      end
    end
    return found
  end,
}

-- Wind, humidity, air and surface against the material's window, where it has one and the log has them.
local function out_of_window(id, column, title, advice)
  event {
    id = id, title = title, group = "weather", needs_job = true, needs = { column }, level = "caution",
    criterion = { lasting = q "2 min" }, tighter = { lasting = "lower" },
    criterion_text = "outside the material's window for at least the time lasting, and sprayed meanwhile",
    advice = advice,
    compute = function(day, job, criterion)
      local window, spraying = job.material.window[column], day:spraying()
      if not spraying then return nil, "the log does not tell when it was sprayed" end
      local low, high = window.min, window.max
      if not low and not high then return nil, "the material gives no window for it" end
      local value = day[column]
      local out = low and value:below(low)
      if high then out = out and (out | value:above(high)) or value:above(high) end
      return out:lasting(criterion.lasting) & spraying, { { (column:gsub("_", " ")), value } }
    end,
  }
end

out_of_window("air-temperature-out", "air_temperature", "Air temperature outside the material's window", "Look at what was sprayed in these times. Next time: heat the building without open flame, or wait.")
out_of_window("surface-temperature-out", "surface_temperature", "Surface temperature outside the material's window", "Look at what was sprayed in these times. Next time: warm the surface without open flame, or wait.")
out_of_window("humidity-out", "relative_humidity", "Relative humidity outside the material's window", "Look at what was sprayed in these times. Next time: ventilate, heat without open flame, or wait.")
out_of_window("wind-out", "wind_speed", "Wind above the material's window", "Look for mist downwind of the work. Next time: screen the work, or wait.")
