-- Does the hose heating hold its temperature in this air, and on which tap?
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "hose_heat",
  title = "Hose heating: what the hose loses, and the tap that covers it",
  formula = "q by heat.hose_loss; I = sqrt(q Ls/R) on the lowest tap that drives it",
  source = "heat.hose_loss, heat.hose_tap",
  validity = "holding temperature without flow, a jacket all round; warming up takes more. Low voltage at high current burns and arcs: "
    .. "taps are set by a competent person with the supply off",
  inputs = {
    { name = "sections", symbol = "n", low = 0.5, high = 20, help = "hose sections in series" },
    { name = "section_length", symbol = "Ls", unit = "m", low = q "1 m", high = q "100 m" },
    { name = "section_resistance", symbol = "R", unit = "ohm", low = q "0.001 ohm", high = q "100 ohm", help = "measured there and back" },
    { name = "taps", kind = "list", unit = "V", low = q "1 V", high = q "500 V", help = "nominal voltages, as \"36 V, 57 V\"" },
    { name = "current_limit", symbol = "Im", unit = "A", low = q "1 A", high = q "500 A",
      help = "largest current the supply or the hose bears" },
    { name = "hose_temperature", symbol = "Tf", unit = "degC", low = q "0 degC", high = q "100 degC", help = "to be held" },
    { name = "ambient_temperature", symbol = "Ta", unit = "degC", low = q "-40 degC", high = q "50 degC" },
    { name = "wind_speed", unit = "m/s", low = q "0 m/s", high = q "30 m/s", default = q "0 m/s" },
    { name = "inner_diameter", unit = "mm", low = q "5 mm", high = q "200 mm", help = "inside of the insulation" },
    { name = "outer_diameter", unit = "mm", low = q "5 mm", high = q "300 mm", help = "outside of the insulation" },
    { name = "insulation_conductivity", unit = "W/(m K)", low = q "0.01 W/(m K)", high = q "1 W/(m K)", default = q "0.04 W/(m K)" },
  },
  outputs = {
    { name = "loss_per_length", symbol = "q", unit = "W/m" },
    { name = "power_per_length", unit = "W/m", help = "what the tap gives" },
    { name = "voltage", unit = "V", help = "of the tap" },
    { name = "current", symbol = "I", unit = "A" },
    { name = "power", unit = "kW", help = "of all sections together" },
    { name = "limited_by", choices = { "need met", "current", "highest tap" }, help = "need met: the temperature is held" },
  },
  compute = function(given)
    local loss = imp.heat.hose_loss { inner_diameter = given.inner_diameter, outer_diameter = given.outer_diameter,
      insulation_conductivity = given.insulation_conductivity, fluid_temperature = given.hose_temperature,
      ambient_temperature = given.ambient_temperature, wind_speed = given.wind_speed }
    if loss.loss_per_length <= q "0 W/m" then return nil, "the air is as warm as the hose is to be: there is nothing to heat" end
    local tap = imp.heat.hose_tap { section_resistance = given.section_resistance, sections = given.sections,
      section_length = given.section_length, taps = given.taps, current_limit = given.current_limit,
      required_power_per_length = loss.loss_per_length }
    return { loss_per_length = loss.loss_per_length, power_per_length = tap.power_per_length, voltage = tap.voltage, current = tap.current,
             power = tap.power, limited_by = tap.limited_by }
  end,
  cases = {
    { -- loss computed with scipy 1.10.1 from Churchill and Chu 1975; then by hand I = (19.4242 15/0.4)^(1/2), 43.2 V over four sections
      name = "still air, middle tap",
      inputs = { sections = 4, section_length = "15 m", section_resistance = "0.4 ohm", taps = { "36 V", "57 V", "84 V" },
                 current_limit = "60 A", hose_temperature = "60 degC", ambient_temperature = "0 degC", inner_diameter = "25 mm",
                 outer_diameter = "45 mm", insulation_conductivity = "0.04 W/(m K)" },
      expect = { loss_per_length = q "19.42418529 W/m", current = q "26.9890 A", voltage = q "57 V", limited_by = "need met" },
      within = { current = q "0.001 A" },
    },
    {
      name = "a low limit cuts the current",
      inputs = { sections = 4, section_length = "15 m", section_resistance = "0.4 ohm", taps = { "36 V", "57 V", "84 V" },
                 current_limit = "20 A", hose_temperature = "60 degC", ambient_temperature = "0 degC", inner_diameter = "25 mm",
                 outer_diameter = "45 mm" },
      expect = { limited_by = "current", current = q "20 A", voltage = q "36 V" }, -- 20 A through 1.6 ohm: 32 V
    },
    {
      name = "warm air needs no heating",
      inputs = { sections = 4, section_length = "15 m", section_resistance = "0.4 ohm", taps = { "36 V" }, current_limit = "20 A",
                 hose_temperature = "30 degC", ambient_temperature = "40 degC", inner_diameter = "25 mm", outer_diameter = "45 mm" },
      refuses = "nothing to heat",
    },
  },
}
