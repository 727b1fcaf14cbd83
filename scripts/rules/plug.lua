-- plug.lua: the breaker must protect the plug and socket behind it as well as the cable.

local cable = require "rules.shared.cable"

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
