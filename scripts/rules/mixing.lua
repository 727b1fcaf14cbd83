-- mixing.lua: the mixing ratio as measured, and how the two jets meet in the gun.

local imp = require "impinge"
local common = require "rules.shared.common"
local point = require "rules.shared.point"
local q = imp.q

-- Ratio of the pumps' strokes, or nil. A pump that is starved strokes all the same, so it says nothing of what was delivered.
local function stroke_ratio(job)
  local counters, pumps = job.measured.counters, job.rig.pumps
  if not (counters.iso_cycles and counters.resin_cycles and pumps.iso.displacement and pumps.resin.displacement) then return nil end
  return imp.mix.counter_ratio {
    iso_cycles = counters.iso_cycles, iso_displacement = pumps.iso.displacement,
    resin_cycles = counters.resin_cycles, resin_displacement = pumps.resin.displacement,
  }
end

local function has_dips(dips) return dips.iso_diameter and dips.iso_drop and dips.resin_diameter and dips.resin_drop end

-- The measured ratio with its standard uncertainty (nil where not known): a ratio given outright, else the drums' levels,
-- else the pumps' strokes.
local function measured_ratio(job)
  local measured = job.measured
  if measured.ratio then return { value = measured.ratio, uncertainty = measured.ratio_uncertainty, how = "ratio as measured" } end
  local dips = measured.dips
  if not has_dips(dips) then return { value = stroke_ratio(job), how = "stroke ratio, from pump cycles", by_strokes = true } end
  local ratio = imp.mix.dip_ratio {
    iso_diameter = dips.iso_diameter, iso_drop = dips.iso_drop,
    resin_diameter = dips.resin_diameter, resin_drop = dips.resin_drop,
    reading_uncertainty = dips.reading_uncertainty,
  }
  return { value = ratio.volume_ratio, uncertainty = ratio.standard_uncertainty, how = "ratio from drum dips" }
end

local strokes_only = "strokes only: a starved pump still strokes; dip the drums to prove the ratio"

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
  from_spraying = "spray the first minutes into waste or onto a test piece, dip both drums before and after, then check again",
  compute = function(job)
    local ratio, nominal = measured_ratio(job), job.material.volume_ratio
    local deviation = imp.mix.deviation { measured_ratio = ratio.value, nominal_ratio = nominal }
    -- coverage factor 2: about 95 % (GUM, 6.3.3)
    local expanded = ratio.uncertainty and common.shown_in("%", 2 * ratio.uncertainty / nominal)
    local parts = { { label = ratio.how, value = ratio.value }, { label = "nominal ratio", value = nominal },
                    { label = "deviation", value = deviation } }
    if expanded then parts[#parts + 1] = { label = "uncertainty of the deviation (k = 2)", value = expanded } end
    local strokes = not ratio.by_strokes and stroke_ratio(job)
    if strokes then parts[#parts + 1] = { label = "stroke ratio, from pump cycles, beside it", value = strokes } end
    return deviation:abs(), { uncertainty = expanded, parts = parts, caution = ratio.by_strokes and strokes_only or nil,
      note = ratio.by_strokes and "iso : resin by strokes and displacement; " .. strokes_only
             or "iso : resin by volume; a cold drum, a starved pump or a leaking valve shows here first" }
  end,
  at_most = { from = { "limits.ratio_tolerance", "material.ratio_tolerance", "material.limits.ratio_tolerance",
                       "rig.limits.ratio_tolerance" }, default = q "5 %", practice = true },
  lever = { "measured.ratio" },
  source = "the material's data sheet",
  advice = "Dip both drums before and after a stretch of spraying: only what left the drums shows the ratio. Where it is off, stop "
    .. "and look for a starved pump, a blocked strainer or a leaking check valve; then measure again.",
}

local jet_levers = { "rig.gun.iso_orifice", "rig.gun.resin_orifice", point.levers.pressure, point.levers.iso_temperature,
                     point.levers.resin_temperature, point.levers.hose_temperature }

rule {
  id = "impingement-reynolds",
  title = "Jets are fast and thin enough to mix",
  group = "mixing", stage = "site",
  compute = function(job)
    local at, why, missing = point.of(job)
    if not at then return point.not_judged(why, missing) end
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
    if not at then return point.not_judged(why, missing) end
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
