-- The sandbox's own text, table and loading functions at their edges, as the manual of Lua 5.4 has them (sections 6.1, 6.4 to 6.6).
local imp = require "impinge"
local fails = require "fails"

-- gsub: a number replaces as its text does; what replaces may be a number; a sign at the end of a pattern's text is an error
assert(("a-b"):gsub("%-", 5) == "a5b" and ("abc"):gsub("b", 1.5) == "a1.5c")
assert(("abc"):gsub("%w", { a = 1, b = 2.5, c = false }) == "12.5c" and ("abc"):gsub("%w", function(letter) return letter == "b" and 7 or nil end) == "a7c")
assert(("hello"):gsub("(l)(l)", "%2%1%%") == "hell%o" and ("abc"):gsub("()b", "%1") == "a2c" and ("abc"):gsub("^%w", "x") == "xbc")
fails(function() return ("abc"):gsub("b", "%") end, "invalid use of '%' in replacement string")
fails(function() return ("abc"):gsub("b", "%a") end, "invalid use of '%' in replacement string")
fails(function() return ("abc"):gsub("b", true) end, "string/function/table")
assert(select(2, ("aaaa"):gsub("a", "b", 2)) == 2 and select(2, ("aaaa"):gsub("a", "b", 0)) == 0)
-- patterns: zeros are characters, a caret within is itself
assert(("a\0b"):find("\0", 1, true) == 2 and ("a\0b"):find "%z" == 2 and ("a\0b"):match "[^\0]+" == "a" and ("a^b"):find("^", 1, true) == 2)
assert(("a^b"):match "a^b" == "a^b" and ("$x"):match "^$x" == "$x" and #("a\0b"):gsub("\0", "") == 2)
assert(("abc"):find("", 4) == 4 and ("abc"):find("", 5) == nil and ("abc"):find("c", -1) == 3 and ("abc"):find("a", -100) == 1)
-- rep: nothing of nothing, and what no machine holds is refused before it is begun
assert(("x"):rep(0) == "" and ("x"):rep(-1) == "" and (""):rep(1e9) == "" and ("ab"):rep(3, "-") == "ab-ab-ab" and (""):rep(3, "-") == "--")
-- utf8: what is no character ends the walk with an error, wherever it stands
for _, bad in ipairs { "a\x80", "a\xC0\xAF", "a\xED\xA0\x80", "a\xF4\x90\x80\x80", "a\xF8\x88\x80\x80\x80", "a\xE2\x82", "a\xE2(\xA1", "\xC3(" } do
  fails(function() for _ in utf8.codes(bad) do end end, "invalid UTF-8 code")
end
local step, text = utf8.codes "é"
assert(step(text, 0) == 1 and step(text, 1) == nil and step(text, 5) == nil and step(text, -1) == nil)
fails(function() return step("\x80a", 1) end, "invalid UTF-8 code")

-- load: texts alone, as texts; a byte-order mark and a first line for the shell are no part of a script
fails(function() return load(function() end) end, "load: expected a text")
fails(function() return load("return 1", "x", "b") end, 'load: compiled code is not offered to scripts; mode is "t"')
assert(load("return 1", "x", "bt")() == 1 and load("return x", "x", "t", { x = 4 })() == 4)
fails(function() return load((" "):rep(5 * 1024 * 1024)) end, "load: a script has at most ")
-- require: names of small letters, digits, _ and dots between them
for _, name in ipairs { "", ".", ".fails", "fails.", "a..b", "Fails", "fai-ls", "../fails", ("a"):rep(200), "a/b" } do
  fails(function() return require(name) end, "require: ")
end
fails(function() return require "no_such.module_1" end, 'require: no module "no_such.module_1"; looked in ')

-- metatables
fails(function() setmetatable({}, 5) end, "nil or table")
fails(function() setmetatable({}) end, "nil or table")
fails(function() setmetatable(5, {}) end, "table expected")
fails(function() setmetatable({}, { __gc = function() end }) end, "__gc is not offered")
fails(function() setmetatable(setmetatable({}, { __metatable = false }), nil) end, "this table's metatable is protected")
assert(getmetatable(setmetatable(setmetatable({}, {}), nil)) == nil)

-- sorting: by < where there is one, also where only one side has it; else a sentence
local least = { __lt = function(a, b) return (type(a) == "table" and a.value or a) < (type(b) == "table" and b.value or b) end }
local mixed = { setmetatable({ value = 3 }, least), 2, setmetatable({ value = 1 }, least) }
table.sort(mixed)
assert(mixed[1].value == 1 and mixed[2] == 2 and mixed[3].value == 3)
fails(function() table.sort { 1, {} } end, "table.sort: cannot compare a ")
fails(function() table.sort { true, false } end, "table.sort: cannot compare a boolean with a boolean")
-- sorted_pairs: numbers, then texts, then false and true
local keys = {}
for key in imp.sorted_pairs { [true] = 1, [false] = 1, b = 1, a = 1, ["a\0"] = 1, [2] = 1, [1.5] = 1, [-1] = 1 } do keys[#keys + 1] = tostring(key) end
assert(table.concat(keys, ",") == "-1,1.5,2,a,a\0,b,false,true", table.concat(keys, ","))
fails(function() imp.sorted_pairs { [{}] = 1 } end, "sorted_pairs: keys must be numbers or texts, got a table")
fails(function() imp.sorted_pairs(5) end, "sorted_pairs: expected a table, got 5")
fails(function() return imp[5] end, "")

-- a pattern longer than what is kept at hand, and capitals among sorted names
local long = ("[a-c]"):rep(300)
assert(("abc"):rep(100):match(long) == ("abc"):rep(100) and ("abc"):rep(200):gsub(long, "x") == "xx" and ("abc"):rep(99):find(long) == nil)

-- units are kept once each, and there is an end to them
fails(function()
  for a = -6, 6 do for b = -6, 6 do for c = -6, 6 do for d = -6, 6 do
    q(1, ("m^%d s^%d kg^%d K^%d"):format(a, b, c, d))
  end end end end
end, "more than 10000 different unit texts")

print() -- an empty line
print(1, nil, "x")
