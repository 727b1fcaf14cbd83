-- mixing.lua: the mixing ratio as measured, and how the two jets meet in the gun.

local imp = require "impinge"
local common = require "rules.shared.common"
local point = require "rules.shared.point"
local q = imp.q

-- The measured ratio with its standard uncertainty (nil where not known): a ratio given outright, else pump cycles, else
-- the drums' levels.
local function measured_ratio(job)
  local measured = job.measured
  if measured.ratio then return measured.ratio, measured.ratio_uncertainty, "ratio as measured" end
  local counters, pumps = measured.counters, job.rig.pumps
  if counters.iso_cycles and counters.resin_cycles and pumps.iso.displacement and pumps.resin.displacement then
    return imp.mix.counter_ratio {
      iso_cycles = counters.iso_cycles, iso_displacement = pumps.iso.displacement,
      resin_cycles = counters.resin_cycles, resin_displacement = pumps.resin.displacement,
    }, nil, "ratio from pump cycles"
  end
  local dips = measured.dips
  local ratio = imp.mix.dip_ratio {
    iso_diameter = dips.iso_diameter, iso_drop = dips.iso_drop,
    resin_diameter = dips.resin_diameter, resin_drop = dips.resin_drop,
    reading_uncertainty = dips.reading_uncertainty,
  }
  return ratio.volume_ratio, ratio.standard_uncertainty, "ratio from drum dips"
end

rule {
  id = "mixing-ratio",
  title = "Measured mixing ratio is right",
  group = "mixing", stage = "site",
  uses = { "material.volume_ratio" },
  any_of = {
    { "measured.ratio" },
    { "measured.counters.iso_cycles", "measured.counters.resin_cycles", "rig.pumps.iso.displacement",
      "rig.pumps.resin.displacement" },
    { "measured.dips.iso_diameter", "measured.dips.iso_drop", "measured.dips.resin_diameter", "measured.dips.resin_drop" },
  },
  compute = function(job)
    local ratio, uncertainty, how = measured_ratio(job)
    local nominal = job.material.volume_ratio
    local deviation = imp.mix.deviation { measured_ratio = ratio, nominal_ratio = nominal }
    -- coverage factor 2: about 95 % (GUM, 6.3.3)
    local expanded = uncertainty and common.shown_in("%", 2 * uncertainty / nominal)
    local parts = { { label = how, value = ratio }, { label = "nominal ratio", value = nominal },
                    { label = "deviation", value = deviation } }
    if expanded then parts[#parts + 1] = { label = "uncertainty of the deviation (k = 2)", value = expanded } end
    return deviation:abs(), { uncertainty = expanded, parts = parts,
      note = "iso : resin by volume; a cold drum, a starved pump or a leaking valve shows here first" }
  end,
  at_most = { from = { "limits.ratio_tolerance", "material.ratio_tolerance", "material.limits.ratio_tolerance",
                       "rig.limits.ratio_tolerance" }, default = q "5 %", practice = true },
  lever = { "measured.ratio" },
  source = "the material's data sheet",
  advice = "Stop and look for a starved pump, a blocked strainer or a leaking check valve; then measure again.",
}

local jet_levers = { "rig.gun.iso_orifice", "rig.gun.resin_orifice", point.levers.pressure, point.levers.iso_temperature,
                     point.levers.resin_temperature, point.levers.hose_temperature }

rule {
  id = "impingement-reynolds",
  title = "Jets are fast and thin enough to mix",
  group = "mixing", stage = "site",
  compute = function(job)
    local at, why, missing = point.of(job)
    if not at then return point.without(why, missing) end
    point.show_inputs(job)
    return at.iso_impingement_reynolds:min(at.resin_impingement_reynolds), { parts = {
      { label = "iso jet", value = at.iso_impingement_reynolds },
      { label = "resin jet", value = at.resin_impingement_reynolds },
      { label = "iso at the gun", value = at.iso_gun_temperature },
      { label = "resin at the gun", value = at.resin_gun_temperature },
    }, note = "the lower of the two Reynolds numbers in the orifices" }
  end,
  caution_below = { from = "limits.impingement_reynolds", default = q(150, "1"),
                    source = "Tucker and Suh, Polym. Eng. Sci. 20 (1980) 875: opposed jets turn turbulent at 140, angled ones later" },
  lever = jet_levers,
  source = "reaction-injection moulding literature",
  advice = "Spray warmer, with more pressure, or through a chamber with smaller orifices; look at the foam for streaks.",
}

rule {
  id = "momentum-balance",
  title = "Jets meet with like momentum",
  group = "mixing", stage = "site",
  compute = function(job)
    local at, why, missing = point.of(job)
    if not at then return point.without(why, missing) end
    point.show_inputs(job)
    local ratio = at.momentum_ratio
    return common.shown_in("%", 1 - ratio:min(1 / ratio)), { parts = { { label = "momentum, iso over resin", value = ratio } },
      note = "difference of the jets' momenta over the higher one; a jet that is much stronger pushes into the other's orifice. "
        .. "Tucker and Suh (1980) found no effect of it on the mixing of opposed jets" }
  end,
  caution_above = { from = "limits.momentum_deviation", default = q "30 %", practice = true },
  lever = { "rig.gun.iso_orifice", "rig.gun.resin_orifice" },
  source = "practice",
  advice = "Match the orifices to the ratio and the densities.",
}
