-- Control charts of the ratio: what changes within the day, before it is out of tolerance.
local imp = require "impinge"
local flows = require "logs.shared.flows"
local q = imp.q

local function ask_ratio(day, job, criterion)
  local ratio, spraying = flows.ratio(day, job, criterion.window)
  if not ratio then return nil, spraying end
  local iso, resin = flows.both(day, job)
  local point = day:period(criterion.point)
  return { point = point, iso = iso:later():resample(point, spraying), resin = resin:later():resample(point, spraying) }
end

-- Ratio of each point that has both sides: a column, and the times of its values.
local function ratios(answers)
  local values, times, at = {}, {}, {}
  for i, time in ipairs(answers.resin.time) do at[time] = answers.resin.mean[i] end
  for i, time in ipairs(answers.iso.time) do
    local resin = at[time]
    if resin and resin > 0 then
      values[#values + 1] = q(answers.iso.mean[i], answers.iso.unit) / q(resin, answers.resin.unit)
      times[#times + 1] = time
    end
  end
  return imp.column(values), times
end

-- Points and times without short excursions: at most `most` points in a row outside the limits of the individuals chart, between
-- points inside. A jump is reported as one; it is no new level and no drift.
local function steady(column, times, most)
  local outside, values, kept = {}, {}, {}
  for _, place in ipairs(imp.stats.individuals(column).signals) do outside[place] = true end
  local place = 1
  while place <= #column do
    local past = place
    while outside[past] do past = past + 1 end
    local is_excursion = past > place and past - place <= most and place > 1 and past <= #column
    if not is_excursion then
      for inside = place, math.max(place, past - 1) do values[#values + 1], kept[#kept + 1] = column[inside], times[inside] end
    end
    place = math.max(past, place + 1)
  end
  return imp.column(values), kept
end

local shared = {
  group = "control", any_of = flows.sets, source = "NIST/SEMATECH e-Handbook of Statistical Methods, chapter 6.3",
}

fact {
  id = "ratio-chart", title = "Control chart of the ratio", group = shared.group, any_of = shared.any_of,
  source = shared.source .. ".2.2",
  criterion = { point = q "5 min", window = q "30 s" },
  criterion_text = "individuals chart of the ratio of each point: mean -+ 3 mean moving range / d2",
  ask = ask_ratio,
  judge = function(answers)
    local column = ratios(answers)
    if #column < 2 then return nil, "there are fewer than two points" end
    local chart = imp.stats.individuals(column)
    return { { label = "points", value = q(#column) }, { label = "centre", value = chart.centre },
             { label = "lower limit", value = chart.lower }, { label = "upper limit", value = chart.upper },
             { label = "points outside", value = q(#chart.signals) } }
  end,
}

local function signal(times, place, point, note, values)
  return { start = q(times[place], "s"), finish = q(times[place], "s") + point, duration = point, note = note, values = values }
end

event {
  id = "ratio-jump", title = "One point of the ratio far from the others", group = shared.group, level = "note", any_of = shared.any_of,
  source = shared.source .. ".2.2",
  criterion = { point = q "5 min", window = q "30 s", least = q "8" },
  criterion_text = "individuals chart: a point outside mean -+ 3 mean moving range / d2; from the least number of points on",
  advice = "Something changed for a short time: look at what was done then.",
  ask = ask_ratio,
  judge = function(answers, _, criterion)
    local column, times = ratios(answers)
    if #column < criterion.least:value "1" then return nil, "there are too few points" end
    local chart, found = imp.stats.individuals(column), {}
    for _, place in ipairs(chart.signals) do
      local is_high = column[place] > chart.upper
      found[#found + 1] = signal(times, place, answers.point, is_high and "above the upper limit" or "below the lower limit",
        { { label = "ratio", value = column[place] }, { label = "limit", value = is_high and chart.upper or chart.lower } })
    end
    return found
  end,
}

event {
  id = "ratio-shift", title = "The ratio has moved to another level", group = shared.group, level = "note", any_of = shared.any_of,
  source = shared.source .. ".2.3",
  criterion = { point = q "5 min", window = q "30 s", least = q "8", excursion = q "2", k = q "0.5", h = q "5" },
  criterion_text = "tabular CUSUM, target the day's mean, excursions of a few points left out: a sum above h standard deviations; from the least number of points on",
  advice = "Something changed for good at about that time, a drum, a strainer, a temperature, a setting: find it before the next job.",
  ask = ask_ratio,
  judge = function(answers, _, criterion)
    local column, times = ratios(answers)
    if #column < criterion.least:value "1" then return nil, "there are too few points" end
    column, times = steady(column, times, criterion.excursion:value "1")
    if imp.stats.individuals(column).moving_range <= q "0" then return {} end
    local chart = imp.stats.cusum(column, { k = criterion.k:value "1", h = criterion.h:value "1" })
    if not chart.first then return {} end
    return { signal(times, chart.first, answers.point, chart.high[chart.first] > chart.low[chart.first] and "upwards" or "downwards",
                    { { label = "ratio", value = column[chart.first] }, { label = "target", value = chart.target } }) }
  end,
}

event {
  id = "ratio-drift", title = "The ratio drifts", group = shared.group, level = "note", any_of = shared.any_of,
  source = shared.source .. ".2.4",
  criterion = { point = q "5 min", window = q "30 s", least = q "8", excursion = q "2", weight = q "0.3", width = q "3" },
  criterion_text = "EWMA chart with the weight, target the day's mean, excursions of a few points left out: outside limits of the width; from the least number of points on",
  advice = "A slow change: find its cause before the next job, before it reaches the tolerance.",
  ask = ask_ratio,
  judge = function(answers, _, criterion)
    local column, times = ratios(answers)
    if #column < criterion.least:value "1" then return nil, "there are too few points" end
    column, times = steady(column, times, criterion.excursion:value "1")
    if imp.stats.individuals(column).moving_range <= q "0" then return {} end
    local chart = imp.stats.ewma(column, { weight = criterion.weight:value "1", width = criterion.width:value "1" })
    local place = chart.signals[1]
    if not place then return {} end
    return { signal(times, place, answers.point, chart.averages[place] > chart.target and "upwards" or "downwards",
                    { { label = "average", value = chart.averages[place] }, { label = "target", value = chart.target } }) }
  end,
}
