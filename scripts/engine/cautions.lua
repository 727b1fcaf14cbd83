-- cautions.lua: what every report says about what can hurt, whatever the findings are.

return {
  "Isocyanates: vapour, mist and fresh foam harm lungs, skin and eyes, and a person once sensitised reacts to traces. "
    .. "Wear air-fed breathing protection, gloves and a full suit, and keep everybody else out.",
  "Re-entry: nobody without protection goes back in before the supplier's re-entry time is over and the ventilation has "
    .. "run. A calculated purge time never shortens it.",
  "Fluid injection under pressure: these jets and leaks go through gloves and skin, and a small wound can cost a hand. "
    .. "Relieve the pressure before opening anything, never feel for a leak, and have any such wound seen by a surgeon at once.",
  "Hot surfaces: heaters, hoses and fittings run hot enough to burn and stay hot after switching off.",
  "Electric shock: supplies, generators and heaters can kill. Isolate and prove dead before opening a cabinet; "
    .. "connections, protection and earthing are work for a licensed person.",
  "Exotherm and fire: foam heats itself while it cures. A lift too thick, or the next one too soon, can char and catch "
    .. "fire hours later. Keep to the supplier's lift and waiting time, and keep a fire watch.",
  "Compressed-air stores: a receiver holds enough energy to kill. Check its inspection date and safety valve, and vent "
    .. "it before working on the air line.",
  "These figures support your judgement. They never replace the supplier's data sheets, local codes and licensed practice.",
}
