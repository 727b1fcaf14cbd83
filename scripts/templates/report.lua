-- NEW.FILE: a report of your own on the pre-job check. It gets the finished results and gives a text.
--   impinge check JOB.json --report-file NEW.FILE -o report.md
-- results: verdict, stage, counts, job (name, date, rig, material), groups (headings, each with findings in order) and findings,
-- each with id, title, group, verdict, value, limit, limit_kind ("at least" or "at most"), margin, reason, advice, source, levers.
-- Whatever goes into HTML or CSV goes through report.escape: escape.html(text), escape.csv(text), escape.line(text).
local escape = require "report.escape"

local signs = { stop = "STOP", ["not known"] = "?", caution = "!", go = "ok" }

local function line_of(finding)
  local parts = { "- ", signs[finding.verdict] or "-", " ", escape.line(finding.title) }
  if finding.value ~= nil then parts[#parts + 1] = ": " .. escape.line(finding.value) end
  if finding.limit ~= nil then parts[#parts + 1] = (" (%s %s)"):format(finding.limit_kind, escape.line(finding.limit)) end
  if finding.verdict == "stop" and finding.advice then parts[#parts + 1] = " - " .. escape.line(finding.advice) end
  return table.concat(parts)
end

return function(results)
  local lines = { "# " .. escape.line(results.job.name or "Pre-job check"), "", "Verdict: **" .. results.verdict .. "**", "" }
  for _, finding in ipairs(results.findings) do
    if finding.verdict ~= "not applicable" then lines[#lines + 1] = line_of(finding) end
  end
  lines[#lines + 1] = ""
  lines[#lines + 1] = "The figures support and never replace the supplier's data sheets, local codes and licensed practice."
  return table.concat(lines, "\n") .. "\n"
end
