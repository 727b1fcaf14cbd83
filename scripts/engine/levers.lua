-- levers.lua: what would make a failing rule pass, solved for each lever in turn with the others as they are.

local imp = require "impinge"
local evaluate = require "engine.evaluate"
local fault = require "engine.fault"
local label = require "engine.label"

local levers = {}

local most_bisections = 40
local closest = 1e-5       -- of the number; finer than what is told is rounded to
local scan_points = 24     -- evenly over the range
local near_points = 14     -- closing in on the present value, each half as far as the one before

-- How far a value of the lever gets: 2 go, 1 caution, 0 neither.
local function grade(rule, stage, path, unit)
  local known = {}
  return function(number)
    if not known[number] then
      local outcome = evaluate.outcome(rule, stage, { [path] = imp.q(number, unit) })
      known[number] = outcome.verdict == "go" and 2 or outcome.verdict == "caution" and 1 or 0
    end
    return known[number]
  end
end

local function whole(number)
  return math.floor(number + 0.5)
end

-- Numbers worth trying above (direction 1) or below (-1) the present one, nearest first.
local function points(present, low, high, direction, is_whole)
  local far = direction > 0 and high or low
  local span = math.abs(far - present)
  local list, seen = {}, {}
  local function add(distance)
    local number = present + direction * distance
    if is_whole then number = whole(number) end
    if number < low or number > high or number == present or seen[number] then return end
    seen[number] = true
    list[#list + 1] = number
  end
  if is_whole and span <= 200 then
    for distance = 1, span do add(distance) end
    return list
  end
  for i = near_points, 1, -1 do add(span / 2 ^ (i + 4)) end
  for i = 1, scan_points do add(span * i / scan_points) end
  table.sort(list, function(a, b) return direction * a < direction * b end)
  return list
end

-- Between a number that passes and one that fails, driven together by bisection.
local function closed_in(try, wanted, passing, failing, is_whole)
  for _ = 1, most_bisections do
    local middle = (passing + failing) / 2
    if is_whole then middle = whole(middle) end
    if middle == passing or middle == failing then break end
    if math.abs(passing - failing) <= closest * math.max(math.abs(passing), math.abs(failing)) then break end
    if try(middle) >= wanted then passing = middle else failing = middle end
  end
  return passing, failing
end

-- The edge nearest to the present number, on either side: passing, failing. Both sides are walked away from the present
-- in step, so that neither is searched farther than the other's answer.
local function edge(try, wanted, present, low, high, is_whole)
  local side = { { direction = 1 }, { direction = -1 } }
  for _, walk in ipairs(side) do
    walk.points, walk.at, walk.failing = points(present, low, high, walk.direction, is_whole), 1, present
  end
  local up, down = side[1], side[2]
  local function distance(number) return number and math.abs(number - present) or math.huge end
  while up.points[up.at] or down.points[down.at] do
    local walk, other = up, down
    if distance(down.points[down.at]) < distance(up.points[up.at]) then walk, other = down, up end
    local number = walk.points[walk.at]
    if try(number) >= wanted then
      local passing, failing = closed_in(try, wanted, number, walk.failing, is_whole)
      local across = present - walk.direction * distance(passing)
      if across >= low and across <= high and distance(across) > distance(other.failing) and not is_whole
         and try(across) >= wanted then
        return closed_in(try, wanted, across, other.failing, is_whole)
      end
      return passing, failing
    end
    walk.failing, walk.at = number, walk.at + 1
  end
end

local function at_scale(round, number, scale)
  local result = round(number * scale) / scale
  return math.tointeger(result) or result
end

-- The passing number rounded as coarsely as still passes: to the nearest, else away from the failing one.
local function rounded(try, wanted, passing, failing, low, high, finest)
  local away = passing > failing and math.ceil or math.floor
  local size = math.max(math.abs(passing), 1e-12)
  local first = math.max(math.floor(math.log(size, 10)) - 2, finest or -12)
  for power = first, first - 5, -1 do
    for _, round in ipairs { whole, away } do
      local number = at_scale(round, passing, 10.0 ^ -power)
      if number >= low and number <= high and try(number) >= wanted then return number end
    end
  end
  return passing
end

local function listed(try, wanted, values, unit, present)
  local best, distance
  for _, value in ipairs(values) do
    local number = value:value(unit)
    if try(number) >= wanted and (not best or math.abs(number - present) < distance) then
      best, distance = number, math.abs(number - present)
    end
  end
  return best
end

local function search(try, wanted, present, low, high, lever, unit)
  if lever.sizes then return listed(try, wanted, lever.sizes, unit, present) end
  local passing, failing = edge(try, wanted, present, low, high, lever.whole)
  if not passing then return nil end
  if lever.whole then return passing end
  local is_temperature = unit == "degC" or unit == "degF"
  return rounded(try, wanted, passing, failing, low, high, is_temperature and -1 or nil)
end

-- values = { q "16 A", ... } or a function of the job that gives such a list: the sizes there are.
local function sizes_of(lever)
  if lever.values == nil or type(lever.values) == "table" then return lever.values end
  local ok, results = host.call(lever.values)
  return ok and results[1] or {}
end

-- An end of the range that a lever names: a quantity, or paths of which the one counts that holds first.
local function named_end(named, strictest, unit)
  if imp.is_quantity(named) then return named:value(unit) end
  local found
  for _, path in ipairs(named or {}) do
    local value = imp.path(host.job(), path)
    if imp.is_quantity(value) then
      local number = value:value(unit)
      found = found and strictest(found, number) or number
    end
  end
  return found
end

-- lever: { path= , values=, whole=, least=, most= }
local function solve(rule, stage, lever)
  local path = lever.path
  local name = label.of(path)
  local field = host.field(path)
  if not field then fault.raise("%s:%d: %q: no document has the lever %q", rule.file, rule.line, rule.id, path) end
  local answer = { path = path, label = name }
  local present = imp.path(host.job(), path)
  if not imp.is_quantity(present) or not field.low or not field.high then return nil end
  local unit = field.unit or "1"
  local low, high = field.low:value(unit), field.high:value(unit)
  high = math.min(high, named_end(lever.most, math.min, unit) or high)
  low = math.max(low, named_end(lever.least, math.max, unit) or low)
  local try = grade(rule, stage, path, unit)
  lever.sizes = sizes_of(lever)
  local function report(number, ending)
    answer.value = imp.q(number, unit)
    answer.text = ("%s at %s%s"):format(name, unit == "1" and ("%.10g"):format(number) or tostring(answer.value), ending)
    return answer
  end
  local start = present:value(unit)
  local number = search(try, 2, start, low, high, lever, unit)
  if number then return report(number, "") end
  if try(start) < 1 then
    number = search(try, 1, start, low, high, lever, unit)
    if number then
      answer.only_caution = true
      return report(number, ", and then with caution")
    end
  end
  answer.text = ("no %s within its range is enough by itself"):format(name)
  return answer
end

-- Answers in the order of the rule's levers; levers that the job does not give are left out.
function levers.of(rule, stage)
  local answers = {}
  for _, lever in ipairs(rule.lever or {}) do
    answers[#answers + 1] = solve(rule, stage, type(lever) == "string" and { path = lever } or lever)
  end
  return answers
end

return levers
