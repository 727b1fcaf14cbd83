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

-- What the cable may carry as it is laid.
function cable.ampacity(job, section)
  local laid = job.supply.cable
  return imp.electrical.cable_ampacity {
    section = section, phases = job.supply.phases, method = laid.method, insulation = laid.insulation,
    ambient_temperature = laid.ambient_temperature, grouped = laid.grouped, code = cable.code(job),
    layers_on_drum = laid.layers_on_drum, terminal_temperature = laid.terminal_temperature,
  }
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
