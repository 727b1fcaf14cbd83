-- What the sandbox offers of Lua's libraries behaves as Lua 5.4's reference manual says.
local fails = require "fails"

-- string (reference manual 6.4, and its examples)
assert(("hello"):rep(3, "-") == "hello-hello-hello" and ("x"):rep(0) == "" and ("x"):rep(-1) == "")
assert(("hello world"):gsub("(%w+)", "%1 %1") == "hello hello world world")
assert(("hello world"):gsub("%w+", "%0 %0", 1) == "hello hello world")
assert(("hello world from Lua"):gsub("(%w+)%s*(%w+)", "%2 %1") == "world hello Lua from")
assert(("4+5 = $return 4+5$"):gsub("%$(.-)%$", function(s) return load(s)() end) == "4+5 = 9")
assert(("$name-$version.tar.gz"):gsub("%$(%w+)", { name = "lua", version = "5.4" }) == "lua-5.4.tar.gz")
assert(("abc"):gsub("", "-") == "-a-b-c-" and ("abc"):gsub("%w", "%%%0") == "%a%b%c")
local pairs_found = {}
for k, v in ("from=world, to=Lua"):gmatch "(%w+)=(%w+)" do pairs_found[k] = v end
assert(pairs_found.from == "world" and pairs_found.to == "Lua")
assert(("flaaap"):match "()aa()" == 3 and select(2, ("flaaap"):match "()aa()") == 5)
assert(("THE (quick) fox"):find "%((%a+)%)" == 5 and ("a.b"):find(".", 1, true) == 2 and ("a.b"):find("b", -1) == 3)
assert(("THE (quick) fox"):gsub("%f[%a]%a+", string.lower) == "the (quick) fox" and ("x"):find("", 10) == nil)
assert(("f(a(b)c)d"):match "%b()" == "(a(b)c)" and ("say 'hi' twice"):match "(['\"])(.-)%1" == "'")
assert(#("x"):rep(100000):gsub("x", "yy") == 200000)
assert(("%d items: %5.2f %s"):format(3, 2.5, q "1 m") == "3 items:  2.50 1 m")
assert(("abc"):byte(-1) == 99 and string.char(72, 105) == "Hi" and ("abc"):reverse() == "cba" and ("abc"):sub(-2) == "bc")
assert(("10" + 5) == 15, "texts that are numbers still count")
fails(function() return ("x"):rep() end, "bad argument")
fails(function() return ("x"):gsub("x", "%2") end, "invalid capture index %2")
fails(function() return ("x"):gsub("x", "%x") end, "invalid use of '%'")
fails(function() return ("x"):gsub("x", function() return {} end) end, "invalid replacement value (a table)")
fails(function() return ("x"):gsub("x") end, "string/function/table")
fails(function() return ("x"):find "[a" end, "malformed pattern (missing ']')")

-- table (6.6)
local t = { 5, 3, 9, 1 }
table.sort(t)
assert(table.concat(t, " ") == "1 3 5 9")
table.sort(t, function(a, b) return a > b end)
assert(table.concat(t, " ", 2, 3) == "5 3")
for size = 0, 200 do
  local list, sum = {}, 0
  for i = 1, size do list[i] = math.random(50) sum = sum + list[i] end
  table.sort(list)
  for i = 2, size do assert(list[i - 1] <= list[i]) end
  for i = 1, size do sum = sum - list[i] end
  assert(sum == 0)
end
local lengths = { q "3 m", q "20 mm", q "1 ft" }
table.sort(lengths)
assert(lengths[1] == q "20 mm" and lengths[3] == q "3 m")
table.insert(t, 1, 7)
table.insert(t, 8)
assert(table.remove(t, 1) == 7 and table.remove(t) == 8 and #t == 4)
assert(table.concat(table.move({ 1, 2, 3 }, 2, 3, 1), " ") == "2 3 3" and select("#", table.unpack({ 1, nil, 3 }, 1, 3)) == 3)
assert(table.pack(1, nil).n == 2)
fails(function() table.sort { 1, "x" } end, "compare")
fails(function() table.insert(nil, 1) end, "table expected")
fails(function() table.insert({}, 5, 1) end, "out of bounds")

-- utf8 (6.5)
local codes = {}
for at, code in utf8.codes "aé€𐍈" do codes[#codes + 1] = at .. ":" .. code end
assert(table.concat(codes, " ") == "1:97 2:233 4:8364 7:66376")
assert(utf8.len "aé€𐍈" == 4 and utf8.char(233) == "é" and utf8.codepoint("é", 1) == 233 and utf8.offset("aé€", 3) == 4)
for _, bad in ipairs { "\xff", "\xc0\x80", "\xed\xa0\x80", "\xf4\x90\x80\x80", "a\x80", "\xe2\x82" } do
  fails(function() for _ in utf8.codes(bad) do end end, "invalid UTF-8 code")
end

-- base
assert(select(2, pcall(error, "x", 0)) == "x" and select("#", pcall(pcall)) == 2)
assert(select(2, pcall(error, { code = 7 })).code == 7, "an error keeps its value")
assert(select(2, xpcall(error, function(e) return "handled " .. e end, "x", 0)) == "handled x")
assert(xpcall(function(a, b) return a + b end, error, 2, 3) and select(2, xpcall(function(a, b) return a + b end, error, 2, 3)) == 5)
assert(setmetatable({}, { __index = { a = 1 } }).a == 1)
do
  local closed = false
  do local c <close> = setmetatable({}, { __close = function() closed = true end }) assert(c) end
  assert(closed, "a local with <close> is closed")
end
assert(load "return 1 + 1"() == 2 and select(2, load("x x", "chunk")):find "chunk")
assert(load("return a", "chunk", "t", { a = 3 })() == 3)
assert(rawget(_G, "nothing") == nil and tonumber "0x10" == 16 and tonumber("zz", 36) == 1295 and math.type(1) == "integer")
math.randomseed(5)
local first = math.random(1000)
math.randomseed(5)
assert(math.random(1000) == first)
fails(function() math.randomseed() end, "bad argument")

-- require: once a state, from the fixed folders
assert(require "neighbour" == require "neighbour" and require "neighbour".name == "neighbour")
fails(function() require "nowhere" end, 'no module "nowhere"; looked in')
fails(function() require(5) end, "expected a module's name")
fails(function() require "Neighbour" end, "not a module's name")
