-- check.lua: the pre-job check: judges the rules and hands the results to a report. Returns main(), which returns the
-- exit code.

local fault = require "engine.fault"
local figures = require "report.figures"
local results = require "engine.results"

local exit_script_error, exit_budget = 5, 6

-- A company file that cannot be read or is declared wrongly: one sentence, and no verdict.
local function complain(message, exit_code)
  io.stderr:write("impinge: ", message, "\n")
  return exit_code or message:find("used up its budget", 1, true) and exit_budget or exit_script_error
end

local function main()
  local options = host.options()
  local write = require "report.write"
  local ok, outcome = pcall(results.of, options)
  if not ok then
    local message = fault.message(outcome)
    if not message then error(outcome, 0) end
    return complain(message, fault.exit_code(outcome))
  end
  local text, problem
  if options.report_file then
    text, problem = host.report(options.report_file, figures.add(outcome))
    if not text then return complain(problem) end
  else
    text = write(outcome, options)
  end
  host.write(text)
  return outcome.hours and outcome.hours.exit_code or outcome.exit_code
end

return main
