-- supply.lua: the rig's loads and what they draw from the supply.

local imp = require "impinge"

local supply = {}

local load_fields = { "name", "kind", "connection", "power", "rated_voltage", "power_factor", "efficiency", "diversity",
                      "start", "when" }

local function names_compressor(load)
  return load.name ~= nil and load.name:lower():find("compressor", 1, true) ~= nil
end

-- Power factor and efficiency of a compressor's motor where the rig's loads do not name it; common practice, no source.
local compressor_power_factor, compressor_efficiency = 0.85, 0.88

-- What a motor's plate gives and this load does not, or nil.
local function missing_from_plate(load)
  if load.kind ~= "motor" then return nil end
  return not load.power_factor and "power_factor" or not load.efficiency and "efficiency" or nil
end

-- The rig's loads as plain tables. A compressor on the same supply that is not among them is added.
-- Returns also a note where that was done; or nil, why not, and the missing paths.
function supply.loads(job)
  local loads, listed = {}, false
  for _, load in ipairs(job.rig.loads) do
    local plain = {}
    for _, field in ipairs(load_fields) do plain[field] = load[field] end
    loads[#loads + 1] = plain
    local lacking = missing_from_plate(plain)
    if lacking then
      local path = ("rig.loads[%d].%s"):format(#loads, lacking)
      return nil, ("a motor's %s is missing (%s): read it from its plate"):format((lacking:gsub("_", " ")), path), { path }
    end
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

local function line_currents(job, loads, state, to_line_voltage)
  local feeding = job.supply
  return imp.electrical.line_currents {
    voltage = feeding.voltage * to_line_voltage,
    measured_voltage = feeding.measured_voltage and feeding.measured_voltage * to_line_voltage,
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
    if supply.is_line_to_neutral(load) then
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
function supply.currents(job, loads, state)
  local one_phase = job.supply.phases == "1"
  local across = supply.count_loads(loads, function(load) return load.connection ~= "L1-N" end) > 0
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
  design.parts[#design.parts + 1] = { label = "largest line current, diversity counted", value = design.current }
  design.parts[#design.parts + 1] = { label = "largest line current, all connected", value = design.connected }
  return design
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

-- Voltage across a load or a winding rated for `rated`: as measured where it is, else nominal. On three phases a rating
-- clearly below the line voltage means line to neutral; on one phase, half of the supply.
function supply.voltage_at(job, rated)
  local feeding = job.supply
  local voltage = feeding.measured_voltage or feeding.voltage
  if rated > 0.75 * feeding.voltage then return voltage end
  if feeding.phases == "3" then return voltage / math.sqrt(3) end
  return voltage / 2
end

return supply
