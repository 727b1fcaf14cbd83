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

-- Whether a rule reads a path: itself, or a record that it lies in.
local function reads_path(reads, path)
  for _, read in ipairs(reads) do
    if path == read or path:sub(1, #read + 1) == read .. "." then return true end
  end
  return false
end

local function is_same(a, b)
  local ok, same = pcall(function() return a == b or (a / b - 1):abs() < imp.q(1e-9) end)
  return ok and same
end

-- The other rules that read a path: direct ones judge its very value, such as a setting against its window; of the rest, those
-- that do not stop already. A silenced one holds nobody; one that stops for reasons of its own is told of by its own finding.
local function neighbours_of(path, present, rule, neighbours)
  local direct, others = {}, {}
  for _, neighbour in ipairs(neighbours or {}) do
    local finding = neighbour.finding
    if neighbour.rule ~= rule and not finding.silenced and reads_path(neighbour.reads, path) then
      if finding.value ~= nil and is_same(finding.value, present) then
        direct[#direct + 1] = neighbour.rule
      elseif finding.verdict ~= "stop" then
        others[#others + 1] = neighbour.rule
      end
    end
  end
  return direct, others
end

-- The first of some rules that stops with a value of the lever. Several rules ask the same of one: what it said is kept.
local function forbidding(rules, stage, path, value, said)
  local key = path .. "=" .. value:format(0)
  said[key] = said[key] or {}
  local stops = said[key]
  for _, rule in ipairs(rules) do
    if stops[rule] == nil then stops[rule] = evaluate.outcome(rule, stage, { [path] = value }).verdict == "stop" end
    if stops[rule] then return rule end
  end
end

-- How far a value of the lever gets: 2 go, 1 caution, 0 neither; and the same where the direct neighbours have a say.
local function grades(rule, stage, path, unit, direct, said)
  local own, among = {}, {}
  local function by_itself(number)
    if not own[number] then
      local outcome = evaluate.outcome(rule, stage, { [path] = imp.q(number, unit) })
      own[number] = outcome.verdict == "go" and 2 or outcome.verdict == "caution" and 1 or 0
    end
    return own[number]
  end
  return by_itself, function(number)
    if not among[number] then
      among[number] = by_itself(number)
      if among[number] > 0 and forbidding(direct, stage, path, imp.q(number, unit), said) then among[number] = 0 end
    end
    return among[number]
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
local function solve(rule, stage, lever, neighbours)
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
  local said = neighbours and neighbours.said or {}
  local direct, others = neighbours_of(path, present, rule, neighbours)
  local by_itself, among = grades(rule, stage, path, unit, direct, said)
  lever.sizes = sizes_of(lever)
  local start = present:value(unit)
  local function text_of(number)
    return ("%s at %s"):format(name, unit == "1" and ("%.10g"):format(number) or tostring(imp.q(number, unit)))
  end
  local function best(try)
    local number = search(try, 2, start, low, high, lever, unit)
    if number or by_itself(start) > 0 then return number, false end
    return search(try, 1, start, low, high, lever, unit), true
  end
  local number, only_caution = best(among)
  local forbidden = number and forbidding(others, stage, path, imp.q(number, unit), said)
  if number and not forbidden then
    answer.value, answer.only_caution = imp.q(number, unit), only_caution or nil
    answer.text = text_of(number) .. (only_caution and ", and then with caution" or "")
    return answer
  end
  if not number and #direct > 0 then
    number = best(by_itself)
    forbidden = number and forbidding(direct, stage, path, imp.q(number, unit), said)
  end
  answer.text = forbidden and ("%s, but then this stops: %s"):format(text_of(number), forbidden.title)
                or ("no %s within its range is enough by itself"):format(name)
  answer.never_enough = not forbidden or nil
  return answer
end

-- Answers in the order of the rule's levers; levers that the job does not give are left out. neighbours: { { rule=, finding=,
-- reads = { paths } }, ..., said = {} (kept between calls) }: all rules of the check, whose limits a value is held against too;
-- may be nil.
function levers.of(rule, stage, neighbours)
  local answers = {}
  for _, lever in ipairs(rule.lever or {}) do
    answers[#answers + 1] = solve(rule, stage, type(lever) == "string" and { path = lever } or lever, neighbours)
  end
  return answers
end

return levers
