-- Cable and breaker for a load on one or three phases, with its voltage drop.
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "supply_cable",
  title = "Supply cable: current, section, breaker and voltage drop",
  formula = "I = P/(U cos) or P/(3^(1/2) U cos); I <= In <= Iz",
  source = "electrical.single_phase_current, electrical.three_phase_current, electrical.cable_size",
  validity = "helps to plan; local codes and a licensed electrician decide",
  inputs = {
    { name = "power", symbol = "P", unit = "kW", low = q "0 kW", high = q "500 kW", open = "low", help = "electrical, of the whole load" },
    { name = "voltage", symbol = "U", unit = "V", low = q "100 V", high = q "700 V", help = "from line to line on three phases" },
    { name = "phases", choices = { "1", "3" }, default = 3 },
    { name = "power_factor", symbol = "cos", low = 0, high = 1, open = "low", default = 1 },
    { name = "length", symbol = "L", unit = "m", low = q "0 m", high = q "1000 m", open = "low", help = "one way" },
    { name = "method", choices = { "B1", "B2", "C", "E" }, default = "C", help = "C lying on a surface, E in free air, B in conduit" },
    { name = "insulation", choices = { "pvc", "xlpe", "rubber" }, default = "pvc", help = "rubber: a flexible cable, methods C and E" },
    { name = "ambient_temperature", unit = "degC", low = q "-40 degC", high = q "60 degC", default = q "30 degC" },
    { name = "grouped", low = 1, high = 20, default = 1, help = "loaded cables that touch each other" },
    { name = "layers_on_drum", low = 0, high = 4, default = 0, help = "0: laid out" },
    { name = "drop_limit", unit = "%", low = 0, high = 0.2, open = "low", default = q "5 %" },
    { name = "class", choices = { "2", "5" }, default = 5, help = "2 stranded, 5 flexible" },
  },
  outputs = {
    { name = "current", symbol = "I", unit = "A" },
    { name = "section", unit = "mm^2" },
    { name = "breaker", symbol = "In", unit = "A" },
    { name = "ampacity", symbol = "Iz", unit = "A", help = "as it is laid" },
    { name = "drop_fraction", unit = "%" },
    { name = "governed_by", choices = { "ampacity", "breaker", "drop" } },
  },
  compute = function(given)
    local current_of = given.phases == "3" and imp.electrical.three_phase_current or imp.electrical.single_phase_current
    local load = current_of { power = given.power, voltage = given.voltage, power_factor = given.power_factor }
    local cable = imp.electrical.cable_size { current = load.current, length = given.length, voltage = given.voltage, phases = given.phases,
      method = given.method, insulation = given.insulation, ambient_temperature = given.ambient_temperature, grouped = given.grouped,
      drop_limit = given.drop_limit, power_factor = given.power_factor, class = given.class, layers_on_drum = given.layers_on_drum }
    return { current = load.current, section = cable.section, breaker = cable.breaker, ampacity = cable.ampacity,
             drop_fraction = cable.drop_fraction, governed_by = cable.governed_by }
  end,
  cases = {
    { -- worked cable-sizing example on a public page: 5 kW at 230 V, 21.74 A, method C, 35 degC, 40 m, 3 %: 6 mm^2, drop 2.8 %
      name = "single phase with a tight drop",
      inputs = { power = "5 kW", voltage = "230 V", phases = 1, length = "40 m", ambient_temperature = "35 degC", drop_limit = "3 %",
        class = 2 },
      expect = { current = q "21.74 A", section = q "6 mm^2", drop_fraction = q "2.8 %" },
      within = { current = q "0.005 A", section = q "0.001 mm^2", drop_fraction = q "0.05 %" },
    },
    { -- by hand: 12 kW/(3^(1/2) 400 V); IEC 60364-5-52 table B.52.4, pvc, method C, three loaded: 2.5 mm^2 bears 24 A (from memory)
      name = "three phases over a short way",
      inputs = { power = "12 kW", voltage = "400 V", length = "5 m" },
      expect = { current = q(12000 / (math.sqrt(3) * 400), "A"), section = q "2.5 mm^2", breaker = q "20 A", ampacity = q "24 A" },
    },
    { -- BS 7671 table 4F1A, three-core flexible cable of 60 degC rubber: 6 mm^2 bears 34 A, which a breaker of 32 A protects
      name = "three phases through a flexible rubber cable",
      inputs = { power = "20 kW", voltage = "400 V", length = "5 m", insulation = "rubber" },
      expect = { section = q "6 mm^2", breaker = q "32 A", ampacity = q "34 A" },
    },
  },
}
