-- The reports' own words in English. %s stands for what is filled in.
return {
  language = "en",
  groups = { power = "power", air = "air", hoses = "hoses", heating = "heating", settings = "settings", drive = "drive", feed = "feed",
    mixing = "mixing", material = "material", weather = "weather", work = "work", confirm = "confirm" },
  words = {
    -- verdicts
    ["verdict stop"] = "STOP", ["verdict not known"] = "NOT KNOWN", ["verdict caution"] = "CAUTION", ["verdict go"] = "GO",
    ["verdict not applicable"] = "DOES NOT APPLY", ["verdict to be read on site"] = "READ ON SITE",
    ["meaning stop"] = "Do not start. Put right what is listed first below.",
    ["meaning not known"] = "Do not start yet. Find out what is listed below.",
    ["meaning caution"] = "May start with the cautions below in mind.",
    ["meaning go"] = "Nothing stands against starting.",
    ["count stop"] = "%s to stop", ["count not known"] = "%s not known", ["count caution"] = "%s with caution", ["count go"] = "%s in order",
    ["count to be read on site"] = "%s to be read on site", ["count not applicable"] = "%s not applicable",
    -- what the job is
    job = "Job", date = "Date", rig = "Rig", material = "Material", stage = "Stage", site = "site", plan = "plan",
    unnamed = "job without a name",
    -- the pre-job check
    prejob = "Pre-job check", do_first = "Do first", keep_in_mind = "Keep in mind", read_on_site = "Read on site",
    confirm_on_site = "Confirm on site", in_order = "In order", confirmed = "Confirmed", not_applying = "Does not apply here",
    expected_today = "What to expect while spraying", before_you_start = "Before you start",
    check = "Check", value = "Value", allowed = "Allowed", margin = "Margin", reason_source = "Reason and source", found = "Found",
    why = "Why", ["do"] = "Do", passes = "Passes", source = "Source", practice = "common practice, no source",
    allowed_is = "allowed: %s", margin_is = "margin %s",
    at_least = "at least", at_most = "at most", passes_with = "Passes with one of these:", lever = "%s at %s",
    lever_caution = "%s at %s, and then with caution",
    silenced = "Silenced by the company: %s. It would have said: %s.", tightened = "Made stricter by %s: %s.",
    replaced = "Replaced by the company, %s: %s. The standard rule would have said: %s.", no_reason = "no reason given",
    parts_as = "Parts as under \"%s\".", group = "Group", verdict = "Verdict", limit = "Limit", unit = "Unit",
    capped = "A safety rule was silenced or loosened: the verdict is caution at best.",
    -- sheets
    working = "Working", working_of = "Working of: %s", inputs_caption = "What it was worked out from", input = "Input", from = "From",
    quantity = "Quantity", symbol = "Symbol", in_si = "In SI", sheet_as = "Sheet \"%s\": as under \"%s\".",
    sheets = "Appendix: sheets", sheet_number = "Sheet %s", sheets_used = "Sheets: %s.",
    yes = "yes", no = "no", ["not known"] = "not known",
    -- charts
    pressure_chart = "Pressure along the hoses", temperature_chart = "Temperature along the hoses", current_chart = "Line currents",
    pressure_about = "Pressure of iso and resin from the pumps to the gun while spraying, with the material's window.",
    temperature_about = "Temperature of iso and resin from the heaters to the gun while spraying, with the material's window.",
    current_about = "Current of each line while heating up and while spraying, with the breaker's rating.",
    distance = "Distance from the pumps", pressure = "Pressure", temperature = "Temperature", current = "Current", line = "Line",
    iso = "iso", resin = "resin", window = "material's window", breaker = "breaker %s", heating_up = "heating up", spraying = "spraying",
    ["chart data"] = "Figures behind this chart", lowest = "lowest", highest = "highest", ["to"] = "to",
    no_point = "The operating point of the rig is not known: %s",
    flow = "flow, both sides together", governs = "what holds the flow where it is", gun_pressure = "pressure at the gun, %s",
    gun_temperature = "temperature at the gun, %s", pump_pressure = "gauge at the pump, %s, flowing", mixed_temperature = "mixed at the gun",
    imbalance = "difference of the gun pressures", drive_pressure = "drive pressure", motor_power = "motor power",
    -- footer
    footer = "Worked out by impinge %s. Figures support the crew; they never replace data sheets, local codes and licensed practice.",
    -- set-up sheet
    set_up = "Set-up sheet", step = "Step", set_to = "Set", expect = "Expect", between = "Between", read = "Read",
    sheet_stop = "The pre-job check says %s: do not start by this sheet. Read the pre-job report first.",
    sheet_caution = "The pre-job check says %s: read the pre-job report first.",
    sheet_go = "The pre-job check says %s.",
    see_first = "See and tick before switching on", in_this_order = "Start up in this order", along_hose = "Along the hoses, flowing",
    step_supply = "Supply", step_air = "Air", step_drums = "Drums", step_hose = "Hose heat",
    step_heaters = "Heaters", step_still = "Pressure, still", step_flow = "Spraying",
    supply_voltage = "line voltage", breaker_rating = "breaker", line_heating = "%s heating up", line_spraying = "%s spraying",
    receiver = "receiver, from cut-in to cut-out", gun_air = "air at the gun", transfer_air = "air to %s transfer pump",
    drum_temperature = "%s drum, in the liquid", inlet_pressure = "%s at the pump's inlet", tap = "tap", hose_current = "hose current",
    hose_watts = "heat to the hose", hose_set = "hose temperature", time_to_heat = "time to heat", heater_set = "%s heater",
    still_pressure = "%s gauge, trigger closed", flowing_pressure = "%s gauge, flowing", flow_together = "flow, both sides", ratio = "volume ratio, iso to resin",
    section = "After section", gun = "Gun", tolerance_note = "Bands without a source are common practice: voltage 10 % (EN 50160), currents 10 %, "
      .. "pressures 10 % flowing and 5 % still, temperatures 3 K, times 25 %. Windows of the material and of parts hold where they are closer. "
      .. "Outside its band: stop, find out why.",
    short_cautions = "Isocyanates harm lungs for life: air-fed mask, gloves, suit, everybody else out. Jets go through skin: relieve pressure before "
      .. "opening anything, a surgeon at once. Hot hoses and fittings burn. Prove dead before opening a cabinet. Thick lifts can burn hours later. "
      .. "Vent the receiver before work on the air line. No re-entry before the supplier's time. Data sheets, local codes and licensed practice come first.",
    signed = "Name", time = "Time",
    -- estimate
    estimate = "Estimate", quantity_needed = "Material", item = "Item", figure = "Figure", remark = "Remark",
    area = "area", thickness = "thickness", dry_film = "dry film", wet_film = "wet film", coats = "coats", loss = "loss counted",
    mass = "material, loss counted", volume_of = "%s, volume", mass_of = "%s, mass", sets = "sets of drums", left_of = "%s left over from whole sets",
    layers = "Lifts", lifts = "lifts", lift_thickness = "thickness of a lift", times = "Time", trigger_time = "trigger pulled",
    spraying_time = "spraying, pauses counted",
    waiting_time = "waiting between lifts or coats", set_up_time = "setting up", clean_up_time = "cleaning up", warm_up_time = "hose warm-up",
    day_time = "all together", energy = "Energy", energy_heating = "heating up, all loads on", energy_spraying = "spraying, all loads on",
    energy_together = "together, at most", fuel = "fuel", costs = "Cost", cost_energy = "energy", cost_all = "material, labour and energy",
    cost_per_area = "for each area", insulation = "Insulation", resistance_new = "thermal resistance, fresh", resistance_aged = "thermal resistance, aged",
    resistance_target = "asked for", resistance_reached = "reached", resistance_short = "not reached", price_note = "material used, not whole sets",
    price_labour = "%s persons", estimate_note = "An estimate, no offer: prices are those of the job file; energy is an upper bound, since heaters switch.",
    design_value = "aged value of the data sheet, the layer alone",
    -- spray hours
    spray_hours = "Spray hours", hours_stretches = "When it can be sprayed", hours_each = "Hour by hour", hours_spread = "Spread to dew point",
    hours_wind = "Wind", hours_air = "Air", hours_humidity = "Humidity", hours_why = "Why not, or why with caution",
    hours_with_caution = "%s, with caution", hours_counts = "Of the forecast's rows %s can be sprayed and %s with caution, of %s.",
    hours_note = "Only the weather is judged here, by the rules on it and the material's window: whether the job may start is what the pre-job check "
      .. "says. A forecast is no reading: measure air, humidity, surface and wind on site before spraying and while it goes on.",
    hours_assumed = "The surface is taken to be %s colder than the air where the forecast does not say: an assumption, no reading. Under a clear sky "
      .. "surfaces fall further below the air.",
    hours_faults = "Not used of the forecast: %s.", hours_steady = "Once for all hours: %s: %s, %s.",
    hours_silenced = "Silenced by the company: %s (%s: %s).",
  },
}
