-- The readings of the set-up sheet, phase by phase in the order of starting up: what to set, what to expect and between what.
local imp = require "impinge"
local air = require "rules.shared.air"
local common = require "rules.shared.common"
local display = require "report.display"
local figures = require "report.figures"
local hose = require "rules.shared.hose"
local said = require "report.said"
local work = require "rules.shared.work"
local q = imp.q

-- How far a reading may be off before somebody looks why. Common practice, no source; voltage: EN 50160.
local bands = { voltage = 0.1, current = 0.1, flowing = 0.1, still = 0.05, temperature = q "3 K", time = 0.25 }

local sides = common.sides

local readings = {}
readings.__index = readings

-- Low and high, drawn in to the window where that is closer.
local function within(low, high, window)
  local least, most = window and window.min, window and window.max
  if least and least > low and least < high then low = least end
  if most and most < high and most > low then high = most end
  return { low = low, high = high, is_worked_out = true }
end

local function around(value, share, window)
  if value == nil then return nil end
  return within(value * (1 - share), value * (1 + share), window)
end

local function near(value, difference, window)
  if value == nil then return nil end
  return within(value - difference, value + difference, window)
end

-- A window as a band, or nil when neither end is given.
local function band_of(window)
  if window.min == nil and window.max == nil then return nil end
  return { low = window.min, high = window.max }
end

-- What the rows below belong to: a phase has groups, a group has rows.
function readings:phase(key)
  self.rows = {}
  self.phases[#self.phases + 1] = { key = key, rows = self.rows }
  self.current_phase = key
end

function readings:group(key)
  self.pending = self.t(key)
  self.pending_key = key
end

local function add(self, row, entry)
  row.group = self.pending
  self.rows[#self.rows + 1] = row
  if self.pending then self.current_group = self.pending_key end
  self.pending = nil
  entry.phase, entry.step, entry.label = self.current_phase, self.current_group, row[1]
  self.data[#self.data + 1] = entry
end

-- One reading. set: what to set; expect: what to read; band: { low=, high= }.
function readings:reading(key, label, set, expect, band)
  if set == nil and expect == nil and band == nil then
    self.unknown[#self.unknown + 1] = key
    expect = { text = self.t "not known" }
  end
  add(self, { label, set or "", expect or "", band or "" },
      { key = key, set = set, expect = imp.is_quantity(expect) and expect or nil, low = band and band.low, high = band and band.high })
end

-- Heaters switch: what is read lies anywhere below the figure. All lines stand in one row of the paper, each by itself in JSON.
function readings:line_currents(state, label_key)
  local t, currents = self.t, self.results.line_currents
  self:group "step_currents"
  if not currents then return self:reading("currents_" .. state, t(label_key, "L1, L2, L3, N")) end
  local texts = {}
  for i, line in ipairs(currents[state]) do
    local most = line.current * (1 + bands.current)
    if currents.breaker and currents.breaker < most and currents.breaker > line.current then most = currents.breaker end
    texts[i] = line.line .. " " .. (i < #currents[state] and display.parts(most, self.system, 3) or display.show(most, self.system, 3))
    self.data[#self.data + 1] = { key = "current_" .. state .. "_" .. line.line, phase = self.current_phase, step = self.pending_key,
                                  label = t(label_key, line.line), high = most }
  end
  local row = { t(label_key, t "each_line"), "", "", table.concat(texts, ", "), group = self.pending }
  self.pending, self.rows[#self.rows + 1] = nil, row
end

function readings:before_power()
  local t = self.t
  self:phase "before power"
  self:group "step_drums"
  for _, side in ipairs(sides) do
    self:reading("drum_" .. side, t("drum_temperature", t(side)), nil, self.job.stock.drum_temperature, band_of(self.job.material[side].drum_temperature))
  end
  self:group "step_supply"
  self:reading("breaker", t "breaker_rating", nil, self.job.supply.breaker)
end

function readings:air()
  local t, rig = self.t, self.job.rig
  self:group "step_air"
  if rig.compressor.cut_in and rig.compressor.cut_out then
    self:reading("receiver", t "receiver", nil, nil, { low = rig.compressor.cut_in, high = rig.compressor.cut_out })
  end
  for _, side in ipairs(sides) do
    self:reading("transfer_air_" .. side, t("transfer_air", t(side)), air.set_for_transfer(self.job, side), nil, band_of(rig.transfer_pumps[side].air_window))
  end
  self:reading("gun_air", t "gun_air", nil, nil, band_of(rig.gun.air_window))
end

function readings:hose_heat()
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

function readings:power_on()
  local t, supply = self.t, self.job.supply
  self:phase "power on"
  self:group "step_supply"
  self:reading("voltage", t "supply_voltage", nil, supply.voltage, around(supply.voltage, bands.voltage))
  self:air()
  self:hose_heat()
  self:group "step_heaters"
  for _, side in ipairs(sides) do
    local set = self.job.settings[side .. "_temperature"]
    self:reading("heater_" .. side, t("heater_set", t(side)), set, nil, near(set, bands.temperature, self.job.material.window[side .. "_temperature"]))
  end
  self:line_currents("heating", "line_heating")
end

function readings:before_trigger()
  local t, set = self.t, self.job.settings.pressure
  self:phase "before the trigger"
  self:group "step_still"
  for _, side in ipairs(sides) do
    self:reading("still_" .. side, t("still_pressure", t(side)), set, nil, around(set, bands.still, { max = self.job.material.window.pressure.max }))
  end
end

function readings:lifts()
  local t, foam = self.t, self.job.material.foam
  self:group "layers"
  if work.is_coating(self.job) then
    local coating = self.job.material.coating
    local film = figures.try(imp.yield.wet_film, { dry_film = self.job.work.dry_film, solids_by_volume = coating.solids_by_volume })
    self:reading("wet_film", t "wet_film", film)
    if self.job.work.coats and self.job.work.coats > 1 then self:reading("recoat_time", t "coat_wait", coating.recoat_time) end
    return
  end
  local lifts = figures.try(imp.yield.lifts, { thickness = self.job.work.thickness, maximum_lift = foam.maximum_lift, minimum_lift = foam.minimum_lift })
  self:reading("lift_thickness", lifts and t("lift_of", lifts.lifts:to("1", 4)) or t "lift_thickness", lifts and lifts.lift_thickness, nil,
               band_of { min = foam.minimum_lift, max = foam.maximum_lift })
  if not lifts or lifts.lifts > q "1" then self:reading("lift_wait", t "lift_wait", foam.lift_wait) end
end

function readings:spraying()
  local t, point, most = self.t, self.point, { max = self.job.material.window.pressure.max }
  self:phase "spraying"
  self:lifts()
  self:group "step_flow"
  for _, side in ipairs(sides) do
    local gauge = point[side .. "_pump_pressure"]
    self:reading("flowing_" .. side, t("flowing_pressure", t(side)), nil, gauge, around(gauge, bands.flowing, most))
  end
  for _, side in ipairs(sides) do
    local pressure = point[side .. "_inlet_pressure"]
    self:reading("inlet_" .. side, t("inlet_pressure", t(side)), nil, pressure, around(pressure, bands.flowing))
  end
  self:reading("flow", t "flow_expected", nil, point.flow, around(point.flow, bands.flowing))
  local planned = self.results.planned_flow
  if planned and point.flow and said.differ(planned, point.flow) then self:reading("flow_planned", t "flow_in_plan", nil, planned) end
  local ratio = self.job.material.volume_ratio
  self:reading("ratio", t "ratio", nil, ratio, around(ratio, (self.job.material.ratio_tolerance or q "5 %"):value "1"))
  self:line_currents("spraying", "line_spraying")
end

function readings:after()
  local finding = figures.finding(self.results, "re-entry-time")
  self:phase "after spraying"
  self:group "step_leaving"
  self:reading("re_entry", self.t "re_entry", finding and imp.is_quantity(finding.value) and finding.value or self.job.material.supplier_reentry_time)
end

-- What is read on site at the start and again at midday: names, and what is allowed of each.
function readings:of_the_surface()
  local t, names, allowed = self.t, {}, {}
  for _, name in ipairs { "surface_temperature", "air_temperature", "relative_humidity" } do
    local function limit(end_) return common.first(self.job, { "window." .. name .. "." .. end_, "material.window." .. name .. "." .. end_ }) end
    names[#names + 1], allowed[#allowed + 1] = t(name), band_of { min = limit "min", max = limit "max" } or ""
  end
  local spread = figures.finding(self.results, "surface-clear-of-dew-point")
  names[#names + 1], allowed[#allowed + 1] = t "dew_point", ""
  names[#names + 1], allowed[#allowed + 1] = t "dew_point_spread", spread and spread.limit and { low = spread.limit } or ""
  return names, allowed
end

-- All readings of a job: phases = { { key=, rows = { { cell, ... } } } }, data = what JSON gets, unknown = keys of what is not known.
function readings.of(results, view, job)
  local self = setmetatable({ results = results, t = view.t, system = view.system, job = job, point = results.operating_point or {}, phases = {}, data = {}, unknown = {} }, readings)
  self:before_power()
  self:power_on()
  self:before_trigger()
  self:spraying()
  self:after()
  return self
end

return readings
