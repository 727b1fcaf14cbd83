-- Log rules on temperatures.
local imp = require "impinge"
local q = imp.q

local heads = { "iso_temperature", "resin_temperature" }
local hoses = { "iso_hose_temperature", "resin_hose_temperature", "hose_temperature" }

local function spaced(name) return (name:gsub("_", " ")) end

-- One event for each kind of temperature: outside its window while spraying.
local function out_of_window(id, title, columns, window, advice)
  local any_of = {}
  for i, name in ipairs(columns) do any_of[i] = { name } end
  event {
    id = id, title = title, group = "temperature", level = "stop", needs_job = true, any_of = any_of,
    criterion = { lowest = { from = "material.window." .. window .. ".min" }, highest = { from = "material.window." .. window .. ".max" }, lasting = q "10 s" },
    tighter = { lowest = "higher", highest = "lower", lasting = "lower" },
    criterion_text = "temperature outside the material's window while spraying, for at least the time lasting",
    advice = advice,
    compute = function(day, _, criterion)
      local spraying = day:spraying()
      if not spraying then return nil, "the log does not tell when it was sprayed" end
      local list = {}
      for _, name in ipairs(columns) do
        if day:has(name) then
          list[#list + 1] = { label = spaced(name), mask = (day[name]:outside(criterion.lowest, criterion.highest) & spraying):lasting(criterion.lasting) }
        end
      end
      return list
    end,
  }
end

out_of_window("iso-temperature-out", "Iso temperature outside the material's window", { "iso_temperature" }, "iso_temperature",
              "Look at what was sprayed in these times. Before the next job: check the iso heater's set point, its elements and its supply.")
out_of_window("resin-temperature-out", "Resin temperature outside the material's window", { "resin_temperature" }, "resin_temperature",
              "Look at what was sprayed in these times. Before the next job: check the resin heater's set point, its elements and its supply.")
out_of_window("hose-temperature-out", "Hose temperature outside the material's window", hoses, "hose_temperature",
              "Look at what was sprayed in these times. Before the next job: check the hose's sensor, its connections and the current.")

event {
  id = "cold-hose",
  title = "One hose colder than the other while spraying",
  group = "temperature",
  needs = { "iso_hose_temperature", "resin_hose_temperature" },
  criterion = { apart = q "5 K", lasting = q "30 s" },
  tighter = { apart = "lower", lasting = "lower" },
  criterion_text = "|iso - resin hose temperature| above apart, while spraying, for at least the time lasting",
  source = "practice",
  advice = "Before the next job: check the connections, the sensor and the insulation of the colder hose.",
  compute = function(day, _, criterion)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    local apart = day.iso_hose_temperature - day.resin_hose_temperature
    return (apart:abs():above(criterion.apart) & spraying):lasting(criterion.lasting),
           { { "iso hose", day.iso_hose_temperature }, { "resin hose", day.resin_hose_temperature } }
  end,
}

event {
  id = "heater-shortfall",
  title = "Heater does not keep up with the flow",
  group = "temperature",
  any_of = { { "iso_temperature" }, { "resin_temperature" } },
  criterion = { iso_set = { from = "settings.iso_temperature" }, resin_set = { from = "settings.resin_temperature" }, shortfall = q "5 K", lasting = q "60 s" },
  tighter = { shortfall = "lower", lasting = "lower" },
  criterion_text = "heater outlet below its set temperature by more than the shortfall, while spraying, for at least the time lasting",
  source = "practice",
  advice = "Before the next job: plan less flow or warmer drums; check the heater's elements and the voltage under load.",
  compute = function(day, _, criterion)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    local list = {}
    for i, name in ipairs(heads) do
      local set = i == 1 and criterion.iso_set or criterion.resin_set
      if day:has(name) then
        list[#list + 1] = { label = spaced(name), mask = (day[name]:below(set - criterion.shortfall) & spraying):lasting(criterion.lasting) }
      end
    end
    return list
  end,
}

-- The first time at which every temperature is at its lowest allowed.
local function ask_warm(day, _, criterion)
  local warm
  for _, pair in ipairs { { "iso_temperature", criterion.iso_lowest }, { "resin_temperature", criterion.resin_lowest }, { "hose_temperature", criterion.hose_lowest },
                          { "iso_hose_temperature", criterion.hose_lowest }, { "resin_hose_temperature", criterion.hose_lowest } } do
    local name = pair[1]
    if day:has(name) then
      local reached = day[name]:at_least(pair[2])
      warm = warm and (warm & reached) or reached
    end
  end
  if not warm then return nil, "the log has no temperature" end
  return { begun = day.time:later():first(), warm = day.time:later():first(warm), spray = day:spraying() and day.time:later():first(day:spraying()) }
end

local warm_criterion = {
  iso_lowest = { from = "material.window.iso_temperature.min" }, resin_lowest = { from = "material.window.resin_temperature.min" },
  hose_lowest = { from = "material.window.hose_temperature.min" },
}

fact {
  id = "warm-up",
  title = "Warm-up",
  group = "temperature",
  needs_job = true,
  criterion = warm_criterion,
  criterion_text = "from the first row until iso, resin and hoses have all reached the lowest of the material's window",
  ask = ask_warm,
  judge = function(answers)
    if not answers.warm then return nil, "the temperatures were never all in the window" end
    local values = { { label = "time to warm up", value = answers.warm - answers.begun } }
    if answers.spray then values[2] = { label = "first spray after", value = answers.spray - answers.begun } end
    return values
  end,
}

event {
  id = "slow-warm-up",
  title = "Warm-up took long",
  group = "temperature",
  needs_job = true,
  criterion = { longest = q "45 min", iso_lowest = warm_criterion.iso_lowest, resin_lowest = warm_criterion.resin_lowest, hose_lowest = warm_criterion.hose_lowest },
  tighter = { longest = "lower" },
  criterion_text = "the first row until all temperatures are in the window: longer than the longest",
  source = "practice",
  advice = "For the next job: start heating earlier, store hoses and drums warm, or look for a weak heater.",
  ask = ask_warm,
  judge = function(answers, _, criterion)
    if not answers.warm then return nil, "the temperatures were never all in the window" end
    local took = answers.warm - answers.begun
    if took <= criterion.longest then return {} end
    return { { start = answers.begun, finish = answers.warm, duration = took } }
  end,
}
