-- Rows of calculators and requests to the engine that cannot be meant, each refused with its place; and what just may be.
local fails = require "fails"

local function declared(fields)
  local whole = { id = "plate", title = "A plate", inputs = { { name = "x", low = 0, high = 10 } }, outputs = { { name = "y" } },
    compute = function(given) return given.x end }
  for name, value in pairs(fields) do whole[name] = value end
  return whole
end
local function refused(fields, part) fails(function() calculator(declared(fields)) end, part) end
local function input(row, part) row.name = row.name or "x" refused({ inputs = { row } }, part) end

-- texts
refused({ title = "" }, "calculator plate: title: expected a text of 1 to ")
refused({ title = ("x"):rep(5000) }, "calculator plate: title: expected a text of 1 to ")
refused({ title = "a\0b" }, "calculator plate: title: expected a text of 1 to ")
refused({ [5] = "x" }, 'calculator plate: unknown field "?"')
refused({ zzzzzzzzzzzzzz = "x" }, 'calculator plate: unknown field "zzzzzzzzzzzzzz"')
for _, id in ipairs { "", "_plate", "9plate", "plate!", "plate.", "Plate", ("p"):rep(200), "pl ate", "plaTe", "plate-1", "pl{te" } do
  refused({ id = id }, "calculator: id: expected ")
end
for _, name in ipairs { "x.y", "X", "1x", "x y", ("x"):rep(200), "x~" } do input({ name = name }, "name: expected small letters, digits and _") end
fails(function() local whole = declared {} whole.id = nil calculator(whole) end, "calculator: id: expected a text, got nothing")

-- rows
refused({ inputs = { 5 } }, "calculator plate: inputs: each: expected a row in braces")
input({ choices = 5 }, "choices: expected a list of texts, got 5")
input({ choices = { "a", true } }, "choices: expected texts, got true")
input({ choices = { {} } }, "choices: expected texts, got ")
local many = {}
for i = 1, 1000 do many[i] = "choice_" .. i end
input({ choices = many }, "choices: expected 1 to ")
input({ kind = "flag", choices = { "a" } }, '"choice" and choices go together')
input({ kind = "text", default = "a" }, "default: a list or a text has none; make it optional")
input({ optional = true, default = 1 }, "default: an input is optional or has a default, not both")
input({ kind = "flag", default = 1 }, "default: expected ")
for _, digits in ipairs { 16, 0, 1.5, "3", true, -1 } do
  refused({ outputs = { { name = "y", digits = digits } } }, "outputs: y: digits: expected a whole number from 1 to 15, got ")
end
refused({ outputs = { { name = "y", kind = "list" } } }, "kind: an output is a number, a choice or a flag")
refused({ outputs = { { name = "y", default = 1 } } }, 'unknown field "default"')

-- results
local count = 0
local function answers(compute, outputs)
  count = count + 1
  return calculator(declared { id = "plate_" .. count, compute = compute, outputs = outputs or { { name = "y" } } })
end
fails(function() answers(function() return { zzzzzzzzz = 1 } end) { x = 1 } end, 'compute: returned "zzzzzzzzz", which is no output of plate_1')
fails(function() answers(function() return { [5] = 1 } end) { x = 1 } end, 'compute: returned "?", which is no output')
fails(function() answers(function() return { y = "glorp" } end) { x = 1 } end, "compute: y: ")
fails(function() answers(function() return 1 end, { { name = "y" }, { name = "z" } }) { x = 1 } end, "compute: expected a table of the outputs, as in { y = ... }, got 1")
fails(function() answers(function(given) return given.zzzzzzzzzz end) { x = 1 } end, 'plate_5 has no input "zzzzzzzzzz"')
fails(function() answers(function(given) return given[5] end) { x = 1 } end, 'plate_6 has no input "?"')
fails(function() answers(function() return 1 end, { { name = "y", kind = "flag" } }) { x = 1 } end, "compute: y: expected ")
local reports = answers(function(given) return given.x, "not used" end)
assert(reports { x = 3 } == q "3", "a second value is a reason only where there is no first")
fails(function() answers(function() return nil, "the plate is bare" end) { x = 1 } end, "the plate is bare")
fails(function() return reports[5] end, "a calculator has no ")
assert(tostring(reports) == "calculator plate_8", tostring(reports))

-- a reason that is handed on by calculators in calculators is cut at whole letters
local deepest = answers(function() error(("é"):rep(200), 0) end)
local deeper = answers(function(given) return deepest { x = given.x } end)
local ok, message = pcall(deeper, { x = 1 })
assert(not ok and utf8.len(message), "the letters stay whole")
ok, message = pcall(function() return q(1, ("é"):rep(100)) end)
assert(not ok and utf8.len(message), message)
for shift = 0, 3 do
  ok, message = pcall(function() return imp.stats.mean { values = ("x"):rep(shift) .. ("é"):rep(100) } end)
  assert(not ok and utf8.len(message), message)
end

-- the engine
local words = answers(function(given) return { y = given.x, high = given.x > 1 } end, { { name = "y" }, { name = "high", kind = "flag" } })
local chosen = calculator { id = "chosen", title = "By a word", inputs = { { name = "x", low = 0, high = 9 }, { name = "word", choices = { "a", "b" } } },
  outputs = { { name = "y" } }, compute = function(given) return given.word == "a" and given.x or 2 * given.x end }
local with = { x = 1, word = "b" }
fails(function() imp.solve_for { calculation = words, with = 5 } end, "solve_for: with: expected the inputs in braces, as in { name = value }, got 5")
fails(function() imp.solve_for { calculation = words, with = { x = {} } } end, "x: expected a pure number")
fails(function() imp.solve_for { calculation = words, unknown = 5 } end, "solve_for: unknown: expected the name of an input, got 5")
fails(function() imp.solve_for { calculation = words, unknown = "zzzzzzzzzz" } end, 'has no input "zzzzzzzzzz"')
fails(function() imp.solve_for { calculation = words, unknown = "x", target = 5 } end, "solve_for: target: expected one output with its value")
fails(function() imp.solve_for { calculation = words, unknown = "x", target = { [5] = 1 } } end, 'has no output "?"')
fails(function() imp.solve_for { calculation = words, unknown = "x", target = { y = 1, high = true } } end, "solve_for: target: expected one output, got several")
fails(function() imp.solve_for { calculation = words, unknown = "x", target = { high = true } } end, "solve_for: target: high is not a number")
fails(function() imp.solve_for { calculation = words, [5] = 1 } end, 'solve_for: unknown field "?"')
fails(function() imp.solve_for { calculation = words, zzzzzzzzzzzzz = 1 } end, 'solve_for: unknown field "zzzzzzzzzzzzz"')
fails(function() imp.sweep { calculation = chosen, with = { x = 1 }, vary = "word", from = 1, to = 2 } end, "sweep: vary: word is not a number; only numbers can be varied")
for _, steps in ipairs { 10001, 0, "3", 2.5, true } do
  fails(function() imp.sweep { calculation = words, vary = "x", from = 0, to = 1, steps = steps } end, "sweep: steps: expected a whole number from 2 to 10000, got ")
end
fails(function() imp.uncertainty { calculation = chosen, with = with, sd = { word = 1 } } end, 'chosen has no input "word" that is a number')
fails(function() imp.uncertainty { calculation = chosen, with = with, sd = { 1 } } end, 'chosen has no input "?" that is a number')
-- flags have no slope and no spread, and are swept as they are
local table_of, names = imp.sweep { calculation = words, vary = "x", from = 0, to = 2, steps = 3 }
assert(table_of.high[1] == false and table_of.high[3] == true and names[3] == "high")
local slopes = imp.sensitivity { calculation = words, with = { x = 1.5 } }
assert(slopes.high == nil and math.abs(slopes.y.x.derivative:value "1" - 1) < 1e-6)
local spreads = imp.uncertainty { calculation = words, with = { x = 1.5 }, sd = { x = 0.1 }, draws = 100 }
assert(spreads.high == nil and math.abs(spreads.y.linear:value "1" - 0.1) < 1e-6)
-- a calculation without inputs has nothing that could be missing
local constant = calculator { id = "constant", title = "A constant", inputs = {}, outputs = { { name = "y" } }, compute = function() return 3 end }
assert(constant {} == q "3")
fails(function() return constant(5) end, "constant: expected named inputs in braces, as in { name = ... }, got 5")
fails(function() return imp.climate[5] end, 'no calculation "climate.?"')
fails(function() return imp.climate.zzzzzzzzzzzzz end, 'no calculation "climate.zzzzzzzzzzzzz"')
