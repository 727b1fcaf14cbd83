-- cable.lua: the site's own cable, as the tables know it.

local imp = require "impinge"
local common = require "rules.shared.common"

local cable = {}

function cable.code(job)
  return job.supply.code or "iec"
end

local assumptions = {
  code = function() return "the wiring rules are taken as IEC's (supply.code)" end,
  grouped = function() return "no other loaded circuit beside the cable (supply.cable.grouped)" end,
  ambient_temperature = function() return ("air of %s along the cable (supply.cable.ambient_temperature)"):format(common.default_of("electrical.cable_ampacity", "ambient_temperature"):to "degC") end,
  terminal_temperature = function() return "unmarked terminals, 60 degC to 1 AWG and 75 degC above (supply.cable.terminal_temperature)" end,
}

-- What a finding takes for granted because the job does not give it, as a sentence, or nil.
function cable.assumed(job, ...)
  local said = {}
  for _, name in ipairs { ... } do
    local given = job.supply.cable
    if name == "code" then given = job.supply end
    if given[name] == nil and (name ~= "terminal_temperature" or cable.code(job) == "nec") then said[#said + 1] = assumptions[name]() end
  end
  return #said > 0 and "Assumed, as the job does not say: " .. table.concat(said, "; ") .. "." or nil
end

-- Section of the site's cable, also where it is given as a wire gauge. nil, why not, missing where it is not given.
function cable.section(job)
  local laid = job.supply.cable
  if laid.section then return laid.section end
  if laid.gauge then return imp.electrical.awg_area { gauge = laid.gauge }.section end
  return nil, "the cable's section is not given", { "supply.cable.section" }
end

local function amperes(ratings)
  local list = {}
  for _, rating in ipairs(ratings) do list[#list + 1] = imp.q(rating, "A") end
  return list
end

-- Standard sizes to choose from, by the wiring rules that apply.
local breakers = { iec = amperes { 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125 },           -- IEC 60898-1
                   nec = amperes { 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200 } } -- 240.6(A)
local plugs = { iec = amperes { 16, 32, 63, 125 }, nec = amperes { 20, 30, 60, 100 } }           -- IEC 60309, series I and II
local gauges = { "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0" }    -- NEC 310.16
local metric = { 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120 }                               -- IEC 60228

function cable.breakers(job) return breakers[cable.code(job)] end
function cable.plugs(job) return plugs[cable.code(job)] end

function cable.sections(job)
  local list = {}
  if cable.code(job) == "nec" then
    for _, gauge in ipairs(gauges) do list[#list + 1] = imp.electrical.awg_area { gauge = gauge }.section end
  else
    for _, section in ipairs(metric) do list[#list + 1] = imp.q(section, "mm^2") end
  end
  return list
end

-- What the cable may carry as it is laid.
function cable.ampacity(job, section)
  local laid = job.supply.cable
  return imp.electrical.cable_ampacity {
    section = section, phases = job.supply.phases, method = laid.method, insulation = laid.insulation,
    ambient_temperature = laid.ambient_temperature, grouped = laid.grouped, code = cable.code(job),
    layers_on_drum = laid.layers_on_drum, terminal_temperature = laid.terminal_temperature,
  }
end

-- What the NEC has against a section for a current that lasts for hours (210.19: 125 % of it before adjustment), or nil.
-- One metre of cable: its voltage drop has a rule of its own.
function cable.nec_objection(job, current, section)
  local laid = job.supply.cable
  local ok, message = pcall(imp.electrical.cable_size, {
    current = current, section = section, length = imp.q "1 m", voltage = job.supply.voltage, phases = job.supply.phases,
    method = laid.method, insulation = laid.insulation, ambient_temperature = laid.ambient_temperature,
    grouped = laid.grouped, layers_on_drum = laid.layers_on_drum, terminal_temperature = laid.terminal_temperature,
    code = "nec",
  })
  return not ok and tostring(message):gsub("^.-cable_size: ", "") or nil
end

-- Class 1 and 2 have the same greatest resistance in copper, and so have 5 and 6 but for thin wires (IEC 60228).
function cable.conductor_class(class)
  if class == "1" then return "2" end
  if class == "6" then return "5" end
  return class
end

-- Temperature at which the conductor works, however it is laid.
function cable.working_temperature(job, section)
  return imp.electrical.cable_ampacity { section = section, phases = job.supply.phases, method = "C",
    insulation = job.supply.cable.insulation, code = cable.code(job),
    terminal_temperature = job.supply.cable.terminal_temperature }.working_temperature
end

-- What the cable may carry for hours, where all that is needed for it is known; with the NEC 125 % of it counts.
function cable.most_current(job)
  local section, laid = cable.section(job), job.supply.cable
  if not (section and laid.insulation and laid.method) or laid.material == "aluminium" then return nil end
  local known, capacity = pcall(cable.ampacity, job, section)
  if not known then return nil end
  if cable.code(job) == "iec" then return capacity.ampacity end
  local most = imp.electrical.cable_load { section = section, length = imp.q "1 m", voltage = job.supply.voltage,
    phases = job.supply.phases, method = laid.method, insulation = laid.insulation, ambient_temperature = laid.ambient_temperature,
    grouped = laid.grouped, layers_on_drum = laid.layers_on_drum, terminal_temperature = laid.terminal_temperature, code = "nec" }
  return most.current
end

-- Why a fault that is given would overheat a section, or nil: IEC 60364-4-43, 434.5.2. Its equation holds up to 5 s.
function cable.fault_objection(job, section, capacity)
  local fault = { fault_current = job.supply.prospective_current, clearing_time = job.supply.clearing_time }
  if not (fault.fault_current and fault.clearing_time) then return nil end
  if fault.clearing_time > imp.q "5 s" then
    return "a fault that lasts " .. fault.clearing_time:to "s" .. " is longer than the 5 s for which a cable can be checked"
  end
  fault.k = capacity.fault_k
  local least = imp.electrical.adiabatic_section(fault)
  if section >= least then return nil end
  return ("a fault of %s for %s overheats the cable: it asks for %s"):format(fault.fault_current:to "kA",
    fault.clearing_time:to "s", least:to("mm^2", 4))
end

-- Where a finding of this job comes from: places = { iec=, nec= }, each with its edition.
function cable.source(job, places)
  return places[cable.code(job)] .. "; a licensed electrician and the local code decide"
end

return cable
