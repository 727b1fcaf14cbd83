-- The pre-job check as plain text: verdict first, then what to do, worst first.
local escape = require "report.escape"
local display = require "report.display"

local wrap_at = 100

-- Lines of at most wrap_at characters; following lines are indented like the first.
local function wrap(text, first, rest)
  local lines, line = {}, first
  for word in escape.line(text):gmatch("%S+") do
    if #line + #word + 1 > wrap_at and line:find("%S", #rest + 1) then
      lines[#lines + 1] = line
      line = rest
    end
    line = line .. (line:find("%S$") and #line > #rest and " " or "") .. word
  end
  lines[#lines + 1] = line
  return table.concat(lines, "\n")
end

local function sentence(finding, system)
  local parts = {}
  if finding.value ~= nil then parts[#parts + 1] = display.show(finding.value, system) end
  if finding.limit ~= nil then
    local origin = finding.limit_origin and (" (" .. finding.limit_origin .. ")") or ""
    parts[#parts + 1] = finding.limit_kind .. " " .. display.show(finding.limit, system) .. origin
  end
  if finding.margin ~= nil then parts[#parts + 1] = "margin " .. display.show(finding.margin, system) end
  return table.concat(parts, "; ")
end

local function add(lines, label, text)
  if text ~= nil and text ~= "" then
    local first = string.format("      %-8s", label)
    lines[#lines + 1] = wrap(text, first, string.rep(" ", 14))
  end
end

local function lever_text(levers)
  local passing, failing = {}, {}
  for _, lever in ipairs(levers or {}) do
    local list = lever.value ~= nil and passing or failing
    list[#list + 1] = lever.text
  end
  if #passing > 0 then return table.concat(passing, ", or ") end
  return table.concat(failing, "; ")
end

local function add_finding(lines, finding, system)
  local verdict = finding.verdict:upper()
  lines[#lines + 1] = wrap(string.format("%s  [%s]", finding.title, finding.group), string.format("%-14s", verdict), string.rep(" ", 14))
  add(lines, "Found", sentence(finding, system))
  add(lines, "Why", finding.reason)
  for _, part in ipairs(finding.parts or {}) do
    add(lines, "", escape.line(part.label) .. ": " .. display.show(part.value, system))
  end
  if finding.verdict ~= "go" and finding.verdict ~= "not applicable" then
    add(lines, "Do", finding.advice)
    add(lines, "Passes", lever_text(finding.levers))
  end
  if finding.silenced then
    add(lines, "Silenced", finding.silenced.reason .. " (would have said: " .. finding.silenced.would_be .. ")")
  end
  if finding.tightened then add(lines, "Tighter", finding.tightened.by .. ": " .. (finding.tightened.reason or "no reason given")) end
  add(lines, "Source", finding.practice and "common practice, no source" or finding.source)
end

-- What is in order takes one line: value, limit, margin, reason, source.
local function add_short(lines, finding, system)
  local source = finding.practice and "common practice, no source" or finding.source
  local found = sentence(finding, system)
  local parts = { finding.title .. " [" .. finding.group .. "]" }
  if found ~= "" then parts[#parts + 1] = found end
  if finding.reason and finding.reason ~= "inside its limits" then parts[#parts + 1] = finding.reason end
  if source then parts[#parts + 1] = "source: " .. source end
  lines[#lines + 1] = wrap(table.concat(parts, "; "), "  * ", "    ")
  add(lines, "Silenced", finding.silenced and (finding.silenced.reason .. " (would have said: " .. finding.silenced.would_be .. ")"))
  add(lines, "Tighter", finding.tightened and (finding.tightened.by .. ": " .. (finding.tightened.reason or "no reason given")))
end

local short = { ["go"] = true, ["not applicable"] = true, ["to be read on site"] = true }

local order = { "stop", "not known", "caution", "go", "to be read on site", "not applicable" }

local function counts_text(counts)
  local parts = {}
  for _, verdict in ipairs(order) do
    if (counts[verdict] or 0) > 0 then parts[#parts + 1] = counts[verdict] .. " " .. verdict end
  end
  return table.concat(parts, ", ")
end

local headings = {
  ["stop"] = "Stops: put these right first", ["not known"] = "Not known: find these out",
  ["caution"] = "Cautions", ["to be read on site"] = "To be read on site", ["go"] = "In order",
  ["not applicable"] = "Does not apply here",
}

return function(results)
  local system = results.units
  local lines = { "", "PRE-JOB CHECK: " .. results.verdict:upper(), "" }
  lines[#lines + 1] = escape.line(results.job.name or "job without a name") .. (results.job.date and (", " .. escape.line(results.job.date)) or "")
  lines[#lines + 1] = "Stage: " .. results.stage .. ". " .. counts_text(results.counts) .. "."
  for _, verdict in ipairs(order) do
    local heading = headings[verdict]
    for _, finding in ipairs(results.findings) do
      if finding.verdict == verdict then
        if heading then
          lines[#lines + 1] = ""
          lines[#lines + 1] = heading
          lines[#lines + 1] = string.rep("-", #heading)
          heading = nil
        end
        if short[verdict] then add_short(lines, finding, system) else add_finding(lines, finding, system) end
      end
    end
  end
  lines[#lines + 1] = ""
  lines[#lines + 1] = "Before you start"
  lines[#lines + 1] = "----------------"
  for _, caution in ipairs(results.cautions) do lines[#lines + 1] = wrap(caution, "  * ", "    ") end
  return table.concat(lines, "\n") .. "\n"
end
