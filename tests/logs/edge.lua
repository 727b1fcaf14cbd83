-- Writes an invented, quiet day with one thing wrong, by as much as is said: impinge run edge.lua KIND VALUE [COUNT]
-- Rows of 1 s (or of 5 s for what takes hours): sprays of 80 s, 20 s between them, from the first minute on.
local kind, value, count = arg[1] or "none", tonumber(arg[2] or "0"), tonumber(arg[3] or "0")

local long = { restriction = 900, ["slow-warm-up"] = 700, ["long-pause"] = 700, ["ratio-jump"] = 900, ["ratio-shift"] = 900, ["ratio-drift"] = 900 }
local rows, step = long[kind] or 900, long[kind] and 5 or 1

local function is_spraying(t)
  if kind == "long-pause" and t >= 600 and t < 600 + value then return false end
  if kind == "long-pause" then return t >= 60 end
  return t >= 60 and (t - 60) % 100 < 80
end

-- rows from t = 260 on, all of one spray (260 <= t < 340)
local function in_fault(t, most) return t >= 260 and t < 260 + (most or count) * step end

print("time [s],trigger,iso_temperature [degC],resin_temperature [degC],iso_hose_temperature [degC],resin_hose_temperature [degC],"
  .. "iso_pressure [bar],resin_pressure [bar],iso_flow [L/min],resin_flow [L/min],iso_cycles,resin_cycles,air_temperature [degC],"
  .. "relative_humidity [%],surface_temperature [degC],wind_speed [m/s]")

local fault = {}
fault["off-ratio"] = function(row, t) if in_fault(t, 80) then row.resin_flow = row.iso_flow / value end end
fault["pressure-imbalance"] = function(row, t) if in_fault(t) then row.resin_pressure, row.iso_pressure = 80, 80 * (1 + value) end end
fault["crossover-risk"] = function(row, t) if in_fault(t) then row.resin_pressure = row.iso_pressure * value end end
fault["crossover-floor"] = function(row, t) if in_fault(t, 20) then row.iso_pressure, row.resin_pressure = value, value * 0.1 end end
fault["pressure-out-of-window"] = function(row, t) if in_fault(t) then row.iso_pressure, row.resin_pressure = value, value end end
fault["inlet-starvation"] = function(row, t) -- value: of the pressure; count: percent of the flow
  if in_fault(t, 5) then row.resin_pressure, row.resin_flow = row.resin_pressure * (1 - value), row.resin_flow * (1 - count / 100) end
end
fault.restriction = function(row, t) if t >= 3000 then row.iso_flow, row.resin_flow = row.iso_flow * value, row.resin_flow * value end end
fault["iso-temperature-out"] = function(row, t) if in_fault(t) then row.iso_temperature = value end end
fault["resin-temperature-out"] = function(row, t) if in_fault(t) then row.resin_temperature = value end end
fault["hose-temperature-out"] = function(row, t) if in_fault(t) then row.iso_hose, row.resin_hose = value, value end end
fault["cold-hose"] = function(row, t) if in_fault(t) then row.iso_hose, row.resin_hose = 47, 47 - value end end
fault["heater-shortfall"] = fault["iso-temperature-out"]
fault["slow-warm-up"] = function(row, t) if t < value then row.iso_temperature = 30 end end
fault["dew-point-spread"] = function(row) row.air, row.humidity, row.surface = 20, 50, value end
fault["air-temperature-out"] = function(row) row.air = value end
fault["surface-temperature-out"] = function(row) row.surface = value end
fault["humidity-out"] = function(row) row.humidity = value end
fault["wind-out"] = function(row) row.wind = value end
fault["stuck-sensor"] = function(row, t) if t >= 270 and t <= 270 + value then row.iso_temperature = 46.3 end end
fault["implausible-reading"] = fault["iso-temperature-out"]
fault["drum-change"] = function(row, t) if t >= 345 then row.back = value end end
fault["ratio-jump"] = function(row, t) if t >= 1500 and t < 1800 then row.resin_flow = row.iso_flow / value end end
fault["ratio-shift"] = function(row, t) if t >= 2100 then row.resin_flow = row.resin_flow / value end end
fault["ratio-drift"] = function(row, t) row.resin_flow = row.resin_flow / (1 + (value - 1) * t / 4500) end

local iso_count, resin_count = 0, 0
for i = 0, rows - 1 do
  local t, wave = i * step, i % 2 == 0 and 0.1 or -0.1
  local spraying = is_spraying(t)
  local window = t // 300 % 2 == 0 and 1.002 or 0.998 -- the ratio of each five minutes
  local row = { iso_temperature = 47 + wave, resin_temperature = 47 - wave, iso_hose = 47 + wave, resin_hose = 47 + wave, iso_pressure = 90 + wave,
                resin_pressure = 90 - wave, iso_flow = spraying and 2.6 + wave / 10 or 0, resin_flow = spraying and (2.6 + wave / 10) / window or 0,
                air = 14, humidity = 50, surface = 14, wind = 0.5, back = 0 }
  if fault[kind] then fault[kind](row, t) end
  iso_count = iso_count + row.iso_flow / 60 * step / 0.096
  resin_count = resin_count + row.resin_flow / 60 * step / 0.096
  print(string.format("%g,%d,%.6g,%.6g,%.6g,%.6g,%.6g,%.6g,%.9g,%.9g,%d,%d,%.6g,%.6g,%.6g,%.6g", t, spraying and 1 or 0, row.iso_temperature, row.resin_temperature,
    row.iso_hose, row.resin_hose, row.iso_pressure, row.resin_pressure, row.iso_flow, row.resin_flow, iso_count // 1 - row.back, resin_count // 1, row.air,
    row.humidity, row.surface, row.wind))
end
