-- Log rules on the course of the work.
local imp = require "impinge"
local q = imp.q

event {
  id = "drum-change",
  title = "Running count set back, as at a drum change",
  group = "work",
  level = "note",
  any_of = { { "iso_cycles" }, { "resin_cycles" } },
  criterion = { least = q "1" },
  criterion_text = "a running count of cycles falls by at least the least",
  source = "practice",
  compute = function(day, _, criterion)
    local list = {}
    for _, side in ipairs { "iso", "resin" } do
      if day:has(side .. "_cycles") then
        list[#list + 1] = { label = side, mask = day[side .. "_cycles"]:change():at_most(-criterion.least) }
      end
    end
    return list
  end,
}

event {
  id = "long-pause",
  title = "Long pause between sprays",
  group = "work",
  level = "note",
  criterion = { pause = q "20 min" },
  tighter = { pause = "lower" },
  criterion_text = "no spraying for at least the pause, after spraying has begun and before it ends",
  source = "practice",
  ask = function(day, _, criterion)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    return { pauses = (~spraying):lasting(criterion.pause):later():spans(), first = day.time:later():first(spraying), last = day.time:later():last(spraying) }
  end,
  judge = function(answers)
    local found = {}
    for _, pause in ipairs(answers.pauses) do
      if answers.first and pause.start > answers.first and pause.finish < answers.last then found[#found + 1] = pause end
    end
    return found
  end,
}
