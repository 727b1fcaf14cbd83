-- Calculators declared in a script: as entries of the catalogue, and what is refused.
local fails = require "fails"

local function declared(fields)
  local whole = { id = "slab", title = "Mass of a slab", inputs = { { name = "length", unit = "m", low = q "0 m", high = q "10 m", open = "low" } },
    outputs = { { name = "mass", unit = "kg" } }, compute = function(given) return given.length * q "2 kg/m" end }
  for name, value in pairs(fields or {}) do whole[name] = value end
  return whole
end

local count = 0
local function fresh(fields)
  count = count + 1
  local whole = declared(fields)
  whole.id = "slab_" .. count
  return calculator(whole)
end

-- a declared calculator is called, explained and opened as an entry is
local foam = calculator {
  id = "foam", title = "Foam", formula = "m = A d rho", source = "yield.foam", validity = "here",
  inputs = {
    { name = "area", symbol = "A", unit = "m^2", low = q "0 m^2", high = q "1000 m^2", open = "low", help = "plain" },
    { name = "thickness", symbol = "d", unit = "mm", low = q "0 mm", high = q "500 mm", default = q "50 mm" },
    { name = "kind", choices = { "closed", "open" }, default = "closed" },
    { name = "layers", choices = { 1, 2 }, default = 2 },
    { name = "extra", kind = "list", unit = "kg", optional = true },
    { name = "double", kind = "flag", default = false },
    { name = "label", kind = "text", optional = true },
  },
  outputs = { { name = "mass", unit = "kg", digits = 3 }, { name = "kind", choices = { "closed", "open" } }, { name = "note", unit = "%", optional = true } },
  compute = function(given)
    local mass = imp.yield.foam { area = given.area, thickness = given.thickness, in_place_density = q "35 kg/m^3", loss = 0 }.mass
    for _, more in ipairs(given.extra or {}) do mass = mass + more end
    if given.double then mass = mass * 2 end
    if given.label == "none" then return nil, "no label, no foam" end
    assert(given.layers == "2")
    return { mass = mass, kind = given.kind }
  end,
  cases = { { inputs = {}, expect = {} } },
}
local result = foam { area = "100 m^2" } -- by hand: 100 m^2 of 50 mm of 35 kg/m^3
assert(result.mass == q "175 kg" and result.mass:unit() == "kg" and result.kind == "closed" and result.note == nil)
assert(foam { area = q "100 m^2", thickness = q "10 cm", kind = "open", extra = { q "10 kg", "5 kg" }, double = true }.mass == q "730 kg")
assert(tostring(foam) == "calculator foam" and foam.id == "foam" and foam.title == "Foam" and #foam.cases == 1 and foam.place:find "calculators.lua:%d+$")
assert(imp.calculators()[1] == foam)
local about = imp.explain(foam)
assert(about.id == "foam" and about.source == "yield.foam" and about.inputs[1].help == "plain" and about.inputs[1].low == q "0 m^2")
assert(about.inputs[1].open_low and about.inputs[1].required and about.inputs[2].default == q "50 mm" and about.inputs[3].choices[2] == "open")
assert(about.inputs[1].dimension == "an area" and about.inputs[5].kind == "list" and about.inputs[6].kind == "flag")
local sheet = imp.sheet { calculation = foam, with = { area = q "100 m^2" } }
local steps, found = 0, false
for _, line in ipairs(sheet.lines) do
  if line.role == "step" then steps = steps + 1 found = found or line.name == "mass by yield.foam" and line.value == q "175 kg" end
end
assert(steps == 3 and found, "the calculations inside are steps of the sheet")
assert(sheet.lines[1].symbol == "A" and sheet.lines[1].value == q "100 m^2")

-- one output comes back bare; compute may give it bare
local slab = fresh()
assert(slab { length = q "3 m" } == q "6 kg" and imp.is_quantity(slab { length = "3 m" }))

-- one calculator inside another, and inside itself
local pair = fresh { compute = function(given) return slab { length = given.length } + slab { length = given.length / 2 } end }
assert(pair { length = q "4 m" } == q "12 kg")
local tower
tower = fresh { compute = function(given) return given.length < q "1 m" and q "0 kg" or q "1 kg" + tower { length = given.length / 2 } end }
assert(tower { length = q "8 m" } == q "4 kg")

-- money keeps its currency
local price = calculator { id = "price", title = "Price", inputs = { { name = "unit_price", unit = "money/kg" } }, outputs = { { name = "cost", unit = "money" } },
  compute = function(given) return given.unit_price * q "3 kg" end }
assert(tostring(price { unit_price = q "2 EUR/kg" }) == "6 EUR")

-- what goes wrong in compute names the calculator, the file and the line
fails(function() fresh { compute = function(given) return given.length + q "3 bar" end } { length = q "1 m" } end, "cannot add a length and a pressure")
fails(function() fresh { compute = function(given) return given.lenght * q "1 kg/m" end } { length = q "1 m" } end,
  'has no input "lenght"; did you mean "length"?')
fails(function() fresh { compute = function() return q "3 m" end } { length = q "1 m" } end, "compute: mass: expected a mass")
fails(function() fresh { compute = function() return { mas = q "3 kg" } end } { length = q "1 m" } end,
  'compute: returned "mas", which is no output; did you mean "mass"?')
fails(function() fresh { compute = function() return {} end } { length = q "1 m" } end, 'compute: returned no "mass"')
fails(function() fresh { compute = function() end } { length = q "1 m" } end, "compute: expected a table of the outputs, as in { mass = ... }, got nothing")
fails(function() fresh { compute = function() return 0 / 0 end, outputs = { { name = "share" } } } { length = q "1 m" } end, "not a finite number")
fails(function() foam { area = q "1 m^2", label = "none" } end, "foam: no label, no foam")
fails(function() foam { area = q "2000 m^2" } end, "foam: area: 2000 m^2 is above 1000 m^2")
fails(function() foam {} end, "foam: missing area")
fails(function() foam { aera = q "1 m^2" } end, 'foam: aera: unknown input; did you mean "area"?')
fails(function() foam(3) end, "foam: expected named inputs in braces")
fails(function() return foam.titel end, 'a calculator has no "titel"')
local endless
endless = fresh { compute = function(given) return endless { length = given.length } end }
fails(function() endless { length = q "1 m" } end, "stack overflow")

-- declarations that are refused, each with the place
local function refused(fields, part) fails(function() calculator(declared(fields)) end, part) end
refused({ titel = "x" }, 'calculator slab: unknown field "titel"; did you mean "title"?')
refused({ title = false }, "calculator slab: title: expected a text, got false")
refused({ id = "climate.dew_point" }, "is a calculation of the catalogue")
refused({ id = "Slab" }, "id: expected small letters")
refused({ id = "foam" }, "calculator foam: declared twice")
refused({ compute = 5 }, "calculator slab: compute: expected a function of the inputs, got 5")
refused({ cases = 5 }, "cases: expected a list of cases")
refused({ outputs = {} }, "outputs: expected 1 to 64 of them, got 0")
refused({ inputs = 3 }, "inputs: expected a list")
local function input(row, part) row.name = row.name or "length" refused({ inputs = { row } }, part) end
input({ unit = "smoots" }, "calculator slab: inputs: length: unit: ")
input({ unit = "kg m" }, "which no input or output can be")
input({ unit = "m", default = q "3 kg" }, "inputs: length: default: expected a length")
input({ unit = "m", default = q "30 m", high = q "10 m" }, "inputs: length: default: 30 m is above 10 m")
input({ unit = "m", low = q "2 m", high = q "1 m" }, "low: is not below high")
input({ unit = "m", open = "top" }, "open: expected low, high or both")
input({ unit = "m", helps = "x" }, 'unknown field "helps"; did you mean "help"?')
input({ kind = "table" }, "kind: expected one of number, choice, list, flag, text")
input({ kind = "choice" }, '"choice" and choices go together')
input({ choices = {} }, "choices: expected 1 to 64 texts")
input({ choices = { "a" }, default = "b" }, "default: expected one of a")
input({ kind = "list", unit = "m", default = q "1 m" }, "a list or a text has none")
input({ optional = "yes" }, 'optional: expected true or false, got "yes"')
input({ name = "Length" }, "name: expected small letters")
refused({ inputs = { { name = "a" }, { name = "a" } } }, "inputs: a: named twice")
refused({ outputs = { { name = "a", kind = "text" } } }, "an output is a number, a choice or a flag")
refused({ outputs = { { name = "a", digits = 0 } } }, "digits: expected a whole number from 1 to 15")
local many = {}
for i = 1, 33 do many[i] = { name = "x" .. i } end
refused({ inputs = many }, "inputs: expected 0 to 32 of them, got 33")
fails(function() calculator "foam" end, 'expected its fields in braces, as in calculator { id = "...", ... }, got "foam"')
