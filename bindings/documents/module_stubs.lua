---@meta impinge
-- What `require "impinge"` gives. The build adds every calculation of the catalogue; a test compares all names with the
-- module's own.

---A number with its unit. Pure quantities and Lua numbers mix freely.
---@class impinge.quantity
---@operator add(impinge.quantity|number): impinge.quantity
---@operator sub(impinge.quantity|number): impinge.quantity
---@operator mul(impinge.quantity|number): impinge.quantity
---@operator div(impinge.quantity|number): impinge.quantity
---@operator pow(number): impinge.quantity
---@operator unm: impinge.quantity
local quantity = {}

---An input as scripts may write it: a quantity, a text such as "20 degC", or a number where a pure number is meant.
---@alias impinge.value impinge.quantity|string|number

---@class impinge
---@field version string the program's version, "0.1.0"
---@field api_level integer names and meanings up to this level stay
local imp = {}
imp.version, imp.api_level = "", 0

---The text in another unit: q"1200 psi":to "bar" is "82.7371 bar".
---@param unit string
---@param digits? integer significant digits, 6 if not given
---@return string
function quantity:to(unit, digits) end

---The number in a unit.
---@param unit string
---@return number
function quantity:value(unit) end

---The unit in which it is shown.
---@return string
function quantity:unit() end

---The text in its own unit.
---@param digits? integer significant digits
---@return string
function quantity:format(digits) end

---@return impinge.quantity
function quantity:abs() end

---@return impinge.quantity
function quantity:sqrt() end

---The smallest of this and others.
---@param ... impinge.quantity
---@return impinge.quantity
function quantity:min(...) end

---The largest of this and others.
---@param ... impinge.quantity
---@return impinge.quantity
function quantity:max(...) end

---A quantity: q"1200 psi", q(1200, "psi"), q(12); with a quantity and a unit the same quantity, shown in that unit.
---@param value string|number|impinge.quantity
---@param unit? string
---@return impinge.quantity
function imp.q(value, unit) end

---@param value any
---@return boolean
function imp.is_quantity(value) end

---The number with the fewest digits that read back the same, without its unit.
---@param value impinge.quantity|number
---@param unit? string
---@return string
function imp.exact(value, unit) end

---The value at a dotted path of a job record, or nil where it is not given; a path that no job has is an error.
---@param job table
---@param path string such as "site.air_temperature"
---@return any
function imp.path(job, path) end

---The ids of all calculations.
---@return string[]
function imp.catalogue() end

---Everything that is known of a calculation: id, title, formula, source, validity, inputs, outputs.
---@param calculation impinge.id|table
---@return table
function imp.explain(calculation) end

---A calculation opened to its inputs, steps and results.
---@param request { calculation: impinge.id|table, with: table }
---@return table
function imp.sheet(request) end

---Declare a calculator of your own: inputs, outputs and a compute function. It is called as the catalogue's are.
---@param declaration table
---@return fun(with: table): any
function imp.calculator(declaration) end

---The calculators declared so far.
---@return table[]
function imp.calculators() end

---The values of one input for which a result is the one asked for: the first, and all.
---@param request { calculation: impinge.id|table, with: table, unknown: string, target: table<string, impinge.value> }
---@return impinge.quantity first
---@return impinge.quantity[] all
function imp.solve_for(request) end

---Results along a range of one input: arrays by name, and the names in order.
---@param request { calculation: impinge.id|table, with: table, vary: string, from: impinge.value, to: impinge.value, steps?: integer }
---@return table<string, any[]> columns
---@return string[] names
function imp.sweep(request) end

---How much each result moves with each input: by result, by input, derivative and elasticity.
---@param request { calculation: impinge.id|table, with: table }
---@return table<string, table<string, { derivative: impinge.quantity, elasticity: number }>>
function imp.sensitivity(request) end

---The standard uncertainty of the results from those of the inputs.
---@param request { calculation: impinge.id|table, with: table, sd: table<string, impinge.value>, draws?: integer, seed?: integer }
---@return table<string, { linear: impinge.quantity, simulated: impinge.quantity, simulated_error: impinge.quantity, mean: impinge.quantity }>
function imp.uncertainty(request) end

---An error where this impinge has a lower API level than the script needs.
---@param level integer
function imp.require_api(level) end

---Like pairs, numbers first, then texts in the order of their bytes.
---@generic K, V
---@param t table<K, V>
---@return fun(): K, V
function imp.sorted_pairs(t) end
