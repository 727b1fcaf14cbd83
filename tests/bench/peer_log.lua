-- The bench's summary of a log in plain Lua, for lua and luajit: lua peer_log.lua log.csv. Prints what reference.c prints.
local path = arg[1]
local tonumber, find, sub, floor, abs = tonumber, string.find, string.sub, math.floor, math.abs

local function days(y, m, d)
  if m <= 2 then y = y - 1 end
  local era = floor(y / 400)
  local of = y - era * 400
  return era * 146097 + of * 365 + floor(of / 4) - floor(of / 100) + floor((153 * (m + (m > 2 and -3 or 9)) + 2) / 5) + d - 1 - 719468
end

local huge = math.huge
local sum, least, greatest, spraying_sum, spraying_least, spraying_greatest = {}, {}, {}, {}, {}, {}
for i = 1, 12 do
  sum[i], least[i], greatest[i] = 0, huge, -huge
  spraying_sum[i], spraying_least[i], spraying_greatest[i] = 0, huge, -huge
end
local all = { rows = 0, spraying_rows = 0, sprays = 0, logged = 0, spraying = 0, recirculating = 0, idle = 0, iso = 0, resin = 0,
              iso_pumped = 0, resin_pumped = 0, imbalance = 0, imbalance_least = huge, imbalance_greatest = -huge,
              below = 0, inside = 0, above = 0 }
local was_spraying = false

local function run(lasting) return { since = -1, reach = 0, events = 0, lasting = lasting } end
local off_ratio, off_balance, cold = run(5), run(5), run(60)

local function event(on, time, duration, open)
  if on then
    if open.since < 0 then open.since = time end
    open.reach = time + duration
    if duration > 0 then return end
  end
  if open.since >= 0 and open.reach - open.since >= open.lasting then open.events = open.events + 1 end
  open.since = -1
end

local function account(time, next_time, value)
  local held = next_time - time
  local duration = held > 0 and held <= 10 and held or 0
  local spraying = value[1] ~= 0
  all.rows = all.rows + 1
  for i = 1, 12 do
    local v = value[i]
    sum[i] = sum[i] + v
    if v < least[i] then least[i] = v end
    if v > greatest[i] then greatest[i] = v end
  end
  all.logged = all.logged + duration
  all.iso_pumped = all.iso_pumped + value[7] * duration
  all.resin_pumped = all.resin_pumped + value[8] * duration
  local imbalance = (value[5] - value[6]) / value[6]
  if spraying then
    all.spraying_rows = all.spraying_rows + 1
    if not was_spraying then all.sprays = all.sprays + 1 end
    all.spraying = all.spraying + duration
    all.iso = all.iso + value[7] * duration
    all.resin = all.resin + value[8] * duration
    for i = 1, 12 do
      local v = value[i]
      spraying_sum[i] = spraying_sum[i] + v
      if v < spraying_least[i] then spraying_least[i] = v end
      if v > spraying_greatest[i] then spraying_greatest[i] = v end
    end
    all.imbalance = all.imbalance + imbalance
    if imbalance < all.imbalance_least then all.imbalance_least = imbalance end
    if imbalance > all.imbalance_greatest then all.imbalance_greatest = imbalance end
    if value[4] < 45 then all.below = all.below + duration
    elseif value[4] > 60 then all.above = all.above + duration
    else all.inside = all.inside + duration end
  elseif value[7] > 0.05 or value[8] > 0.05 then
    all.recirculating = all.recirculating + duration
  else
    all.idle = all.idle + duration
  end
  event(spraying and abs(value[7] / value[8] - 1) > 0.05, time, duration, off_ratio)
  event(spraying and abs(imbalance) > 0.1, time, duration, off_balance)
  event(value[4] < 45, time, duration, cold)
  was_spraying = spraying and duration > 0
end

local file = assert(io.open(path))
file:read "*l"
local day, start, value, last, last_time = "", 0, {}, {}, nil
for line in file:lines() do
  local date = sub(line, 1, 10)
  if date ~= day then
    day, start = date, 86400 * days(tonumber(sub(line, 1, 4)), tonumber(sub(line, 6, 7)), tonumber(sub(line, 9, 10)))
  end
  local time = start + tonumber(sub(line, 12, 13)) * 3600 + tonumber(sub(line, 15, 16)) * 60 + tonumber(sub(line, 18, 19))
  local at = 22
  for i = 1, 11 do
    local comma = find(line, ",", at, true)
    value[i] = tonumber(sub(line, at, comma - 1))
    at = comma + 1
  end
  value[12] = tonumber(sub(line, at))
  if last_time then account(last_time, time, last) end
  last_time, value, last = time, last, value
end
account(last_time, last_time, last)
print(("rows %d\nsprays %d\nspraying_time %.0f\nrecirculating_time %.0f\nidle_time %.0f"):format(all.rows, all.sprays, all.spraying, all.recirculating, all.idle))
print(("iso_volume %.6f\nresin_volume %.6f\nratio %.9f"):format(all.iso / 60, all.resin / 60, all.iso / all.resin))
print(("imbalance_mean %.9f\nhose_below %.0f"):format(all.imbalance / all.spraying_rows, all.below))
print(("off_ratio_events %d\noff_balance_events %d\ncold_events %d"):format(off_ratio.events, off_balance.events, cold.events))
print(("mean %.6f %.6f %.6f"):format(sum[5] / all.rows, sum[2] / all.rows, spraying_sum[5] / all.spraying_rows))
