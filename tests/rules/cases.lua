-- cases.lua: what the standard rules say on the job of jobs/base.json with one thing or two changed.
-- Over 500 lines: a line or two for each case of each rule.
--
-- Each rule: { name, verdict, changes }. A change to `gone` takes the value away. Limits that are not in base.json are
-- the rules' own; figures at their edges were worked out by hand beside them.

local gone = {}
local cases = {}

local function json(value)
  if value == gone then return false end
  if type(value) == "string" then return '"' .. value .. '"' end
  if type(value) == "table" then return value[1] end -- JSON as it is
  return tostring(value)
end

local function add(case, changes)
  case.changes = {}
  local paths = {}
  for path in pairs(changes or {}) do paths[#paths + 1] = path end
  table.sort(paths)
  for _, path in ipairs(paths) do case.changes[#case.changes + 1] = { path, json(changes[path]) } end
  case.stage = case.stage or "site"
  cases[#cases + 1] = case
end

local group -- of the rules that follow: only their file is loaded

local function rule(id, rows)
  for _, row in ipairs(rows) do
    local check = row.check
    local solve = type(check) == "table"
    add({ rule = id, group = group, name = row[1], verdict = row[2], stage = row.stage, solve = solve,
          check = solve and check.solved or check }, row[3])
  end
end

-- Whether a lever's answer is near a figure worked out by hand. Levers are solved only where one is looked at.
local function lever(path, unit, expected, tolerance)
  return { solved = function(finding)
    for _, answer in ipairs(finding.levers) do
      if answer.path == path then
        if not answer.value then return "no " .. path .. " passes: " .. answer.text end
        local found = answer.value:value(unit)
        if math.abs(found - expected) > tolerance then
          return ("%s: expected %g %s, got %g"):format(path, expected, unit, found)
        end
        return
      end
    end
    return "no lever " .. path
  end }
end

local function no_lever(path)
  return { solved = function(finding)
    for _, answer in ipairs(finding.levers) do
      if answer.path == path then return answer.value and "unexpected: " .. answer.text or nil end
    end
    return "no lever " .. path
  end }
end

local function value(unit, expected, tolerance)
  return function(finding)
    local found = finding.value:value(unit)
    if math.abs(found - expected) > tolerance then return ("expected %g %s, got %.9g"):format(expected, unit, found) end
  end
end

local function origin(expected)
  return function(finding)
    if finding.limit_origin ~= expected then
      return ("expected a limit from %s, got %s"):format(expected, tostring(finding.limit_origin))
    end
  end
end

-- Whether a part's label says a text, and how often.
local function part(text, times)
  return function(finding)
    local found = 0
    for _, given in ipairs(finding.parts) do
      if given.label:find(text, 1, true) then found = found + 1 end
    end
    if found ~= times then return ("expected %d parts with %q, got %d"):format(times, text, found) end
  end
end

local function source(...)
  local texts = { ... }
  return function(finding)
    for _, text in ipairs(texts) do
      if not finding.source:find(text, 1, true) then return ("%q is not in the source: %s"):format(text, finding.source) end
    end
  end
end

local function says(text)
  return function(finding)
    if finding.reason ~= text then return ("the reason is %q"):format(tostring(finding.reason)) end
  end
end

local function advice(text)
  return function(finding)
    if finding.advice ~= text then return ("the advice is %q"):format(tostring(finding.advice)) end
  end
end

local function no_script_error(finding) return finding.script_error end

local function note(text)
  return function(finding)
    if not (finding.note or ""):find(text, 1, true) then return "the note does not say " .. text .. ": " .. tostring(finding.note) end
  end
end

local function all_of(...)
  local checks = { ... }
  return function(finding)
    for _, check in ipairs(checks) do
      local wrong = check(finding)
      if wrong then return wrong end
    end
  end
end

local decides = "a licensed electrician and the local code decide"

local function missing(path)
  return function(finding)
    for _, name in ipairs(finding.missing) do
      if name == path then return end
    end
    return path .. " is not named: " .. tostring(finding.reason)
  end
end

-- power -------------------------------------------------------------------------------------------------------------

group = "power"

-- Worked by hand (phasors; heaters at (396/400)^2 of 12 kW, 17.15 A; hose transformer 6.38 A between L1 and L2; motor
-- 10.72 A at 0.85): L1 32.79 A while spraying.
rule("line-current-within-breaker", {
  { "go", "go", {}, check = value("A", 32.793, 0.001) },
  { "just enough", "go", { ["supply.breaker"] = "33 A" } },
  { "too small", "stop", { ["supply.breaker"] = "32 A" }, check = lever("supply.breaker", "A", 40, 0) },
  { "only with the declared diversity", "caution", { ["rig.loads.4.diversity"] = "50 %", ["supply.breaker"] = "32 A" } },
  { "long loads count at 125 % by the NEC", "stop", { ["supply.code"] = "nec" } },
  { "a share of the breaker above the NEC's", "caution", { ["supply.code"] = "nec", ["limits.breaker_load"] = "100 %" },
    check = all_of(says "the job's own limit is looser than the rule's own", note "at most 40 A; the rule's own is at most 32 A") },
  { "a share above the rig's", "caution", { ["rig.limits.breaker_load"] = "80 %", ["limits.breaker_load"] = "90 %" } },
  { "job's own share of the breaker", "stop", { ["limits.breaker_load"] = "80 %" } },
  { "missing", "not known", { ["supply.breaker"] = gone }, check = missing "supply.breaker" },
  { "no loads", "not known", { ["rig.loads"] = gone }, check = missing "rig.loads" },
  { "a star load on one phase", "not known", { ["supply.phases"] = "1" } },
  { "names code and edition", "go", {}, check = source("IEC 60364-4-43:2008", decides) },
  { "names the other code and its edition", "stop", { ["supply.code"] = "nec" }, check = source("NFPA 70 (NEC) 2023", "210.20", decides) },
  -- 25 A: while heating up everything fits, 23.4 A in L1. While spraying both heaters and the motor, 26.9 A, do not; one
  -- heater with all the rest, 15.0 kW, is more than both heaters without the motor, 14.7 kW
  { "says what may run together", "stop", { ["supply.breaker"] = "25 A" },
    check = part("may run together, spraying: Iso heater, Hose transformer, Hydraulic motor, Lights", 1) },
  { "only in the state that stops", "stop", { ["supply.breaker"] = "25 A" }, check = part("may run together, heat-up", 0) },
  { "says nothing of it where all runs", "go", {}, check = part("may run together", 0) },
  { "one load stays on", "stop", { ["supply.breaker"] = "25 A", ["rig.loads.4.must_run"] = true },
    check = part("Hydraulic motor", 1) },
  -- 12 kW of heaters on one phase of 230 V: 52.2 A
  { "one phase", "stop", { ["supply.phases"] = "1", ["supply.voltage"] = "230 V", ["supply.measured_voltage"] = gone,
      ["rig.loads"] = { '[{"kind":"resistive","connection":"L1-N","power":"12 kW","rated_voltage":"230 V"}]' } },
    check = value("A", 52.17, 0.01) },
  -- 240 V in two lines: 4.8 kW across both 20 A, 1.2 kW at 120 V 10 A in L1
  { "two lines and a neutral", "go", { ["supply.phases"] = "1", ["supply.voltage"] = "240 V", ["supply.measured_voltage"] = gone,
      ["rig.loads"] = { '[{"kind":"resistive","connection":"L1-L2","power":"4.8 kW","rated_voltage":"240 V"},'
        .. '{"kind":"resistive","connection":"L1-N","power":"1.2 kW","rated_voltage":"120 V"},'
        .. '{"kind":"resistive","connection":"L2-N","power":"0.6 kW","rated_voltage":"120 V"}]' } },
    check = value("A", 30, 0.01) },
  { "compressor on the same supply", "stop", { ["rig.compressor.same_supply"] = true } },
  { "compressor on the same supply, power not given", "not known", { ["rig.compressor.same_supply"] = true, ["rig.compressor.power"] = gone },
    check = missing "rig.compressor.power" },
  { "nobody says whose supply the compressor uses", "not known", { ["rig.compressor.same_supply"] = gone },
    check = missing "rig.compressor.same_supply" },
  { "it counts where it is named among the loads", "go", { ["rig.compressor.same_supply"] = gone, ["rig.loads.5.name"] = "Compressor" } },
})

rule("plug-rating", {
  { "go", "go", {} },
  { "too small", "stop", { ["supply.plug"] = "32 A" }, check = lever("supply.plug", "A", 63, 0) },
  { "only with the declared diversity", "caution", { ["rig.loads.4.diversity"] = "50 %", ["supply.plug"] = "32 A" } },
  { "missing", "not known", { ["supply.plug"] = gone }, check = missing "supply.plug" },
  { "says what may run together", "stop", { ["supply.plug"] = "16 A" }, check = part("may run together", 2) },
  { "series II by the NEC", "go", { ["supply.code"] = "nec" }, check = source("series II", decides) },
})

-- IEC 60364-5-52 table B.52.4, method C, pvc, three loaded: 6 mm2 41 A, 10 mm2 57 A; three layers on the drum: 0.45
rule("cable-carries-current", {
  { "go", "go", {} },
  { "just enough", "go", { ["supply.cable.section"] = "6 mm^2" } },
  { "too thin", "stop", { ["supply.cable.section"] = "4 mm^2" }, check = lever("supply.cable.section", "mm^2", 6, 0) },
  { "left on its drum", "stop", { ["supply.cable.layers_on_drum"] = 3 } },
  { "missing", "not known", { ["supply.cable.section"] = gone }, check = missing "supply.cable.section" },
  { "by gauge", "go", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "6", ["supply.code"] = "nec" } },
  { "by gauge as it stands on the jacket", "go", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "6 AWG", ["supply.code"] = "nec" } },
  -- 8 AWG at terminals of 75 degC: 50 A; 125 % of 32.8 A is 41 A; 10 AWG, 35 A: too little. Unmarked terminals, 60 degC
  -- (110.14(C)(1)(a)): 8 AWG 40 A, too little; 6 AWG 55 A
  { "long loads by the NEC", "go", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "8", ["supply.code"] = "nec",
      ["supply.cable.terminal_temperature"] = "75 degC" } },
  { "the same, terminals not marked", "stop", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "8", ["supply.code"] = "nec" },
    check = note "unmarked terminals, 60 degC" },
  { "a larger one stands unmarked terminals", "go", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "6", ["supply.code"] = "nec" } },
  { "metal not given", "not known", { ["supply.cable.material"] = gone }, check = missing "supply.cable.material" },
  { "nobody says what is left on the drum", "not known", { ["supply.cable.layers_on_drum"] = gone }, check = missing "supply.cable.layers_on_drum" },
  { "says what it takes for granted", "go", { ["supply.cable.grouped"] = gone, ["supply.cable.ambient_temperature"] = gone, ["supply.code"] = gone },
    check = note "taken as IEC's (supply.code); no other loaded circuit beside the cable (supply.cable.grouped); air of 30 degC along" },
  { "takes nothing for granted that is given", "go", {}, check = function(finding) return finding.note end },
  -- IEC 60364-5-52 table B.52.14, pvc: 0.87 at 40 degC, 0.79 at 45 degC, 1.06 at 25 degC; 6 mm2: 41 A x 0.87 = 35.7 A,
  -- x 0.79 = 32.4 A, and 32.8 A flow
  { "the site's air is warmer than the tables'", "stop", { ["supply.cable.section"] = "6 mm^2", ["site.air_temperature"] = "45 degC",
      ["supply.cable.ambient_temperature"] = gone },
    check = note "the site's 45 degC (site.air_temperature), warmer than the 30 degC of the tables" },
  { "it is warmer than what is declared", "stop", { ["supply.cable.section"] = "6 mm^2", ["site.air_temperature"] = "45 degC",
      ["supply.cable.ambient_temperature"] = "20 degC" }, check = note "warmer than the 20 degC declared" },
  { "it is cooler than what is declared", "go", { ["supply.cable.section"] = "6 mm^2", ["supply.cable.ambient_temperature"] = "40 degC" },
    check = function(finding) return finding.note end },
  { "it counts by the NEC too", "go", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "6", ["supply.code"] = "nec",
      ["site.air_temperature"] = "50 degC" }, check = note "the site's 50 degC" },
  { "a metric section by the NEC", "not known", { ["supply.code"] = "nec" }, check = all_of(missing "supply.cable.gauge", no_script_error,
      says("supply.cable.section: 10 mm^2 is not a size of the NEC tables; near it are 8 AWG (8.366 mm^2) and 6 AWG (13.3 mm^2); "
           .. "give the cable's own gauge as supply.cable.gauge instead")) },
  { "long loads by the NEC, too thin", "stop", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "10", ["supply.code"] = "nec" } },
  { "aluminium", "not known", { ["supply.cable.material"] = "aluminium" } },
  { "says what may run together", "stop", { ["supply.cable.section"] = "4 mm^2" }, check = part("may run together, spraying", 1) },
  { "also by the NEC", "stop", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "10", ["supply.code"] = "nec" },
    check = part("may run together, spraying", 1) },
  { "its own table", "go", {}, check = source("5-52:2009", "B.52.2", decides) },
  { "its own table by the NEC", "go", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "6", ["supply.code"] = "nec" },
    check = source("310.16", decides) },
  -- BS 7671 table 4F1A, three-core flexible cable: 6 mm2 34 A, 4 mm2 26 A; NEC 400.5(A)(1): 6 AWG 45 A, 8 AWG 35 A, 125 % of
  -- 32.8 A is 41 A
  { "flexible rubber", "go", { ["supply.cable.insulation"] = "rubber", ["supply.cable.section"] = "6 mm^2" },
    check = source("BS 7671, tables 4F1A", decides) },
  { "flexible rubber, too thin", "stop", { ["supply.cable.insulation"] = "rubber", ["supply.cable.section"] = "4 mm^2" },
    check = lever("supply.cable.section", "mm^2", 6, 0) },
  { "flexible rubber in warm air", "stop", { ["supply.cable.insulation"] = "rubber", ["supply.cable.section"] = "6 mm^2",
      ["supply.cable.ambient_temperature"] = "40 degC" } },
  { "flexible rubber in conduit", "not known", { ["supply.cable.insulation"] = "rubber", ["supply.cable.method"] = "B2" },
    check = says("method: flexible rubber cable is rated lying on a surface (C) or in free air (E), not B2 in conduit; lay it so, "
      .. "or use a cable made for conduit") },
  { "a cord by the NEC", "go", { ["supply.cable.insulation"] = "rubber", ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "6",
      ["supply.code"] = "nec" }, check = source("400.5(A)(1)", decides) },
  { "a cord by the NEC, too thin", "stop", { ["supply.cable.insulation"] = "rubber", ["supply.cable.section"] = gone,
      ["supply.cable.gauge"] = "8", ["supply.code"] = "nec" } },
})

rule("breaker-protects-cable", {
  { "go", "go", {} },
  { "just enough", "go", { ["supply.cable.section"] = "6 mm^2" } },
  { "too large for the cable", "stop", { ["supply.breaker"] = "63 A" } },
  { "missing", "not known", { ["supply.cable.method"] = gone }, check = missing "supply.cable.method" },
  { "what nobody knows is to be found out", "not known", { ["supply.cable.method"] = gone, ["supply.breaker"] = gone },
    check = advice "Find out and write supply.breaker, supply.cable.method." },
  { "a stop keeps the rule's advice", "stop", { ["supply.breaker"] = "63 A" },
    check = advice "Have a licensed person fit a smaller breaker or a larger cable: this cable can burn before the breaker trips." },
  { "metal not given", "not known", { ["supply.cable.material"] = gone }, check = missing "supply.cable.material" },
  { "nobody says what is left on the drum", "not known", { ["supply.cable.layers_on_drum"] = gone }, check = missing "supply.cable.layers_on_drum" },
  { "says what it takes for granted", "go", { ["supply.cable.grouped"] = gone }, check = note "no other loaded circuit" },
  -- 57 A x 0.71 at 50 degC = 40.5 A, x 0.61 at 55 degC = 34.8 A
  { "at the site's air, just enough", "go", { ["site.air_temperature"] = "50 degC" }, check = note "the site's 50 degC" },
  { "at the site's air, too large", "stop", { ["site.air_temperature"] = "55 degC" } },
  { "a metric section by the NEC", "not known", { ["supply.code"] = "nec" }, check = all_of(missing "supply.cable.gauge", no_script_error) },
  -- NEC 240.4(D): 12 AWG at 20 A at most
  { "small conductor by the NEC", "stop", { ["supply.code"] = "nec", ["supply.cable.section"] = gone,
      ["supply.cable.gauge"] = "12", ["supply.breaker"] = "25 A" } },
  -- 5 kA for 1 s: 5000/115 = 43.5 mm2; for 0.05 s: 9.7 mm2, which 10 mm2 stands
  { "a fault that overheats the cable", "stop", { ["supply.prospective_current"] = "5 kA", ["supply.clearing_time"] = "1 s" } },
  { "a fault that it stands", "go", { ["supply.prospective_current"] = "5 kA", ["supply.clearing_time"] = "0.05 s" },
    check = source("434.5.2", decides) },
  { "a fault without its time", "not known", { ["supply.prospective_current"] = "5 kA" }, check = missing "supply.clearing_time" },
  { "a fault's time without its current", "not known", { ["supply.clearing_time"] = "0.1 s" }, check = missing "supply.prospective_current" },
  { "half a fault excuses no breaker", "stop", { ["supply.prospective_current"] = "5 kA", ["supply.breaker"] = "63 A" } },
  { "a fault for too long to be checked", "stop", { ["supply.prospective_current"] = "5 kA", ["supply.clearing_time"] = "8 s" } },
  -- BS 7671 table 4F1A: 6 mm2 34 A; NEC 240.5(A): a cord at its ampacity, 6 AWG 45 A, though 240.4(B) would allow more
  { "flexible rubber stands a smaller breaker", "go", { ["supply.cable.insulation"] = "rubber", ["supply.cable.section"] = "6 mm^2",
      ["supply.breaker"] = "32 A" }, check = source("433.1", "BS 7671, tables 4F1A", decides) },
  { "flexible rubber under a larger breaker", "stop", { ["supply.cable.insulation"] = "rubber", ["supply.cable.section"] = "6 mm^2",
      ["supply.breaker"] = "40 A" } },
  { "a cord at its breaker by the NEC", "go", { ["supply.cable.insulation"] = "rubber", ["supply.cable.section"] = gone,
      ["supply.cable.gauge"] = "6", ["supply.code"] = "nec", ["supply.breaker"] = "45 A" }, check = source("240.5(A)", decides) },
  { "a cord under a larger breaker by the NEC", "stop", { ["supply.cable.insulation"] = "rubber", ["supply.cable.section"] = gone,
      ["supply.cable.gauge"] = "6", ["supply.code"] = "nec", ["supply.breaker"] = "50 A" } },
  { "small conductor at its breaker", "go", { ["supply.code"] = "nec", ["supply.cable.section"] = gone,
      ["supply.cable.gauge"] = "12", ["supply.breaker"] = "20 A" } },
})

-- 1.91 mohm/m at 20 degC (IEC 60228, 10 mm2 class 5), 2.29 at 70 degC: sqrt(3) x 33.4 A x 2.29 mohm/m x 0.97 = 0.128 V/m
rule("cable-voltage-drop", {
  { "go", "go", {}, check = value("%", 0.5 + 100 * 0.129 * 40 / 400, 0.05) },
  { "a metric section by the NEC", "not known", { ["supply.code"] = "nec" }, check = all_of(missing "supply.cable.gauge", no_script_error) },
  { "loads that draw nothing at once", "not known", { ["rig.loads"] = { '[{"kind":"resistive","connection":"delta","power":"6 kW",'
      .. '"rated_voltage":"400 V","diversity":"0 %"}]' } }, check = all_of(no_script_error, function(finding)
        if not finding.reason:find("such as \"80 %\" (rig.loads[1].diversity), or leave it out", 1, true) then return finding.reason end
      end) },
  { "caution above 3 %", "caution", { ["supply.cable.length"] = "85 m" } },
  { "just below 3 %", "go", { ["supply.cable.length"] = "70 m" } },
  { "stop above 5 %", "stop", { ["supply.cable.length"] = "150 m" }, check = lever("supply.cable.length", "m", 76.5, 2) },
  { "what is used comes off", "stop", { ["supply.drop_used"] = "4 %" } },
  { "material's limit", "stop", { ["material.limits.voltage_drop"] = "1.5 %" }, check = origin "material" },
  { "job's limit before the material's, and never looser without a word", "caution",
    { ["material.limits.voltage_drop"] = "1.5 %", ["limits.voltage_drop"] = "4 %" },
    check = all_of(origin "job", says "the job's own limit is looser than the material's",
                   note "at most 4 %; the material's is at most 1.5 %") },
  { "a job may tighten without a word", "go", { ["material.limits.voltage_drop"] = "4 %", ["limits.voltage_drop"] = "3 %" },
    check = all_of(origin "job", says "inside its limits") },
  { "looser than the rule's own", "caution", { ["limits.voltage_drop"] = "6 %" },
    check = all_of(says "the job's own limit is looser than the rule's own", note "at most 6 %; the rule's own is at most 5 %") },
  { "a value for caution that is looser", "caution", { ["limits.voltage_drop_caution"] = "4 %" },
    check = note "caution above 4 %; the rule's own is caution above 3 %" },
  { "what to do about a looser limit", "caution", { ["limits.voltage_drop"] = "6 %" }, check = { solved = function(finding)
      if #finding.levers > 0 then return "a lever is named: " .. finding.levers[1].path end
      if not finding.advice:find("Keep to the stricter limit", 1, true) then return finding.advice end
    end } },
  { "as loose as the rule's own", "go", { ["limits.voltage_drop"] = "5 %" } },
  { "looser, and outside all the same", "stop", { ["limits.voltage_drop"] = "6 %", ["supply.cable.length"] = "250 m" },
    check = note "The job's own limit is at most 6 %" },
  { "a material may be looser than the rule's own", "go", { ["material.limits.voltage_drop"] = "6 %" } },
  { "by gauge", "go", { ["supply.cable.section"] = gone, ["supply.cable.gauge"] = "6", ["supply.code"] = "nec" } },
  { "missing", "not known", { ["supply.drop_used"] = gone }, check = missing "supply.drop_used" },
  { "metal not given", "not known", { ["supply.cable.material"] = gone }, check = missing "supply.cable.material" },
})

rule("supply-voltage", {
  { "go", "go", {}, check = value("%", 1, 1e-9) },
  { "low", "stop", { ["supply.measured_voltage"] = "359 V" }, check = lever("supply.measured_voltage", "V", 360, 0.01) },
  { "just not low", "go", { ["supply.measured_voltage"] = "361 V" } },
  { "high", "stop", { ["supply.measured_voltage"] = "441 V" } },
  { "missing", "not known", { ["supply.measured_voltage"] = gone }, check = missing "supply.measured_voltage" },
  { "in the office", "to be read on site", { ["supply.measured_voltage"] = gone }, stage = "plan" },
})

rule("neutral-for-loads", {
  { "there is one", "not applicable", {} },
  { "there is none", "stop", { ["supply.neutral"] = false }, check = value("1", 1, 0) },
  { "none needed", "go", { ["supply.neutral"] = false, ["rig.loads.5"] = gone } },
  { "missing", "not known", { ["supply.neutral"] = gone }, check = missing "supply.neutral" },
})

rule("phase-unbalance", {
  { "go", "go", {} },
  { "all on one line", "caution", { ["rig.loads.3.connection"] = "L1-N", ["rig.loads.3.rated_voltage"] = "230 V" } },
  { "a generator allows less", "caution", { ["supply.generator.rating"] = "40 kVA" } },
  { "one phase", "not applicable", { ["supply.phases"] = "1" } },
  { "missing", "not known", { ["supply.voltage"] = gone }, check = missing "supply.voltage" },
})

-- Motor 7.35 kVA, star-delta 6.5/3 times that: 15.9 kVA; x 0.2 (1/0.2 - 1) = 12.7 kVA; running about 21.5 kVA; the most
-- loaded line, 32.793 A at 396 V: 3^(1/2) 396 V 32.793 A = 22.49 kVA, over 98.83 % at 250 m, governs.
rule("generator-rating", {
  { "mains", "not applicable", {} },
  { "go", "go", { ["supply.generator.rating"] = "40 kVA" }, check = value("kVA", 22.758, 0.005) },
  { "too small", "stop", { ["supply.generator.rating"] = "20 kVA" }, check = lever("supply.generator.rating", "kVA", 22.76, 0.05) },
  { "fuel for the shift", "go", { ["supply.generator.rating"] = "40 kVA", ["supply.generator.specific_consumption"] = "0.3 L/kWh" },
    check = part("fuel for the shift", 1) },
  { "no fuel without a consumption", "go", { ["supply.generator.rating"] = "40 kVA" }, check = part("fuel", 0) },
  { "says what it takes for granted", "go", { ["supply.generator.rating"] = "40 kVA" },
    check = note "a transient reactance of 0.2 per unit (supply.generator.reactance); a voltage dip of 20 % at start (supply.generator.dip_limit)" },
  { "takes nothing for granted that is given", "go", { ["supply.generator.rating"] = "40 kVA", ["supply.generator.reactance"] = 0.2,
      ["rig.limits.generator_dip"] = "20 %" }, check = function(finding) return finding.assumed end },
  { "a deeper dip than common practice allows", "caution", { ["supply.generator.rating"] = "40 kVA", ["supply.generator.dip_limit"] = "30 %" } },
  { "a dip of the job's below the usual", "go", { ["supply.generator.rating"] = "40 kVA", ["limits.generator_dip"] = "15 %" } },
  { "motor start governs", "stop", { ["supply.generator.rating"] = "40 kVA", ["rig.starting_power"] = "60 kVA" } },
  { "compressor on the same supply counts", "stop", { ["supply.generator.rating"] = "40 kVA",
      ["rig.compressor.same_supply"] = true, ["rig.compressor.starting_power"] = "60 kVA" } },
  { "missing", "not known", { ["supply.generator.rating"] = gone, ["supply.generator.reactance"] = 0.2 },
    check = missing "supply.generator.rating" },
})

group = "loads"

-- Of the rig: heaters 2 x 6 kW and the motor 5.5 kW, as the loads say; the hose takes 42 A at its tap of 60 V (1.2 ohm need
-- 50.4 V), which is 59.4 V at 396 V of 400 V: 2.495 kVA, and the loads have 2.4 kW/0.95 = 2.526 kVA. All by hand.
local function lacking(...)
  local texts = { ... }
  return all_of(missing "rig.loads", function(finding)
    for _, text in ipairs(texts) do
      if not finding.reason:find(text, 1, true) then return ("%q is not in the reason: %s"):format(text, finding.reason) end
    end
  end)
end

rule("loads-complete", {
  { "go", "go", {}, check = all_of(value("1", 0, 0), part("takes, by the loads", 3)) },
  { "in the office too", "not known", { ["rig.loads.1"] = gone }, stage = "plan", check = lacking "heaters" },
  { "a heater is not listed", "not known", { ["rig.loads.1"] = gone },
    check = lacking("the heaters (rig.heaters, kind resistive): 11.8 kW, and the loads have 5.88 kW") },
  { "nor the motor", "not known", { ["rig.loads.4"] = gone }, check = lacking("the drive motor (rig.drive.motor_power, kind motor): 5.5 kW, and the loads have 0 kW") },
  { "nor the hose transformer", "not known", { ["rig.loads.3"] = gone }, check = lacking "the hose transformer" },
  { "all three", "not known", { ["rig.loads"] = { '[{"name":"Lights","kind":"other","connection":"L3-N","power":"0.5 kW"}]' } },
    check = lacking("the heaters", "the drive motor", "the hose transformer") },
  { "a compressor is no drive motor", "not known", { ["rig.loads.4.name"] = "Compresor" }, check = lacking "the drive motor" },
  { "the transformer takes more than its load says", "not known", { ["rig.loads.3.power"] = "0.2 kW" },
    check = lacking "2.49 kVA, and the loads have 0.211 kVA" },
  -- 2.33/0.95 = 2.453 kVA, 98.3 % of 2.495; 2.31/0.95 = 2.432, 97.5 %
  { "a plate rounded by less than 2 %", "go", { ["rig.loads.3.power"] = "2.33 kW" } },
  { "by more", "not known", { ["rig.loads.3.power"] = "2.31 kW" } },
  -- 6 kW at 400 V is 4.5 kW at 346.4 V: 400 x (3/4)^(1/2)
  { "ratings for different voltages", "go", { ["rig.loads.1.power"] = "4.5 kW", ["rig.loads.1.rated_voltage"] = "346.4 V" } },
  { "one load for both heaters", "go", { ["rig.loads.1.power"] = "12 kW", ["rig.loads.2"] = gone } },
  { "a compressor listed with less than it takes", "not known", { ["rig.compressor.same_supply"] = true,
      ["rig.loads.5.name"] = "Compressor" }, check = lacking "the compressor (rig.compressor.power" },
  { "a compressor on the same supply counts where nobody listed it", "go", { ["rig.compressor.same_supply"] = true } },
  { "a rig without a motor of its own", "go", { ["rig.drive.motor_power"] = gone, ["rig.loads.4"] = gone } },
  { "nothing to compare", "not known", { ["rig.heaters"] = gone, ["rig.drive.motor_power"] = gone, ["rig.hose.taps"] = gone },
    check = missing "rig.heaters.iso.power" },
  { "missing", "not known", { ["rig.loads"] = gone }, check = missing "rig.loads" },
})

group = "protection"

rule("breaker-protects-plug", {
  { "go", "go", {}, check = value("A", 40, 1e-9) },
  { "just enough", "go", { ["supply.breaker"] = "63 A" } },
  { "a plug smaller than its breaker", "stop", { ["supply.plug"] = "32 A" }, check = lever("supply.plug", "A", 63, 0) },
  { "a breaker larger than its plug", "stop", { ["supply.breaker"] = "80 A" }, check = lever("supply.breaker", "A", 63, 0) },
  { "names code and edition", "go", {}, check = source("IEC 60309-1", decides) },
  { "names the other code and its edition", "go", { ["supply.code"] = "nec" }, check = source("210.21(B)(1)", decides) },
  { "no breaker given", "not known", { ["supply.breaker"] = gone }, check = missing "supply.breaker" },
  { "no plug given", "not known", { ["supply.plug"] = gone }, check = missing "supply.plug" },
})

-- BGI 608, 4.2.2: 30 mA up to 32 A, 500 mA above; class A of the NEC's 590.6 trips at 6 mA at most
local small_receptacle = { ["supply.code"] = "nec", ["supply.phases"] = "1", ["supply.voltage"] = "120 V", ["supply.plug"] = "30 A" }
local function and_also(changes, path, value)
  local all = { [path] = value }
  for name, own in pairs(changes) do all[name] = own end
  return all
end
rule("residual-current-device", {
  { "go", "go", {}, check = source("411.3.3", decides) },
  { "a larger one behind a large plug", "caution", { ["supply.residual_current_device"] = "300 mA" } },
  { "too large for any plug", "stop", { ["supply.residual_current_device"] = "0.51 A" } },
  { "30 mA at 32 A", "go", { ["supply.plug"] = "32 A" } },
  { "a larger one behind a plug of 32 A", "stop", { ["supply.plug"] = "32 A", ["supply.residual_current_device"] = "31 mA" },
    check = lever("supply.residual_current_device", "mA", 30, 0.001) },
  { "none named", "not known", { ["supply.residual_current_device"] = gone }, check = missing "supply.residual_current_device" },
  { "plug not named", "not known", { ["supply.plug"] = gone }, check = missing "supply.plug" },
  { "class A by the NEC", "go", and_also(small_receptacle, "supply.residual_current_device", "6 mA"), check = source("590.6", decides) },
  { "30 mA at a receptacle of the NEC's 590.6(A)", "stop", and_also(small_receptacle, "supply.residual_current_device", "30 mA") },
  { "30 mA at a larger one", "caution", { ["supply.code"] = "nec" } },
  { "more than 30 mA by the NEC", "stop", { ["supply.code"] = "nec", ["supply.residual_current_device"] = "100 mA" } },
})

group = "voltage"

-- 400/360 = 1.111; 400/364 = 1.099; 445/400 = 1.1125; 230.9/120 = 1.925
rule("rated-voltage", {
  { "go: 400 V between lines, 231 V to the neutral for 230 V", "go", {}, check = value("%", 100 * (400 / 3 ^ 0.5 / 230 - 1), 1e-6) },
  { "a load of 230 V between lines", "stop", { ["rig.loads.1.rated_voltage"] = "230 V" }, check = part("Iso heater, rated 230 V, gets", 1) },
  { "the same from line to neutral", "go", { ["rig.loads.1.rated_voltage"] = "230 V", ["rig.loads.1.connection"] = "L1-N" } },
  { "just too much", "stop", { ["rig.loads.2.rated_voltage"] = "360 V" }, check = value("%", 11.1111, 0.001) },
  { "just not too much", "go", { ["rig.loads.2.rated_voltage"] = "364 V" } },
  { "a heater of a lower rating", "stop", { ["rig.heaters.iso.rated_voltage"] = "320 V" }, check = value("%", 25, 1e-6) },
  { "a heater rated to the neutral", "go", { ["rig.heaters.iso.rated_voltage"] = "230 V" } },
  { "a heater of 120 V", "stop", { ["rig.heaters.resin.rated_voltage"] = "120 V" }, check = value("%", 92.450, 0.001) },
  { "a hose transformer of a lower rating", "stop", { ["rig.hose.primary_voltage"] = "330 V" } },
  { "measured too high", "stop", { ["supply.measured_voltage"] = "445 V" }, check = value("%", 11.7, 0.05) },
  { "measured low does not make it fit", "stop", { ["rig.loads.2.rated_voltage"] = "360 V", ["supply.measured_voltage"] = "370 V" } },
  { "lights of 120 V", "stop", { ["rig.loads.5.rated_voltage"] = "120 V" } },
  { "240 V across both lines, and 120 V to the neutral between them", "go", { ["supply.phases"] = "1", ["supply.voltage"] = "240 V",
      ["supply.measured_voltage"] = gone, ["rig.heaters.iso.rated_voltage"] = "240 V", ["rig.heaters.resin.rated_voltage"] = "240 V",
      ["rig.hose.primary_voltage"] = "120 V",
      ["rig.loads"] = { '[{"kind":"resistive","connection":"L1-L2","power":"4.8 kW","rated_voltage":"240 V"},'
        .. '{"kind":"resistive","connection":"L1-N","power":"1.2 kW","rated_voltage":"120 V"}]' } } },
  { "120 V where one line brings 240 V to the neutral", "stop", { ["supply.phases"] = "1", ["supply.voltage"] = "240 V",
      ["supply.measured_voltage"] = gone, ["rig.loads"] = { '[{"kind":"resistive","connection":"L1-N","power":"1.2 kW","rated_voltage":"120 V"}]' } } },
  { "a motor that gets too little", "caution", { ["rig.loads.4.rated_voltage"] = "480 V" } },
  { "no rating of a load", "not known", { ["rig.loads.3.rated_voltage"] = gone }, check = missing "rig.loads.3.rated_voltage" },
  { "no rating of a heater", "not known", { ["rig.heaters.iso.rated_voltage"] = gone }, check = missing "rig.heaters.iso.rated_voltage" },
  { "no rating of one, and another too low", "stop", { ["rig.loads.3.rated_voltage"] = gone, ["rig.loads.1.rated_voltage"] = "230 V" } },
  { "a compressor whose rating nobody tells", "not known", { ["rig.compressor.same_supply"] = true }, check = missing "rig.loads" },
  { "no supply", "not known", { ["supply.voltage"] = gone }, check = missing "supply.voltage" },
})

-- air ---------------------------------------------------------------------------------------------------------------

group = "air"

-- Demand 80 + 80 + 200 + 20 = 380 L/min; delivery at 250 m and 18 degC: 800 x 98.36/100 x 293.15/291.15 = 792 L/min: 48 %
rule("compressor-duty", {
  { "go", "go", {}, check = value("%", 48.0, 0.3) },
  { "caution above 60 %", "caution", { ["rig.tools_air_use"] = "120 L/min" } },
  { "stop above 70 %", "stop", { ["rig.tools_air_use"] = "200 L/min" }, check = lever("rig.tools_air_use", "L/min", 115, 3) },
  { "just below 60 %", "go", { ["rig.tools_air_use"] = "113 L/min" } },
  { "cannot keep up", "stop", { ["rig.tools_air_use"] = "600 L/min" } },
  { "shared breathing air counts", "caution", { ["rig.breathing_air.source"] = "shared_compressor" } },
  { "altitude takes air away", "caution", { ["rig.tools_air_use"] = "90 L/min", ["site.altitude"] = "1500 m" } },
  { "missing", "not known", { ["rig.gun.air_use"] = gone }, check = missing "rig.gun.air_use" },
})

-- 200 L between 7 and 9 bar: 400 L of free air; filled at 412 L/min in 58 s, emptied at 380 L/min in 63 s: 29.7 starts/h
rule("compressor-starts", {
  { "no limit", "not applicable", {} },
  { "go", "go", { ["rig.limits.starts_per_hour"] = "31 1/h" }, check = value("1/h", 29.7, 0.3) },
  { "too often", "stop", { ["rig.limits.starts_per_hour"] = "28 1/h" }, check = origin "rig" },
  { "missing", "not known", { ["rig.limits.starts_per_hour"] = "28 1/h", ["rig.compressor.cut_out"] = gone },
    check = missing "rig.compressor.cut_out" },
})

rule("breathing-air-source", {
  { "own", "go", {} },
  { "shared", "caution", { ["rig.breathing_air.source"] = "shared_compressor", ["confirmed.breathing_air_own_source"] = gone } },
  { "shared, and denied that it has its own", "caution", { ["rig.breathing_air.source"] = "shared_compressor",
      ["confirmed.breathing_air_own_source"] = false } },
  { "shared, and confirmed that it has its own", "stop", { ["rig.breathing_air.source"] = "shared_compressor" } },
  { "the contradiction stops in the office too", "stop", { ["rig.breathing_air.source"] = "shared_compressor" }, stage = "plan" },
  { "missing", "not known", { ["rig.breathing_air.source"] = gone }, check = missing "rig.breathing_air.source" },
})

rule("air-pressure-at-far-end", {
  { "go", "go", {} },
  { "cut-in too low", "stop", { ["rig.compressor.cut_in"] = "5.4 bar" } },
  { "line too thin", "stop", { ["rig.air_line.bore"] = "6 mm" } },
  { "line that passes nothing", "stop", { ["rig.air_line.bore"] = "2 mm" } },
  { "missing", "not known", { ["rig.air_line.length"] = gone }, check = missing "rig.air_line.length" },
})

-- Still air stands at the cut-out of 9 bar, however much is lost on the way while it flows.
rule("gun-air-highest", {
  { "just inside", "go", {}, check = value("bar", 9, 1e-9) },
  { "above, though not while it flows", "stop", { ["rig.gun.air_window.max"] = "8.9 bar" },
    check = lever("rig.compressor.cut_out", "bar", 8.9, 0.001) },
  { "a higher cut-out", "stop", { ["rig.compressor.cut_out"] = "9.1 bar" }, check = origin "rig" },
  { "no upper end", "not known", { ["rig.gun.air_window.max"] = gone }, check = missing "rig.gun.air_window.max" },
  { "missing", "not known", { ["rig.compressor.cut_out"] = gone }, check = missing "rig.compressor.cut_out" },
})

rule("air-regulator", {
  { "go", "go", {} },
  { "at the end of the window", "go", { ["settings.transfer_air_pressure"] = "8 bar", ["rig.compressor.cut_in"] = "8.8 bar" } },
  { "above what arrives", "caution", { ["settings.transfer_air_pressure"] = "7 bar" }, check = part("air that arrives", 1) },
  { "what arrives is not known", "go", { ["settings.transfer_air_pressure"] = "7 bar", ["rig.air_line"] = gone } },
  { "too high", "stop", { ["settings.transfer_air_pressure"] = "8.1 bar", ["rig.compressor.cut_in"] = "8.8 bar" }, check = lever("settings.transfer_air_pressure", "bar", 8, 0.001) },
  { "too low", "stop", { ["settings.transfer_air_pressure"] = "2.9 bar" } },
  { "the rig's own setting", "go", { ["settings.transfer_air_pressure"] = gone } },
  { "missing", "not known", { ["settings.transfer_air_pressure"] = gone, ["rig.transfer_pumps.iso.air_pressure"] = gone },
    check = missing "settings.transfer_air_pressure" },
})

-- hoses -------------------------------------------------------------------------------------------------------------

group = "hoses"

rule("hose-sections", {
  { "most", "go", { ["hoses.sections"] = 6 } },
  { "too many", "stop", { ["hoses.sections"] = 8 }, check = lever("hoses.sections", "1", 6, 0) },
  { "missing", "not known", { ["hoses.sections"] = gone }, check = missing "hoses.sections" },
  { "no limit", "not known", { ["rig.hose.most_sections"] = gone }, check = missing "rig.hose.most_sections" },
})

-- 1230 kg/m3 x 9.80665 m/s2 x 100 m = 12.06 bar
rule("hose-pressure-rating", {
  { "go", "go", {}, check = value("bar", 90, 1e-6) },
  { "at the weakest rating", "go", { ["settings.pressure"] = "150 bar" }, check = origin "rig" },
  { "above the weakest rating", "stop", { ["settings.pressure"] = "151 bar" }, check = lever("settings.pressure", "bar", 150, 0.001) },
  { "far below the rig", "go", { ["settings.pressure"] = "137 bar", ["hoses.rise"] = "-100 m" }, check = value("bar", 149.06, 0.01) },
  { "too far below the rig", "stop", { ["settings.pressure"] = "139 bar", ["hoses.rise"] = "-100 m" } },
  { "a weak whip", "stop", { ["rig.whip.rated_pressure"] = "80 bar" } },
  { "no whip", "go", { ["rig.whip.rated_pressure"] = "80 bar", ["hoses.whip"] = false } },
  { "a rating missing", "not known", { ["rig.gun.rated_pressure"] = gone }, check = missing "rig.gun.rated_pressure" },
  { "a rating missing, above another", "stop", { ["rig.gun.rated_pressure"] = gone, ["settings.pressure"] = "151 bar" } },
  { "missing", "not known", { ["hoses.rise"] = gone }, check = missing "hoses.rise" },
})

-- settings ----------------------------------------------------------------------------------------------------------

group = "settings"

for _, side in ipairs { "iso", "resin" } do
  local setting = "settings." .. side .. "_temperature"
  rule(side .. "-temperature-setting", {
    { "go", "go", {}, check = origin "material" },
    { "low", "stop", { [setting] = "39 degC" }, check = lever(setting, "degC", 40, 0.001) },
    { "low end", "go", { [setting] = "40 degC" } },
    { "high end", "go", { [setting] = "60 degC" } },
    { "high", "stop", { [setting] = "61 degC" } },
    { "the job's own window", "stop", { ["window." .. side .. "_temperature.max"] = "45 degC" }, check = origin "job" },
    { "the job's own window, higher than the material's", "caution", { ["window." .. side .. "_temperature.max"] = "65 degC" },
      check = note "at most 65 degC; the material's is at most 60 degC" },
    { "that, and a weak part that holds", "go", { ["window." .. side .. "_temperature.max"] = "65 degC",
        ["rig.heaters." .. side .. ".highest_temperature"] = "58 degC" } },
    { "the job's own window, lower than the material's", "caution", { ["window." .. side .. "_temperature.min"] = "35 degC" } },
    { "a weak part", "stop", { ["rig.heaters." .. side .. ".highest_temperature"] = "48 degC" }, check = origin "rig" },
    { "missing", "not known", { [setting] = gone }, check = missing(setting) },
    { "a rating missing, inside the window", "not known", { ["rig.hose.rated_temperature"] = gone }, check = missing "rig.hose.rated_temperature" },
    { "a rating missing, above the window", "stop", { ["rig.hose.rated_temperature"] = gone, [setting] = "61 degC" }, check = origin "material" },
    { "a rating missing, above another", "stop",
      { ["rig.gun.rated_temperature"] = gone, ["rig.heaters." .. side .. ".highest_temperature"] = "48 degC" }, check = origin "rig" },
    { "a rating missing, below the window", "stop", { ["rig.hose.rated_temperature"] = gone, [setting] = "39 degC" } },
    { "a supplier who gives no lowest", "go", { ["material.window." .. side .. "_temperature.min"] = gone } },
    { "no rating", "not known", { ["rig.hose.rated_temperature"] = gone, ["material.window." .. side .. "_temperature"] = gone },
      check = missing "rig.hose.rated_temperature" },
  })
end

rule("hose-temperature-setting", {
  { "go", "go", {} },
  { "low", "stop", { ["settings.hose_temperature"] = "39 degC" } },
  { "high", "stop", { ["settings.hose_temperature"] = "61 degC" } },
  { "a weak whip", "stop", { ["rig.whip.rated_temperature"] = "45 degC" }, check = origin "rig" },
  { "missing", "not known", { ["settings.hose_temperature"] = gone }, check = missing "settings.hose_temperature" },
})

rule("pressure-setting", {
  { "go", "go", {} },
  { "low", "stop", { ["settings.pressure"] = "59 bar" } },
  { "low end", "go", { ["settings.pressure"] = "60 bar" } },
  { "high", "stop", { ["settings.pressure"] = "111 bar" }, check = lever("settings.pressure", "bar", 110, 0.001) },
  { "a weak part", "stop", { ["rig.fluid_pressure_limit"] = "85 bar" }, check = origin "rig" },
  { "missing", "not known", { ["settings.pressure"] = gone }, check = missing "settings.pressure" },
  { "no window", "not known", { ["material.window.pressure"] = gone }, check = missing "material.window.pressure.max" },
  { "no rating, inside the window", "not known", { ["rig.hose.rated_pressure"] = gone }, check = missing "rig.hose.rated_pressure" },
  { "no rating, above the window", "stop", { ["rig.hose.rated_pressure"] = gone, ["settings.pressure"] = "111 bar" }, check = origin "material" },
  { "no rating at all, above the window", "stop", { ["rig.hose.rated_pressure"] = gone, ["rig.gun.rated_pressure"] = gone,
      ["rig.whip.rated_pressure"] = gone, ["rig.fluid_pressure_limit"] = gone, ["settings.pressure"] = "111 bar" } },
})

rule("hose-current-setting", {
  { "go", "go", {} },
  { "at the limit", "go", { ["settings.hose_current"] = "45 A" } },
  { "above the limit", "stop", { ["settings.hose_current"] = "46 A" }, check = lever("settings.hose_current", "A", 45, 0.001) },
  { "missing", "not known", { ["settings.hose_current"] = gone }, check = missing "settings.hose_current" },
})

-- heating -----------------------------------------------------------------------------------------------------------

group = "heating"

-- Needed 0.6 W/(m K) x 32 K = 19.2 W/m; at the 42 A set 42^2 x 0.3/15 = 35.3 W/m, 58.8 K; at the circuit's 45 A 40.5 W/m,
-- 67.5 K.
rule("hose-tap", {
  { "go", "go", {}, check = value("W/m", 19.2, 1e-6) },
  { "too cold for what is set", "stop", { ["site.air_temperature"] = "-9 degC" }, check = lever("settings.hose_temperature", "degC", 49.8, 0.11) },
  { "just warm enough for what is set", "go", { ["site.air_temperature"] = "-8 degC" }, check = origin "job" },
  { "more current holds it", "stop", { ["site.air_temperature"] = "-9 degC" }, check = lever("settings.hose_current", "A", 42.1, 0.1) },
  { "set above the circuit's limit the limit holds", "stop", { ["site.air_temperature"] = "-18 degC", ["settings.hose_current"] = "60 A" },
    check = { solved = origin "rig" } },
  { "too cold for the circuit, nothing set", "stop", { ["site.air_temperature"] = "-18 degC", ["settings.hose_current"] = gone },
    check = lever("settings.hose_temperature", "degC", 49.5, 0.11) },
  { "just warm enough for the circuit", "go", { ["site.air_temperature"] = "-17 degC", ["settings.hose_current"] = gone }, check = origin "rig" },
  { "from the insulation", "go", { ["rig.hose.loss_coefficient"] = gone,
      ["rig.hose.insulation"] = { '{"inner_diameter":"45 mm","outer_diameter":"75 mm","conductivity":"0.04 W/(m K)"}' } } },
  { "neither given", "not known", { ["rig.hose.loss_coefficient"] = gone }, check = missing "rig.hose.loss_coefficient" },
  { "hotter outside", "not applicable", { ["site.air_temperature"] = "55 degC" } },
  { "missing", "not known", { ["rig.hose.taps"] = gone }, check = missing "rig.hose.taps" },
})

-- 42 A through 4 x 0.3 ohm take 50.4 V: the tap of 60 V, 59.4 V at 396 V; 42 A x 59.4 V = 2.495 kVA. On the highest tap
-- 4 kVA are 44.4 A at 90 V.
rule("hose-transformer", {
  { "go", "go", {}, check = value("kVA", 2.4948, 1e-4) },
  { "too small", "stop", { ["rig.hose.transformer_rating"] = "2.4 kVA" }, check = origin "rig" },
  { "bears the power, and the current perhaps not", "caution", { ["rig.hose.transformer_rating"] = "3 kVA" } },
  { "at the circuit's limit where nothing is set", "caution", { ["settings.hose_current"] = gone } },
  { "set above the circuit's limit", "caution", { ["settings.hose_current"] = "60 A" } },
  { "in the office", "go", { ["supply.measured_voltage"] = gone }, stage = "plan" },
  { "missing", "not known", { ["rig.hose.transformer_rating"] = gone }, check = missing "rig.hose.transformer_rating" },
})

-- C = 60 m x (800 + pi/4 x 0.0095^2 x (1230 x 1600 + 1180 x 1900)) = 65.9 kJ/K; P = 4 x 42^2 x 0.3 = 2117 W; G = 36 W/K:
-- t = C/G ln(58.8/(58.8 - 32)) = 1440 s = 24 min;
-- in 45 min at 1494 W, 35.28 A
rule("hose-warm-up", {
  { "go", "go", {}, check = value("min", 24.0, 0.3) },
  { "too slow", "caution", { ["settings.hose_current"] = "34 A" }, check = lever("settings.hose_current", "A", 35.28, 0.03) },
  { "never", "stop", { ["settings.hose_current"] = "20 A" } },
  { "rig's own limit", "caution", { ["rig.limits.warm_up_time"] = "20 min" }, check = origin "rig" },
  { "missing", "not known", { ["rig.hose.heat_capacity_per_length"] = gone }, check = missing "rig.hose.heat_capacity_per_length" },
})

-- iso: 3 L/min x 1234 kg/m3 x 1.6 kJ/(kg K) x 30 K/0.95 = 3.12 kW; resin: 3 x 1185 x 1.9 x 30/0.95 = 3.55 kW
rule("iso-primary-heater", {
  { "go", "go", {}, check = value("kW", 3.118, 0.01) },
  { "says what it takes for granted", "go", { ["rig.heaters.iso.efficiency"] = gone },
    check = note "all of the iso heater's heat reaches the liquid (rig.heaters.iso.efficiency)" },
  { "too much flow", "stop", { ["settings.flow"] = "12 L/min" }, check = lever("settings.flow", "L/min", 11.31, 0.03) },
  { "low voltage", "stop", { ["supply.measured_voltage"] = "200 V", ["settings.flow"] = "4 L/min" } },
  -- 1 L/min planned each side, and the gun takes 2.99 L/min at the point
  { "the gun takes more than planned", "stop", { ["settings.flow"] = "2 L/min", ["rig.heaters.iso.power"] = "3 kW" } },
  { "the gun's flow fits", "go", { ["settings.flow"] = "2 L/min" }, check = value("kW", 3.05, 0.05) },
  { "planned, without a gun", "go", { ["settings.flow"] = "2 L/min", ["rig.gun.iso_orifice"] = gone }, check = value("kW", 1.04, 0.01) },
  { "warm drums", "go", { ["stock.drum_temperature"] = "55 degC" }, check = value("kW", 0, 0) },
  { "missing", "not known", { ["supply.measured_voltage"] = gone }, check = missing "supply.measured_voltage" },
})
rule("resin-primary-heater", {
  { "go", "go", {}, check = value("kW", 3.555, 0.01) },
  { "too much flow", "stop", { ["settings.flow"] = "10.2 L/min" } },
  { "just enough", "go", { ["settings.flow"] = "9.8 L/min" } },
  { "missing", "not known", { ["material.resin.heat_capacity"] = gone }, check = missing "material.resin.heat_capacity" },
})

rule("trapped-liquid", {
  { "route open", "go", {} },
  { "no route confirmed", "stop", { ["confirmed.release_route_open"] = gone }, check = value("K", 32, 1e-9) },
  { "route shut", "stop", { ["confirmed.release_route_open"] = false } },
  { "only the resin is hotter than the air", "stop", { ["confirmed.release_route_open"] = gone, ["site.air_temperature"] = "40 degC",
      ["settings.hose_temperature"] = "38 degC", ["settings.iso_temperature"] = "39 degC" }, check = value("K", 10, 1e-9) },
  { "only the iso is", "stop", { ["confirmed.release_route_open"] = gone, ["site.air_temperature"] = "40 degC",
      ["settings.hose_temperature"] = "38 degC", ["settings.resin_temperature"] = "39 degC" }, check = value("K", 10, 1e-9) },
  { "a heater's setting missing", "not known", { ["settings.resin_temperature"] = gone }, check = missing "settings.resin_temperature" },
  { "nothing heated", "go", { ["confirmed.release_route_open"] = gone, ["site.air_temperature"] = "60 degC" } },
  { "missing", "not known", { ["site.air_temperature"] = gone }, check = missing "site.air_temperature" },
})

-- 200 L x 1230 kg/m3 x 1.6 kJ/(kg K) = 394 kJ/K, 800 W, air at 18 degC: 10 degC to 18 degC with 4 W/K of gain on the way
rule("iso-drum-conditioning", {
  { "warm already", "go", {}, check = value("h", 0, 0) },
  { "cold", "go", { ["stock.drum_temperature"] = "10 degC" }, check = value("h", 1.07, 0.03) },
  { "says what it takes for granted", "go", { ["stock.drum_temperature"] = "10 degC", ["rig.drum_heater.efficiency"] = gone },
    check = note "Assumed, as the job does not say: all of the drum heater's heat reaches the liquid (rig.drum_heater.efficiency)." },
  { "too slow for the day", "caution", { ["stock.drum_temperature"] = "10 degC", ["rig.drum_heater.power"] = "50 W",
      ["site.air_temperature"] = "12 degC" } },
  { "never", "stop", { ["stock.drum_temperature"] = "10 degC", ["rig.drum_heater.power"] = "5 W", ["site.air_temperature"] = "10 degC" } },
  { "no drum heater", "not known", { ["stock.drum_temperature"] = "10 degC", ["rig.drum_heater"] = gone },
    check = missing "rig.drum_heater.power" },
  { "missing", "not known", { ["stock.drum_temperature"] = gone }, check = missing "stock.drum_temperature" },
})
rule("resin-drum-conditioning", {
  { "warm already", "go", {} },
  { "job's own time", "caution", { ["stock.drum_temperature"] = "10 degC", ["limits.conditioning_time"] = "0.5 h" }, check = origin "job" },
  { "missing", "not known", { ["material.resin.drum_temperature"] = gone }, check = missing "material.resin.drum_temperature.min" },
})

-- feed --------------------------------------------------------------------------------------------------------------

group = "feed"

-- 6 bar x 2 = 12 bar; laminar drop of 3 L/min at 0.29 Pa s in 19 mm x 5 m: 128 x 0.29 x 5 x 5e-5/(pi x 0.019^4) = 0.23 bar;
-- 1 m of iso 0.12 bar
rule("iso-inlet-pressure", {
  { "go", "go", {}, check = value("bar", 11.65, 0.05) },
  { "caution below 3 bar", "caution", { ["settings.transfer_air_pressure"] = "1.6 bar" } },
  { "stop below 1 bar", "stop", { ["settings.transfer_air_pressure"] = "0.6 bar" },
    check = lever("settings.transfer_air_pressure", "bar", 1.68, 0.03) },
  { "thick line", "stop", { ["rig.transfer_pumps.iso.line_bore"] = "7 mm" } },
  { "the rig's own air", "go", { ["settings.transfer_air_pressure"] = gone }, check = value("bar", 9.65, 0.05) },
  -- 2 bar at cut-in less what the line takes
  { "no more than arrives", "caution", { ["rig.compressor.cut_in"] = "2 bar" }, check = part("air that arrives", 1) },
  { "what is set where less is set than arrives", "go", {}, check = part("air that arrives", 0) },
  { "the air line cannot pass the flow", "stop", { ["rig.compressor.cut_in"] = "0.9 bar" } },
  { "as set where it is not known what arrives", "go", { ["rig.air_line"] = gone }, check = value("bar", 11.65, 0.05) },
  { "missing", "not known", { ["material.iso.viscosity"] = gone }, check = missing "material.iso.viscosity" },
})
rule("resin-inlet-pressure", {
  { "go", "go", {} },
  { "colder than the material's viscosity points", "caution", { ["stock.drum_temperature"] = "14 degC" },
    check = all_of(says "the drum temperature lies outside the material's viscosity points", part("viscosity at drum temperature, extrapolated", 1)) },
  { "as cold as the coldest of them", "go", { ["stock.drum_temperature"] = "15 degC" }, check = part("extrapolated", 0) },
  { "stop", "stop", { ["settings.transfer_air_pressure"] = "0.6 bar" } },
  { "missing", "not known", { ["rig.transfer_pumps.resin.rise"] = gone }, check = missing "rig.transfer_pumps.resin.rise" },
})
rule("iso-suction-margin", {
  { "go", "go", {} },
  { "colder than the material's viscosity points", "caution", { ["stock.drum_temperature"] = "14 degC" } },
  { "missing", "not known", { ["material.iso.vapour_pressure"] = gone }, check = missing "material.iso.vapour_pressure" },
})
-- 2 x 0.1 bar + 0.98 bar - 0.51 bar of friction - 0.12 bar of lift: 0.55 bar absolute at the inlet
rule("resin-suction-margin", {
  { "go", "go", {} },
  { "just not boiling", "go", { ["settings.transfer_air_pressure"] = "0.1 bar", ["material.resin.vapour_pressure"] = "45 kPa" } },
  { "boils", "stop", { ["settings.transfer_air_pressure"] = "0.1 bar", ["material.resin.vapour_pressure"] = "65 kPa" } },
  { "missing", "not known", { ["site.altitude"] = gone }, check = missing "site.altitude" },
})

-- mixing ------------------------------------------------------------------------------------------------------------

group = "mixing"

-- tolerance 4 %; U = 2 x 0.004
rule("mixing-ratio", {
  { "go", "go", {}, check = origin "material" },
  { "uncertainty straddles from inside", "caution", { ["measured.ratio"] = 1.035 } },
  { "uncertainty straddles from outside", "not known", { ["measured.ratio"] = 1.045 } },
  { "a poor measurement just inside", "caution", { ["measured.ratio"] = 1.039, ["measured.ratio_uncertainty"] = 0.2 } },
  { "a poor measurement far outside", "not known", { ["measured.ratio"] = 1.3, ["measured.ratio_uncertainty"] = 0.2 } },
  { "a poor measurement, wholly outside", "stop", { ["measured.ratio"] = 1.5, ["measured.ratio_uncertainty"] = 0.2 } },
  { "off", "stop", { ["measured.ratio"] = 1.05 } },
  { "off the other way", "stop", { ["measured.ratio"] = 0.94 } },
  { "usual tolerance", "go", { ["material.ratio_tolerance"] = gone, ["measured.ratio"] = 1.04 }, check = origin "default" },
  { "by counters", "stop", { ["measured.ratio"] = gone, ["measured.counters"] = { '{"iso_cycles":212,"resin_cycles":200}' } },
    check = value("%", 6, 1e-9) },
  -- a pump that gets no liquid strokes as the other does: common practice, no source
  { "by strokes alone, in tolerance", "caution", { ["measured.ratio"] = gone,
      ["measured.counters"] = { '{"iso_cycles":201,"resin_cycles":200}' } }, check = says(
      "strokes only: a starved pump still strokes; dip the drums to prove the ratio") },
  { "by strokes alone, named so", "caution", { ["measured.ratio"] = gone,
      ["measured.counters"] = { '{"iso_cycles":201,"resin_cycles":200}' } }, check = part("stroke ratio", 1) },
  { "dips come before strokes", "stop", { ["measured.ratio"] = gone, ["measured.counters"] = { '{"iso_cycles":200,"resin_cycles":200}' },
      ["measured.dips"] = { '{"iso_diameter":"571 mm","iso_drop":"220 mm","resin_diameter":"571 mm","resin_drop":"200 mm"}' } },
    check = value("%", 10, 1e-9) },
  { "strokes beside dips", "go", { ["measured.ratio"] = gone, ["measured.counters"] = { '{"iso_cycles":200,"resin_cycles":200}' },
      ["measured.dips"] = { '{"iso_diameter":"571 mm","iso_drop":"201 mm","resin_diameter":"571 mm","resin_drop":"200 mm"}' } },
    check = part("stroke ratio", 1) },
  { "by dips", "go", { ["measured.ratio"] = gone, ["measured.dips"] = { '{"iso_diameter":"571 mm","iso_drop":"201 mm",'
      .. '"resin_diameter":"571 mm","resin_drop":"200 mm","reading_uncertainty":"1 mm"}' } }, check = value("%", 0.5, 1e-9) },
  { "by short dips", "caution", { ["measured.ratio"] = gone, ["measured.dips"] = { '{"iso_diameter":"571 mm","iso_drop":"50 mm",'
      .. '"resin_diameter":"571 mm","resin_drop":"50 mm","reading_uncertainty":"1 mm"}' } } },
  -- only spraying shows it: nobody could begin otherwise
  { "missing", "caution", { ["measured"] = gone }, check = says(
      "not proved yet: spray the first minutes into waste or onto a test piece, dip both drums before and after, then check again") },
  { "missing, named", "caution", { ["measured"] = gone }, check = missing "measured.ratio" },
  { "missing, dips named", "caution", { ["measured"] = gone }, check = missing "measured.dips" },
  { "missing, said in words", "caution", { ["measured"] = gone }, check = note "dips (measured.dips)" },
  { "half a dip", "caution", { ["measured.ratio"] = gone, ["measured.dips"] = { '{"iso_diameter":"571 mm","iso_drop":"201 mm"}' } },
    check = missing "measured.dips" },
  { "no ratio to hold it against", "not known", { ["measured"] = gone, ["material.volume_ratio"] = gone }, check = missing "material.volume_ratio" },
})

-- material ----------------------------------------------------------------------------------------------------------

group = "material"

rule("iso-drum-temperature", {
  { "go", "go", {} },
  { "cold", "stop", { ["stock.drum_temperature"] = "17 degC" }, check = lever("stock.drum_temperature", "degC", 18, 0.001) },
  { "hot", "stop", { ["stock.drum_temperature"] = "31 degC" }, check = lever("stock.drum_temperature", "degC", 30, 0.001) },
  { "no window", "not known", { ["material.iso.drum_temperature"] = gone }, check = missing "material.iso.drum_temperature.min" },
  { "missing", "not known", { ["stock.drum_temperature"] = gone }, check = missing "stock.drum_temperature" },
})
rule("resin-drum-temperature", {
  { "go", "go", {} },
  { "hot", "stop", { ["stock.drum_temperature"] = "29 degC" } },
})
rule("iso-drum-storage", {
  { "go", "go", {} },
  { "cold", "caution", { ["stock.drum_temperature"] = "9 degC" } },
  { "hot", "caution", { ["stock.drum_temperature"] = "36 degC" } },
  { "no window", "not known", { ["material.iso.storage"] = gone }, check = missing "material.iso.storage.min" },
})
rule("resin-drum-storage", {
  { "go", "go", {} },
  { "hot", "caution", { ["stock.drum_temperature"] = "33 degC" } },
})

-- 100 m2 x 80 mm x 40 kg/m3/0.9 = 355.6 kg; half of the volume each: 355.6/(1230 + 1180) m3 = 147.5 L of 194 L
rule("iso-quantity", {
  { "go", "go", {}, check = value("L", 147.5, 0.1) },
  { "says what it takes for granted", "go", { ["work.surface_factor"] = gone }, check = note "a flat surface, of no more than its plane area" },
  { "too little", "stop", { ["stock.iso_drums"] = 0.7 }, check = lever("stock.iso_drums", "1", 1, 0.001) }, -- 0.761 of one, so a whole one
  { "just enough", "go", { ["stock.iso_drums"] = 0.77 } },
  { "missing", "not known", { ["work.thickness"] = gone }, check = missing "work.thickness" },
})
rule("resin-quantity", {
  { "go", "go", {} },
  { "too little", "stop", { ["stock.resin_drums"] = 0.7 } },
  -- 100 m2 x 2 mm/0.98/0.9 = 226.8 L, half each
  { "coating", "go", { ["work.kind"] = "coating", ["work.dry_film"] = "2 mm", ["work.thickness"] = gone }, check = value("L", 113.4, 0.1) },
  { "missing", "not known", { ["stock.usable_fraction"] = gone }, check = missing "stock.usable_fraction" },
})

rule("material-age", {
  { "go", "go", {}, check = value("d", 139, 0) },
  { "on the last day", "go", { ["stock.expiry"] = "2031-05-14" } },
  { "a day over", "stop", { ["stock.expiry"] = "2031-05-13" } },
  { "missing", "not known", { ["stock.expiry"] = gone }, check = missing "stock.expiry" },
})

rule("lift-thickness", {
  { "go", "go", {}, check = value("mm", 40, 1e-9) },
  { "one lift", "go", { ["work.thickness"] = "50 mm" } },
  { "two lifts too thin", "stop", { ["work.thickness"] = "51 mm", ["material.foam.minimum_lift"] = "30 mm" } },
  { "too thin for any", "stop", { ["work.thickness"] = "10 mm" }, check = lever("work.thickness", "mm", 15, 0.01) },
  { "coating", "not applicable", { ["work.kind"] = "coating" } },
  { "missing", "not known", { ["material.foam.maximum_lift"] = gone }, check = missing "material.foam.maximum_lift" },
})

rule("wait-between-lifts", {
  { "go", "go", {}, check = value("min", 20, 1e-9) },
  { "one lift", "not applicable", { ["work.thickness"] = "40 mm" } },
  { "supplier says nothing", "not known", { ["material.foam.lift_wait"] = gone }, check = missing "material.foam.lift_wait" },
  { "supplier says zero", "caution", { ["material.foam.lift_wait"] = "0 min" } },
  { "a minute is no zero", "go", { ["material.foam.lift_wait"] = "1 min" } },
  { "no number of lifts fits", "not known", { ["work.thickness"] = "51 mm", ["material.foam.minimum_lift"] = "30 mm" }, check = no_script_error },
  { "coating", "not applicable", { ["work.kind"] = "coating" } },
})

rule("wait-between-coats", {
  { "foam", "not applicable", {} },
  { "one coat", "not applicable", { ["work.kind"] = "coating" } },
  -- 3 waits of 2 h
  { "go", "go", { ["work.kind"] = "coating", ["work.coats"] = 4 }, check = value("h", 6, 1e-9) },
  { "supplier says nothing", "not known", { ["work.kind"] = "coating", ["work.coats"] = 2, ["material.coating.recoat_time"] = gone },
    check = missing "material.coating.recoat_time" },
  { "supplier says zero", "caution", { ["work.kind"] = "coating", ["work.coats"] = 2, ["material.coating.recoat_time"] = "0 h" } },
})

rule("dry-film", {
  { "foam", "not applicable", {} },
  { "go", "go", { ["work.kind"] = "coating", ["work.dry_film"] = "2 mm" } },
  { "thin", "stop", { ["work.kind"] = "coating", ["work.dry_film"] = "0.9 mm" } },
  { "thick", "stop", { ["work.kind"] = "coating", ["work.dry_film"] = "4.1 mm" } },
  { "a supplier who gives no lowest", "go", { ["work.kind"] = "coating", ["work.dry_film"] = "2 mm", ["material.coating.dry_film.min"] = gone },
    check = note "no lowest" },
  { "thick for one who gives no lowest", "stop", { ["work.kind"] = "coating", ["work.dry_film"] = "4.1 mm", ["material.coating.dry_film.min"] = gone } },
  { "a supplier who gives no highest", "go", { ["work.kind"] = "coating", ["work.dry_film"] = "2 mm", ["material.coating.dry_film.max"] = gone },
    check = note "no highest" },
  { "a supplier who gives neither", "not known", { ["work.kind"] = "coating", ["work.dry_film"] = "2 mm", ["material.coating.dry_film"] = gone },
    check = missing "material.coating.dry_film.max" },
  { "missing", "not known", { ["work.kind"] = "coating" }, check = missing "work.dry_film" },
})

-- weather -----------------------------------------------------------------------------------------------------------

group = "weather"

-- Dew point at 18 degC and 55 %: 8.83 degC (Magnus formula, WMO No. 8: 8.8)
rule("surface-clear-of-dew-point", {
  { "go", "go", {}, check = value("K", 7.17, 0.05) },
  { "stop below 3 K", "stop", { ["site.surface_temperature"] = "11.7 degC" },
    check = lever("site.surface_temperature", "degC", 12.9, 0.11) },
  { "caution above 3 K", "caution", { ["site.surface_temperature"] = "12 degC" } },
  { "caution below 4 K", "caution", { ["site.surface_temperature"] = "12.7 degC" } },
  { "go above 4 K", "go", { ["site.surface_temperature"] = "13 degC" } },
  { "job's limit", "stop", { ["limits.dew_point_spread"] = "8 K" }, check = origin "job" },
  { "standard's limit", "go", {}, check = origin "default" },
  { "missing", "not known", { ["site.relative_humidity"] = gone }, check = missing "site.relative_humidity" },
  { "in the office", "to be read on site", { ["site.relative_humidity"] = gone }, stage = "plan" },
  -- 70 degC in steam: no humidity on earth is dry enough
  { "no lever", "stop", { ["site.surface_temperature"] = "-59 degC" }, check = no_lever "site.relative_humidity" },
})

rule("air-temperature-in-window", {
  { "low end", "go", { ["site.air_temperature"] = "5 degC" } },
  { "low", "stop", { ["site.air_temperature"] = "4.9 degC" }, check = lever("site.air_temperature", "degC", 5, 0.001) },
  { "high", "stop", { ["site.air_temperature"] = "40.1 degC" } },
  { "the job's own window", "stop", { ["window.air_temperature.min"] = "20 degC" }, check = origin "job" },
  { "only one end given", "go", { ["material.window.air_temperature.max"] = gone } },
  { "no window", "not known", { ["material.window.air_temperature"] = gone }, check = missing "material.window.air_temperature.min" },
  { "missing", "not known", { ["site.air_temperature"] = gone }, check = missing "site.air_temperature" },
})
rule("surface-temperature-in-window", {
  { "go", "go", {} },
  { "low", "stop", { ["site.surface_temperature"] = "4 degC" } },
  { "high", "stop", { ["site.surface_temperature"] = "46 degC" } },
})
rule("relative-humidity-in-window", {
  { "highest", "go", { ["site.relative_humidity"] = "85 %" } },
  { "damp", "stop", { ["site.relative_humidity"] = "86 %" }, check = lever("site.relative_humidity", "%", 85, 0.001) },
})
rule("wind-speed-in-window", {
  { "highest", "go", { ["site.wind_speed"] = "6 m/s" } },
  { "windy", "stop", { ["site.wind_speed"] = "6.5 m/s" } },
  { "missing", "not known", { ["site.wind_speed"] = gone }, check = missing "site.wind_speed" },
})
rule("wood-moisture-in-window", {
  { "go", "go", {} },
  { "wet", "stop", { ["site.wood_moisture"] = "19 %" } },
  { "steel", "not applicable", { ["work.substrate"] = "steel" } },
  { "nothing said of wood", "not known", { ["work.substrate"] = gone, ["site.wood_moisture"] = gone },
    check = all_of(missing "work.substrate", missing "site.wood_moisture") },
  { "a moisture tells that it is wood", "go", { ["work.substrate"] = gone } },
  { "missing", "not known", { ["site.wood_moisture"] = gone }, check = missing "site.wood_moisture" },
})

-- work --------------------------------------------------------------------------------------------------------------

group = "work"

-- 355.6 kg at 3 x 1.23 + 3 x 1.18 = 7.23 kg/min: 49.2 min, twice that with pauses; 1 h + 1.64 h + 20 min + 0.75 h
rule("day-plan", {
  { "go", "go", {}, check = value("h", 3.72, 0.02) },
  { "too much for the shift", "stop", { ["shift"] = "3.5 h" }, check = lever("work.area", "m^2", 86.6, 1) },
  { "just enough", "go", { ["shift"] = "3.8 h" } },
  { "slow warm-up counts", "go", { ["work.set_up_time"] = gone }, check = value("h", 3.12, 0.03) },
  { "takes nothing for granted that is given", "go", {}, check = function(finding) return finding.assumed end },
  { "says what it takes for granted", "go", { ["work.set_up_time"] = gone, ["work.clean_up_time"] = gone, ["work.surface_factor"] = gone },
    check = all_of(note "a flat surface, of no more than its plane area (work.surface_factor)", note "no time for setting up (work.set_up_time)",
                   note "no time for cleaning up (work.clean_up_time)") },
  { "supplier says nothing of waiting", "not known", { ["material.foam.lift_wait"] = gone }, check = missing "material.foam.lift_wait" },
  { "coats wait too", "stop", { ["work.kind"] = "coating", ["work.dry_film"] = "2 mm", ["work.coats"] = 4 } },
  { "in the office without the air's temperature", "go", { ["site.air_temperature"] = gone }, stage = "plan" },
  { "missing", "not known", { ["shift"] = gone }, check = missing "shift" },
})

-- ln(100)/6 per hour = 0.77 h: the supplier's time is longer
rule("re-entry-time", {
  { "go", "go", { ["limits.remaining_fraction"] = "1 %" }, check = value("h", 24, 1e-9) },
  { "ventilation is slower", "go", { ["limits.remaining_fraction"] = "1 %", ["site.air_change_rate"] = "0.1 1/h" },
    check = value("h", 46.05, 0.01) },
  { "the job lets more remain than the material does", "caution", { ["limits.remaining_fraction"] = "5 %", ["material.limits.remaining_fraction"] = "1 %" } },
  { "supplier says nothing", "not known", { ["material.supplier_reentry_time"] = gone }, check = missing "material.supplier_reentry_time" },
  { "supplier says zero", "caution", { ["material.supplier_reentry_time"] = "0 h" } },
  { "zero, whatever the ventilation", "caution", { ["material.supplier_reentry_time"] = "0 h", ["limits.remaining_fraction"] = "1 %" } },
})

-- confirm -----------------------------------------------------------------------------------------------------------

group = "confirm"

for _, key in ipairs { "isolation_and_earth_proved", "residual_current_device_tested", "pumps_rotate_as_marked",
  "hydraulic_oil_in_order", "iso_pump_lubricant_in_order", "hoses_laid_out", "hoses_full_of_liquid", "release_route_open",
  "lines_not_interchanged", "lines_bled", "trigger_lock_used", "breathing_air_own_source", "skin_and_eye_protection",
  "ventilation_in_place", "exclusion_zone_set", "supplier_reentry_known", "fire_watch_set" } do
  rule("confirm-" .. key:gsub("_", "-"), {
    { "confirmed", "go", {} },
    { "not confirmed", "not known", { ["confirmed." .. key] = gone }, check = missing("confirmed." .. key) },
    { "denied", "stop", { ["confirmed." .. key] = false }, check = says "the job says that this is not so" },
    { "in the office", "to be read on site", { ["confirmed." .. key] = gone }, stage = "plan" },
  })
end

-- all rules together ------------------------------------------------------------------------------------------------

local function all(name, wanted, changes, more)
  local case = more or {}
  case.name, case.verdict = name, wanted
  add(case, changes)
end

all("every path that a rule names is in a document", nil, {}, { paths = true })

all("a good job is go on site", "go", {}, { check = function(results)
  if results.exit_code ~= 0 then return "exit code " .. results.exit_code end
  if results.counts.go + results.counts["not applicable"] ~= #results.findings then return "not all are go" end
end })
all("a good job is go in the office, without any reading", "go", { ["measured"] = gone, ["confirmed"] = gone,
  ["site.air_temperature"] = gone, ["site.surface_temperature"] = gone, ["site.relative_humidity"] = gone,
  ["supply.measured_voltage"] = gone, ["stock.drum_temperature"] = gone }, { stage = "plan", check = function(results)
  if results.counts["to be read on site"] < 20 then return "too few to be read on site" end
end })
all("a missing input is worse than a caution", "not known", { ["site.wind_speed"] = gone, ["rig.limits.warm_up_time"] = "20 min" },
  { check = function(results) if results.exit_code ~= 2 then return "exit code " .. results.exit_code end end })
all("a stop is worse than a missing input", "stop", { ["site.wind_speed"] = gone, ["site.surface_temperature"] = "9 degC" },
  { check = function(results)
    if results.exit_code ~= 2 then return "exit code " .. results.exit_code end
    if results.findings[1].verdict ~= "stop" then return "the worst is not first" end
  end })
all("a caution is exit code 1", "caution", { ["rig.limits.warm_up_time"] = "20 min" },
  { check = function(results) if results.exit_code ~= 1 then return "exit code " .. results.exit_code end end })
all("what can hurt comes first among equals", "stop", { ["confirmed.release_route_open"] = false, ["site.wind_speed"] = "9 m/s" },
  { check = function(results)
    if results.findings[1].id ~= "trapped-liquid" then return "first is " .. results.findings[1].id end
  end })

-- company files -----------------------------------------------------------------------------------------------------

local function company(name, text, wanted, changes, check)
  all(name, wanted, changes, { company = text, check = check })
end
local function mistake(name, text, message)
  all(name, nil, {}, { company = text, fault = message })
end
local function found(results, id)
  for _, finding in ipairs(results.findings) do
    if finding.id == id then return finding end
  end
end

company("a company's rule counts", [[rule { id = "crew", title = "Two people", uses = { "crew" },
  compute = function(job) return job.crew end, at_least = 3 }]], "stop")
company("a company's rule that throws is a stop, and the others run", [[
rule { id = "broken", title = "Broken", compute = function(job) return job.site.air_temprature end, at_least = q "1 K" }]],
  "stop", {}, function(results)
    local finding = found(results, "broken")
    if not finding.script_error or not finding.reason:find("air_temperature", 1, true) then return finding.reason end
    if found(results, "wind-speed-in-window").verdict ~= "go" then return "the others did not run" end
  end)
company("a limit of another kind than the value is told at the rule's place", [[
rule { id = "mixed", title = "Mixed", compute = function(job) return q "1 m" end, at_least = q "1 bar" }]],
  "stop", {}, function(results)
    local finding = found(results, "mixed")
    if not finding.reason:find(":1: cannot subtract", 1, true) then return finding.reason end
  end)
company("a limit that the rule needs does not vanish beside the other end", [[
rule { id = "both", title = "Both ends", compute = function(job) return job.site.wind_speed end, at_most = q "5 m/s",
  at_least = { from = { "window.wind_speed.min" }, needed = true } }]], "not known", {}, function(results)
    local wrong = missing "window.wind_speed.min"(found(results, "both"))
    return wrong
  end)
company("nor where a function gives it", [[
rule { id = "both", title = "Both ends", compute = function(job) return job.site.wind_speed end, at_most = q "5 m/s",
  at_least = function(job) return nil, "nobody has said" end }]], "not known")
company("a value outside the known end stops all the same", [[
rule { id = "both", title = "Both ends", compute = function(job) return job.site.wind_speed end, at_most = q "0.5 m/s",
  at_least = { from = { "window.wind_speed.min" }, needed = true } }]], "stop")
company("a company's confirm item", [[rule { id = "trigger-lock-shown", title = "Lock is shown",
  confirm = "Somebody showed the lock", confirmed_by = "confirmed.trigger_lock_used" }]], "go")
company("tighten makes a limit stricter", [[tighten { id = "surface-clear-of-dew-point", at_least = q "8 K" }]], "stop", {},
  function(results)
    local finding = found(results, "surface-clear-of-dew-point")
    if finding.limit_origin ~= "company" then return "origin " .. finding.limit_origin end
    if not finding.tightened.by:find(":1", 1, true) then return finding.tightened.by end
  end)
company("a supplier's limit stricter than the company's stays", [[tighten { id = "surface-clear-of-dew-point", at_least = q "5 K" }]],
  "stop", { ["material.limits.dew_point_spread"] = "8 K" }, function(results)
    local finding = found(results, "surface-clear-of-dew-point")
    if finding.limit_origin ~= "material" then return "origin " .. finding.limit_origin end
  end)
mistake("tighten cannot loosen the rule's own limit", [[tighten { id = "surface-clear-of-dew-point", at_least = q "2 K" }]],
  "at least 2 K is looser than the rule's own limit, 3 K")
mistake("tighten cannot loosen a supplier's limit", [[tighten { id = "wind-speed-in-window", at_most = q "8 m/s" }]],
  "at most 8 m/s is looser than the limit that holds, at most 6 m/s (material)")
mistake("tighten names a rule that is there", [[tighten { id = "no-such-rule", at_least = q "2 K" }]], "there is no rule")
mistake("silence needs a reason", [[silence { id = "wind-speed-in-window" }]], "needs a reason")
mistake("replace needs a reason", [[replace { id = "wind-speed-in-window", at_most = q "9 m/s" }]], "needs a reason")
mistake("a rule needs a limit", [[rule { id = "x", title = "X", compute = function() return q "1 m" end }]], "needs a limit")
mistake("a misspelt field is named", [[rule { id = "x", title = "X", comput = 1, at_least = 1 }]], "has no field \"comput\"")
mistake("words for a value need the value's", [[rule { id = "x", title = "X", known = true, compute = function() return q "1 m" end,
  shown = { limit = "there is" } }]], "shown must be a table with value, a text")
mistake("a yes is a quantity", [[rule { id = "x", title = "X", known = true, compute = function() return q "1 m" end,
  shown = { value = "own source", yes = "0" } }]], "shown.yes must be a quantity")
mistake("words for nothing are named", [[rule { id = "x", title = "X", known = true, compute = function() return q "1 m" end,
  shown = { value = "needed", margin = "left" } }]], "but no margin")
mistake("two rules of one name", [[rule { id = "hose-tap", title = "X", compute = function() return 1 end, at_least = 1 }]],
  "there is already a rule")
mistake("a file that is not Lua", "rule {", "1:")

company("silence takes a rule out and says what it would have said", [[silence { id = "wind-speed-in-window", reason = "indoors" }]],
  "go", { ["site.wind_speed"] = "9 m/s" }, function(results)
    local finding = found(results, "wind-speed-in-window")
    if finding.silenced.would_be ~= "stop" or finding.silenced.reason ~= "indoors" then return "would be " .. finding.silenced.would_be end
    if results.counts.silenced ~= 1 then return "not counted as silenced" end
  end)
company("a silenced safety rule caps the verdict", [[silence { id = "re-entry-time", reason = "nobody lives there" }]], "caution", {},
  function(results) if results.capped[1] ~= "re-entry-time" then return "not named" end end)

-- What a lever offers stays inside the other rules' limits.
local beside = [[rule { id = "enough", title = "Enough (invented)", group = "company", stage = "plan", uses = { "crew" },
  compute = function(job) return job.crew end, at_least = q "5", lever = { { path = "crew", whole = true } }, source = "practice" }
rule { id = "beside", title = "Beside it (invented)", group = "company", stage = "plan", uses = { "crew" }, source = "practice", ]]
local function crew_offered(expected, text)
  return function(results)
    local answer = found(results, "enough").levers[1]
    local got = answer.value and answer.value:value "1"
    if got ~= expected then return ("offered %s: %s"):format(tostring(got), answer.text) end
    if text and answer.text ~= text then return answer.text end
  end
end
for _, case in ipairs {
  { "nothing else is asked of it", "compute = function(job) return job.crew end, at_least = q '2' }", 5 },
  { "the limit of another that stops too is kept", "compute = function(job) return job.crew end, at_least = q '7' }", 7 },
  { "the limit of another forbids all", "compute = function(job) return job.crew end, at_most = q '4' }", nil,
    "crew at 5, but then this stops: Beside it (invented)" },
  { "what depends on it would stop anew", "compute = function(job) return job.crew * 3 end, at_most = q '14' }", nil,
    "crew at 5, but then this stops: Beside it (invented)" },
  { "what depends on it stays in order", "compute = function(job) return job.crew * 3 end, at_most = q '15' }", 5 },
  { "what stops for reasons of its own is told of by itself", "compute = function(job) return job.crew * 3 end, at_least = q '90' }", 5 },
  { "a silenced rule holds nobody", "compute = function(job) return job.crew end, at_most = q '4' } silence { id = 'beside', reason = 'tried' }", 5 },
} do
  company("a lever beside other rules: " .. case[1], beside .. case[2], "stop", { ["crew"] = 3 }, crew_offered(case[3], case[4]))
end
company("replace changes a limit", [[replace { id = "wind-speed-in-window", at_most = q "9 m/s", reason = "screens" }]], "go",
  { ["site.wind_speed"] = "8 m/s" }, function(results)
    local finding = found(results, "wind-speed-in-window")
    if finding.replaced.would_be ~= "stop" or finding.limit:value "m/s" ~= 9 then return "would be " .. finding.replaced.would_be end
  end)
company("a loosened safety rule caps the verdict", [[replace { id = "lift-thickness", at_most = q "80 mm", reason = "thick lifts" }]],
  "caution", {}, function(results)
    if results.capped[1] ~= "lift-thickness" then return "not named" end
  end)
company("a safety rule replaced by a stricter one does not cap", [[replace { id = "lift-thickness", at_most = q "45 mm", reason = "ours" }]],
  "go")
company("a replacement with its own compute", [[replace { id = "wind-speed-in-window", reason = "gusts", uses = { "site.wind_speed" },
  compute = function(job) return job.site.wind_speed * 1.5 end, at_most = q "6 m/s" }]], "stop", { ["site.wind_speed"] = "5 m/s" })

-- Which of two edges a lever names, in as few digits as pass: the altitude is 250 m.
for _, edges in ipairs { { 240, 300, 240 }, { 100, 255, 255 }, { 249.8, 2000, 249 }, { -300, 4000, -300 } } do
  local below, above, expected = table.unpack(edges)
  company(("a lever's nearer edge: at most %g m or at least %g m"):format(below, above), ([[
rule { id = "two-edges", title = "Two edges", lever = { "site.altitude" }, at_least = 1,
  compute = function(job)
    local at = job.site.altitude:value "m"
    return (at <= %g or at >= %g) and 1 or 0
  end }]]):format(below, above), "stop", {}, function(results)
    local answer = found(results, "two-edges").levers[1]
    if not answer.value then return answer.text end
    local number = answer.value:value "m"
    if math.abs(number - expected) > 0.01 * math.abs(expected - 250) + 1e-9 then return answer.text end
  end)
end

require "rules.rig_cases" {
  rule = rule, gone = gone, value = value, lever = lever, no_lever = no_lever, origin = origin, missing = missing,
  group = function(name) group = name end,
}

return cases
