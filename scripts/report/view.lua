-- How results are to be shown: language, display units, what to add. Kept beside the results, and no part of them.
local display = require "report.display"
local messages = require "report.messages"

local view = {}

local with_superscripts = { html = true, markdown = true }

-- options: language, units, unit_pairs, with, format; all may be absent.
function view.of(results, options)
  if results.view then return results.view end
  options = options or {}
  local made = {
    t = messages.of(options.language or "en"),
    system = display.system(results.units, options.unit_pairs),
    with_sheets = options.with == "sheets",
  }
  if with_superscripts[options.format] then made.system = display.with_superscripts(made.system) end
  results.view = made
  return made
end

return view
