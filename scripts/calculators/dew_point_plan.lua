-- How far the surface is from the dew point, and what would make it far enough.
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "dew_point_plan",
  title = "Dew point plan: how warm the surface, how dry the air must be",
  formula = "spread = ts - td; lowest surface = td + margin; highest humidity: the one whose dew point is ts - margin",
  source = "climate.surface_condition; margin of 3 K: guidance of ISO 8502-4",
  validity = "the supplier's own margin stands above 3 K",
  inputs = {
    { name = "air_temperature", symbol = "t", unit = "degC", low = q "-20 degC", high = q "50 degC" },
    { name = "relative_humidity", symbol = "phi", unit = "%", low = 0.05, high = 1 },
    { name = "surface_temperature", symbol = "ts", unit = "degC", low = q "-20 degC", high = q "70 degC", help = "the coldest place" },
    { name = "margin", unit = "K", low = q "0 K", high = q "15 K", default = q "3 K", help = "least distance to the dew point" },
  },
  outputs = {
    { name = "dew_point", unit = "degC" },
    { name = "spread", unit = "K", help = "surface less dew point" },
    { name = "lowest_surface", unit = "degC", help = "surface that has the margin in this air" },
    { name = "highest_humidity", unit = "%", help = "of air at this temperature, at which this surface has the margin; 100 %: any" },
    { name = "clear", choices = { "yes", "no" } },
  },
  compute = function(given)
    local surface = imp.climate.surface_condition { air_temperature = given.air_temperature, relative_humidity = given.relative_humidity,
                                                    surface_temperature = given.surface_temperature }
    -- air that is saturated at surface less margin, warmed to the air's temperature
    local limit = imp.climate.surface_condition { air_temperature = given.surface_temperature - given.margin, relative_humidity = 1,
                                                  surface_temperature = given.air_temperature }
    return {
      dew_point = surface.dew_point, spread = surface.spread, lowest_surface = surface.dew_point + given.margin,
      highest_humidity = limit.surface_humidity:min(1), clear = surface.spread >= given.margin and "yes" or "no",
    }
  end,
  cases = {
    { -- dew point: ASHRAE Fundamentals 2017 ch. 1; saturation at 11 and 20 degC in its table 3: 1.3129 and 2.3392 kPa (from memory)
      name = "20 degC and 50 %",
      inputs = { air_temperature = "20 degC", relative_humidity = "50 %", surface_temperature = "14 degC" },
      expect = { dew_point = q "9.27 degC", spread = q "4.73 K", lowest_surface = q "12.27 degC", highest_humidity = q(1.3129 / 2.3392,
        "1"),
                 clear = "yes" },
      within = { dew_point = q "0.01 K", spread = q "0.01 K", lowest_surface = q "0.01 K", highest_humidity = q "0.05 %" },
    },
    {
      name = "a cold wall is not clear",
      inputs = { air_temperature = "20 degC", relative_humidity = "50 %", surface_temperature = "12 degC" },
      expect = { clear = "no" },
    },
    {
      name = "a surface warmer than the air takes any humidity",
      inputs = { air_temperature = "15 degC", relative_humidity = "90 %", surface_temperature = "20 degC" },
      expect = { highest_humidity = 1, clear = "yes" },
    },
  },
}
