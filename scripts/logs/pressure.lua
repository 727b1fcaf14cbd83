-- Log rules on pressures.
local imp = require "impinge"
local flows = require "logs.shared.flows"
local q = imp.q

-- Both pressures while spraying, at the gun where logged there.
local function pair(day)
  local spraying = day:spraying()
  if not spraying then return nil, "the log does not tell when it was sprayed" end
  return flows.pressure(day, "iso"), flows.pressure(day, "resin"), spraying
end

event {
  id = "pressure-imbalance",
  title = "Pressures far apart while spraying",
  group = "pressure",
  any_of = flows.pressures,
  criterion = { difference = q "10 %", lasting = q "10 s" },
  tighter = { difference = "lower", lasting = "lower" },
  criterion_text = "|iso - resin| / resin pressure above the difference, while spraying, for at least the time lasting",
  source = "practice",
  advice = "Before the next job: look at strainers, orifices, temperatures and the transfer pump of the lower side.",
  compute = function(day, _, criterion)
    local iso, resin, spraying = pair(day)
    if not iso then return nil, resin end
    local apart = ((iso - resin) / resin)
    return (apart:abs():above(criterion.difference) & spraying):lasting(criterion.lasting),
           { { "imbalance", apart }, { "iso pressure", iso }, { "resin pressure", resin } }
  end,
}

event {
  id = "crossover-risk",
  title = "One pressure collapsed: risk that one side is pushed into the other",
  group = "pressure",
  level = "stop",
  any_of = flows.pressures,
  criterion = { share = q "50 %", floor = q "20 bar", lasting = q "2 s" },
  tighter = { share = "higher", floor = "lower", lasting = "lower" },
  criterion_text = "one pressure below its share of the other, which is at least at the floor, for at least the time lasting, spraying or not",
  source = "practice",
  advice = "Before pressure goes on again: close the gun's valves, relieve both sides and look for material where it does not belong.",
  compute = function(day, _, criterion)
    local iso, resin = flows.pressure(day, "iso"), flows.pressure(day, "resin")
    local low_iso = iso:below(resin * criterion.share) & resin:at_least(criterion.floor)
    local low_resin = resin:below(iso * criterion.share) & iso:at_least(criterion.floor)
    return (low_iso | low_resin):lasting(criterion.lasting), { { "iso pressure", iso }, { "resin pressure", resin } }
  end,
}

event {
  id = "pressure-out-of-window",
  title = "Pressure outside the material's window while spraying",
  group = "pressure",
  level = "stop",
  needs_job = true,
  any_of = flows.pressures,
  criterion = { lowest = { from = "material.window.pressure.min" }, highest = { from = "material.window.pressure.max" }, lasting = q "5 s" },
  tighter = { lowest = "higher", highest = "lower", lasting = "lower" },
  criterion_text = "pressure outside the window while spraying, for at least the time lasting",
  advice = "Look at what was sprayed in these times. Before the next job: find out what took the pressure out of the supplier's window, and bring it back.",
  compute = function(day, _, criterion)
    local iso, resin, spraying = pair(day)
    if not iso then return nil, resin end
    local list = {}
    for _, side in ipairs { { "iso", iso }, { "resin", resin } } do
      list[#list + 1] = { label = side[1], mask = (side[2]:outside(criterion.lowest, criterion.highest) & spraying):lasting(criterion.lasting) }
    end
    return list
  end,
}

fact {
  id = "flow-coefficient",
  title = "Flow coefficient, flow / square root of pressure",
  group = "pressure",
  criterion = { window = q "10 min" },
  criterion_text = "mean of Q / sqrt(p) while spraying; a falling figure from day to day is a blockage growing, a rising one is wear",
  source = "practice",
  ask = function(day, job)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    local asked
    for _, side in ipairs { "iso", "resin" } do
      local pressure = flows.pressure(day, side)
      local flow = (day:has(side .. "_flow") or day:has(side .. "_cycles")) and flows.of(day, job, side)
      if pressure and flow then
        asked = asked or {}
        asked[side] = (flow / (pressure / q "1 bar"):sqrt()):later():mean(spraying)
      end
    end
    if not asked then return nil, "it takes a flow and a pressure of one side" end
    return asked
  end,
  judge = function(answers)
    local values = {}
    for _, side in ipairs { "iso", "resin" } do
      if answers[side] then values[#values + 1] = { label = side, value = answers[side], note = "at 1 bar" } end
    end
    if #values == 0 then return nil, "nothing was sprayed" end
    return values
  end,
}
