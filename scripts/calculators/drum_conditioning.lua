-- How long a drum takes to come to temperature, and when its heater must be switched on.
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "drum_conditioning",
  title = "Drum conditioning: time and energy to warm a drum",
  formula = "C = V rho cp; t by heat.warm_up_time",
  source = "heat.warm_up_time",
  validity = "a drum of one temperature throughout: stirred or left to even out, which takes hours more; the supplier's highest "
    .. "temperature stands above it",
  inputs = {
    { name = "volume", symbol = "V", unit = "L", low = q "1 L", high = q "2000 L", default = q "200 L", help = "in the drum" },
    { name = "density", symbol = "rho", unit = "kg/L", low = q "0.7 kg/L", high = q "2 kg/L" },
    { name = "heat_capacity", symbol = "cp", unit = "kJ/(kg K)", low = q "0.5 kJ/(kg K)", high = q "5 kJ/(kg K)",
      default = q "1.8 kJ/(kg K)" },
    { name = "heater_power", symbol = "P", unit = "kW", low = q "0.01 kW", high = q "50 kW" },
    { name = "efficiency", symbol = "eta", unit = "%", low = 0.05, high = 1, default = q "80 %",
      help = "share of the heat that reaches the liquid" },
    { name = "loss", symbol = "G", unit = "W/K", low = q "0 W/K", high = q "1000 W/K", default = q "5 W/K",
      help = "heat lost per kelvin above the air" },
    { name = "ambient_temperature", symbol = "Ta", unit = "degC", low = q "-40 degC", high = q "50 degC" },
    { name = "start_temperature", symbol = "T0", unit = "degC", low = q "-20 degC", high = q "60 degC" },
    { name = "target_temperature", symbol = "T1", unit = "degC", low = q "-20 degC", high = q "80 degC" },
  },
  outputs = {
    { name = "time", symbol = "t", unit = "h" },
    { name = "energy", unit = "kWh", help = "drawn by the heater" },
  },
  compute = function(given)
    local mass = given.volume * given.density
    local warm_up = imp.heat.warm_up_time { power = given.heater_power * given.efficiency, heat_capacity_total = mass * given.heat_capacity,
      loss = given.loss, ambient_temperature = given.ambient_temperature, start_temperature = given.start_temperature,
      target_temperature = given.target_temperature }
    return { time = warm_up.time, energy = given.heater_power * warm_up.time }
  end,
  cases = {
    { -- by hand: 240 kg of 1.8 kJ/(kg K) by 10 K are 4320 kJ
      name = "without loss",
      inputs = { density = "1.2 kg/L", heater_power = "1.2 kW", efficiency = 1, loss = "0 W/K", ambient_temperature = "10 degC",
                 start_temperature = "10 degC", target_temperature = "20 degC" },
      expect = { time = q "1 h", energy = q "1.2 kWh" },
    },
    { -- by hand: 432 kJ/K over 20 W/K is 6 h; 1 kW holds 50 K above the air, so 25 K take 6 h ln 2
      name = "half way to the highest temperature",
      inputs = { density = "1.2 kg/L", heater_power = "1 kW", efficiency = 1, loss = "20 W/K", ambient_temperature = "0 degC",
                 start_temperature = "0 degC", target_temperature = "25 degC" },
      expect = { time = q(6 * math.log(2), "h") },
    },
    {
      name = "a target out of reach is refused",
      inputs = { density = "1.2 kg/L", heater_power = "0.1 kW", efficiency = 1, loss = "20 W/K", ambient_temperature = "0 degC",
                 start_temperature = "0 degC", target_temperature = "25 degC" },
      refuses = "reach",
    },
  },
}
