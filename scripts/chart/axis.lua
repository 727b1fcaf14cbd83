-- axis.lua: the range, the ticks and the tick texts of one axis of a chart.
local imp = require "impinge"

local axis = {}

local time_steps = { 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 172800, 604800 }
local day = 86400

-- A plain number in the axis's unit; nil for what is missing, not a number or without bound.
function axis.number(given, value)
  if value == nil then return nil end
  if imp.is_quantity(value) then value = value:value(given.unit or "1") end
  if type(value) ~= "number" or value ~= value or value == math.huge or value == -math.huge then return nil end
  return value
end

-- 1, 2 or 5 times a power of ten: the smallest that makes at most `most` steps.
function axis.nice_step(span, most)
  local rough = span / most
  local power = 10.0 ^ math.floor(math.log(rough, 10))
  for _, factor in ipairs { 1, 2, 5, 10 } do
    if factor * power >= rough * (1 - 1e-9) then return factor * power end
  end
  return 10 * power
end

local function time_step(span, most)
  for _, step in ipairs(time_steps) do
    if span / step <= most then return step end
  end
  return axis.nice_step(span / day, most) * day
end

local function is_time(given) return given.kind == "time" or given.kind == "clock" end
axis.is_time = is_time

function axis.step(given, span, most)
  if is_time(given) then return time_step(span, most) end
  return axis.nice_step(span, most)
end

-- Digits after the point that tell multiples of a step apart.
local function decimals_of(step)
  local decimals = 0
  while decimals < 12 and math.abs(step * 10.0 ^ decimals - math.floor(step * 10.0 ^ decimals + 0.5)) > 1e-6 do
    decimals = decimals + 1
  end
  return decimals
end

local function plain(value, decimals)
  local size = math.abs(value)
  local text
  if size >= 1e7 or size > 0 and size < 1e-5 then
    text = string.format("%.4g", value)
  else
    text = string.format("%." .. decimals .. "f", value)
  end
  return (text:gsub("^%-(0[%.0]*)$", "%1"))
end

-- Year, month and day of a day counted from 1970-01-01: civil calendar by 400-year eras.
local function date_text(days)
  local shifted = days + 719468
  local era = shifted // 146097
  local in_era = shifted - era * 146097
  local year_of_era = (in_era - in_era // 1460 + in_era // 36524 - in_era // 146096) // 365
  local day_of_year = in_era - (365 * year_of_era + year_of_era // 4 - year_of_era // 100)
  local month = (5 * day_of_year + 2) // 153
  local day_of_month = day_of_year - (153 * month + 2) // 5 + 1
  local number = month < 10 and month + 3 or month - 9
  return string.format("%04d-%02d-%02d", year_of_era + era * 400 + (number <= 2 and 1 or 0), number, day_of_month)
end

local function time_text(given, value, with_seconds, with_date)
  local whole = math.floor(value + 0.5)
  if given.kind == "clock" then
    local text = ""
    if with_date then
      text = date_text(whole // day)
      if whole % day == 0 and not with_seconds then return text end
      text = text .. " "
    end
    whole = whole % day
    text = text .. string.format("%02d:%02d", whole // 3600, whole // 60 % 60)
    return with_seconds and text .. string.format(":%02d", whole % 60) or text
  end
  local sign = whole < 0 and "-" or ""
  whole = math.abs(whole)
  if with_seconds then return sign .. string.format("%d:%02d:%02d", whole // 3600, whole // 60 % 60, whole % 60) end
  return sign .. string.format("%d:%02d", whole // 3600, whole // 60 % 60)
end

-- Range, ticks and texts for values between low and high. most: how many steps fit.
-- given.low and given.high fix an end; given.from_zero keeps zero in sight; else the ends move out to a tick.
function axis.new(given, low, high, most)
  low, high = axis.number(given, given.low) or low, axis.number(given, given.high) or high
  if low == nil or high == nil then low, high = 0, 1 end
  if given.from_zero then low, high = math.min(low, 0), math.max(high, 0) end
  if high <= low then
    local half = math.abs(low) * 0.05
    if half == 0 then half = 1 end
    low, high = low - half, low + half
  end
  local step = axis.step(given, high - low, most)
  local exact = given.exact or is_time(given)
  if not exact and given.low == nil then low = math.floor(low / step + 1e-9) * step end
  if not exact and given.high == nil then high = math.ceil(high / step - 1e-9) * step end
  local made = { given = given, low = low, high = high, step = step, ticks = {} }
  made.decimals = is_time(given) and 0 or decimals_of(step)
  local first = math.ceil(low / step - 1e-9)
  for i = first, math.floor(high / step + 1e-9) do
    local value = i * step
    made.ticks[#made.ticks + 1] = { value = value, text = axis.tick_text(made, value) }
  end
  return made
end

function axis.tick_text(made, value)
  if is_time(made.given) then
    return time_text(made.given, value, made.step < 60, made.given.kind == "clock" and made.high - made.low > 2 * day)
  end
  return plain(value, made.decimals)
end

-- A value as the table behind the chart shows it: one digit finer than the ticks, or as the axis asks.
function axis.value_text(made, value)
  if value == nil then return "" end
  if is_time(made.given) then
    return time_text(made.given, value, value % 60 ~= 0 or made.step < 60, made.given.kind == "clock" and made.high - made.low > day)
  end
  return plain(value, made.given.decimals or made.decimals + 1)
end

-- "Pressure, bar"
function axis.title(given)
  local unit = given.unit
  if is_time(given) then unit = nil end
  if unit == nil or unit == "" or unit == "1" then return given.label or "" end
  return (given.label or "") .. ", " .. unit
end

return axis
