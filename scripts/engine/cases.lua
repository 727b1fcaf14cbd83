-- cases.lua: the declared cases of every calculator of this state, computed and compared. Returns how many failed, of how
-- many. A case is
--   { name = "a wall", inputs = { ... }, expect = { mass = q "640 kg" }, within = q "0.5 kg", source = "..." }
-- within: a quantity of the output's kind (a difference for a temperature), or a share such as "0.1 %" of what is expected;
-- { mass = ..., volume = ... } gives each output its own; without it a millionth. A case that must be refused says
-- refuses = "part of the message" in the place of expect.
local compare = require "engine.compare"
local imp = require "impinge"

local function is_refused(ok, result, part)
  if ok then return false, "was not refused" end
  if result:find(part, 1, true) then return true end
  return false, ("refused by \"%s\", expected \"%s\""):format(result, part)
end

local function judge(calculator, case)
  local ok, result = pcall(calculator, case.inputs or {})
  if case.refuses then return is_refused(ok, result, case.refuses) end
  if not ok then return false, result end
  local faults, any = {}, false
  for name, expected in imp.sorted_pairs(case.expect or {}) do
    local got = result
    if type(result) == "table" then got = result[name] end
    faults[#faults + 1] = compare.fault(name, got, expected, case.within)
    any = true
  end
  if not any then return false, "expects nothing" end
  return #faults == 0, table.concat(faults, "; ")
end

local failed, total = 0, 0
for _, calculator in ipairs(imp.calculators()) do
  for number, case in ipairs(calculator.cases or {}) do
    local name = ("%s: %s"):format(calculator.id, case.name or "case " .. number)
    local ok, why = judge(calculator, case)
    total = total + 1
    if not ok then failed = failed + 1 end
    print(ok and "ok      " .. name or "FAILED  " .. name .. ": " .. why)
  end
end
if total > 0 then print(("%d of %d cases hold"):format(total - failed, total)) end
return failed, total
