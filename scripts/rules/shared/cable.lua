-- cable.lua: the site's own cable, as the tables know it.

local imp = require "impinge"
local common = require "rules.shared.common"

local q = imp.q

local cable = {}

function cable.code(job)
  return job.supply.code or "iec"
end

-- The air that counts along the cable: declared, or the tables' own, and never cooler than the site's.
-- Second result: the declared or usual one, where the site's is warmer.
function cable.ambient_temperature(job)
  local along = job.supply.cable.ambient_temperature or common.default_of("electrical.cable_ampacity", "ambient_temperature")
  local site = job.site.air_temperature
  if site and site > along then return site, along end
  return along
end

-- Where the site's air counts instead of what is declared or usual: a sentence, or nil.
function cable.warmer_site(job)
  local counts, along = cable.ambient_temperature(job)
  if not along then return nil end
  return ("The air along the cable counts as the site's %s (site.air_temperature), warmer than the %s %s."):format(counts:to "degC",
    along:to "degC", job.supply.cable.ambient_temperature and "declared (supply.cable.ambient_temperature)" or "of the tables")
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
    local taken = given[name] == nil
    if name == "terminal_temperature" then taken = taken and cable.code(job) == "nec" end
    if name == "ambient_temperature" then taken = taken and not cable.warmer_site(job) end
    if taken then said[#said + 1] = assumptions[name]() end
  end
  return #said > 0 and "Assumed, as the job does not say: " .. table.concat(said, "; ") .. "." or nil
end

-- Why the NEC's tables, which go by wire gauge, do not know a section; or nil.
local function unknown_to_nec(section)
  local ok, message = pcall(imp.electrical.cable_ampacity, { section = section, phases = "3", method = "C", insulation = "pvc", code = "nec" })
  local why = not ok and tostring(message):match "section: (.- is not a size of the NEC tables.*)$"
  return why and "supply.cable.section: " .. why .. "; give the cable's own gauge as supply.cable.gauge instead" or nil
end

-- Section of the site's cable, also where it is given as a wire gauge. nil, why not, missing where it is not given.
function cable.section(job)
  local laid = job.supply.cable
  local why = laid.section and cable.code(job) == "nec" and unknown_to_nec(laid.section)
  if why then return nil, why, { "supply.cable.gauge" } end
  if laid.section then return laid.section end
  if laid.gauge then return imp.electrical.awg_area { gauge = laid.gauge:match "^[%d/]+" }.section end -- "6 AWG" too
  return nil, "the cable's section is not given", { "supply.cable.section" }
end

-- Standard sizes to choose from, by the wiring rules that apply: `next_of` gives the least one not below what it is given.
-- The ends are those of a spray rig's supply, common practice.
local function series(first, last, next_of)
  local by_code = {}
  return function(job)
    local code = cable.code(job)
    if by_code[code] then return by_code[code] end
    local list, wanted = {}, first
    repeat
      local ok, size = pcall(next_of, wanted, code)
      local more = ok and size <= last
      if more then
        list[#list + 1] = size
        wanted = size * 1.001
      end
    until not more
    by_code[code] = list
    return list
  end
end

cable.breakers = series(q "10 A", q "200 A", function(current, code) return imp.electrical.breaker_rating { current = current, code = code } end)
cable.plugs = series(q "10 A", q "125 A", function(current, code) return imp.electrical.plug_rating { current = current, code = code } end)
cable.sections = series(q "1.5 mm^2", q "120 mm^2", function(section, code) return imp.electrical.standard_section { section = section, code = code } end)

-- What the cable may carry as it is laid.
function cable.ampacity(job, section)
  local laid = job.supply.cable
  return imp.electrical.cable_ampacity {
    section = section, phases = job.supply.phases, method = laid.method, insulation = laid.insulation,
    ambient_temperature = cable.ambient_temperature(job), grouped = laid.grouped, code = cable.code(job),
    layers_on_drum = laid.layers_on_drum, terminal_temperature = laid.terminal_temperature,
  }
end

-- Why no table gives a current for the cable as it is laid, or nil: a size, a method or heat that they do not know.
function cable.refusal(job, section)
  local ok, message = pcall(cable.ampacity, job, section)
  return not ok and tostring(message):gsub("^.-cable_ampacity: ", "") or nil
end

-- What the NEC has against a section for a current that lasts for hours (210.19: 125 % of it before adjustment), or nil.
-- One metre of cable: its voltage drop has a rule of its own.
function cable.nec_objection(job, current, section)
  local laid = job.supply.cable
  local ok, message = pcall(imp.electrical.cable_size, {
    current = current, section = section, length = imp.q "1 m", voltage = job.supply.voltage, phases = job.supply.phases,
    method = laid.method, insulation = laid.insulation, ambient_temperature = cable.ambient_temperature(job),
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
    phases = job.supply.phases, method = laid.method, insulation = laid.insulation, ambient_temperature = cable.ambient_temperature(job),
    grouped = laid.grouped, layers_on_drum = laid.layers_on_drum, terminal_temperature = laid.terminal_temperature, code = "nec" }
  return most.current
end

-- What of a fault is not given, where the rest of it is: the missing path, or nil.
function cable.half_a_fault(job)
  local current, time = job.supply.prospective_current, job.supply.clearing_time
  if current and not time then return "supply.clearing_time" end
  if time and not current then return "supply.prospective_current" end
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
  return places[cable.code(job)] .. (places[job.supply.cable and job.supply.cable.insulation] or "") .. "; a licensed electrician and the local code decide"
end

return cable
