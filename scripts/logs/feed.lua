-- Log rules on what reaches the pumps and what leaves the gun.
local imp = require "impinge"
local flows = require "logs.shared.flows"
local q = imp.q

event {
  id = "inlet-starvation",
  title = "Suspected inlet starvation: pressure and flow of one side dip together",
  group = "feed",
  any_of = flows.sets,
  criterion = { pressure_dip = q "15 %", ratio_dip = q "5 %", usual = q "10 min", nominal = { from = "material.volume_ratio", default = q "1" }, lasting = q "3 s" },
  tighter = { pressure_dip = "lower", ratio_dip = "lower", lasting = "lower" },
  criterion_text = "a side's pressure below its mean over the usual time by the pressure dip, and its share of the ratio low by the ratio dip, both while spraying, for at least the time lasting",
  source = "practice",
  advice = "Before the next job, on that side: check the drum's level, the transfer pump, its air and the strainer; warm the drum where it is cold.",
  compute = function(day, job, criterion)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    local iso, resin = flows.both(day, job)
    if not iso then return nil, resin end
    local list = {}
    local share = { iso = iso / resin / criterion.nominal, resin = resin / iso * criterion.nominal }
    for _, side in ipairs { "iso", "resin" } do
      if day:has(side .. "_pressure") then
        local pressure = day[side .. "_pressure"]
        local usual = pressure:where(spraying):rolling(criterion.usual)
        local low = pressure:below(usual * (1 - criterion.pressure_dip)) & share[side]:below(1 - criterion.ratio_dip)
        list[#list + 1] = { label = side, mask = (low & spraying):lasting(criterion.lasting) }
      end
    end
    if #list == 0 then return nil, "the log has no pressure at a pump" end
    return list
  end,
}

event {
  id = "restriction",
  title = "Flow coefficient drifts over the day: something is closing or wearing",
  group = "feed",
  criterion = { drift = q "10 %", window = q "10 min", least = q "6" },
  tighter = { drift = "lower" },
  criterion_text = "Q / sqrt(p), mean of the last third of the windows with spraying against the first third: away by more than the drift",
  source = "practice",
  advice = "Before the next job: where it fell, clean strainers, mix chamber and orifices; where it rose, measure the orifices for wear.",
  ask = function(day, job, criterion)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    local asked
    for _, side in ipairs { "iso", "resin" } do
      local pressure = flows.pressure(day, side)
      local flow = (day:has(side .. "_flow") or day:has(side .. "_cycles")) and flows.of(day, job, side)
      if pressure and flow then
        asked = asked or {}
        asked[side] = (flow / (pressure / q "1 bar"):sqrt()):later():resample(day:period(criterion.window), spraying)
      end
    end
    if not asked then return nil, "it takes a flow and a pressure of one side" end
    return asked
  end,
  judge = function(answers, _, criterion)
    local found = {}
    for _, side in ipairs { "iso", "resin" } do
      local series = answers[side]
      local count = series and #series.mean or 0
      if series and count >= criterion.least:value "1" then
        local third = count // 3
        local early = imp.column(table.move(series.mean, 1, third, 1, {}), series.unit):mean()
        local late = imp.column(table.move(series.mean, count - third + 1, count, 1, {}), series.unit):mean()
        local drift = late / early - 1
        if drift:abs() > criterion.drift then
          found[#found + 1] = {
            label = side, start = q(series.time[count - third + 1], "s"), finish = q(series.time[count], "s"),
            note = drift < q "0" and "falling" or "rising",
            values = { { label = "drift", value = q(drift:value "1" * 100, "%") }, { label = "early", value = early }, { label = "late", value = late } },
          }
        end
      end
    end
    return found
  end,
}
