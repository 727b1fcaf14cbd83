-- The set-up sheet: one printed page for the technician at the rig, in the order of starting up. What to set, what to
-- expect and between what, and a blank for what is read.
local imp = require "impinge"
local figures = require "report.figures"
local hose = require "rules.shared.hose"
local page = require "report.page"
local said = require "report.said"
local view_of = require "report.view".of
local q = imp.q

-- How far a reading may be off before somebody looks why. Common practice, no source; voltage: EN 50160.
local bands = { voltage = 0.1, current = 0.1, flowing = 0.1, still = 0.05, temperature = q "3 K", time = 0.25 }

local sides = { "iso", "resin" }
local most_sections = 8

local sheet = {}
sheet.__index = sheet

-- Low and high, drawn in to the window where that is closer.
local function within(low, high, window)
  local least, most = window and window.min, window and window.max
  if least and least > low and least < high then low = least end
  if most and most < high and most > low then high = most end
  return { low = low, high = high }
end

local function around(value, share, window)
  if value == nil then return nil end
  return within(value * (1 - share), value * (1 + share), window)
end

local function near(value, difference, window)
  if value == nil then return nil end
  return within(value - difference, value + difference, window)
end

function sheet:group(key)
  self.pending = self.t(key)
  self.pending_key = key
end

-- One reading. set: what to set; expect: what to read; band: { low=, high= }.
function sheet:reading(key, label, set, expect, band)
  if set == nil and expect == nil and band == nil then
    self.unknown[#self.unknown + 1] = key
    expect = { text = self.t "not known" }
  end
  local row = { label, set or "", expect or "", band or "", nil, group = self.pending }
  self.rows[#self.rows + 1] = row
  if self.pending then self.current_group = self.pending_key end
  self.pending = nil
  self.data[#self.data + 1] = { key = key, step = self.current_group, label = label, set = set,
                                expect = imp.is_quantity(expect) and expect or nil, low = band and band.low, high = band and band.high }
end

function sheet:line_currents(state, label_key)
  local currents = self.results.line_currents
  if not currents then return self:reading("currents_" .. state, self.t(label_key, "L1, L2, L3, N")) end
  for _, line in ipairs(currents[state]) do
    self:reading("current_" .. state .. "_" .. line.line, self.t(label_key, line.line), nil, line.current, around(line.current, bands.current))
  end
end

function sheet:supply()
  local supply = self.job.supply
  self:group "step_supply"
  self:reading("voltage", self.t "supply_voltage", nil, supply.voltage, around(supply.voltage, bands.voltage))
  self:reading("breaker", self.t "breaker_rating", nil, supply.breaker)
  self:line_currents("heating", "line_heating")
end

function sheet:air()
  local rig, settings = self.job.rig, self.job.settings
  self:group "step_air"
  if rig.compressor.cut_in and rig.compressor.cut_out then
    self:reading("receiver", self.t "receiver", nil, nil, { low = rig.compressor.cut_in, high = rig.compressor.cut_out })
  end
  for _, side in ipairs(sides) do
    local pump = rig.transfer_pumps[side]
    self:reading("transfer_air_" .. side, self.t("transfer_air", self.t(side)), pump.air_pressure or settings.transfer_air_pressure, nil, self.window(pump.air_window))
  end
  self:reading("gun_air", self.t "gun_air", nil, nil, self.window(rig.gun.air_window))
end

-- A window as a band, or nil when neither end is given.
function sheet.window(window)
  if window.min == nil and window.max == nil then return nil end
  return { low = window.min, high = window.max }
end

function sheet:drums()
  self:group "step_drums"
  for _, side in ipairs(sides) do
    self:reading("drum_" .. side, self.t("drum_temperature", self.t(side)), nil, self.job.stock.drum_temperature,
                 self.window(self.job.material[side].drum_temperature))
  end
  for _, side in ipairs(sides) do
    local pressure = self.point[side .. "_inlet_pressure"]
    self:reading("inlet_" .. side, self.t("inlet_pressure", self.t(side)), nil, pressure, around(pressure, bands.flowing))
  end
end

function sheet:hose_heat()
  local job, t = self.job, self.t
  local set = job.settings.hose_temperature
  self:group "step_hose"
  self:reading("hose_temperature", t "hose_set", set, nil, near(set, bands.temperature, job.material.window.hose_temperature))
  local tap = figures.missing(job, hose.circuit_paths) == nil and
    figures.try(hose.tap, job, { current = job.settings.hose_current or job.rig.hose.current_limit }) or nil
  self:reading("tap", t "tap", tap and tap.voltage)
  self:reading("hose_current", t "hose_current", tap and tap.current, nil,
               tap and around(tap.current, bands.current, { max = job.rig.hose.current_limit }))
  self:reading("hose_heat", t "hose_watts", nil, tap and tap.power_per_length, tap and around(tap.power_per_length, 2 * bands.current))
  local warm_up = figures.try(hose.warm_up, job)
  local time = warm_up and warm_up.time
  self:reading("time_to_heat", t "time_to_heat", nil, time, around(time, bands.time))
end

function sheet:heaters()
  self:group "step_heaters"
  for _, side in ipairs(sides) do
    local set = self.job.settings[side .. "_temperature"]
    self:reading("heater_" .. side, self.t("heater_set", self.t(side)), set, nil, near(set, bands.temperature, self.job.material.window[side .. "_temperature"]))
  end
end

function sheet:pressures()
  local set, most = self.job.settings.pressure, { max = self.job.material.window.pressure.max }
  self:group "step_still"
  for _, side in ipairs(sides) do
    self:reading("still_" .. side, self.t("still_pressure", self.t(side)), set, nil, around(set, bands.still, most))
  end
  self:group "step_flow"
  for _, side in ipairs(sides) do
    local gauge = self.point[side .. "_pump_pressure"]
    self:reading("flowing_" .. side, self.t("flowing_pressure", self.t(side)), nil, gauge, around(gauge, bands.flowing, most))
  end
  self:reading("flow", self.t "flow_together", nil, self.point.flow, around(self.point.flow, bands.flowing))
  local ratio = self.job.material.volume_ratio
  self:reading("ratio", self.t "ratio", nil, ratio, around(ratio, (self.job.material.ratio_tolerance or q "5 %"):value "1"))
  self:line_currents("spraying", "line_spraying")
end

-- The states at the sections' ends, at most eight of them, and at the gun.
local function ends_of(profile)
  local ends = {}
  for i, row in ipairs(profile) do
    local following = profile[i + 1]
    if following and following.section ~= row.section or not following then ends[#ends + 1] = row end
  end
  return ends
end

local function chosen(count)
  local list, every = {}, math.ceil((count - 1) / most_sections)
  for i = every, count - 1, every do list[#list + 1] = i end
  list[#list + 1] = count
  return list
end

function sheet:along_hoses()
  local t, profiles = self.t, self.results.profiles
  if not profiles then return nil end
  local ends = { iso = ends_of(profiles.iso), resin = ends_of(profiles.resin) }
  local columns, rows = { { label = t "section" } }, {}
  local picked = chosen(#ends.iso)
  for _, i in ipairs(picked) do columns[#columns + 1] = { label = i == #ends.iso and t "gun" or tostring(i) } end
  for _, what in ipairs { "pressure", "temperature" } do
    for _, side in ipairs(sides) do
      local row = { t(side) .. ", " .. t(what):lower() }
      for _, i in ipairs(picked) do row[#row + 1] = ends[side][i] and ends[side][i][what] or "" end
      rows[#rows + 1] = row
    end
  end
  return { kind = "table", narrow = true, caption = t "along_hose", columns = columns, rows = rows }
end

-- What a person must have seen, with a box each.
function sheet:boxes()
  local items = {}
  for _, finding in ipairs(self.results.findings) do
    if finding.group == "confirm" and finding.verdict ~= "not applicable" then
      local text, is_english = self.t:title(finding)
      items[#items + 1] = { place = finding.place or 0, text = text, english = is_english }
    end
  end
  table.sort(items, function(a, b) return a.place < b.place end)
  return items
end

local verdict_texts = { go = "sheet_go", caution = "sheet_caution" }

return function(results)
  local view, job = view_of(results), host.job()
  local t = view.t
  local self = setmetatable({ results = results, t = t, job = job, point = results.operating_point or {}, rows = {}, data = {}, unknown = {} }, sheet)
  self:supply()
  self:air()
  self:drums()
  self:hose_heat()
  self:heaters()
  self:pressures()
  local blocks = {}
  local function add(block) if block then blocks[#blocks + 1] = block end end
  local boxes = self:boxes()
  if #boxes > 0 then
    add { kind = "heading", text = t "see_first" }
    add { kind = "boxes", items = boxes }
  end
  add { kind = "heading", text = t "in_this_order" }
  add { kind = "table", unseen = true, caption = t "set_up", grouped = t "step", rows = self.rows, columns = {
    { label = t "quantity" }, { label = t "set_to" }, { label = t "expect" }, { label = t "between" }, { label = t "read", blank = true } } }
  add(self:along_hoses())
  if results.no_operating_point then add { kind = "text", text = t("no_point", results.no_operating_point) } end
  add { kind = "text", small = true, text = t "tolerance_note" }
  add { kind = "text", text = t "short_cautions" }
  add { kind = "signed", labels = { t "signed", t "date", t "time" } }
  local verdict_word = said.verdict(t, results)
  return {
    report = "set-up sheet", title = t "set_up", view = view, digits = 3, one_page = true, verdict = results.verdict, verdict_word = verdict_word, first = t:list "first_cautions",
    verdict_text = t(verdict_texts[results.verdict] or "sheet_stop", verdict_word) .. " " .. said.counts(t, results) .. ".",
    facts = page.job_facts(t, results, 90), blocks = blocks, footer = t("footer", results.version or ""),
    data = { job = results.job, verdict = results.verdict, stage = results.stage, version = results.version, readings = self.data,
             not_known = self.unknown, profiles = results.profiles, cautions = results.cautions },
  }
end
