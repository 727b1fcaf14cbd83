-- Which report, in which form. The pre-job check has a writer for each form; the others are documents of headings, tables
-- and lists, which each form writes in its own way.
local figures = require "report.figures"
local view_of = require "report.view".of

local documents = { ["set-up"] = "report.set_up", estimate = "report.estimate", ["spray-hours"] = "report.spray_hours" }

-- options: report, format, language, units, unit_pairs, with.
return function(results, options)
  view_of(results, options)
  figures.add(results)
  local format = options.format or "text"
  local builder = documents[options.report]
  if not builder then return require("report." .. format)(results) end
  return require("report.document." .. format)(require(builder)(results))
end
