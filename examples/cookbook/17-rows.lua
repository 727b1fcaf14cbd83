-- Row by row: a function that is called with the columns you name. Here the longest pause between two sprays, of an invented log.
--   impinge run examples/cookbook/17-rows.lua examples/orchard-store/day.csv
local imp = require "impinge"
local q = imp.q
local day = imp.log.open(arg[1])

local last, longest, at = nil, 0, nil      -- numbers in the columns' own units; time in seconds; nil where a cell is empty
day:rows({ "trigger", "air_temperature" }, function(time, trigger, air)
  if trigger == 1 then
    if last and time - last > longest then longest, at = time - last, air end
    last = time
  end
end)                                       -- return false to stop early
print("longest pause between sprays:", q(longest, "s"):to("min", 3), "at an air temperature of", q(at, "degC"))
