-- Material, drums, lifts and time for sprayed foam on an area.
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "foam_estimate",
  title = "Foam for an area: material, drums, lifts and time",
  formula = "m = A k d rho/(1 - x), split by r_m = r_v rho_iso/rho_resin, t = m/q_m/f",
  source = "yield.foam, mix.mass_ratio, yield.split, yield.sets, yield.lifts, yield.spray_time",
  validity = "plans material; density, lifts and ratio are the supplier's figures",
  inputs = {
    { name = "area", symbol = "A", unit = "m^2", low = q "0 m^2", high = q "1e6 m^2", open = "low", help = "plain area of the surface" },
    { name = "thickness", symbol = "d", unit = "mm", low = q "0 mm", high = q "1000 mm", open = "low", help = "of the finished layer" },
    { name = "in_place_density", symbol = "rho", unit = "kg/m^3", low = q "3 kg/m^3", high = q "300 kg/m^3",
      help = "of the finished foam with its skins" },
    { name = "loss", symbol = "x", unit = "%", low = 0, high = 0.9, default = q "10 %",
      help = "share of the sprayed mass that ends elsewhere" },
    { name = "surface_factor", symbol = "k", low = 1, high = 5, default = 1, help = "true surface over plain area" },
    { name = "volume_ratio", symbol = "r_v", low = 0.1, high = 10, default = 1, help = "iso over resin" },
    { name = "iso_density", symbol = "rho_iso", unit = "kg/L", low = q "0.8 kg/L", high = q "2 kg/L", help = "in the drum" },
    { name = "resin_density", symbol = "rho_resin", unit = "kg/L", low = q "0.8 kg/L", high = q "2 kg/L", help = "in the drum" },
    { name = "drum_volume", symbol = "V_drum", unit = "L", low = q "1 L", high = q "2000 L", default = q "200 L",
      help = "filled into one drum" },
    { name = "usable_fraction", symbol = "u", unit = "%", low = 0.1, high = 1, default = q "97 %", help = "share that the pump can empty" },
    { name = "maximum_lift", symbol = "d_max", unit = "mm", low = q "1 mm", high = q "1000 mm",
      help = "thickest lift that the supplier allows" },
    { name = "mass_flow", symbol = "q_m", unit = "kg/min", low = q "0 kg/min", high = q "60 kg/min", open = "low",
      help = "while the trigger is pulled" },
    { name = "trigger_fraction", symbol = "f", unit = "%", low = 0, high = 1, open = "low", default = q "50 %",
      help = "share of the time in which the trigger is pulled" },
  },
  outputs = {
    { name = "mass", symbol = "m", unit = "kg", help = "to be sprayed" },
    { name = "volume", unit = "m^3", help = "of foam in place" },
    { name = "iso_volume", unit = "L" },
    { name = "resin_volume", unit = "L" },
    { name = "sets", help = "of one drum of iso and one of resin" },
    { name = "lifts", help = "equal ones" },
    { name = "lift_thickness", unit = "mm" },
    { name = "elapsed_time", symbol = "t", unit = "h", help = "from start to end" },
  },
  compute = function(given)
    local foam = imp.yield.foam { area = given.area, thickness = given.thickness, in_place_density = given.in_place_density,
                                  loss = given.loss, surface_factor = given.surface_factor }
    local ratio = imp.mix.mass_ratio { volume_ratio = given.volume_ratio, iso_density = given.iso_density,
      resin_density = given.resin_density }
    local split = imp.yield.split { mass = foam.mass, mass_ratio = ratio, iso_density = given.iso_density,
      resin_density = given.resin_density }
    local drums = imp.yield.sets { iso_volume = split.iso_volume, resin_volume = split.resin_volume, drum_volume = given.drum_volume,
                                   usable_fraction = given.usable_fraction }
    local lifts = imp.yield.lifts { thickness = given.thickness, maximum_lift = given.maximum_lift }
    local time = imp.yield.spray_time { mass = foam.mass, mass_flow = given.mass_flow, trigger_fraction = given.trigger_fraction }
    return {
      mass = foam.mass, volume = foam.volume, iso_volume = split.iso_volume, resin_volume = split.resin_volume, sets = drums.sets,
      lifts = lifts.lifts, lift_thickness = lifts.lift_thickness, elapsed_time = time.elapsed_time,
    }
  end,
  cases = {
    { -- by hand: 100 m^2 of 60 mm are 6 m^3, 210 kg; at equal volumes 210/2.2 L of each
      name = "no loss, equal volumes",
      inputs = { area = "100 m^2", thickness = "60 mm", in_place_density = "35 kg/m^3", loss = 0, iso_density = "1.2 kg/L",
                 resin_density = "1 kg/L", maximum_lift = "50 mm", mass_flow = "7 kg/min" },
      expect = { mass = q "210 kg", volume = q "6 m^3", iso_volume = q(210 / 2.2, "L"), resin_volume = q(210 / 2.2, "L"), sets = 1,
                 lifts = 2, lift_thickness = q "30 mm", elapsed_time = q "1 h" },
    },
    {
      name = "ten times the area takes five sets", -- 954.5 L of each from drums that give 194 L
      inputs = { area = "1000 m^2", thickness = "60 mm", in_place_density = "35 kg/m^3", loss = 0, iso_density = "1.2 kg/L",
                 resin_density = "1 kg/L", maximum_lift = "50 mm", mass_flow = "7 kg/min" },
      expect = { sets = 5 },
    },
    {
      name = "a lift of nothing is refused",
      inputs = { area = "100 m^2", thickness = "60 mm", in_place_density = "35 kg/m^3", iso_density = "1.2 kg/L", resin_density = "1 kg/L",
                 maximum_lift = "0 mm", mass_flow = "7 kg/min" },
      refuses = "maximum_lift",
    },
  },
}
