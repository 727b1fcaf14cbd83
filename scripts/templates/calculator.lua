-- NEW.FILE: a calculator of your own. It takes solving backwards, sweeps, sensitivity and uncertainty as the catalogue does:
--   impinge calc NEW.FILE area="200 m^2" thickness="60 mm"           (asks for what is missing at a terminal)
--   impinge calc NEW.FILE thickness="60 mm" --solve-for area --target drums=10
--   impinge calc NEW.FILE area="200 m^2" --sweep thickness="40 mm..120 mm/9" --format html -o sweep.html
--   impinge explain NEW.FILE
--   impinge test NEW.FILE                                             (computes the cases below)
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "NEW_NAME",
  title = "Drums of iso for an area of foam",
  formula = "n = A d rho/(1 - x) s/m_drum",       -- for people: written with the symbols below
  source = "yield.foam; share of iso from the data sheet",
  validity = "an example to begin with: put your own figures in",

  -- What is asked for. Without default (or optional = true) an input must be given.
  inputs = {
    { name = "area", symbol = "A", unit = "m^2", low = q "0 m^2", high = q "100000 m^2", open = "low", help = "plain area" },
    { name = "thickness", symbol = "d", unit = "mm", low = q "0 mm", high = q "1000 mm", open = "low" },
    { name = "in_place_density", symbol = "rho", unit = "kg/m^3", low = q "3 kg/m^3", high = q "300 kg/m^3", default = q "35 kg/m^3" },
    { name = "loss", symbol = "x", unit = "%", low = 0, high = 0.9, default = q "10 %", help = "share that ends elsewhere" },
    { name = "iso_share", symbol = "s", unit = "%", low = 0, high = 1, default = q "52 %", help = "of the mass" },
    { name = "drum_mass", symbol = "m_drum", unit = "kg", low = q "1 kg", high = q "2000 kg", default = q "240 kg" },
    { name = "round_up", kind = "flag", default = false, help = "true: whole drums" },
  },
  outputs = {
    { name = "mass", unit = "kg", help = "to be sprayed" },
    { name = "drums", symbol = "n", help = "of iso" },
  },

  -- Gets the inputs as quantities and gives the outputs. return nil, "reason" refuses inputs that go together badly.
  compute = function(given)
    local foam = imp.yield.foam { area = given.area, thickness = given.thickness, in_place_density = given.in_place_density,
                                  loss = given.loss }
    local drums = (foam.mass * given.iso_share / given.drum_mass):value "1"
    if given.round_up then drums = math.ceil(drums) end
    return { mass = foam.mass, drums = drums }
  end,

  -- What is known from elsewhere: by hand, from a job that was measured, from a data sheet.
  cases = {
    {
      name = "by hand",                           -- 100 m^2 of 60 mm are 6 m^3, 210 kg; 52 % of it over 240 kg
      inputs = { area = "100 m^2", thickness = "60 mm", loss = 0 },
      expect = { mass = q "210 kg", drums = 0.455 },
      within = { mass = q "0.1 kg", drums = 0.001 },
    },
    { name = "whole drums", inputs = { area = "100 m^2", thickness = "60 mm", round_up = true }, expect = { drums = 1 } },
    { name = "no area is refused", inputs = { area = "0 m^2", thickness = "60 mm" }, refuses = "area" },
  },
}
