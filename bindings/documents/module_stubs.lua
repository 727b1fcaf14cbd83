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

---A column of a log, or numbers in memory. A log's columns are lazy: an answer that is not there yet takes one pass over
---the file, which gives all that was asked for with later() too. Masks are columns of 1, 0 and missing.
---@class impinge.column
---@field [integer] impinge.quantity? of a column in memory
---@operator add(impinge.column|impinge.value): impinge.column
---@operator sub(impinge.column|impinge.value): impinge.column
---@operator mul(impinge.column|impinge.value): impinge.column
---@operator div(impinge.column|impinge.value): impinge.column
---@operator pow(number): impinge.column
---@operator unm: impinge.column
---@operator band(impinge.column): impinge.column
---@operator bor(impinge.column): impinge.column
---@operator bnot: impinge.column
---@operator len: integer
local column = {}

---A column of numbers in memory; not-a-number is missing.
---@param values (number|impinge.quantity)[]
---@param unit? string
---@return impinge.column
function imp.column(values, unit) end

---@param value any
---@return boolean
function imp.is_column(value) end

---Each row: the absolute value.
---@return impinge.column
function column:abs() end

---Each row: the square root.
---@return impinge.column
function column:sqrt() end

---Each row: by time, to the row before.
---@return impinge.column
function column:rate() end

---Each row: from the row before.
---@return impinge.column
function column:change() end

---Each row: the time each row counts for.
---@return impinge.column
function column:duration() end

---Mean of what is present in the window before each row.
---@param window impinge.quantity
---@return impinge.column
function column:rolling(window) end

---The lesser of two, row by row.
---@param other impinge.column|impinge.value
---@return impinge.column
function column:lesser(other) end

---The greater of two, row by row.
---@param other impinge.column|impinge.value
---@return impinge.column
function column:greater(other) end

---The other where a row is missing.
---@param other impinge.column|impinge.value
---@return impinge.column
function column:or_else(other) end

---Mask of the rows that are > the other.
---@param other impinge.column|impinge.value
---@return impinge.column
function column:above(other) end

---Mask of the rows that are >= the other.
---@param other impinge.column|impinge.value
---@return impinge.column
function column:at_least(other) end

---Mask of the rows that are < the other.
---@param other impinge.column|impinge.value
---@return impinge.column
function column:below(other) end

---Mask of the rows that are <= the other.
---@param other impinge.column|impinge.value
---@return impinge.column
function column:at_most(other) end

---Mask of the rows that are == the other.
---@param other impinge.column|impinge.value
---@return impinge.column
function column:equals(other) end

---Mask of the rows that are ~= the other.
---@param other impinge.column|impinge.value
---@return impinge.column
function column:differs(other) end

---Mask of the rows within two limits.
---@param low impinge.column|impinge.value
---@param high impinge.column|impinge.value
---@return impinge.column
function column:between(low, high) end

---Mask of the rows beyond two limits.
---@param low impinge.column|impinge.value
---@param high impinge.column|impinge.value
---@return impinge.column
function column:outside(low, high) end

---Mask of the rows that hold a value.
---@return impinge.column
function column:present() end

---Mask of the rows that hold none.
---@return impinge.column
function column:missing() end

---Mask of the rows whose value has been the same for at least that time.
---@param time impinge.quantity
---@return impinge.column
function column:unchanged(time) end

---Both masks.
---@param mask impinge.column
---@return impinge.column
function column:both(mask) end

---One mask or both.
---@param mask impinge.column
---@return impinge.column
function column:either(mask) end

---Where the mask is not.
---@return impinge.column
function column:opposite() end

---The mask where it holds without a break for at least that time.
---@param time impinge.quantity
---@return impinge.column
function column:lasting(time) end

---What the mask lets through; missing elsewhere.
---@param mask impinge.column
---@return impinge.column
function column:where(mask) end

---The sum of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:sum(rows) end

---The mean of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:mean(rows) end

---The sample standard deviation of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:sd(rows) end

---The least of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:min(rows) end

---The greatest of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:max(rows) end

---The first of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:first(rows) end

---The last of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:last(rows) end

---The time that rows count for of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:time(rows) end

---The sum of value times time of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:integral(rows) end

---The integral by trapezoids of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:trapezoid(rows) end

---The mean over time of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:time_mean(rows) end

---The sum of all increases of all rows, or of those in a mask or span; nil where no row counts.
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:increase(rows) end

---How many rows hold a value, of all or of those in a mask or span.
---@param rows? impinge.column|impinge.span
---@return integer
function column:count(rows) end

---The value below which the share p of the rows lies.
---@param p number
---@param rows? impinge.column|impinge.span
---@return impinge.quantity?
function column:quantile(p, rows) end

---By steps of time: columns in memory.
---@param step impinge.quantity
---@param rows? impinge.column
---@return { time: impinge.column, count: impinge.column, mean: impinge.column, min: impinge.column, max: impinge.column }
function column:resample(step, rows) end

---A stretch of rows in which a mask holds.
---@class impinge.span
---@field from string
---@field to string
---@field start impinge.quantity
---@field finish impinge.quantity
---@field duration impinge.quantity
---@field rows integer

---The stretches of a mask, for a loop; what a span is asked of the columns named here takes no other pass.
---@param ... impinge.column
---@return fun(): impinge.span?
function column:spans(...) end

---An answer that comes with the next pass.
---@class impinge.answer
---@field get fun(self: impinge.answer): any makes the pass that is needed

---The same column, whose answers wait for the next pass.
---@return impinge.column
function column:later() end

---Plain numbers of a column in memory; missing ones are not-a-number.
---@param unit string
---@return number[]
function column:values(unit) end

---The unit in which it is shown.
---@return string
function column:unit() end

---A job log. Its columns are fields too: day.iso_flow, day.time.
---@class impinge.day
---@field [string] impinge.column
local day = {}

imp.log = {}

---Open a log. A sandboxed script opens only the files named on the command line.
---@param path string
---@param options? { columns?: string, gap?: impinge.quantity } columns: a file that says what the columns are
---@return impinge.day
function imp.log.open(path, options) end

---@param name string
---@return impinge.column
function day:column(name) end

---@param name string
---@return boolean
function day:has(name) end

---@return { name: string, unit: string, known: boolean }[]
function day:columns() end

---Mask of the rows while spraying; nil where the log does not tell.
---@return impinge.column?
function day:spraying() end

---Every row: numbers in the columns' own units, nil where missing. Return false to stop.
---@param columns (string|impinge.column)[]
---@param each fun(time: number, ...): boolean?
function day:rows(columns, each) end

---Times, volumes and ratio.
---@param options? table
---@return table
function day:summary(options) end

---What is wrong with the file.
---@return table
function day:faults() end

---Whether time is a date and time of day, and how far its zone is from UTC.
---@return boolean
---@return impinge.quantity?
function day:clock() end

---The same time, or the longer one that a point of a series stands for in a log of this length.
---@param time impinge.quantity
---@return impinge.quantity
function day:period(time) end

function day:close() end

imp.stats = {}

---Chart of exponentially weighted averages of a column in memory.
---@param values impinge.column
---@param options? { weight?: number, width?: number, target?: impinge.value, sd?: impinge.value }
---@return { averages: impinge.column, lower: impinge.column, upper: impinge.column, target: impinge.quantity, sd: impinge.quantity, signals: integer[] }
function imp.stats.ewma(values, options) end

---Cumulative sums of a column in memory; k and h are numbers of standard deviations.
---@param values impinge.column
---@param options? { k?: number, h?: number, target?: impinge.value, sd?: impinge.value }
---@return { high: impinge.column, low: impinge.column, target: impinge.quantity, sd: impinge.quantity, k: number, h: number, first: integer?, signals: integer[] }
function imp.stats.cusum(values, options) end
