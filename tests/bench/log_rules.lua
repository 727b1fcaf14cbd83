-- The three events of reference.c as log rules, so that the bench can hold impinge's counts against its.
local imp = require "impinge"
local q = imp.q

local function bench(id, lasting, mask)
  event {
    id = "bench-" .. id, title = "Bench: " .. id, group = "bench", source = "practice", advice = "None: this is for the bench.",
    criterion = { lasting = lasting }, criterion_text = "as in reference.c, for at least the time lasting",
    compute = function(day, _, criterion) return mask(day, day:spraying()):lasting(criterion.lasting) end,
  }
end

bench("off-ratio", q "5 s", function(day, spraying) return (day.iso_flow / day.resin_flow - 1):abs():above(q "0.05") & spraying end)
bench("off-balance", q "5 s", function(day, spraying)
  return ((day.iso_pressure - day.resin_pressure) / day.resin_pressure):abs():above(q "0.1") & spraying
end)
bench("cold", q "60 s", function(day) return day.hose_temperature:below(q "45 degC") end)
