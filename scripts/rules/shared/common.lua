-- common.lua: what rules of every group use: paths, limits of parts, dates.

local imp = require "impinge"

local common = {}

common.sides = { "iso", "resin" }

-- The first of several paths that has a value.
function common.first(job, paths)
  for _, path in ipairs(paths) do
    local value = imp.path(job, path)
    if value ~= nil then return value, path end
  end
end

-- The job's, else the material's, else the rig's limit of a name, else `default`; then, where the job's own is above the
-- others or the default, the strictest of these: { value=, origin= }.
function common.limit(job, name, default)
  local held, path = common.first(job, { "limits." .. name, "material.limits." .. name, "rig.limits." .. name })
  if path ~= "limits." .. name then return held or default end
  local strictest
  local function consider(value, origin)
    if value and value < held and not (strictest and strictest.value < value) then strictest = { value = value, origin = origin } end
  end
  for _, document in ipairs { "material", "rig" } do consider(imp.path(job, document .. ".limits." .. name), document) end
  consider(default, "default")
  return held, strictest
end

local function document_of(path)
  return path:match "^(material)%." or path:match "^(rig)%." or "job"
end

-- The lowest of a window's upper end ("window.pressure", the job's before the material's; nil for none) and the ratings
-- of parts. All ratings must be known, and one end of the window at least.
-- Returns the limit, where it comes from, the missing paths (with any missing, the true limit is that or lower) and, where
-- the job's window reaches higher than the material's, that one as a limit. Or nil, why not, and the missing paths.
function common.weakest(job, window, part_paths)
  local missing, lowest, path = {}, nil, nil
  if window then
    lowest, path = common.first(job, { window .. ".max", "material." .. window .. ".max" })
    if not lowest and not common.first(job, { window .. ".min", "material." .. window .. ".min" }) then
      missing[1] = "material." .. window .. ".max"
    end
  end
  for _, part in ipairs(part_paths) do
    local rating = imp.path(job, part)
    if rating == nil then
      missing[#missing + 1] = part
    elseif lowest == nil or rating < lowest then
      lowest, path = rating, part
    end
  end
  if lowest == nil then return nil, "missing: " .. table.concat(missing, ", "), missing end
  local material = window and imp.path(job, "material." .. window .. ".max")
  local loosened = material and material < lowest and { value = material, origin = "material" } or nil
  return lowest, document_of(path), missing, loosened
end

-- A supplier's time of zero is more likely a gap in the data than a time: a go is only a caution.
function common.caution_of_zero(time)
  if time:value "s" == 0 then return "the supplier's value is zero: check the data sheet" end
end

-- What the catalogue takes for an input of a calculation that is not given.
local defaults = {}
function common.default_of(calculation, name)
  if not defaults[calculation] then
    defaults[calculation] = {}
    for _, input in ipairs(imp.explain(calculation).inputs) do defaults[calculation][input.name] = input.default end
  end
  return defaults[calculation][name]
end

-- What is taken for granted, as one sentence, or nil. entries: { { path, "what is taken" }, ... } of what may be missing.
function common.assumed(job, entries)
  local said = {}
  for _, entry in ipairs(entries) do
    if imp.path(job, entry[1]) == nil then said[#said + 1] = ("%s (%s)"):format(entry[2], entry[1]) end
  end
  return #said > 0 and "Assumed, as the job does not say: " .. table.concat(said, "; ") .. "." or nil
end

-- What a record gives, as a plain table.
function common.given(view)
  local fields = {}
  for name, value in pairs(view) do fields[name] = value end
  return fields
end

-- Paths of several lists in one.
function common.join(...)
  local all = {}
  for _, list in ipairs { ... } do
    for _, path in ipairs(list) do all[#all + 1] = path end
  end
  return all
end

-- The same quantity, shown in another unit: arithmetic leaves products in base units.
function common.shown_in(unit, quantity)
  return imp.q(quantity:value(unit), unit)
end

-- Number of a day in the Gregorian calendar, counted from the years that begin with March.
local function day_number(date)
  local year, month, day = date:match "^(%d+)-(%d+)-(%d+)$"
  year, month, day = math.tointeger(year), math.tointeger(month), math.tointeger(day)
  if month <= 2 then year, month = year - 1, month + 12 end
  return 365 * year + year // 4 - year // 100 + year // 400 + (153 * (month - 3) + 2) // 5 + day
end

-- Days from one ISO date to another, negative when the other is earlier.
function common.days_between(from, to)
  return imp.q(day_number(to) - day_number(from), "d")
end

return common
