-- A calculator of your own: days that a crew is on site. It is called, solved backwards and swept as the catalogue is.
-- Rates are invented.
--   impinge calc examples/cookbook/07-calculator.lua area="400 m^2" thickness="80 mm"
--   impinge calc examples/cookbook/07-calculator.lua thickness="80 mm" --solve-for area --target days=2
--   impinge calc examples/cookbook/07-calculator.lua area="400 m^2" --sweep thickness="40 mm..120 mm/5"
--   impinge test examples/cookbook/07-calculator.lua
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "crew_days", title = "Days on site for a wall of foam", source = "yield.foam, yield.spray_time",
  inputs = {
    { name = "area", unit = "m^2", low = q "0 m^2", high = q "20000 m^2", open = "low" },
    { name = "thickness", unit = "mm", low = q "10 mm", high = q "400 mm" },
    { name = "density", unit = "kg/m^3", low = q "8 kg/m^3", high = q "80 kg/m^3", default = q "38 kg/m^3", help = "in place" },
    { name = "mass_flow", unit = "kg/min", low = q "1 kg/min", high = q "20 kg/min", default = q "6 kg/min" },
    { name = "shift", unit = "h", low = q "2 h", high = q "14 h", default = q "7 h", help = "less setting up and cleaning" },
  },
  outputs = { { name = "days" }, { name = "mass", unit = "kg" } },
  compute = function(given)
    local foam = imp.yield.foam { area = given.area, thickness = given.thickness, in_place_density = given.density }
    local time = imp.yield.spray_time { mass = foam.mass, mass_flow = given.mass_flow, trigger_fraction = 0.4 }
    return { days = time.elapsed_time / given.shift, mass = foam.mass }
  end,
  cases = { -- by hand: 100 m^2 x 0.1 m x 36 kg/m^3 / 0.9 = 400 kg; / 6 kg/min / 0.4 = 166.7 min = 2.78 h; / 7 h = 0.397
    { name = "by hand", inputs = { area = "100 m^2", thickness = "100 mm", density = "36 kg/m^3" },
      expect = { mass = q "400 kg", days = 0.39683 }, within = { mass = q "0.1 kg", days = 0.0001 } },
    { name = "too thin is refused", inputs = { area = "100 m^2", thickness = "5 mm" }, refuses = "thickness" },
  },
}
