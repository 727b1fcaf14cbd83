-- The pre-job check as one HTML page that needs nothing else: verdict, what to do, all findings, cautions.
local escape = require "report.escape"
local display = require "report.display"
local style = require "report.style"
local h = escape.html

-- Verdicts differ by word and by shape, never by colour alone.
local signs = {
  ["stop"] = { class = "stop", word = "STOP" }, ["not known"] = { class = "unknown", word = "NOT KNOWN" },
  ["caution"] = { class = "caution", word = "CAUTION" }, ["go"] = { class = "go", word = "GO" },
  ["not applicable"] = { class = "none", word = "DOES NOT APPLY" }, ["to be read on site"] = { class = "none", word = "READ ON SITE" },
}
local meanings = {
  ["stop"] = "Do not start. Put right what is listed first below.",
  ["not known"] = "Do not start yet. Find out what is listed below.",
  ["caution"] = "May start with the cautions below in mind.",
  ["go"] = "Nothing stands against starting.",
}

local function show(results, value) return h(display.show(value, results.units)) end

local function limit_text(results, finding)
  if finding.limit == nil then return "" end
  local origin = finding.limit_origin and (" <span class=small>(" .. h(finding.limit_origin) .. ")</span>") or ""
  return h(finding.limit_kind) .. " " .. show(results, finding.limit) .. origin
end

local function measured(results, finding)
  local parts = {}
  if finding.value ~= nil then parts[#parts + 1] = "<strong>" .. show(results, finding.value) .. "</strong>" end
  if finding.limit ~= nil then parts[#parts + 1] = "allowed: " .. limit_text(results, finding) end
  if finding.margin ~= nil then parts[#parts + 1] = "margin " .. show(results, finding.margin) end
  return #parts > 0 and ("<p>" .. table.concat(parts, "; ") .. "</p>") or ""
end

local function levers(finding)
  local passing, failing = {}, {}
  for _, lever in ipairs(finding.levers or {}) do
    local list = lever.value ~= nil and passing or failing
    list[#list + 1] = "<li>" .. h(lever.text) .. "</li>"
  end
  if #passing > 0 then return "<p>Passes with one of these:</p><ul>" .. table.concat(passing) .. "</ul>" end
  if #failing > 0 then return "<ul>" .. table.concat(failing) .. "</ul>" end
  return ""
end

local function source_text(finding)
  if finding.practice then return "common practice, no source" end
  return finding.source or ""
end

local function sheet_rows(results, sheet)
  local rows = {}
  for _, line in ipairs(sheet.lines) do
    local formula = line.substituted or line.formula
    rows[#rows + 1] = "<tr><th scope=row>" .. h(line.name or "") .. "</th><td><code>" .. h(line.symbol or "") .. "</code></td><td class=number>" ..
      (line.value ~= nil and show(results, line.value) or h(line.text or "")) .. "</td></tr>"
    if line.role ~= "input" and formula then
      rows[#rows + 1] = "<tr><td colspan=3><code>" .. h(line.formula or "") .. "</code><br><code>" .. h(line.substituted or "") .. "</code></td></tr>"
    end
  end
  return table.concat(rows)
end

local function sheets(results, finding)
  if finding.group == "confirm" then return "" end -- nothing was worked out
  local inputs = {}
  for _, input in ipairs(finding.inputs or {}) do
    inputs[#inputs + 1] = "<tr><th scope=row>" .. h(input.label or input.path) .. "</th><td class=number>" .. show(results, input.value) ..
      "</td><td>" .. h(input.origin or "") .. "</td></tr>"
  end
  local parts = {}
  if #inputs > 0 then
    parts[#parts + 1] = "<div class=wide><table><caption>What it was worked out from</caption><thead><tr><th scope=col>Input</th><th scope=col>Value</th><th scope=col>From</th></tr></thead><tbody>" ..
      table.concat(inputs) .. "</tbody></table></div>"
  end
  for _, sheet in ipairs(finding.sheets or {}) do
    parts[#parts + 1] = "<div class=wide><table><caption>" .. h(sheet.title or sheet.calculation) ..
      "</caption><thead><tr><th scope=col>Quantity</th><th scope=col>Symbol</th><th scope=col>Value</th></tr></thead><tbody>" ..
      sheet_rows(results, sheet) .. "</tbody></table><p class=small>Source: " .. h(sheet.source or "") .. "</p></div>"
  end
  if #parts == 0 then return "" end
  return "<details><summary aria-label=\"Working of: " .. h(finding.title) .. "\">Working</summary><div>" .. table.concat(parts) .. "</div></details>"
end

local function notes(finding)
  local parts = {}
  if finding.silenced then
    parts[#parts + 1] = "<p>Silenced by the company: " .. h(finding.silenced.reason) .. ". It would have said: " .. h(finding.silenced.would_be) .. ".</p>"
  end
  if finding.tightened then
    parts[#parts + 1] = "<p>Made stricter by " .. h(finding.tightened.by) .. ": " .. h(finding.tightened.reason or "no reason given") .. ".</p>"
  end
  return table.concat(parts)
end

local function part_list(results, finding)
  local items = {}
  for _, part in ipairs(finding.parts or {}) do
    items[#items + 1] = "<dt>" .. h(part.label) .. "</dt><dd>" .. show(results, part.value) .. "</dd>"
  end
  return #items > 0 and ("<dl class=facts>" .. table.concat(items) .. "</dl>") or ""
end

local function article(results, finding)
  local sign = signs[finding.verdict]
  local advice = finding.advice and finding.verdict ~= "go" and ("<p class=action>" .. h(finding.advice) .. "</p>") or ""
  return "<article class=" .. sign.class .. "><h3><span class=mark>" .. sign.word .. "</span>" .. h(finding.title) .. "</h3>" ..
    advice .. measured(results, finding) .. "<p>" .. h(finding.reason or "") .. "</p>" .. part_list(results, finding) .. levers(finding) .. notes(finding) ..
    "<p class=small>Source: " .. h(source_text(finding)) .. "</p>" .. sheets(results, finding) .. "</article>\n"
end

local function section(results, heading, verdicts)
  local items = {}
  for _, verdict in ipairs(verdicts) do
    for _, finding in ipairs(results.findings) do
      if finding.verdict == verdict then items[#items + 1] = article(results, finding) end
    end
  end
  if #items == 0 then return "" end
  return "<section><h2>" .. h(heading) .. "</h2>\n" .. table.concat(items) .. "</section>\n"
end

local function list_rows(results, verdict)
  local rows = {}
  for _, finding in ipairs(results.findings) do
    if finding.verdict == verdict and finding.group ~= "confirm" then
      rows[#rows + 1] = "<tr><th scope=row>" .. h(finding.title) .. "</th><td class=number>" .. (finding.value ~= nil and show(results, finding.value) or "") ..
        "</td><td>" .. limit_text(results, finding) .. "</td><td>" .. (finding.margin ~= nil and show(results, finding.margin) or "") .. "</td><td>" .. h(finding.reason or "") ..
        " <span class=small>" .. h(source_text(finding)) .. "</span>" .. notes(finding) .. sheets(results, finding) .. "</td></tr>\n"
    end
  end
  return table.concat(rows)
end

local function list(results, heading, verdict)
  local rows = list_rows(results, verdict)
  if rows == "" then return "" end
  return "<section><h2>" .. h(heading) .. "</h2><div class=wide><table class=list><thead><tr><th scope=col>Check</th><th scope=col>Value</th><th scope=col>Allowed</th>" ..
    "<th scope=col>Margin</th><th scope=col>Reason and source</th></tr></thead><tbody>\n" .. rows .. "</tbody></table></div></section>\n"
end

-- What a person has seen needs no table: one line an item, with a box for the paper copy.
local function confirm_list(results, heading, verdict, box)
  local items = {}
  for _, finding in ipairs(results.findings) do
    if finding.verdict == verdict and finding.group == "confirm" then
      items[#items + 1] = "<li><span aria-hidden=true>" .. box .. "</span> " .. h(finding.title) .. notes(finding) .. "</li>"
    end
  end
  if #items == 0 then return "" end
  return "<section><h2>" .. h(heading) .. "</h2><ul class=boxes>" .. table.concat(items) ..
    "</ul><p class=small>Common practice, no source.</p></section>\n"
end

local function facts(results)
  local job = results.job
  local items = {}
  for _, fact in ipairs { { "Job", job.name }, { "Date", job.date }, { "Rig", job.rig }, { "Material", job.material }, { "Stage", results.stage } } do
    if fact[2] then items[#items + 1] = "<dt>" .. fact[1] .. "</dt><dd>" .. h(fact[2]) .. "</dd>" end
  end
  return "<dl class=facts>" .. table.concat(items) .. "</dl>"
end

local function count_text(results)
  local parts = {}
  for _, verdict in ipairs { "stop", "not known", "caution", "go", "to be read on site", "not applicable" } do
    local count = results.counts[verdict]
    if count and count > 0 then parts[#parts + 1] = count .. " " .. verdict end
  end
  return table.concat(parts, ", ")
end

return function(results)
  local sign = signs[results.verdict]
  local cautions = {}
  for _, caution in ipairs(results.cautions) do cautions[#cautions + 1] = "<li>" .. h(caution) .. "</li>" end
  return "<!doctype html>\n<html lang=en>\n<head>\n<meta charset=utf-8>\n<meta name=viewport content=\"width=device-width, initial-scale=1\">\n<title>" ..
    sign.word .. " - pre-job check - " .. h(results.job.name or "") .. "</title>\n<style>" .. style .. "</style>\n</head>\n<body>\n<header><h1>Pre-job check</h1>\n" ..
    "<div class=\"verdict " .. sign.class .. "\" role=status><strong>" .. sign.word .. "</strong>" .. h(meanings[results.verdict] or "") .. " " ..
    h(count_text(results)) .. ".</div>\n" .. facts(results) .. "</header>\n<main>\n" ..
    section(results, "Do first", { "stop", "not known" }) ..
    section(results, "Keep in mind", { "caution" }) ..
    list(results, "Read on site", "to be read on site") ..
    confirm_list(results, "Confirm on site", "to be read on site", "\u{2610}") ..
    list(results, "In order", "go") ..
    confirm_list(results, "Confirmed", "go", "\u{2611}") ..
    list(results, "Does not apply here", "not applicable") ..
    "<section class=cautions><h2>Before you start</h2><ul>" .. table.concat(cautions) .. "</ul></section>\n</main>\n<footer class=small>Worked out by impinge " ..
    h(results.version or "") .. ". Figures support the crew; they never replace data sheets, local codes and licensed practice.</footer>\n</body>\n</html>\n"
end
