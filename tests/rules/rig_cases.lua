-- rig_cases.lua: what the rules that need the rig's operating point say on the job of jobs/base.json.
--
-- By hand, resin at 50 degC all the way (0.14 Pa s, 1156 kg/m3), iso likewise (0.065 Pa s, 1208 kg/m3), both laminar,
-- 4 sections of 15 m in 9.5 mm and 3 m of whip in 6.4 mm: with 2.93 L/min at each pump, 5.0e-5 m3/s of resin and
-- 4.98e-5 m3/s of iso at the gun,
--   hose 128 mu L Q/(pi d^4) = 21.0 bar (iso 9.7), whip 5.1 bar (iso 2.4), 4 m of lift 0.45 bar (iso 0.47),
--   orifice of 0.9 mm, Cd 0.75: rho/2 (Q/(Cd A))^2 = 63.5 bar (iso 66.0),
-- which is 90 bar at the resin's gauge, as set, and 78.6 bar at the iso's.
-- Hagen-Poiseuille, Bernoulli; nothing of the core is used. Liquids cool a little on the way, hence the tolerances.

return function(kit)
  local rule, gone, value, lever, no_lever, origin, missing = kit.rule, kit.gone, kit.value, kit.lever, kit.no_lever,
                                                               kit.origin, kit.missing

  local function all(...)
    local checks = { ... }
    return function(...)
      for _, check in ipairs(checks) do
        local wrong = check(...)
        if wrong then return wrong end
      end
    end
  end

  -- How the rule's value moves when a path of the job is a little higher, everything else as it is.
  local function signs(expected)
    return function(finding, judged)
      local imp = require "impinge"
      local evaluate = require "engine.evaluate"
      local function value_with(path, factor)
        local unit = host.field(path).unit
        local raised = imp.path(host.job(), path):value(unit) * factor
        if path == "hoses.sections" then raised = math.ceil(raised) end
        return evaluate.outcome(judged, "site", { [path] = imp.q(raised, unit) }).value
      end
      for path, sign in imp.sorted_pairs(expected) do
        local before, after = value_with(path, 1), value_with(path, 1.002)
        local found = after > before and "+" or after < before and "-" or "0"
        if found ~= sign then return ("%s: expected %s, got %s: %s to %s"):format(path, sign, found, tostring(before), tostring(after)) end
      end
    end
  end

  local function part(label)
    return function(finding)
      for _, found in ipairs(finding.parts) do
        if found.label == label then return end
      end
      return "no part " .. label
    end
  end

  local function reason(text)
    return function(finding)
      if finding.script_error then return finding.script_error end
      if finding.reason:sub(1, #text) ~= text then return "the reason is " .. finding.reason end
    end
  end

  -- Where there is no operating point, gun-pressure stops and the rules beside it have nothing to judge.
  local too_wide, no_point = { ["rig.gun.iso_orifice"] = "7 mm" }, { "no operating point", "not known" }
  no_point[3], no_point.check = too_wide, reason "not judged: no operating point (see the rule gun-pressure)"

  local thickening = { '[{"temperature":"10 degC","viscosity":"60 mPa s"},{"temperature":"30 degC","viscosity":"90 mPa s"},'
    .. '{"temperature":"50 degC","viscosity":"200 mPa s"}]' }

  kit.group "hoses"

  rule("gun-pressure", {
    { "go", "go", {}, check = all(value("bar", 63.5, 0.8), origin "material", signs {
        ["settings.pressure"] = "+", ["settings.resin_temperature"] = "+", ["hoses.sections"] = "-", ["hoses.rise"] = "-",
        ["rig.hose.resin_bore"] = "+", ["rig.gun.resin_orifice"] = "-", ["rig.whip.length"] = "-" }) },
    { "just enough", "go", { ["window.pressure.min"] = "63 bar" }, check = origin "job" },
    -- a Q^2 + b Q = 90 bar with a Q^2 = 63.5 bar: 64.5 bar at the gun need 0.8 % more flow, 91.2 bar
    { "not enough", "stop", { ["window.pressure.min"] = "64.5 bar", ["window.pressure.max"] = "110 bar" },
      check = lever("settings.pressure", "bar", 91.3, 0.6) },
    { "too many sections", "stop", { ["hoses.sections"] = 6 }, check = lever("hoses.sections", "1", 4, 0) },
    { "no more pressure than the window's upper end is tried", "stop", { ["window.pressure.min"] = "85 bar", ["window.pressure.max"] = "110 bar" },
      check = no_lever "settings.pressure" },
    { "a weak motor", "stop", { ["rig.drive.motor_power"] = "0.8 kW" } },
    { "a motor of unknown efficiency", "not known", { ["rig.drive.efficiency"] = gone }, check = missing "rig.drive.efficiency" },
    { "no motor to judge", "go", { ["rig.drive.motor_power"] = gone, ["rig.drive.efficiency"] = gone } },
    { "no window", "not known", { ["material.window.pressure"] = gone }, check = missing "material.window.pressure.min" },
    { "a fitted whip without its length", "not known", { ["rig.whip.length"] = gone }, check = missing "rig.whip.length" },
    { "fitted, as nobody says that it is not", "not known", { ["hoses.whip"] = gone, ["rig.whip.length"] = gone }, check = missing "rig.whip.length" },
    { "a heated whip without its resistance", "not known", { ["rig.whip.heated"] = true }, check = missing "rig.whip.resistance" },
    { "a heated whip that is not fitted", "go", { ["rig.whip.heated"] = true, ["hoses.whip"] = false } },
    { "a sensor beyond the hose", "stop", { ["rig.hose.sensor_position"] = "87 m" } },
    { "a sensor at its end", "go", { ["rig.hose.sensor_position"] = "60 m" } },
    { "a whip that is not fitted has no length to miss", "go", { ["hoses.whip"] = false, ["rig.whip.length"] = gone } },
    { "all that is missing at once", "not known",
      { ["rig.gun.iso_orifice"] = gone, ["rig.gun.discharge_coefficient"] = gone, ["site.air_temperature"] = gone },
      check = all(missing "rig.gun.iso_orifice", missing "site.air_temperature", missing "rig.gun.discharge_coefficient",
                  missing "rig.gun.orifice_length_ratio") },
    { "an orifice wider than the whip", "stop", { ["rig.gun.iso_orifice"] = "7 mm" }, check = reason "the rig has no operating point: rig.gun.iso_orifice" },
    { "a liquid that thickens as it warms", "stop", { ["material.iso.viscosity"] = thickening },
      check = reason "the rig has no operating point: material.iso.viscosity: viscosity rises from 60 mPa s" },
    { "read in the office", "to be read on site", {}, stage = "plan" },
  })

  -- Friction warms by dp/(rho c): resin 21 bar, 1.0 K, iso 9.7 bar, 0.5 K. The hose holds the resin at 50 degC at its end
  -- and so gives both sides what the resin (110 W/K) lacks after its 1.0 K; the iso (96 W/K) ends at 50 + 0.5 - 1.1 degC.
  -- In the whip 0.3 W/(m K) x 32 K x 3 m = 29 W go, 0.3 K, and friction of 5.1 bar brings 0.2 K, of 2.4 bar 0.1 K.
  local at_gun = { iso = 49.2, resin = 49.95 }
  for _, side in ipairs { "iso", "resin" } do
    rule(side .. "-gun-temperature", {
      { "go", "go", {}, check = all(value("degC", at_gun[side], 0.15), origin "material") },
      { "just enough", "go", { ["window." .. side .. "_temperature.min"] = "48.5 degC" }, check = origin "job" },
      { "not enough", "stop", { ["window." .. side .. "_temperature.min"] = "50 degC" } },
      { "set warm enough, and cold at the gun: the hose heat is off", "stop",
        { ["settings.hose_current"] = "1 A", ["settings.iso_temperature"] = "42 degC", ["settings.resin_temperature"] = "42 degC" } },
      { "the hose's window where the side has none", "stop",
        { ["material.window." .. side .. "_temperature"] = gone, ["window.hose_temperature.min"] = "50 degC" } },
      { "no window", "not known", { ["material.window." .. side .. "_temperature"] = gone, ["material.window.hose_temperature"] = gone },
        check = missing("material.window." .. side .. "_temperature.min") },
      { "missing", "not known", { ["settings." .. side .. "_temperature"] = gone }, check = missing("settings." .. side .. "_temperature") },
      no_point,
      { "read in the office", "to be read on site", {}, stage = "plan" },
    })
  end

  -- densities alone: 1 - 63.5/66.0 = 3.8 %; pressures go with the fourth power of the orifices
  rule("gun-balance", {
    { "go", "go", {}, check = all(value("%", 3.8, 0.3), signs { ["rig.gun.iso_orifice"] = "-", ["rig.gun.resin_orifice"] = "+",
        ["material.iso.density"] = "+", ["material.resin.density"] = "-" }) },
    { "a smaller resin orifice still balances", "go", { ["rig.gun.resin_orifice"] = "0.88 mm" } },
    { "caution, iso higher", "caution", { ["rig.gun.iso_orifice"] = "0.87 mm" }, check = value("%", 16, 0.5) },
    { "caution, resin higher", "caution", { ["rig.gun.resin_orifice"] = "0.85 mm" }, check = value("%", 17.4, 0.5) },
    -- 10 % at (0.9/d)^4 x 1.039 = 1/0.9
    { "stop, iso higher", "stop", { ["rig.gun.iso_orifice"] = "0.85 mm" }, check = lever("rig.gun.iso_orifice", "mm", 0.885, 0.002) },
    { "stop, resin higher", "stop", { ["rig.gun.resin_orifice"] = "0.83 mm" } },
    { "the job's own limits", "stop", { ["limits.balance"] = "3 %" }, check = origin "job" },
    { "missing", "not known", { ["rig.gun.resin_orifice"] = gone }, check = missing "rig.gun.resin_orifice" },
    no_point,
  })

  kit.group "drive"

  -- (78.6 bar + 90 bar) x 6/12
  rule("drive-pressure", {
    { "go", "go", {}, check = all(value("bar", 84.3, 0.6), signs { ["settings.pressure"] = "+", ["rig.drive.area"] = "-",
        ["rig.pumps.iso.area"] = "+", ["rig.pumps.resin.area"] = "+" }) },
    { "just enough", "go", { ["rig.drive.pressure_limit"] = "85 bar" } },
    { "not enough", "stop", { ["rig.drive.pressure_limit"] = "83 bar" }, check = { solved = all(value("bar", 84.3, 0.6),
      lever("settings.pressure", "bar", 88.6, 0.7).solved) } },
    { "missing", "not known", { ["rig.drive"] = gone }, check = missing "rig.drive.area" },
    no_point,
    { "no limit", "not known", { ["rig.drive.pressure_limit"] = gone }, check = missing "rig.drive.pressure_limit" },
  })

  -- 168.6 bar x 2.93 L/min/0.7 = 1176 W
  rule("motor-power", {
    { "go", "go", {}, check = all(value("kW", 1.176, 0.02), signs { ["settings.pressure"] = "+", ["rig.drive.efficiency"] = "-",
        ["rig.hose.resin_bore"] = "+" }) },
    { "just enough", "go", { ["rig.drive.motor_power"] = "1.2 kW" } },
    { "not enough", "stop", { ["rig.drive.motor_power"] = "1.14 kW" }, check = value("kW", 1.176, 0.02) },
    { "missing", "not known", { ["rig.drive.motor_power"] = gone }, check = missing "rig.drive.motor_power" },
    no_point,
    { "no gun", "not known", { ["rig.gun.iso_orifice"] = gone }, check = missing "rig.gun.iso_orifice" },
    { "no efficiency is not one of 100 %", "not known", { ["rig.drive.motor_power"] = "1 kW", ["rig.drive.efficiency"] = gone },
      check = missing "rig.drive.efficiency" },
  })

  -- 2.93 L/min x 12/6
  rule("drive-oil-flow", {
    { "go", "go", {}, check = all(value("L/min", 5.86, 0.06), signs { ["settings.pressure"] = "+", ["rig.drive.area"] = "+" }) },
    { "just enough", "go", { ["rig.drive.oil_flow"] = "6 L/min" } },
    { "not enough", "stop", { ["rig.drive.oil_flow"] = "5.7 L/min" } },
    { "none named", "not known", { ["rig.drive.oil_flow"] = gone }, check = missing "rig.drive.oil_flow" },
    { "missing", "not known", { ["rig.pumps.iso.area"] = gone }, check = missing "rig.pumps.iso.area" },
    no_point,
  })

  kit.group "mixing"

  -- 4 x 0.0578 kg/s/(pi x 0.9 mm x 0.14 Pa s) = 584
  rule("impingement-reynolds", {
    { "go", "go", {}, check = all(value("1", 584, 10), signs { ["settings.pressure"] = "+", ["hoses.sections"] = "-",
        ["settings.resin_temperature"] = "+" }) },
    { "cold resin", "caution", { ["settings.resin_temperature"] = "24 degC", ["settings.hose_temperature"] = "24 degC" } },
    { "just above the job's own", "go", { ["limits.impingement_reynolds"] = 570 } },
    { "just below the job's own", "caution", { ["limits.impingement_reynolds"] = 600 } },
    { "missing", "not known", { ["material.resin.viscosity"] = gone }, check = missing "material.resin.viscosity" },
    no_point,
  })

  -- rho Q^2/A: 1208/1156 x (4.98/5.0)^2 = 1.038, and with the square of the orifices
  rule("momentum-balance", {
    { "go", "go", {}, check = all(value("%", 3.7, 0.3), signs { ["rig.gun.iso_orifice"] = "-", ["rig.gun.resin_orifice"] = "+" }) },
    { "just below, iso stronger", "go", { ["rig.gun.iso_orifice"] = "0.78 mm" }, check = value("%", 27.6, 0.5) },
    { "just above, iso stronger", "caution", { ["rig.gun.iso_orifice"] = "0.75 mm" }, check = value("%", 33.1, 0.5) },
    { "just below, resin stronger", "go", { ["rig.gun.resin_orifice"] = "0.75 mm" }, check = value("%", 27.9, 0.5) },
    { "just above, resin stronger", "caution", { ["rig.gun.resin_orifice"] = "0.72 mm" }, check = value("%", 33.6, 0.5) },
    { "missing", "not known", { ["hoses.sections"] = gone }, check = missing "hoses.sections" },
    no_point,
  })

  kit.group "feed"

  rule("iso-inlet-pressure", {
    { "at the operating point", "go", {}, check = all(part "iso flow at the operating point", signs {
        ["settings.pressure"] = "-", ["settings.transfer_air_pressure"] = "+", ["rig.transfer_pumps.iso.line_bore"] = "+" }) },
    { "as planned, without a gun", "go", { ["rig.gun.iso_orifice"] = gone },
      check = all(part "iso flow as planned (the operating point is not known)", value("bar", 11.65, 0.05)) },
    { "a liquid that thickens as it warms", "not known", { ["material.iso.viscosity"] = thickening },
      check = reason "material.iso.viscosity: viscosity rises from" },
  })

  rule("iso-suction-margin", {
    { "a liquid that thickens as it warms", "not known", { ["material.iso.viscosity"] = thickening },
      check = reason "material.iso.viscosity: viscosity rises from" },
  })
end
