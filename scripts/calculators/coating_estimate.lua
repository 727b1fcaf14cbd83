-- Coating for an area: volume, containers, wet film of each coat and time.
local imp = require "impinge"
local q = imp.q

return calculator {
  id = "coating_estimate",
  title = "Coating for an area: volume, containers and wet film",
  formula = "V = A (t/v + D)/(1 - x), w = t/n (1 + a)/v",
  source = "yield.coating, yield.wet_film",
  validity = "plans material; the supplier's data sheet says film, solids and thinning",
  inputs = {
    { name = "area", symbol = "A", unit = "m^2", low = q "0 m^2", high = q "1e6 m^2", open = "low", help = "plain area of the surface" },
    { name = "dry_film", symbol = "t", unit = "um", low = q "0 um", high = q "20000 um", open = "low", help = "of all coats together" },
    { name = "coats", symbol = "n", low = 1, high = 20, default = 1, help = "equal ones" },
    { name = "solids_by_volume", symbol = "v", unit = "%", low = 0, high = 1, open = "low", help = "what stays when the film dries" },
    { name = "loss", symbol = "x", unit = "%", low = 0, high = 0.9, default = q "20 %",
      help = "share of the sprayed volume that ends elsewhere" },
    { name = "thinning", symbol = "a", unit = "%", low = 0, high = 1, default = 0,
      help = "thinner added, by volume of the coating as supplied" },
    { name = "profile_dead_volume", symbol = "D", unit = "L/m^2", low = q "0 L/m^2", high = q "2 L/m^2", default = q "0 L/m^2",
      help = "fills the blast profile before it counts as film" },
    { name = "container_volume", unit = "L", low = q "0.1 L", high = q "2000 L", default = q "20 L", help = "of the coating as supplied" },
  },
  outputs = {
    { name = "volume", symbol = "V", unit = "L", help = "of coating as supplied" },
    { name = "containers", help = "whole ones to be opened" },
    { name = "spreading_rate", unit = "m^2/L", help = "practical" },
    { name = "wet_film", symbol = "w", unit = "um", help = "of each coat, to be read on the comb" },
  },
  compute = function(given)
    local coating = imp.yield.coating { area = given.area, dry_film = given.dry_film, solids_by_volume = given.solids_by_volume,
                                        loss = given.loss, profile_dead_volume = given.profile_dead_volume }
    local wet = imp.yield.wet_film { dry_film = given.dry_film / given.coats, solids_by_volume = given.solids_by_volume,
                                     thinning = given.thinning }
    local containers = math.ceil((coating.volume / given.container_volume):value "1" - 1e-9)
    return { volume = coating.volume, containers = containers, spreading_rate = coating.spreading_rate, wet_film = wet }
  end,
  cases = {
    { -- by hand: 100 m^2 of 1 mm are 100 L, of which a fifth is lost
      name = "all solids",
      inputs = { area = "100 m^2", dry_film = "1000 um", solids_by_volume = "100 %" },
      expect = { volume = q "125 L", containers = 7, spreading_rate = q "0.8 m^2/L", wet_film = q "1000 um" },
    },
    { -- by hand: 125 um a coat over half solids, thinned by a tenth
      name = "two thinned coats",
      inputs = { area = "50 m^2", dry_film = "250 um", coats = 2, solids_by_volume = "50 %", thinning = "10 %", loss = 0 },
      expect = { volume = q "25 L", containers = 2, wet_film = q "275 um" },
    },
  },
}
