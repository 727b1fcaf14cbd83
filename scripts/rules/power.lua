-- power.lua: breaker, plug, cable, voltage, neutral, unbalance and generator.

local imp = require "impinge"
local cable = require "rules.shared.cable"
local common = require "rules.shared.common"
local supply = require "rules.shared.supply"
local q = imp.q

-- Share of the breaker that may be drawn for hours: NEC 210.20(A) counts long loads at 125 %.
-- Second result: what a share of the job's own is looser than.
local function continuous_share(job)
  return common.limit(job, "breaker_load", cable.code(job) == "nec" and q(1 / 1.25, "1") or q(1, "1"))
end

-- What the supply allows as far as it is known, for the question which loads may run together.
local function limits_of(job)
  local share = continuous_share(job)
  return { breaker = job.supply.breaker, breaker_load = share, plug = job.supply.plug,
           cable_ampacity = cable.most_current(job) }
end

local function joined_notes(first, second)
  return first and second and first .. " " .. second or first or second
end

local only_diversity = "it fits only with the declared diversity: everything connected at once does not"

rule {
  id = "line-current-within-breaker",
  title = "Breaker carries the worst line current",
  group = "power", stage = "plan",
  uses = common.join({ "supply.breaker" }, supply.paths),
  compute = function(job)
    local design, why, missing = supply.design_currents(job)
    if not design then return nil, why, missing end
    local allowed = job.supply.breaker * (continuous_share(job))
    local no_set = supply.add_may_run(job, design, allowed, limits_of(job))
    local places = { iec = "IEC 60364-4-43:2008, 433.1", nec = "NFPA 70 (NEC) 2023, 210.20 and 215.3" }
    return design.current, { parts = design.parts, note = joined_notes(design.note, no_set), assumed = cable.assumed(job, "code"),
                             caution = design.connected > allowed and only_diversity or nil,
                             source = cable.source(job, places) }
  end,
  at_most = function(job)
    local share, stricter = continuous_share(job)
    local breaker = job.supply.breaker
    return breaker * share, "job", nil, stricter and { value = breaker * stricter.value, origin = stricter.origin } or nil
  end,
  lever = { { path = "supply.breaker", values = cable.breakers } },
  source = "IEC 60364-4-43:2008, 433.1; NFPA 70 (NEC) 2023, 210.20",
  advice = "Run fewer loads at once, heat up in steps, or use a larger supply; never fit a larger breaker to a cable "
    .. "that is not made for it.",
}

rule {
  id = "plug-rating",
  title = "Plug carries the design current",
  group = "power", stage = "plan",
  uses = common.join({ "supply.plug" }, supply.paths),
  compute = function(job)
    local design, why, missing = supply.design_currents(job)
    if not design then return nil, why, missing end
    local no_set = supply.add_may_run(job, design, job.supply.plug, limits_of(job))
    local places = { iec = "IEC 60309-2:1999 with A2:2012, series I", nec = "NFPA 70 (NEC) 2023, 406.7; IEC 60309-2:1999 with A2:2012, series II" }
    return design.current, { parts = design.parts, note = joined_notes(design.note, no_set),
                             caution = design.connected > job.supply.plug and only_diversity or nil,
                             source = cable.source(job, places) }
  end,
  at_most = { from = { "supply.plug" } },
  lever = { { path = "supply.plug", values = cable.plugs } },
  source = "IEC 60309-1 and -2",
  advice = "Use a larger plug and socket, or run fewer loads at once.",
}

local cable_paths = { "supply.cable.insulation", "supply.cable.method", "supply.cable.material", "supply.cable.layers_on_drum" }
local cable_sizes = { { "supply.cable.section" }, { "supply.cable.gauge" } }
local section_lever = { path = "supply.cable.section", values = cable.sections }

local function assumed_laying(job)
  return joined_notes(cable.warmer_site(job), cable.assumed(job, "code", "grouped", "ambient_temperature", "terminal_temperature"))
end

local function copper_only(job)
  if job.supply.cable.material == "aluminium" then
    return nil, "the tables are for copper, and the cable is aluminium: ask the licensed electrician"
  end
  return true
end

-- The cable's section where the tables know it as it is laid; else nil, why not, missing.
local function tabulated_section(job)
  local copper, why = copper_only(job)
  if not copper then return nil, why end
  local section, no_section, lacking = cable.section(job)
  if not section then return nil, no_section, lacking end
  local refusal = cable.refusal(job, section)
  if refusal then return nil, refusal end
  return section
end

rule {
  id = "cable-carries-current",
  title = "Cable carries the design current as it is laid",
  group = "power", stage = "plan",
  uses = common.join(cable_paths, supply.paths),
  any_of = cable_sizes,
  compute = function(job)
    local section, no_section, lacking = tabulated_section(job)
    if not section then return nil, no_section, lacking end
    local design, why, missing = supply.design_currents(job)
    if not design then return nil, why, missing end
    local capacity = cable.ampacity(job, section)
    design.parts = {
      { label = "cable's capacity before factors", value = capacity.tabulated },
      { label = "factor for ambient, grouping and drum", value = capacity.factor },
    }
    local stop = cable.code(job) == "nec" and cable.nec_objection(job, design.current, section) or nil
    local no_set = supply.add_may_run(job, design, stop and q "0 A" or capacity.ampacity, limits_of(job))
    local places = { iec = "IEC 60364-5-52:2009, tables B.52.2 to B.52.17",
                     nec = "NFPA 70 (NEC) 2023, 210.19, 310.15, 310.16, 110.14(C)",
                     rubber = cable.code(job) == "nec" and ", 400.5(A)(1)" or "; BS 7671, tables 4F1A and 4F3A" }
    return design.current, { note = joined_notes(design.note, no_set), assumed = assumed_laying(job), stop = stop, parts = design.parts,
                             source = cable.source(job, places) }
  end,
  at_most = function(job)
    if not tabulated_section(job) then return nil end
    return cable.ampacity(job, cable.section(job)).ampacity, "job"
  end,
  lever = { section_lever, { path = "supply.cable.layers_on_drum", whole = true, most = q "4" } },
  source = "IEC 60364-5-52:2009; NFPA 70 (NEC) 2023, 310.16",
  advice = "Unroll the cable from its drum, lay it apart from others, or use a larger section.",
}

rule {
  id = "breaker-protects-cable",
  title = "Breaker is small enough for the cable",
  group = "power", stage = "plan",
  uses = common.join({ "supply.breaker", "supply.phases" }, cable_paths),
  any_of = cable_sizes,
  safety = true,
  compute = function(job)
    local section, no_section, lacking = tabulated_section(job)
    if not section then return nil, no_section, lacking end
    local capacity = cable.ampacity(job, section)
    local places = { iec = "IEC 60364-4-43:2008, 433.1 and 434.5.2", nec = "NFPA 70 (NEC) 2023, 240.4 and 110.10",
                     rubber = cable.code(job) == "nec" and ", 240.5(A)" or "; BS 7671, tables 4F1A and 4F3A" }
    return job.supply.breaker, { stop = cable.fault_objection(job, section, capacity), assumed = assumed_laying(job),
                                 source = cable.source(job, places), parts = {
      { label = "cable's capacity as laid", value = capacity.ampacity },
    } }
  end,
  -- IEC: In <= Iz. NEC 240.4(B) allows the next standard rating above, but 240.4(D) holds small sizes.
  -- Of a fault that is half given nobody can tell whether the cable stands it.
  at_most = function(job)
    if not tabulated_section(job) then return nil end
    return cable.ampacity(job, cable.section(job)).largest_breaker, "job", { cable.half_a_fault(job) }
  end,
  lever = { section_lever, { path = "supply.cable.layers_on_drum", whole = true, most = q "4" } },
  source = "IEC 60364-4-43:2008, 433.1; NFPA 70 (NEC) 2023, 240.4",
  advice = "Have a licensed person fit a smaller breaker or a larger cable: this cable can burn before the breaker trips.",
}

rule {
  id = "cable-voltage-drop",
  title = "Voltage drop along the supply is small enough",
  group = "power", stage = "plan",
  uses = common.join({ "supply.cable.length", "supply.cable.insulation", "supply.cable.material", "supply.drop_used" }, supply.paths),
  any_of = cable_sizes,
  compute = function(job)
    local copper, no_copper = copper_only(job)
    if not copper then return nil, no_copper end
    local laid = job.supply.cable
    local design, why, missing = supply.design_currents(job)
    if not design then return nil, why, missing end
    local section, no_section, lacking = cable.section(job)
    if not section then return nil, no_section, lacking end
    local drop = imp.electrical.voltage_drop {
      current = design.current, length = laid.length, section = section, voltage = job.supply.voltage,
      phases = job.supply.phases, power_factor = design.worst.power_factor, code = cable.code(job),
      class = cable.conductor_class(laid.class), conductor_temperature = cable.working_temperature(job, section),
    }
    local places = { iec = "IEC 60364-5-52:2009, annex G",
                     nec = "NFPA 70 (NEC) 2023, chapter 9 table 8, informational notes of 210.19(A) and 215.2(A)" }
    return drop.drop_fraction + job.supply.drop_used, { note = design.note, assumed = cable.assumed(job, "code", "terminal_temperature"),
                                                         source = cable.source(job, places), parts = {
      { label = "drop along the cable", value = drop.drop },
      { label = "drop along the cable, of the voltage", value = drop.drop_fraction },
      { label = "already used by the installation", value = job.supply.drop_used },
    } }
  end,
  at_most = { from = "limits.voltage_drop", default = q "5 %", source = "IEC 60364-5-52:2009, annex G" },
  caution_above = { from = "limits.voltage_drop_caution", default = q "3 %", source = "IEC 60364-5-52:2009, annex G" },
  lever = { section_lever, "supply.cable.length" },
  source = "IEC 60364-5-52:2009, annex G",
  advice = "Use a larger section or a shorter cable.",
}

rule {
  id = "supply-voltage",
  title = "Supply voltage is near nominal",
  group = "power", stage = "site",
  uses = { "supply.voltage", "supply.measured_voltage" },
  compute = function(job)
    local ratio = job.supply.measured_voltage / job.supply.voltage
    local parts = { { label = "measured over nominal", value = common.shown_in("%", ratio) } }
    for _, side in ipairs(common.sides) do
      local heater = job.rig.heaters[side]
      if heater.power and heater.rated_voltage and job.supply.phases then
        parts[#parts + 1] = { label = side .. " heater power left", value = imp.electrical.heater_power {
          rated_power = heater.power, rated_voltage = heater.rated_voltage,
          voltage = supply.voltage_at(job, heater.rated_voltage) } }
      end
    end
    return (ratio - 1):abs(), { parts = parts }
  end,
  at_most = { from = "limits.supply_tolerance", default = q "10 %", source = "EN 50160:2010" },
  lever = { "supply.measured_voltage" },
  source = "EN 50160:2010; a licensed electrician and the local code decide",
  advice = "Measure with the loads on; have the supply put right, or shorten the cable. Low voltage costs heater power squared.",
}

rule {
  id = "neutral-for-loads",
  title = "Loads that need a neutral have one",
  group = "power", stage = "plan",
  uses = { "supply.neutral", "rig.loads" },
  safety = true,
  applies = function(job)
    if job.supply.neutral then return false, "the supply brings a neutral" end
    return true
  end,
  compute = function(job)
    local loads, why, missing = supply.loads(job)
    if not loads then return nil, why, missing end
    return supply.count_loads(loads, supply.is_line_to_neutral)
  end,
  at_most = q "0",
  shown = { value = "loads that need a neutral:" },
  source = "circuit theory: without a neutral the voltages of these loads float; "
    .. "a licensed electrician and the local code decide",
  advice = "Use a supply with a neutral or a transformer that makes one; never take the earth for a neutral.",
}

local function on_generator(job)
  return next(common.given(job.supply.generator)) ~= nil
end

rule {
  id = "phase-unbalance",
  title = "Loads are spread over the phases",
  group = "power", stage = "plan",
  uses = supply.paths,
  applies = function(job)
    if job.supply.phases == "1" then return false, "the supply has one phase" end
    return true
  end,
  compute = function(job)
    local design, why, missing = supply.design_currents(job)
    if not design then return nil, why, missing end
    return design.heating.unbalance:max(design.spraying.unbalance), { note = design.note, parts = design.parts }
  end,
  -- common practice, no source: 10 % on a generator, 20 % on mains
  caution_above = { from = "limits.unbalance", practice = true,
                    default = function(job) return on_generator(job) and q "10 %" or q "20 %" end },
  source = "practice",
  advice = "Move single-phase loads to the line that carries least.",
}

-- The voltage dip that is allowed, and whether the job allows more than other documents or the calculation's default do.
local function dip_limit(job)
  local usual = common.default_of("electrical.generator", "dip_limit")
  local held, stricter = common.limit(job, "generator_dip", usual)
  local own = job.supply.generator.dip_limit
  if not own then return held, stricter ~= nil end
  return own, stricter ~= nil or own > held or own > usual
end

local function assumed_of_generator(job)
  local usual = function(name) return common.default_of("electrical.generator", name) end
  local entries = { { "supply.generator.reactance", ("a transient reactance of %s per unit"):format(usual "reactance":to "1") } }
  if not common.first(job, { "limits.generator_dip", "material.limits.generator_dip", "rig.limits.generator_dip" }) then
    entries[2] = { "supply.generator.dip_limit", ("a voltage dip of %s at start"):format(usual "dip_limit":to "%") }
  end
  return common.assumed(job, entries)
end

rule {
  id = "generator-rating",
  title = "Generator is large enough",
  group = "power", stage = "plan",
  uses = common.join({ "supply.generator.rating", "site.altitude" }, supply.paths),
  applies = function(job)
    if not on_generator(job) then return false, "the supply is mains" end
    return true
  end,
  compute = function(job)
    local design, why, missing = supply.design_currents(job)
    if not design then return nil, why, missing end
    local worst = design.heating.active_power / design.heating.power_factor
      > design.spraying.active_power / design.spraying.power_factor and design.heating or design.spraying
    local generator, three_phases = job.supply.generator, job.supply.phases == "3"
    local starting, how = supply.starting_power(job, design)
    local dip, looser = dip_limit(job)
    local need = imp.electrical.generator {
      running_power = worst.active_power, running_power_factor = worst.power_factor, starting_power = starting,
      dip_limit = dip,
      reactance = generator.reactance, altitude = job.site.altitude,
      ambient_temperature = generator.ambient_temperature or job.site.air_temperature, installed = generator.rating,
      largest_line_current = three_phases and design.current or nil,
      voltage = three_phases and (job.supply.measured_voltage or job.supply.voltage) or nil,
      time = job.shift, specific_consumption = job.shift and generator.specific_consumption,
    }
    local parts = {
      { label = "running power", value = worst.active_power },
      { label = "running power factor", value = worst.power_factor },
      { label = "starting power, " .. how, value = starting },
      { label = "governed by", value = need.governed_by },
      { label = "voltage dip at start", value = need.voltage_dip },
    }
    if three_phases then parts[#parts + 1] = { label = "current of the most loaded line", value = design.current } end
    if need.fuel then
      parts[#parts + 1] = { label = "fuel for the shift, at this power all the time", value = need.fuel }
    end
    return need.rating, { note = design.note, parts = parts,
      assumed = assumed_of_generator(job),
      caution = looser and "the job allows a deeper voltage dip than the material, the rig or common practice do" or nil }
  end,
  at_most = { from = { "supply.generator.rating" } },
  shown = { value = "needed", limit = "the generator gives" },
  lever = { "supply.generator.rating", "supply.generator.dip_limit" },
  source = "voltage divider of transient reactance and locked rotor; derating is common practice, no source; "
    .. "a licensed electrician and the local code decide",
  advice = "Use a larger generator, start motors one at a time before the heaters, or fit a soft starter.",
}
