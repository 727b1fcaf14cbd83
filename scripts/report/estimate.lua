-- The estimate: material, sets of drums, lifts, time, energy, cost and the thermal resistance that is reached.
local imp = require "impinge"
local display = require "report.display"
local figures = require "report.figures"
local page = require "report.page"
local said = require "report.said"
local view_of = require "report.view".of
local work = require "rules.shared.work"

local estimate = {}
estimate.__index = estimate

function estimate:group(key)
  self.pending, self.group_key = self.t(key), key
end

-- One figure; value nil: not known, with the reason where there is one.
function estimate:figure(key, label, value, remark)
  local row = { label, value or { text = self.t "not known" }, remark and { text = remark, english = value == nil } or "", group = self.pending }
  self.rows[#self.rows + 1] = row
  self.pending = nil
  self.data[#self.data + 1] = { key = key, group = self.group_key, label = label, value = value, remark = remark }
end

function estimate:given(key, label, value, remark)
  if value ~= nil then self:figure(key, label, value, remark) end
end

-- mass, split and sets, where the job tells enough.
function estimate:material()
  local job, t = self.job, self.t
  self:group "quantity_needed"
  self:given("area", t "area", job.work.area)
  self:given("thickness", t "thickness", not self.is_coating and job.work.thickness or nil)
  self:given("dry_film", t "dry_film", self.is_coating and job.work.dry_film or nil)
  self:given("loss", t "loss", job.work.loss)
  local mass, why = figures.try(work.mass_needed, job)
  self.mass = mass
  self:figure("mass", t "mass", mass, not mass and why or nil)
  local split = mass and figures.missing(job, work.material_paths) == nil and figures.try(work.split, job, mass)
  if not split then return end
  for _, side in ipairs { "iso", "resin" } do
    self:figure(side .. "_volume", t("volume_of", t(side)), split[side .. "_volume"])
    self:figure(side .. "_mass", t("mass_of", t(side)), split[side .. "_mass"])
  end
  local sets = job.material.drum_volume and figures.try(imp.yield.sets, { iso_volume = split.iso_volume, resin_volume = split.resin_volume,
    drum_volume = job.material.drum_volume, usable_fraction = job.stock.usable_fraction })
  if not sets then return end
  self:figure("sets", t "sets", sets.sets)
  self:figure("iso_left", t("left_of", t "iso"), sets.iso_left)
  self:figure("resin_left", t("left_of", t "resin"), sets.resin_left)
end

function estimate:lifts()
  local job, t = self.job, self.t
  self:group "layers"
  if self.is_coating then
    local film = figures.try(imp.yield.wet_film, { dry_film = job.work.dry_film, solids_by_volume = job.material.coating.solids_by_volume })
    self:figure("wet_film", t "wet_film", film)
    self:given("coats", t "coats", job.work.coats)
    return
  end
  local foam = job.material.foam
  local lifts, why = figures.try(imp.yield.lifts, { thickness = job.work.thickness, maximum_lift = foam.maximum_lift, minimum_lift = foam.minimum_lift })
  self:figure("lifts", t "lifts", lifts and lifts.lifts, why)
  self:figure("lift_thickness", t "lift_thickness", lifts and lifts.lift_thickness)
end

-- The day plan is the rule's; its parts come with the finding.
local part_keys = { ["setting up"] = "set_up_time", ["hose warm-up, during setting up"] = "warm_up_time", ["spraying, pauses counted"] = "spraying_time",
                    ["of which the trigger is pulled"] = "trigger_time", ["waiting between lifts or coats"] = "waiting_time", ["cleaning up"] = "clean_up_time" }

-- The day is planned at the flow of the job; where the rig sprays another, the reader learns of both.
function estimate:flow_counted()
  local planned, point = self.results.planned_flow, self.results.operating_point
  if not planned then return nil end
  local system = self.view.system
  if not point or not said.differ(planned, point.flow) then return self.t("at_planned_flow", display.show(planned, system)) end
  return self.t("at_planned_not_predicted", display.show(planned, system), display.show(point.flow, system))
end

function estimate:times()
  local t, plan = self.t, figures.finding(self.results, "day-plan")
  self:group "times"
  self.times_of = {}
  for _, side in ipairs { "iso", "resin" } do
    local time, before = figures.conditioning(self.job, side)
    if time then
      self:figure("warm_" .. side, t("warming", t(side)), time, before and t("warm_before", display.show(before, self.view.system)) or t "warm_during")
    end
  end
  for _, part in ipairs(plan and plan.parts or {}) do
    local key = part_keys[part.label]
    if key then
      local value = imp.is_quantity(part.value) and part.value or nil
      self.times_of[key] = value
      local remark = value and key == "spraying_time" and self:flow_counted() or nil
      self:figure(key, t(key), value, remark or not value and tostring(part.value) or nil)
    end
  end
  self.day = plan and plan.value
  self:figure("day_time", t "day_time", self.day, not self.day and plan and plan.reason or nil)
end

local function running(power, time, prices, generator)
  if not (power and time) then return nil end
  local by_fuel = prices.fuel_price and generator.specific_consumption
  return figures.try(imp.electrical.running_cost, { power = power, time = time, energy_price = not by_fuel and prices.energy_price or nil,
    fuel_price = by_fuel and prices.fuel_price or nil, specific_consumption = by_fuel and generator.specific_consumption or nil })
end

local function sum(a, b)
  if a == nil or b == nil then return a or b end
  return a + b
end

function estimate:energy()
  local t, job, currents = self.t, self.job, self.results.line_currents or {}
  local generator = job.supply.generator
  local heating = running(currents.power_heating, self.times_of.warm_up_time, job.prices, generator)
  local spraying = running(currents.power_spraying, self.times_of.spraying_time, job.prices, generator)
  self:group "energy"
  self:figure("energy_heating", t "energy_heating", heating and heating.energy)
  self:figure("energy_spraying", t "energy_spraying", spraying and spraying.energy)
  heating, spraying = heating or {}, spraying or {}
  self:given("energy", t "energy_together", sum(heating.energy, spraying.energy))
  self:given("fuel", t "fuel", sum(heating.fuel, spraying.fuel))
  self.energy_cost = sum(heating.cost, spraying.cost)
end

function estimate:costs()
  local t, job = self.t, self.job
  self:group "costs"
  self:figure("cost_energy", t "cost_energy", self.energy_cost)
  if not (self.mass and self.day) then return self:figure("cost", t "cost_all") end
  local cost, why = figures.try(imp.yield.cost, { area = job.work.area, mass = self.mass, unit_price = job.material.unit_price, labour_time = self.day,
    labour_rate = job.prices.labour_rate, crew = job.crew, energy_cost = self.energy_cost })
  local persons = job.crew and t("price_labour", job.crew:to("1", 4)) or nil
  self:figure("cost", t "cost_all", cost and cost.cost, cost and t "price_note" .. (persons and "; " .. persons or "") or why)
  if cost then self:figure("cost_per_area", t "cost_per_area", cost.cost_per_area) end
end

function estimate:insulation()
  local t, job, foam = self.t, self.job, self.job.material.foam
  if self.is_coating then return end
  self:group "insulation"
  local function resistance(conductivity)
    if not (conductivity and job.work.thickness) then return nil end
    return figures.try(imp.yield.thermal_resistance, { thickness = job.work.thickness, conductivity = conductivity })
  end
  local aged, target = resistance(foam.aged_conductivity), job.work.target_resistance
  self:given("resistance_new", t "resistance_new", resistance(foam.initial_conductivity))
  self:figure("resistance_aged", t "resistance_aged", aged, aged and t "design_value" or nil)
  if target then
    local verdict = aged and (aged >= target and t "resistance_reached" or t "resistance_short") or nil
    self:figure("resistance_target", t "resistance_target", target, verdict)
  end
end

local verdict_keys = { go = "go", caution = "caution", stop = "stop", ["not known"] = "stop" }

return function(results)
  local view, job = view_of(results), host.job()
  local t = view.t
  local self = setmetatable({ results = results, view = view, t = t, job = job, rows = {}, data = {}, is_coating = work.is_coating(job) }, estimate)
  self:material()
  self:lifts()
  self:times()
  self:energy()
  self:costs()
  self:insulation()
  local cautions, is_english = t:cautions(results.cautions)
  return {
    report = "estimate", title = t "estimate", view = view, verdict = results.verdict, verdict_word = said.verdict(t, results),
    verdict_text = t("estimate_" .. verdict_keys[results.verdict], said.verdict(t, results)) .. " " .. said.counts(t, results) .. ".",
    last = said.last(t, results), first = t:list "first_cautions", facts = page.job_facts(t, results), footer = t("footer", results.version or ""),
    blocks = {
      { kind = "table", unseen = true, caption = t "estimate", grouped = t "group", rows = self.rows,
        columns = { { label = t "item" }, { label = t "figure" }, { label = t "remark" } } },
      { kind = "text", text = t "estimate_note" },
      { kind = "heading", text = t "before_you_start" }, { kind = "list", items = cautions, english = is_english },
    },
    data = { job = results.job, verdict = results.verdict, stage = results.stage, version = results.version, figures = self.data, cautions = results.cautions },
  }
end
