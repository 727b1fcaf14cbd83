-- confirm.lua: what only a person on site can see, in the order of what can hurt. Each passes once the job file says
-- so: set confirmed.KEY to true. What the job leaves out is not known; an explicit false is a known no and stops, which is
-- the stricter of the two ways to read it.

local function confirm_rule(key, title, sentence, advice, safety, phase)
  rule {
    id = "confirm-" .. key:gsub("_", "-"),
    title = title,
    group = "confirm", stage = "site",
    confirm = sentence,
    confirmed_by = "confirmed." .. key,
    safety = safety, phase = phase,
    source = "practice",
    advice = advice,
  }
end

-- What can hurt people, and what can only spoil the machine or the work. phase: when it must have been seen; before power
-- goes on, unless it is said.
local function item(key, title, sentence, advice, phase) confirm_rule(key, title, sentence, advice, true, phase) end
local function machine_item(key, title, sentence, advice, phase) confirm_rule(key, title, sentence, advice, false, phase) end

item("isolation_and_earth_proved", "Isolation and earth are proved",
  "The supply can be isolated and locked off, and the protective earth is proved.",
  "Have a licensed person prove isolation and earth before anything is switched on.")

item("residual_current_device_tested", "Residual-current device is tested",
  "The residual-current device that protects the rig trips at its test button.",
  "Press the test button; if the device does not trip, do not use the supply.", "power on")

item("pumps_rotate_as_marked", "Motors and pumps turn as marked",
  "Motors, pumps and compressor turn in the direction of their arrows.",
  "Let a licensed person swap two phases where something turns the wrong way.", "power on")

machine_item("hydraulic_oil_in_order", "Hydraulic oil is in order",
  "The hydraulic oil is at its level, clear and without foam.",
  "Top up or change the oil, and look for leaks.")

machine_item("iso_pump_lubricant_in_order", "Iso pump lubricant is in order",
  "The iso pump's lubricant is clear, at its level and moving.",
  "Change the lubricant when it is cloudy or thick: iso has come past the seal.")

item("hoses_laid_out", "Hoses are laid out",
  "The heated hoses are laid out, not coiled, stacked or covered, before hose heat goes on.",
  "Lay the hoses out in full; coils overheat.")

item("hoses_full_of_liquid", "Hoses are full of liquid",
  "The hoses are full of liquid along their whole length before hose heat goes on.",
  "Fill the hoses first; an empty heated hose burns through.")

item("release_route_open", "A pressure release route is open",
  "The heated liquid can expand: a release or circulation valve back to the drums is open.",
  "Open the release valves to the drums before any heat goes on.")

item("lines_not_interchanged", "Iso and resin lines are not interchanged",
  "Iso runs to the iso side and resin to the resin side, from drum to gun.",
  "Trace both lines by hand from drum to gun and read the drums' labels.")

machine_item("lines_bled", "Lines are bled of air",
  "Both lines run free of air at the gun block or the circulation return.",
  "Run both sides back to the drums until no air comes.", "before the trigger")

item("trigger_lock_used", "Trigger lock is used",
  "The trigger lock is on whenever nobody is spraying.",
  "Show the crew the lock, and use it at every pause.", "before the trigger")

item("breathing_air_own_source", "Breathing air has its own source",
  "The breathing air is of breathing grade and comes from its own source, not from the tool air.",
  "Set up a breathing-air source of its own and check its last air test.", "before the trigger")

item("skin_and_eye_protection", "Skin and eyes are protected",
  "Everybody near the spraying wears a full suit, gloves and eye or face protection.",
  "Dress everybody, helpers included, before drums are opened.")

item("ventilation_in_place", "Ventilation is in place",
  "Ventilation runs and blows to where nobody is.",
  "Start supply and exhaust before spraying, and leave them on afterwards.", "before the trigger")

item("exclusion_zone_set", "Exclusion zone is set",
  "The exclusion zone is marked, and nobody without protection is inside it.",
  "Mark the zone and tell everybody else on the site; air intakes nearby are off or covered.", "before the trigger")

item("supplier_reentry_known", "The crew knows the re-entry time",
  "The supplier's re-entry time is known to the crew and to whoever holds the keys.",
  "Read it from the supplier's data sheet and write it on the door.", "before the trigger")

item("fire_watch_set", "Fire watch is set",
  "Somebody watches for smoke and heat during the work and after it, with an extinguisher at hand.",
  "Name the person and the hours; keep sparks, flames and hot work away.", "before the trigger")
