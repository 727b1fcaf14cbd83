-- material.lua: drums, their age and number, lifts and the wait between them.

local imp = require "impinge"
local common = require "rules.shared.common"
local work = require "rules.shared.work"
local q = imp.q

for _, side in ipairs(common.sides) do
  local name = side == "iso" and "Iso" or "Resin"
  local liquid = "material." .. side .. "."

  rule {
    id = side .. "-drum-temperature",
    title = name .. " drums are in their window for pumping",
    group = "material", stage = "site",
    uses = { "stock.drum_temperature" },
    compute = function(job) return job.stock.drum_temperature end,
    at_least = { from = { liquid .. "drum_temperature.min" } },
    at_most = { from = { liquid .. "drum_temperature.max" } },
    lever = { "stock.drum_temperature" },
    source = "the material's data sheet",
    advice = "Warm or cool the drums slowly, stirring where the supplier says so; measure in the liquid, not on the steel. Loosen the bung or fit a vent before warming, and keep the iso dry.",
  }

  rule {
    id = side .. "-drum-storage",
    title = name .. " drums are in their storage window",
    group = "material", stage = "site",
    uses = { "stock.drum_temperature" },
    compute = function(job) return job.stock.drum_temperature end,
    caution_below = { from = { liquid .. "storage.min" } },
    caution_above = { from = { liquid .. "storage.max" } },
    source = "the material's data sheet",
    advice = "Ask the supplier whether these drums may still be used.",
  }

  rule {
    id = side .. "-quantity",
    title = "There is enough " .. side,
    group = "material", stage = "plan",
    uses = common.join({ "stock." .. side .. "_drums", "stock.usable_fraction", "material.drum_volume" },
                       work.paths, work.material_paths),
    compute = function(job)
      local mass, why, missing = work.mass_needed(job)
      if not mass then return nil, why, missing end
      local split = work.split(job, mass)
      local sets = imp.yield.sets { iso_volume = split.iso_volume, resin_volume = split.resin_volume,
                                    drum_volume = job.material.drum_volume, usable_fraction = job.stock.usable_fraction }
      return split[side .. "_volume"], { assumed = common.assumed(job, { work.flat }), parts = {
        { label = "mass of mixed material, loss counted", value = mass },
        { label = "sets needed", value = sets.sets },
        { label = side .. " left over from whole sets", value = sets[side .. "_left"] },
      } }
    end,
    at_most = function(job)
      local stock = job.stock
      return stock[side .. "_drums"] * job.material.drum_volume * stock.usable_fraction, "job"
    end,
    shown = { value = "needed", limit = "there is" },
    lever = { { path = "stock." .. side .. "_drums", whole = true } },
    source = "volume balance",
    advice = "Bring more drums before you start: a different batch in the middle of a job is a different mix.",
  }
end

rule {
  id = "material-age",
  title = "Material is within its date",
  group = "material", stage = "plan",
  uses = { "stock.expiry", "date" },
  compute = function(job) return common.days_between(job.date, job.stock.expiry) end,
  at_least = q "0 d",
  shown = { value = "time left" },
  source = "the material's label",
  advice = "Do not spray it; ask the supplier for a new date in writing, or use fresh drums.",
}

local function foam_only(job)
  if work.is_coating(job) then return false, "a coating has no lifts" end
  return true
end

local lift_paths = { "work.kind", "work.thickness", "material.foam.maximum_lift" }

local function lifts(job)
  return imp.yield.lifts { thickness = job.work.thickness, maximum_lift = job.material.foam.maximum_lift,
                           minimum_lift = job.material.foam.minimum_lift }
end

rule {
  id = "lift-thickness",
  title = "Thickness can be sprayed in allowed lifts",
  group = "material", stage = "plan",
  uses = common.join(lift_paths, { "material.foam.minimum_lift" }),
  safety = true,
  applies = foam_only,
  compute = function(job)
    local ok, result = pcall(lifts, job)
    if not ok then
      return nil, { stop = "no number of lifts brings every lift between the thinnest and the thickest allowed" }
    end
    return result.lift_thickness, { parts = { { label = "lifts", value = result.lifts } } }
  end,
  at_least = { from = { "material.foam.minimum_lift" } },
  at_most = { from = { "material.foam.maximum_lift" } },
  lever = { "work.thickness" },
  source = "the material's data sheet",
  advice = "Change the thickness or take a material whose lifts fit; a lift too thick chars or burns, one too thin cures badly.",
}

rule {
  id = "wait-between-lifts",
  title = "Waiting time between lifts is known",
  group = "material", stage = "plan",
  uses = common.join(lift_paths, { "material.foam.lift_wait" }),
  safety = true, known = true,
  applies = function(job)
    local is_foam, why = foam_only(job)
    if not is_foam then return false, why end
    local ok, result = pcall(lifts, job)
    if ok and result.lifts <= 1 then return false, "one lift only" end
    return true
  end,
  compute = function(job)
    local ok, result = pcall(lifts, job)
    if not ok then return nil, "the thickness cannot be sprayed in allowed lifts, so that their number is not known", {} end
    local count, wait = result.lifts, job.material.foam.lift_wait
    return wait * (count - 1), { caution = common.caution_of_zero(wait), parts = { { label = "lifts", value = count }, { label = "wait after each lift", value = wait } },
      note = "Foam heats itself while it cures; the heat must leave before the next lift covers it." }
  end,
  source = "the material's data sheet",
  advice = "Get the waiting time from the supplier; without it do not spray a second lift.",
}

rule {
  id = "wait-between-coats",
  title = "Waiting time between coats is known",
  group = "material", stage = "plan",
  uses = { "work.kind", "material.coating.recoat_time" },
  safety = true, known = true,
  applies = function(job)
    if job.work.kind == "foam" then return false, "foam has no coats" end
    if (job.work.coats or q "1") <= 1 then return false, "one coat only" end
    return true
  end,
  compute = function(job)
    local count, wait = job.work.coats, job.material.coating.recoat_time
    return wait * (count - 1), { caution = common.caution_of_zero(wait),
      parts = { { label = "coats", value = count }, { label = "wait after each coat", value = wait } } }
  end,
  source = "the material's data sheet",
  advice = "Get the waiting time from the supplier; without it do not spray a second coat.",
}

rule {
  id = "dry-film",
  title = "Dry film is in the supplier's range",
  group = "material", stage = "plan",
  uses = { "work.kind", "work.dry_film" },
  applies = function(job)
    if job.work.kind == "foam" then return false, "foam has no dry film" end
    return true
  end,
  compute = function(job)
    local range = job.material.coating.dry_film
    local note = range.min == nil and "the supplier gives no lowest dry film: only the highest is judged"
                 or range.max == nil and "the supplier gives no highest dry film: only the lowest is judged" or nil
    return job.work.dry_film, { note = note }
  end,
  at_least = { from = { "material.coating.dry_film.min" } },
  at_most = { from = { "material.coating.dry_film.max" } },
  lever = { "work.dry_film" },
  source = "the material's data sheet",
  advice = "Change the film thickness, or ask the supplier.",
}
