-- A report of your own: a work list of all that is not in order, one line each, and what would help. Job and rig are invented.
--   impinge check examples/orchard-store/bad-day.json --report-file examples/cookbook/06-own-report.lua   # exit code 2
local escape = require "report.escape"

return function(results)
  local lines = { ("%s: %s"):format(escape.line(results.job.name), results.verdict:upper()) }
  for _, finding in ipairs(results.findings) do               -- worst first
    local changed = finding.silenced or finding.tightened
    if finding.verdict == "stop" or finding.verdict == "caution" or finding.verdict == "not known" or changed then
      lines[#lines + 1] = ("[ ] %s - %s"):format(escape.line(finding.title), escape.line(finding.reason))
      for _, lever in ipairs(finding.levers) do
        if lever.value then lines[#lines + 1] = ("      passes with %s at %s"):format(lever.label, lever.value:format(3)) end
      end
    end
  end
  lines[#lines + 1] = "These figures support the crew; data sheets, local codes and licensed practice come first."
  return table.concat(lines, "\n") .. "\n"
end
