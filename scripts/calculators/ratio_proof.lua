-- The ratio from drum levels, and whether the readings are good enough to judge it.
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "ratio_proof",
  title = "Ratio proof from drum levels",
  formula = "dr = (r_v - r0)/r0, judged with twice its standard uncertainty u_r/r0",
  source = "mix.dip_ratio, mix.deviation; coverage factor 2, JCGM 100:2008, 6.2.1",
  validity = "upright drums of known inner diameter, level ground, still liquid",
  inputs = {
    { name = "nominal_ratio", symbol = "r0", low = 0.1, high = 10, default = 1, help = "iso over resin by volume" },
    { name = "limit", unit = "%", low = 0, high = 0.5, open = "low", default = q "3 %",
      help = "largest deviation that the supplier allows, either way" },
    { name = "iso_diameter", unit = "mm", low = q "50 mm", high = q "3000 mm", default = q "571 mm", help = "inner, of the drum" },
    { name = "iso_drop", unit = "mm", low = q "0 mm", high = q "5000 mm", open = "low", help = "fall of the level between two readings" },
    { name = "resin_diameter", unit = "mm", low = q "50 mm", high = q "3000 mm", default = q "571 mm" },
    { name = "resin_drop", unit = "mm", low = q "0 mm", high = q "5000 mm", open = "low" },
    { name = "reading_uncertainty", unit = "mm", low = q "0 mm", high = q "50 mm", default = q "1 mm",
      help = "standard uncertainty of one reading" },
  },
  outputs = {
    { name = "volume_ratio", symbol = "r_v" },
    { name = "deviation", symbol = "dr", unit = "%" },
    { name = "deviation_uncertainty", unit = "%", help = "standard" },
    { name = "verdict", choices = { "within", "outside", "cannot tell" },
      help = "cannot tell: spray longer before reading, or read better" },
  },
  compute = function(given)
    local dip = imp.mix.dip_ratio { iso_diameter = given.iso_diameter, iso_drop = given.iso_drop, resin_diameter = given.resin_diameter,
                                    resin_drop = given.resin_drop, reading_uncertainty = given.reading_uncertainty }
    local deviation = imp.mix.deviation { measured_ratio = dip.volume_ratio, nominal_ratio = given.nominal_ratio }
    local uncertainty = dip.standard_uncertainty / given.nominal_ratio
    local verdict = "cannot tell"
    if deviation:abs() + 2 * uncertainty <= given.limit then verdict = "within" end
    if deviation:abs() - 2 * uncertainty > given.limit then verdict = "outside" end
    return { volume_ratio = dip.volume_ratio, deviation = deviation, deviation_uncertainty = uncertainty, verdict = verdict }
  end,
  cases = {
    { -- by hand: u_r = 2^(1/2) 1 mm (2/200^2)^(1/2) = 0.01, so 2 % either way
      name = "equal drops",
      inputs = { iso_drop = "200 mm", resin_drop = "200 mm" },
      expect = { volume_ratio = 1, deviation = 0, deviation_uncertainty = q "1 %", verdict = "within" },
    },
    { name = "short drops say nothing", inputs = { iso_drop = "40 mm", resin_drop = "40 mm" }, expect = { verdict = "cannot tell" } },
    {
      name = "a tenth too much iso", -- by hand: 220/200
      inputs = { iso_drop = "220 mm", resin_drop = "200 mm" },
      expect = { deviation = q "10 %", verdict = "outside" },
    },
  },
}
