-- cable.lua: the site's own cable, as the tables know it.

local imp = require "impinge"

local cable = {}

function cable.code(job)
  return job.supply.code or "iec"
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

-- Temperature at which the conductor works: the insulation's, or with the NEC that of the terminals.
function cable.working_temperature(job)
  local laid = job.supply.cable
  if cable.code(job) == "nec" then return laid.terminal_temperature or imp.q "75 degC" end
  return laid.insulation == "xlpe" and imp.q "90 degC" or imp.q "70 degC"
end

-- Largest breaker that the NEC lets protect a section: 240.4(B) the next standard rating above the ampacity up to 800 A,
-- 240.4(D) 15 A, 20 A and 30 A for 14, 12 and 10 AWG.
local small_conductors = { { gauge = "14", most = imp.q "15 A" }, { gauge = "12", most = imp.q "20 A" },
                           { gauge = "10", most = imp.q "30 A" } }
function cable.nec_largest_breaker(section, ampacity)
  local next_rating = imp.electrical.breaker_rating { current = ampacity, code = "nec" }
  for _, small in ipairs(small_conductors) do
    local area = imp.electrical.awg_area { gauge = small.gauge }.section
    if (section / area - 1):abs() < 0.01 then return next_rating:min(small.most) end
  end
  return next_rating
end

return cable
