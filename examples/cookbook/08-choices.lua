-- A calculator with choices and a refusal: which plug an invented company brings for a load, by supply.
--   impinge calc examples/cookbook/08-choices.lua power="12 kW" supply=three-phase
--   impinge calc examples/cookbook/08-choices.lua power="30 kW" supply=single-phase   # exit code 3
--   impinge test examples/cookbook/08-choices.lua
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "which_plug", title = "Plug for a load on site (supply work is for licensed persons)", source = "electrical.plug_rating",
  inputs = {
    { name = "power", unit = "kW", low = q "0 kW", high = q "200 kW", open = "low" },
    { name = "supply", choices = { "single-phase", "three-phase" } },
  },
  outputs = { { name = "current", unit = "A" }, { name = "plug", unit = "A" } },
  compute = function(given)
    local load
    if given.supply == "three-phase" then
      load = imp.electrical.three_phase_current { power = given.power, voltage = q "400 V", power_factor = 0.95 }
    else
      load = imp.electrical.single_phase_current { power = given.power, voltage = q "230 V", power_factor = 0.95 }
      if load.current > q "32 A" then return nil, "we bring no single-phase plug above 32 A" end
    end
    return { current = load.current, plug = imp.electrical.plug_rating { current = load.current } }
  end,
  cases = {
    -- 12 kW / (sqrt 3 x 400 V x 0.95) = 18.2 A; the next plug of IEC 60309-2, series I, is 32 A
    { name = "by hand", inputs = { power = "12 kW", supply = "three-phase" }, expect = { current = q "18.23 A", plug = q "32 A" },
      within = { current = q "0.01 A", plug = q "0 A" } },
    { name = "refused", inputs = { power = "30 kW", supply = "single-phase" }, refuses = "no single-phase plug" },
  },
}
