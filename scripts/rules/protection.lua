-- protection.lua: what protects the plug and the people at it: the breaker before the plug, and the residual-current device.

local cable = require "rules.shared.cable"
local q = require "impinge".q

local places = { iec = "IEC 60309-1: rated current of plugs and sockets", nec = "NFPA 70 (NEC) 2023, 210.21(B)(1)" }

rule {
  id = "breaker-protects-plug",
  title = "Breaker is not above the rating of plug and socket",
  group = "power", stage = "plan",
  uses = { "supply.breaker", "supply.plug" },
  safety = true,
  compute = function(job)
    return job.supply.breaker, { source = cable.source(job, places),
      note = "An overload that the breaker does not see heats the contacts of plug and socket until they burn." }
  end,
  at_most = { from = { "supply.plug" } },
  lever = { { path = "supply.breaker", values = cable.breakers }, { path = "supply.plug", values = cable.plugs } },
  source = "IEC 60309-1; NFPA 70 (NEC) 2023, 210.21(B)(1)",
  advice = "Have a licensed person fit a smaller breaker or a larger plug and socket, and never use an adaptor to a smaller plug: "
    .. "this plug can burn before the breaker trips.",
}

local devices = {
  iec = "IEC 60364-4-41:2005, 411.3.3 and 415.1 (from memory); BGI 608, 4.2.2: 30 mA for socket-outlets up to 32 A, 500 mA above",
  nec = "NFPA 70 (NEC) 2023, 590.6: class A device for receptacles of 125 V up to 30 A, else such a device or an assured "
    .. "equipment grounding conductor programme; 6 mA is class A's; 30 mA beyond is common practice, no source",
}

-- The NEC's class A device trips at 6 mA at most.
local class_a, personal, large = q "6 mA", q "30 mA", q "500 mA"

local function is_small_receptacle(job)
  local supply = job.supply
  return supply.phases == "1" and supply.voltage <= q "125 V" and supply.plug <= q "30 A"
end

rule {
  id = "residual-current-device",
  title = "A residual-current device protects people at the rig",
  group = "power", stage = "plan",
  uses = { "supply.residual_current_device", "supply.plug", "supply.voltage", "supply.phases" },
  safety = true,
  compute = function(job)
    return job.supply.residual_current_device, { source = cable.source(job, devices), assumed = cable.assumed(job, "code") }
  end,
  at_most = function(job)
    if cable.code(job) == "nec" then return is_small_receptacle(job) and class_a or personal, "default" end
    return job.supply.plug <= q "32 A" and personal or large, "default"
  end,
  caution_above = function(job) return cable.code(job) == "nec" and class_a or personal, "default" end,
  lever = { "supply.residual_current_device" },
  source = devices.iec,
  advice = "Use a supply behind a device of 30 mA (NEC: class A), or have a licensed person fit one: a larger one protects "
    .. "against fire, not the person who touches a live part.",
}
