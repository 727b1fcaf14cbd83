-- supply.lua: the rig's loads and what they draw from the supply.

local imp = require "impinge"

local supply = {}

local load_fields = { "name", "kind", "connection", "power", "rated_voltage", "power_factor", "efficiency", "diversity",
                      "start", "when", "must_run" }

-- Also compresor, compresseur and Kompressor.
local function names_compressor(load)
  return load.name ~= nil and load.name:lower():find "[ck]ompres" ~= nil
end

-- Power factor and efficiency of a compressor's motor where the rig's loads do not name it; common practice, no source.
local compressor_power_factor, compressor_efficiency = 0.85, 0.88

-- The first load that needs three phases, or nil.
local function three_phase_load(loads)
  local one_phase = { ["L1-N"] = true, ["L2-N"] = true, ["L1-L2"] = true }
  for place, load in ipairs(loads) do
    if not one_phase[load.connection] then return load, place end
  end
end

-- The rig's loads as plain tables. A compressor on the same supply that is not among them is added.
-- Returns also a note where that was done; or nil, why not, and the missing paths.
function supply.loads(job)
  local loads, listed = {}, false
  for _, load in ipairs(job.rig.loads) do
    local plain = {}
    for _, field in ipairs(load_fields) do plain[field] = load[field] end
    loads[#loads + 1] = plain
    listed = listed or names_compressor(load)
  end
  local unfit, place = three_phase_load(loads)
  if unfit and job.supply.phases == "1" then
    return nil, ("%s is connected %s, and the supply has one phase"):format(unfit.name or ("load " .. place), unfit.connection)
  end
  local compressor = job.rig.compressor
  if not listed and compressor.same_supply == nil then
    return nil, "whether the compressor draws from the same supply is not given", { "rig.compressor.same_supply" }
  end
  if not listed and compressor.same_supply and not compressor.power then
    return nil, "the compressor draws from the same supply, and its power is not given", { "rig.compressor.power" }
  end
  if not listed and compressor.same_supply then
    loads[#loads + 1] = { name = "compressor", kind = "motor", connection = job.supply.phases == "1" and "L1-N" or "star",
                          power = compressor.power, power_factor = compressor_power_factor,
                          efficiency = compressor_efficiency, when = "always" }
    return loads, "The compressor is counted as a motor with power factor 0.85 and efficiency 88 % (common practice); "
                  .. "name it among the rig's loads to use its own figures."
  end
  return loads
end

function supply.count_loads(loads, wanted)
  local count = 0
  for _, load in ipairs(loads) do
    if wanted(load) then count = count + 1 end
  end
  return count
end

function supply.is_line_to_neutral(load)
  return load.connection:sub(-2) == "-N"
end

-- The supply's currents in one state: those of electrical.line_currents with the largest of the lines as `worst` and
-- `connected`, and the lines that there are with the neutral as `lines`.
function supply.currents(job, loads, state)
  local feeding = job.supply
  local currents = imp.electrical.line_currents {
    voltage = feeding.voltage, measured_voltage = feeding.measured_voltage, phases = feeding.phases, loads = loads,
    state = state,
  }
  local count = supply.lines(job, loads)
  currents.worst, currents.connected, currents.lines = currents.L1, currents.connected_L1, {}
  for line = 1, count do
    local name = "L" .. line
    currents.worst = currents.worst:max(currents[name])
    currents.connected = currents.connected:max(currents["connected_" .. name])
    currents.lines[line] = { label = name, value = currents[name] }
  end
  currents.lines[count + 1] = { label = "N", value = currents.N }
  return currents
end

supply.states = { { state = "heating", label = "heat-up" }, { state = "spraying", label = "spraying" } }
supply.paths = { "supply.voltage", "supply.phases", "rig.loads" }

-- The worst of both states: the largest line current with and without diversity, the state it falls in, the currents of
-- both states as parts, and a note; or nil, why not, and the missing paths.
function supply.design_currents(job)
  local loads, note, missing = supply.loads(job)
  if not loads then return nil, note, missing end
  local design = { parts = {}, note = note, loads = loads }
  for _, state in ipairs(supply.states) do
    local currents = supply.currents(job, loads, state.state)
    for _, line in ipairs(currents.lines) do
      design.parts[#design.parts + 1] = { label = line.label .. ", " .. state.label, value = line.value }
    end
    design[state.state] = currents
    if not design.current or currents.worst > design.current then
      design.current, design.worst = currents.worst, currents
    end
    design.connected = design.connected and design.connected:max(currents.connected) or currents.connected
  end
  if design.current <= imp.q "0 A" then
    return nil, "rig.loads: nothing draws a current, since every load's diversity is 0 %; give each the share of its power that it "
      .. "draws at once, such as \"80 %\" (rig.loads[1].diversity), or leave it out for 100 %"
  end
  design.parts[#design.parts + 1] = { label = "largest line current, diversity counted", value = design.current }
  design.parts[#design.parts + 1] = { label = "largest line current, all connected", value = design.connected }
  return design
end

local function names_of(choice)
  local names = {}
  for _, load in ipairs(choice) do
    if load.runs then names[#names + 1] = load.load end
  end
  return #names > 0 and table.concat(names, ", ") or "none"
end

-- Which loads may run together, each drawing in full, within limits = { breaker=, breaker_load=, plug=, cable_ampacity= },
-- in every state that exceeds `most`: added to the parts of a finding that stops. Returns why not, where there is no set.
function supply.add_may_run(job, design, most, limits)
  local parts, why = {}, nil
  for _, state in ipairs(supply.states) do
    if design[state.state].worst > most then
      local ok, found = pcall(imp.electrical.may_run, {
        voltage = job.supply.voltage, measured_voltage = job.supply.measured_voltage, phases = job.supply.phases,
        loads = design.loads, state = state.state, breaker = limits.breaker, breaker_load = limits.breaker_load,
        plug = limits.plug, cable_ampacity = limits.cable_ampacity,
      })
      if ok then
        parts[#parts + 1] = { label = ("may run together, %s: %s"):format(state.label, names_of(found.choice)),
                              value = found.power }
        parts[#parts + 1] = { label = "heater power that may be switched in beside them, " .. state.label,
                              value = found.heater_power }
      else
        why = ("No loads can be named that may run together (%s): %s."):format(state.label,
          (tostring(found):gsub("^.-may_run: ", "")))
      end
    end
  end
  for _, part in ipairs(parts) do design.parts[#design.parts + 1] = part end
  return why
end

-- Power of a resistive part at this supply, so that ratings for different voltages can be compared.
local function power_at_supply(job, power, rated)
  if not rated then return power end
  return imp.electrical.heater_power { rated_power = power, rated_voltage = rated, voltage = supply.voltage_at(job, rated) }
end

local listed_power = {
  heaters = function(job, load) return load.kind == "resistive" and power_at_supply(job, load.power, load.rated_voltage) end,
  drive = function(_, load) return load.kind == "motor" and not names_compressor(load) and load.power end,
  compressor = function(_, load) return names_compressor(load) and load.power end,
  transformer = function(_, load)
    return load.kind == "transformer" and load.power / (load.power_factor or 1) / (load.efficiency or 1)
  end,
}

-- What of one kind the loads add up to; all run at once at some time.
local function listed(job, loads, kind)
  local sum = imp.q "0 kW"
  for _, load in ipairs(loads) do sum = sum + (listed_power[kind](job, load) or imp.q "0 kW") end
  return sum
end

-- What the rig's parts draw beside what its loads add up to: { { part=, paths=, needs=, listed=, unit= }, ... }, the parts that are
-- given. apparent: of the hose transformer, or nil where it cannot be told.
function supply.parts_beside_loads(job, loads, apparent)
  local compared = {}
  local function compare(kind, part, paths, needs)
    if not needs then return end
    local unit = kind == "transformer" and "kVA" or "kW"
    compared[#compared + 1] = { part = part, paths = paths, needs = imp.q(needs:value(unit), unit), unit = unit,
                                listed = imp.q(listed(job, loads, kind):value(unit), unit) }
  end
  local heaters
  for _, side in ipairs { "iso", "resin" } do
    local heater = job.rig.heaters[side]
    if heater.power then
      local power = power_at_supply(job, heater.power, heater.rated_voltage)
      heaters = heaters and heaters + power or power
    end
  end
  compare("heaters", "heaters", "rig.heaters, kind resistive", heaters)
  compare("drive", "drive motor", "rig.drive.motor_power, kind motor", job.rig.drive.motor_power)
  compare("transformer", "hose transformer", "the hose's tap times its current, kind transformer", apparent)
  if job.rig.compressor.same_supply then
    compare("compressor", "compressor", "rig.compressor.power, its name among the loads", job.rig.compressor.power)
  end
  return compared
end

-- Apparent power of the largest motor at start: from plates where they are given, else estimated from the loads.
function supply.starting_power(job, design)
  local compressor = job.rig.compressor
  local starting, how = design.heating.starting_power:max(design.spraying.starting_power), "estimated from the loads"
  if job.rig.starting_power then starting, how = job.rig.starting_power, "from the rig's plate" end
  if compressor.same_supply and compressor.starting_power and compressor.starting_power > starting then
    starting, how = compressor.starting_power, "from the compressor's plate"
  end
  return starting, how
end

-- Lines of the supply: one phase brings two where a load stands on the second.
function supply.lines(job, loads)
  if job.supply.phases == "3" then return 3 end
  return supply.count_loads(loads, function(load) return load.connection ~= "L1-N" end) > 0 and 2 or 1
end

-- Voltage across a load or a winding rated for `rated`: as measured where it is, else nominal.
function supply.voltage_at(job, rated)
  return imp.electrical.terminal_voltage { voltage = job.supply.voltage, measured_voltage = job.supply.measured_voltage,
                                           lines = job.supply.phases == "3" and "3" or "2", rated_voltage = rated }
end

-- The same from nominal or measured, whichever is more: across what stands between the conductors of `connection`, or is
-- rated for `rated` where nothing tells how it is connected.
function supply.highest_at(job, lines, connection, rated)
  local nominal, measured = job.supply.voltage, job.supply.measured_voltage
  return imp.electrical.terminal_voltage { voltage = nominal, measured_voltage = measured and measured:max(nominal),
                                           lines = tostring(lines), connection = connection, rated_voltage = rated }
end

return supply
