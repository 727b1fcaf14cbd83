-- What the log engine may ask of the host, run as its script. The log is tests/logs/small.csv, an invented log of ten rows.
local fails = require "fails"
local folder = host.options().folder
local path = folder .. "/../../logs/small.csv"
local rules = {}
for _, each in ipairs(assert(host.load_rules(folder .. "/logs.lua")).rules) do rules[each.id] = each.compute end
local function says(part, nothing, message, about)
  assert(nothing == nil and message:find(part, 1, true) and type(about) == "table", tostring(message))
end

-- opening
says("nowhere.csv", host.log_open("/nowhere.csv", {}))
says("nowhere.json", host.log_open(path, { columns = "/nowhere.json" }))
says("logs.lua", host.log_open(path, { columns = folder .. "/logs.lua" }))
fails(function() host.log_open(path, { gap = -1 }) end, "expected a time above 0 s")
says("no partial result", host.log_bind("x", "{}"))
says("line 1", host.log_bind("x", "{"))
for _, name in ipairs { "log_ask", "log_answer", "log_partial", "log_merge", "log_summary" } do
  fails(function() host[name](5, {}) end, name .. ": expected a day")
end

-- asking: what cannot leave its state is numbered
local day = assert(host.log_open(path, { threads = 2 }))
fails(function() host.log_ask(day, print) end, "expected a function of a rule file")
local function ask(of, id, third)
  local ok, results, info = host.log_ask(of, rules[id], third)
  assert(ok, tostring(results))
  return results, info
end
local function refused(id, part)
  local ok, message = host.log_ask(day, rules[id])
  assert(ok == false and message:find(part, 1, true), tostring(message))
end
refused("column", "a column is no answer by itself")
refused("deep", "what a log rule gives is nested more than 8 deep")
refused("keys", "what a log rule gives has texts and numbers as keys")
refused("many", "the values of an event are a list of at most 8")
refused("unlabelled", "the values of an event are a list of at most 8")
refused("valueless", "the values of an event are a list of at most 8")
refused("fails", "deliberate")
refused("summary", "this needs the whole log, which is still to be read")
refused("rows", "a log rule speaks of columns")
refused("get", "")
local function ask_all(of)
  return { mask = ask(of, "mask")[1].answer, values = ask(of, "values")[1], later = ask(of, "later", q "7 K") }
end
local asked = ask_all(day)
assert(asked.values.labels[1] == "pressure" and asked.values.labels[2] == "flow" and asked.later[2] == "text" and asked.later[4] == true)
local later = asked.later[1]
assert(later.least == q "7 K" and later.altitude == q "250 m" and later.parts[1].label == "off" and later.parts[1].mask.labels[1] == "flow")
assert(later.parts[1].values == nil, "they stand with the mask's answer")

-- running: the answers, in the log's units
fails(function() host.log_partial(day) end, "the day was not run in part")
fails(function() host.log_run { 5 } end, "log_run: expected open days")
local many = {}
for i = 1, 65 do many[i] = day end
fails(function() host.log_run(many) end, "log_run: at most 64 days")
assert(#host.log_run {} == 0)
host.log_summary(day, nil, 60)
local other = assert(host.log_open(path, { gap = 20 }))
local others = ask_all(other)
local outcomes = host.log_run { day, other }
assert(#outcomes == 2 and outcomes[1] == true and outcomes[2] == true)
local function near(a, b) return math.abs(a - b) < 1e-12 end
local function check(of, numbers)
  local spans = host.log_answer(of, numbers.values.answer)
  assert(#spans == 2 and #spans[1].values == 2 and #host.log_answer(of, numbers.mask) == 2 and #host.log_answer(of, numbers.mask, 1) == 1)
  assert(near(host.log_answer(of, numbers.later[1].volume.answer):value "L", (6 + 6.6 * 3 + 6 + 6 + 6) / 60))
  local series = host.log_answer(of, numbers.later[1].series.answer)
  assert(#series.mean == 3 and near(series.mean[1], (0 + 6 + 6.6 * 3) / 5) and series.unit == "L/min")
end
check(day, asked)
fails(function() host.log_answer(day, 10000) end, "no such answer")
fails(function() host.log_answer(day, -1) end, "no such answer")
local function off(of, numbers) return host.log_answer(of, numbers.later[1].parts[1].mask.answer).total end
assert(off(day, asked) == q "1 s" and off(other, others) == q "15 s", "14 s from 6 s to 20 s are no gap where 20 s are allowed")

-- in part, and merged
local part = assert(host.log_open(path, {}))
ask_all(part)
assert(host.log_run({ part }, true)[1] == true)
local text = host.log_partial(part)
local merged = assert(host.log_bind("merged", text, 10))
local again = ask_all(merged)
assert(host.log_merge(merged, { text }) == true)
check(merged, again)
local unlike = assert(host.log_bind("unlike", text))
says("other questions", host.log_merge(unlike, { text }))
says("there is no partial result to merge", host.log_merge(assert(host.log_bind("none", text)), {}))
says("no partial result", host.log_merge(assert(host.log_bind("wrong", text)), { "{}" }))

-- judging
local ok, results = host.log_invoke(rules.judge, { 1, 2 }, q "1 bar")
assert(ok and results[1] == 2 and results[2] == q "250 m" and results[3] == q "1 bar")
ok, results = host.log_invoke(rules.judge, print)
assert(ok == false and results:find("a function cannot be handed over", 1, true), results)

-- closing, twice; what is closed is said to be
host.log_close(other)
host.log_close(other)
host.log_close(5)
fails(function() host.log_answer(other, 1) end, "the log is closed")
fails(function() host.log_run { other } end, "log_run: expected open days")

-- parts of JSON texts as they stand; text that is none has none
local members = host.json_members ' { "a" : 1 , "b":[1, {"c":"]}"}],"d":"x\\"}","e": {"f":[]} }\n'
assert(members.a == "1" and members.b == '[1, {"c":"]}"}]' and members.d == '"x\\"}"' and members.e == '{"f":[]}')
local items = host.json_items '[1, "a,b" ,[2,3],{"x":"[" } ,\ttrue\r\n]'
assert(#items == 5 and items[2] == '"a,b"' and items[3] == "[2,3]" and items[4] == '{"x":"[" }' and items[5] == "true")
assert(#host.json_items " [ ] " == 0 and next(host.json_members "{}") == nil)
for _, wrong in ipairs { "", " ", "5", "[1", "[", "[1,", '["a', '["a\\', "[[1", "[,1]", "[1}" } do
  assert(host.json_items(wrong) == nil, wrong)
end
for _, wrong in ipairs { "", "[]", "{", '{"a"', '{"a"}', '{"a" 1}', '{"a":', '{"a":}', '{"a":1', '{a:1}', '{"', '{"a', '{"a":"b' } do
  assert(host.json_members(wrong) == nil, wrong)
end

-- files and columns
assert(host.file_size(path) > 200 and host.file_size(folder) == nil and host.file_size "/nowhere" == nil)
assert(host.log_column "iso_flow" == true and host.log_column "iso_flw" == false and host.log_column(5) == false)
