-- shared.lua: what several standard rules need to put together from the job before they calculate.

local imp = require "impinge"

local shared = {}

shared.sides = { "iso", "resin" }

-- The first of several paths that has a value.
function shared.first(job, paths)
  for _, path in ipairs(paths) do
    local value = imp.path(job, path)
    if value ~= nil then return value, path end
  end
end

local function document_of(path)
  return path:match "^(material)%." or path:match "^(rig)%." or "job"
end

-- The lowest of a window's end (the first of window_paths that is given; may be missing) and the ratings of parts, which
-- must all be known. Returns the limit and where it comes from, or nil, why not, and the missing paths.
function shared.weakest(job, window_paths, part_paths)
  local lowest, path = shared.first(job, window_paths)
  local missing = {}
  for _, part in ipairs(part_paths) do
    local rating = imp.path(job, part)
    if rating == nil then
      missing[#missing + 1] = part
    elseif lowest == nil or rating < lowest then
      lowest, path = rating, part
    end
  end
  if #missing > 0 then return nil, "a part's rating is missing: " .. table.concat(missing, ", "), missing end
  return lowest, document_of(path)
end

-- Electrical loads ------------------------------------------------------------------------------------------------

local load_fields = { "name", "kind", "connection", "power", "rated_voltage", "power_factor", "efficiency", "diversity",
                      "start", "when" }

local function names_compressor(load)
  return load.name ~= nil and load.name:lower():find("compressor", 1, true) ~= nil
end

-- Power factor and efficiency of a compressor's motor where the rig's loads do not name it; common practice, no source.
local compressor_power_factor, compressor_efficiency = 0.85, 0.88

-- The rig's loads as plain tables. A compressor on the same supply that is not among them is added.
-- Returns also a note where that was done.
function shared.loads(job)
  local loads, listed = {}, false
  for _, load in ipairs(job.rig.loads) do
    local plain = {}
    for _, field in ipairs(load_fields) do plain[field] = load[field] end
    loads[#loads + 1] = plain
    listed = listed or names_compressor(load)
  end
  local compressor = job.rig.compressor
  if compressor.same_supply and not listed and compressor.power then
    loads[#loads + 1] = { name = "compressor", kind = "motor", connection = job.supply.phases == "1" and "L1-N" or "star",
                          power = compressor.power, power_factor = compressor_power_factor,
                          efficiency = compressor_efficiency, when = "always" }
    return loads, "The compressor is counted as a motor with power factor 0.85 and efficiency 88 % (common practice); "
                  .. "name it among the rig's loads to use its own figures."
  end
  return loads
end

function shared.count_loads(loads, wanted)
  local count = 0
  for _, load in ipairs(loads) do
    if wanted(load) then count = count + 1 end
  end
  return count
end

function shared.is_line_to_neutral(load)
  return load.connection:sub(-2) == "-N"
end

local function line_currents(job, loads, state, to_line_voltage)
  local supply = job.supply
  return imp.electrical.line_currents {
    voltage = supply.voltage * to_line_voltage,
    measured_voltage = supply.measured_voltage and supply.measured_voltage * to_line_voltage,
    loads = loads, state = state,
  }
end

-- One leg of a supply with two lines: what is across both lines, and what stands between this line and the neutral,
-- which draws the current of twice its power across both.
local function leg(loads, line)
  local own = {}
  for _, load in ipairs(loads) do
    local copy = {}
    for field, value in pairs(load) do copy[field] = value end
    copy.connection = "L1-L2"
    if shared.is_line_to_neutral(load) then
      copy.power = load.power * 2
      copy.rated_voltage = load.rated_voltage and load.rated_voltage * 2
      if load.connection:sub(1, 2) == line then own[#own + 1] = copy end
    else
      own[#own + 1] = copy
    end
  end
  return own
end

local function worst_of(currents)
  return currents.L1:max(currents.L2):max(currents.L3),
         currents.connected_L1:max(currents.connected_L2):max(currents.connected_L3)
end

-- The supply's currents in one state: { worst=, connected=, lines={...}, unbalance=, active_power=, power_factor=,
-- starting_power= }. A single-phase supply has one line and the neutral, or two lines where a load stands across them.
function shared.currents(job, loads, state)
  local one_phase = job.supply.phases == "1"
  local across = shared.count_loads(loads, function(load) return load.connection ~= "L1-N" end) > 0
  if one_phase and across then
    local all
    for _, line in ipairs { "L1", "L2" } do
      local currents = line_currents(job, leg(loads, line), state, 1)
      if not all then
        all = currents
        all.lines = {}
        all.worst, all.connected = all.L1, all.connected_L1
      end
      all.worst, all.connected = all.worst:max(currents.L1), all.connected:max(currents.connected_L1)
      all.lines[#all.lines + 1] = { label = line, value = currents.L1 }
    end
    local power = line_currents(job, loads, state, 1)
    all.active_power, all.power_factor = power.active_power, power.power_factor
    return all
  end
  local currents = line_currents(job, loads, state, one_phase and math.sqrt(3) or 1)
  currents.worst, currents.connected = worst_of(currents)
  currents.lines = { { label = "L1", value = currents.L1 } }
  if not one_phase then
    currents.lines[2] = { label = "L2", value = currents.L2 }
    currents.lines[3] = { label = "L3", value = currents.L3 }
  end
  currents.lines[#currents.lines + 1] = { label = "N", value = currents.N }
  return currents
end

shared.states = { { state = "heating", label = "heat-up" }, { state = "spraying", label = "spraying" } }
shared.supply_paths = { "supply.voltage", "supply.phases", "rig.loads" }

-- The worst of both states: the largest line current with and without diversity, the state it falls in, the currents of
-- both states as parts, and a note.
function shared.design_currents(job)
  local loads, note = shared.loads(job)
  local design = { parts = {}, note = note, loads = loads }
  for _, state in ipairs(shared.states) do
    local currents = shared.currents(job, loads, state.state)
    for _, line in ipairs(currents.lines) do
      design.parts[#design.parts + 1] = { label = line.label .. ", " .. state.label, value = line.value }
    end
    design[state.state] = currents
    if not design.current or currents.worst > design.current then
      design.current, design.worst = currents.worst, currents
    end
    design.connected = design.connected and design.connected:max(currents.connected) or currents.connected
  end
  design.parts[#design.parts + 1] = { label = "largest line current, diversity counted", value = design.current }
  design.parts[#design.parts + 1] = { label = "largest line current, all connected", value = design.connected }
  return design
end

-- Cable -----------------------------------------------------------------------------------------------------------

function shared.code(job)
  return job.supply.code or "iec"
end

-- Section of the site's cable, also where it is given as a wire gauge. nil, why not, missing where it is not given.
function shared.cable_section(job)
  local cable = job.supply.cable
  if cable.section then return cable.section end
  if cable.gauge then return imp.electrical.awg_area { gauge = cable.gauge } end
  return nil, "the cable's section is not given", { "supply.cable.section" }
end

-- What the cable may carry as it is laid.
function shared.ampacity(job, section)
  local cable = job.supply.cable
  return imp.electrical.cable_ampacity {
    section = section, phases = job.supply.phases, method = cable.method, insulation = cable.insulation,
    ambient_temperature = cable.ambient_temperature, grouped = cable.grouped, code = shared.code(job),
    layers_on_drum = cable.layers_on_drum, terminal_temperature = cable.terminal_temperature,
  }
end

-- Class 1 and 2 have the same greatest resistance in copper, and so have 5 and 6 but for thin wires (IEC 60228).
function shared.conductor_class(class)
  if class == "1" then return "2" end
  if class == "6" then return "5" end
  return class
end

-- Temperature at which the conductor works: the insulation's, or with the NEC that of the terminals.
function shared.working_temperature(job)
  local cable = job.supply.cable
  if shared.code(job) == "nec" then return cable.terminal_temperature or imp.q "75 degC" end
  return cable.insulation == "xlpe" and imp.q "90 degC" or imp.q "70 degC"
end

-- Largest breaker that the NEC lets protect a section: 240.4(B) the next standard rating above the ampacity up to 800 A,
-- 240.4(D) 15 A, 20 A and 30 A for 14, 12 and 10 AWG.
local small_conductors = { { gauge = "14", most = imp.q "15 A" }, { gauge = "12", most = imp.q "20 A" },
                           { gauge = "10", most = imp.q "30 A" } }
function shared.nec_largest_breaker(section, ampacity)
  local next_rating = imp.electrical.breaker_rating { current = ampacity, code = "nec" }
  for _, small in ipairs(small_conductors) do
    local area = imp.electrical.awg_area { gauge = small.gauge }
    if (section / area - 1):abs() < 0.01 then return next_rating:min(small.most) end
  end
  return next_rating
end

-- What a record gives, as a plain table.
function shared.given(view)
  local fields = {}
  for name, value in pairs(view) do fields[name] = value end
  return fields
end

-- Apparent power of the largest motor at start: from plates where they are given, else estimated from the loads.
function shared.starting_power(job, design)
  local compressor = job.rig.compressor
  local starting, how = design.heating.starting_power:max(design.spraying.starting_power), "estimated from the loads"
  if job.rig.starting_power then starting, how = job.rig.starting_power, "from the rig's plate" end
  if compressor.same_supply and compressor.starting_power and compressor.starting_power > starting then
    starting, how = compressor.starting_power, "from the compressor's plate"
  end
  return starting, how
end

-- Voltage across a load or a winding rated for `rated`: as measured where it is, else nominal. On three phases a rating
-- clearly below the line voltage means line to neutral; on one phase, half of the supply.
function shared.voltage_at(job, rated)
  local supply = job.supply
  local voltage = supply.measured_voltage or supply.voltage
  if rated > 0.75 * supply.voltage then return voltage end
  if supply.phases == "3" then return voltage / math.sqrt(3) end
  return voltage / 2
end

-- Liquids ---------------------------------------------------------------------------------------------------------

local function plain_points(view)
  local points = {}
  for _, point in ipairs(view or {}) do
    points[#points + 1] = { temperature = point.temperature, viscosity = point.viscosity }
  end
  return points
end

-- Density of a side of the material at a temperature; without an expansion coefficient as given.
function shared.density(job, side, temperature)
  local liquid = job.material[side]
  if not (liquid.expansion and liquid.reference_temperature) then return liquid.density end
  return imp.fluid.density { temperature = temperature, reference_density = liquid.density,
                             reference_temperature = liquid.reference_temperature, expansion = liquid.expansion }
end

function shared.viscosity(job, side, temperature)
  return imp.fluid.viscosity { points = plain_points(job.material[side].viscosity), temperature = temperature }
end

-- Pressure of still liquid `rise` above where it is `pressure`: the drop along a run that hardly flows is its weight.
function shared.still_pressure(pressure, density, rise)
  return pressure - imp.hose.pressure_drop { flow = imp.q "1e-9 L/min", bore = imp.q "10 mm", length = imp.q "1 m",
                                             density = density, viscosity = imp.q "1 mPa s", rise = rise }.pressure_drop
end

-- Flow of one side: the planned flow split by the volume ratio (iso for one of resin).
function shared.side_flow(job, side)
  local ratio = job.material.volume_ratio
  local resin = job.settings.flow / (ratio + 1)
  return side == "resin" and resin or resin * ratio
end

-- Hose ------------------------------------------------------------------------------------------------------------

function shared.hose_length(job)
  return job.hoses.sections * job.rig.hose.section_length
end

-- Heat lost by a metre of the hose pair for each kelvin: the rig's figure, else from its insulation.
-- Returns nil, why not, missing where neither is known.
function shared.hose_loss_coefficient(job)
  local hose = job.rig.hose
  if hose.loss_coefficient then return hose.loss_coefficient end
  local insulation = hose.insulation
  if not (insulation.inner_diameter and insulation.outer_diameter and insulation.conductivity) then
    local missing = { "rig.hose.loss_coefficient" }
    return nil, "neither the hose's loss coefficient nor its insulation is given", missing
  end
  return imp.heat.hose_loss {
    inner_diameter = insulation.inner_diameter, outer_diameter = insulation.outer_diameter,
    insulation_conductivity = insulation.conductivity, fluid_temperature = job.settings.hose_temperature,
    ambient_temperature = job.site.air_temperature, wind_speed = job.site.wind_speed,
  }.loss_coefficient
end

-- What the hose circuit gives with a current setting, or for a power that each metre needs.
function shared.hose_tap(job, wanted)
  local hose = job.rig.hose
  local primary = hose.primary_voltage
  return imp.heat.hose_tap {
    section_resistance = hose.section_resistance, sections = job.hoses.sections, section_length = hose.section_length,
    taps = hose.taps, current_limit = hose.current_limit, lead_resistance = hose.lead_resistance,
    current_setting = wanted.current, required_power_per_length = wanted.power_per_length,
    supply_ratio = primary and shared.voltage_at(job, primary) / primary or nil,
  }
end

shared.hose_circuit_paths = { "hoses.sections", "rig.hose.section_length", "rig.hose.section_resistance", "rig.hose.taps",
                              "rig.hose.current_limit", "rig.hose.primary_voltage", "supply.voltage", "supply.phases" }

shared.hose_content_paths = { "rig.hose.iso_bore", "rig.hose.resin_bore", "rig.hose.heat_capacity_per_length",
                              "material.iso.density", "material.iso.heat_capacity", "material.resin.density",
                              "material.resin.heat_capacity" }

-- Time to warm the hose and the liquid in it from the air's temperature to the set one, at the current set, or at the
-- circuit's limit: { time=, parts= } or { unreachable=true, parts= }, or nil, why not, missing.
function shared.hose_warm_up(job)
  local loss, why, missing = shared.hose_loss_coefficient(job)
  if not loss then return nil, why, missing end
  local length = shared.hose_length(job)
  local air = job.site.air_temperature
  local capacity = job.rig.hose.heat_capacity_per_length * length
  for _, side in ipairs(shared.sides) do
    local fill = imp.hose.fill { bore = job.rig.hose[side .. "_bore"], length = length }
    capacity = capacity + fill.volume * job.material[side].density * job.material[side].heat_capacity
  end
  local tap = shared.hose_tap(job, { current = job.settings.hose_current or job.rig.hose.current_limit })
  local parts = { { label = "power to the hose", value = tap.power }, { label = "hose current", value = tap.current },
                  { label = "heat capacity, liquid counted", value = capacity } }
  if job.settings.hose_temperature <= air then return { time = imp.q "0 min", parts = parts } end
  local ok, result = pcall(imp.heat.warm_up_time, {
    power = tap.power, heat_capacity_total = capacity, loss = loss * length, ambient_temperature = air,
    start_temperature = air, target_temperature = job.settings.hose_temperature,
  })
  if not ok then return { unreachable = true, parts = parts } end
  return { time = result.time, parts = parts }
end

-- Paths of several lists in one.
function shared.join(...)
  local all = {}
  for _, list in ipairs { ... } do
    for _, path in ipairs(list) do all[#all + 1] = path end
  end
  return all
end

-- Number of a day in the Gregorian calendar, counted from the years that begin with March.
local function day_number(date)
  local year, month, day = date:match "^(%d+)-(%d+)-(%d+)$"
  year, month, day = math.tointeger(year), math.tointeger(month), math.tointeger(day)
  if month <= 2 then year, month = year - 1, month + 12 end
  return 365 * year + year // 4 - year // 100 + year // 400 + (153 * (month - 3) + 2) // 5 + day
end

-- Days from one ISO date to another, negative when the other is earlier.
function shared.days_between(from, to)
  return imp.q(day_number(to) - day_number(from), "d")
end

-- Work ------------------------------------------------------------------------------------------------------------

function shared.is_coating(job)
  return job.work.kind == "coating"
end

shared.work_paths = { "work.kind", "work.area", "work.loss" }

-- Mass of material that the work takes, loss counted, or nil, why not, and the missing paths.
function shared.mass_needed(job)
  local work = job.work
  local iso, resin = job.material.iso.density, job.material.resin.density
  local needs = shared.is_coating(job)
    and { ["work.dry_film"] = work.dry_film, ["material.coating.solids_by_volume"] = job.material.coating.solids_by_volume }
    or { ["work.thickness"] = work.thickness, ["material.foam.in_place_density"] = job.material.foam.in_place_density }
  local names = shared.is_coating(job) and { "work.dry_film", "material.coating.solids_by_volume" }
    or { "work.thickness", "material.foam.in_place_density" }
  local missing = {}
  for _, name in ipairs(names) do
    if needs[name] == nil then missing[#missing + 1] = name end
  end
  if #missing > 0 then return nil, "missing: " .. table.concat(missing, ", "), missing end
  if shared.is_coating(job) then
    local coating = imp.yield.coating { area = work.area * (work.surface_factor or 1), dry_film = work.dry_film,
                                        solids_by_volume = job.material.coating.solids_by_volume, loss = work.loss,
                                        profile_dead_volume = work.profile_dead_volume }
    local ratio = job.material.volume_ratio
    return coating.volume * (ratio * iso + resin) / (ratio + 1)
  end
  return imp.yield.foam { area = work.area, thickness = work.thickness,
                          in_place_density = job.material.foam.in_place_density, loss = work.loss,
                          surface_factor = work.surface_factor }.mass
end

-- The mass split into the two sides' masses and volumes.
function shared.split(job, mass)
  local iso, resin = job.material.iso.density, job.material.resin.density
  return imp.yield.split {
    mass = mass, iso_density = iso, resin_density = resin,
    mass_ratio = imp.mix.mass_ratio { volume_ratio = job.material.volume_ratio, iso_density = iso, resin_density = resin },
  }
end

shared.material_paths = { "material.volume_ratio", "material.iso.density", "material.resin.density" }

return shared
