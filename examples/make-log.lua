-- Writes an invented job log: every figure is made up, and no rig was running. The same seed gives the same log.
--
--   impinge run examples/make-log.lua [seed=1] [rows=2400] [step=1] [start=2031-04-17T07:00:00+02:00] [faults=all] > day.csv
-- A long one needs more than a script's usual budget: --max-output 1024 --max-steps 1e12 --max-seconds 3600, before the
-- script's name.
--
-- faults: "all", "none", or some of off-ratio, cold-hose, drum-change, imbalance, crossover, starvation, restriction,
--   heater, stuck, implausible, damage, with commas between. `all` is off-ratio, cold-hose and drum-change.
-- examples/orchard-store/day.csv is what rows=1800 step=5 writes.
-- The day: heating up, then sprays of a minute or so with pauses in between.

local options = { seed = "1", rows = "2400", step = "1", start = "2031-04-17T07:00:00+02:00", faults = "all" }
for _, word in ipairs(arg) do
  local name, value = word:match "^(%a+)=(.+)$"
  if not name or not options[name] then
    error("expected seed=, rows=, step=, start= or faults=, got " .. word, 0)
  end
  options[name] = value
end

local rows, step = tonumber(options.rows), tonumber(options.step)
if not rows or rows < 1 or not step or step <= 0 then error("rows and step are numbers above 0", 0) end

local known = { "off-ratio", "cold-hose", "drum-change", "imbalance", "crossover", "starvation", "restriction", "heater", "stuck",
                "implausible", "damage" }
local has = {}
for word in (options.faults == "all" and "off-ratio,cold-hose,drum-change" or options.faults):gmatch "[^,]+" do
  local is_known = word == "none"
  for _, name in ipairs(known) do is_known = is_known or name == word end
  if not is_known then error("there is no fault " .. word .. "; there are " .. table.concat(known, ", "), 0) end
  has[word] = true
end

-- A generator of our own (xorshift64*), so that a log does not depend on the Lua that wrote it.
local state = math.tointeger(tonumber(options.seed)) or 1
state = state * 2862933555777941757 + 3037000493
if state == 0 then state = 1 end
local function random()
  state = state ~ (state >> 12)
  state = state ~ (state << 25)
  state = state ~ (state >> 27)
  return ((state * 2685821657736338717) >> 11) / (1 << 53)
end
local function noise(size) return (random() + random() + random() + random() - 2) * size end

-- ISO 8601 of the start, moved on by seconds of its own day count.
local year, month, day, hour, minute, second, zone = options.start:match "^(%d+)-(%d+)-(%d+)T(%d+):(%d+):(%d+)(.*)$"
if not year then error("start is a time such as 2031-04-17T07:00:00+02:00", 0) end
local lengths = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 }
local function month_length(y, m)
  local is_leap = y % 4 == 0 and (y % 100 ~= 0 or y % 400 == 0)
  return m == 2 and is_leap and 29 or lengths[m]
end
year, month, day = tonumber(year), tonumber(month), tonumber(day)
local begun = tonumber(hour) * 3600 + tonumber(minute) * 60 + tonumber(second)
local date_days = 0
local function time_text(elapsed)
  local total = begun + elapsed
  local days = total // 86400
  while date_days < days do
    date_days, day = date_days + 1, day + 1
    if day > month_length(year, month) then day, month = 1, month + 1 end
    if month > 12 then month, year = 1, year + 1 end
  end
  local rest = total - days * 86400
  local whole = rest // 1
  local text = string.format("%04d-%02d-%02dT%02d:%02d:%02d", year, month, day, whole // 3600, whole // 60 % 60, whole % 60)
  if rest ~= whole then text = text .. string.format(".%03d", (rest - whole) * 1000 // 1) end
  return text .. zone
end

-- The course of the day, as shares of its length, so that a short log has everything that a long one has.
local total = rows * step
local warm_up = math.min(0.2 * total, 1500)
local spray, pause = math.min(0.03 * total, 80), math.min(0.018 * total, 45)
local change_from, change_to = 0.62 * total, 0.68 * total

local function is_spraying(t)
  if t < warm_up then return false end
  if has["drum-change"] and t >= change_from and t < change_to then return false end
  return (t - warm_up) % (spray + pause) < spray
end

-- Sprays are counted, so that a fault can begin with one; a fault lasts for the whole spray.
local function spray_number(t) return math.floor((t - warm_up) / (spray + pause)) end
local sprays = math.max(1, math.floor((total - warm_up) / (spray + pause)))
local function within(t, share, count)
  local first = math.floor(share * sprays)
  local number = spray_number(t)
  return number >= first and number < first + (count or 1)
end

print("time,trigger,iso_temperature [degC],resin_temperature [degC],iso_hose_temperature [degC],resin_hose_temperature [degC],"
  .. "iso_pressure [bar],resin_pressure [bar],iso_flow [L/min],resin_flow [L/min],iso_cycles,resin_cycles,hose_current [A],"
  .. "air_temperature [degC],relative_humidity [%],surface_temperature [degC]")

local per_cycle = 0.096 -- litres
local iso_count, resin_count = 0.0, 0.0
local iso_heat, resin_heat, iso_hose, resin_hose = 14.0, 14.0, 13.0, 13.0
local stuck_at

-- Towards a temperature, with a time constant.
local function towards(now, wanted, constant) return now + (wanted - now) * (1 - math.exp(-step / constant)) end

local function row_at(i)
  local t = (i - 1) * step
  local spraying = is_spraying(t)
  local heat_up = warm_up / 5
  local is_cold = has["cold-hose"] and within(t, 0.4, 2) and t >= warm_up
  local is_weak = has.heater and within(t, 0.5, 3) and t >= warm_up
  iso_heat = towards(iso_heat, (is_weak and 35 or 47) - (spraying and 1 or 0), heat_up)
  resin_heat = towards(resin_heat, 47 - (spraying and 1 or 0), heat_up)
  iso_hose = towards(iso_hose, is_cold and 20 or 47, is_cold and spray or heat_up)
  resin_hose = towards(resin_hose, 47, heat_up)

  local iso_pressure, resin_pressure, iso_flow, resin_flow = 99 + noise(0.6), 98 + noise(0.6), 0.0, 0.0
  if t < warm_up * 0.7 then iso_pressure, resin_pressure = 12 + noise(0.3), 12 + noise(0.3) end
  if spraying then
    iso_pressure, resin_pressure = 92 + noise(1.2), 90 + noise(1.2)
    iso_flow, resin_flow = 2.6 + noise(0.03), 2.6 + noise(0.03)
    if has["off-ratio"] and within(t, 0.25) then resin_flow = resin_flow * 0.88 end
    if has.imbalance and within(t, 0.3) then resin_pressure = resin_pressure * 0.84 end
    if has.starvation and within(t, 0.55) then resin_pressure, resin_flow = resin_pressure * 0.72, resin_flow * 0.85 end
    if has.restriction then
      local closing = 1 - 0.3 * math.max(0, t - warm_up) / (total - warm_up)
      iso_flow, resin_flow = iso_flow * closing, resin_flow * closing
    end
  elseif t >= warm_up * 0.7 and t < warm_up then
    iso_flow, resin_flow = 0.8 + noise(0.02), 0.8 + noise(0.02) -- recirculating
  end
  if has.crossover and within(t, 0.7) then resin_pressure = 20 + noise(0.5) end

  iso_count = iso_count + iso_flow / 60 * step / per_cycle
  resin_count = resin_count + resin_flow / 60 * step / per_cycle
  if has["drum-change"] and t - step < change_from and t >= change_from then iso_count, resin_count = 0.0, 0.0 end

  local resin_head = resin_heat + noise(0.15)
  if has.stuck and t >= warm_up then
    stuck_at = stuck_at or resin_head
    resin_head = stuck_at
  end
  local iso_head = iso_heat + noise(0.15)
  if has.implausible and within(t, 0.8) and t >= warm_up then iso_head = 850.0 end

  return string.format("%s,%d,%.1f,%.1f,%.1f,%.1f,%.1f,%.1f,%.3f,%.3f,%d,%d,%.1f,%.1f,%.1f,%.1f", time_text(t), spraying and 1 or 0, iso_head,
    resin_head, iso_hose + noise(0.2), resin_hose + noise(0.2), iso_pressure, resin_pressure, math.max(0, iso_flow), math.max(0, resin_flow),
    iso_count // 1, resin_count // 1, (t < warm_up and 37 or 24) + noise(0.5), 14 + 2 * t / total + noise(0.05), 58 - 4 * t / total + noise(0.3),
    13 + 2 * t / total + noise(0.05))
end

for i = 1, rows do
  local line = row_at(i)
  if has.damage and i % 97 == 0 then line = line:gsub("%d%.%d", "x", 1) end
  if has.damage and i % 151 == 0 then line = line .. ",1" end
  if not (has.damage and i % 211 == 0) then print(line) end
end
