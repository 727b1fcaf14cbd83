-- The pre-job check as one HTML page that needs nothing else: verdict, what to do, charts, all findings, cautions.
local chart = require "chart"
local charts = require "report.charts"
local display = require "report.display"
local escape = require "report.escape"
local page = require "report.page"
local said = require "report.said"
local sheets = require "report.sheets_html"
local view_of = require "report.view".of
local h = escape.html

local writer = {}
writer.__index = writer

local function new_writer(results)
  local view = view_of(results)
  local self = setmetatable({ results = results, view = view, t = view.t, sheets = sheets.new(view), parts_seen = {}, anchors = {} }, writer)
  for i, finding in ipairs(results.findings) do self.anchors[finding] = "f" .. i end
  return self
end

function writer:show(value) return h(display.show(value, self.view.system)) end

function writer:title(finding)
  return h(said.outcome(self.t, finding)) .. page.words(self.t:title(finding))
end

function writer:english(text) return page.words(text, self.t.language ~= "en") end

-- Value, limit and margin as HTML, each "" where there is none.
function writer:figures(finding)
  local found = said.figures(self.t, finding, self.view.system)
  local origin = finding.limit_origin and (" <span class=small>(" .. h(self.t:origin(finding.limit_origin)) .. ")</span>") or ""
  return found.value and page.words(found.value, found.is_english) or "",
    found.limit and page.words(found.kind, found.is_limit_english) .. " " .. h(found.limit) .. origin or "", h(found.margin or "")
end

function writer:measured(finding)
  local t, parts = self.t, {}
  local value, limit, margin = self:figures(finding)
  if value ~= "" then parts[#parts + 1] = "<strong>" .. value .. "</strong>" end
  if limit ~= "" then parts[#parts + 1] = finding.shown and finding.shown.limit and limit or t("allowed_is", limit) end
  if margin ~= "" then parts[#parts + 1] = t("margin_is", margin) end
  return #parts > 0 and ("<p class=measured>" .. table.concat(parts, "; ") .. "</p>") or ""
end

function writer:levers(finding)
  local passing, failing = said.levers(self.t, finding.levers, self.view.system)
  local list = #passing > 0 and passing or failing
  for i, text in ipairs(list) do list[i] = "<li>" .. self:english(text) .. "</li>" end
  if #list == 0 then return "" end
  local items = "<ul>" .. table.concat(list) .. "</ul>"
  return #passing > 0 and "<div class=passes><p>" .. h(self.t "passes_with") .. "</p>" .. items .. "</div>" or items
end

function writer:notes(finding)
  local parts = {}
  for _, note in ipairs(said.changes(self.t, finding)) do parts[#parts + 1] = "<p>" .. h(note) .. "</p>" end
  for _, note in ipairs(said.notes(self.t, finding)) do parts[#parts + 1] = "<p class=\"small" .. (note.is_rules_own and " own" or "") .. "\">" .. page.words(note[1], note[2]) .. "</p>" end
  return table.concat(parts)
end

function writer:source(finding)
  if finding.practice then return h(self.t "practice") end
  return self:english(finding.source or "")
end

-- Parts that another finding has shown already are shown there.
function writer:parts(finding)
  local items = {}
  for _, part in ipairs(finding.parts or {}) do
    items[#items + 1] = "<div><dt>" .. self:english(part.label) .. "</dt><dd>" ..
      (type(part.value) == "string" and page.words(self.t:sentence(part.value)) or self:show(part.value)) .. "</dd></div>"
  end
  if #items == 0 then return "" end
  local inner = table.concat(items)
  local same = self.parts_seen[inner]
  if same then
    return "<p class=small><a href=\"#" .. self.anchors[same] .. "\">" .. h(self.t("parts_as", (self.t:title(same)))) .. "</a></p>"
  end
  self.parts_seen[inner] = finding
  return "<dl class=facts>" .. inner .. "</dl>"
end

function writer:reason(finding) return page.words(self.t:sentence(finding.reason or "")) end

function writer:article(finding)
  local t = self.t
  local todo, is_english = said.advice(self.t, finding)
  local advice = todo and ("<p class=action>" .. page.words(todo, is_english) .. "</p>") or ""
  return "<article class=" .. page.classes[finding.verdict] .. " id=" .. self.anchors[finding] .. "><h3><span class=mark>" ..
    h(t("verdict " .. finding.verdict)) .. "</span>" ..
    self:title(finding) .. "</h3>" .. advice .. self:measured(finding) .. "<p class=because>" .. self:reason(finding) .. "</p>" .. self:parts(finding) .. self:levers(finding) ..
    self:notes(finding) .. "<p class=small>" .. h(t "source") .. ": " .. self:source(finding) .. " [" .. h(t:group(finding.group)) .. ": <code>" .. h(finding.id) .. "</code>]</p>" ..
    self.sheets:of(finding, (t:title(finding)), self.anchors[finding]) .. "</article>\n"
end

function writer:section(heading, verdicts)
  local items = {}
  for _, verdict in ipairs(verdicts) do
    for _, finding in ipairs(self.results.findings) do
      if finding.verdict == verdict then items[#items + 1] = self:article(finding) end
    end
  end
  if #items == 0 then return "" end
  return "<section><h2>" .. h(heading) .. "</h2>\n" .. table.concat(items) .. "</section>\n"
end

function writer:row(finding)
  local t = self.t
  local value, limit, margin = self:figures(finding)
  local notes = self:notes(finding)
  return "<tr id=" .. self.anchors[finding] .. "><th scope=row>" .. self:title(finding) .. "</th><td class=number data-label=\"" .. h(t "value") .. "\">" ..
    value .. "</td><td data-label=\"" .. h(t "allowed") .. "\">" .. limit .. "</td><td class=number data-label=\"" .. h(t "margin") .. "\">" .. margin ..
    "</td><td class=\"reason" ..
    (said.is_noted(t, finding) and " noted" or "") .. "\"><span>" .. self:reason(finding) .. "</span> <span class=small>" .. self:source(finding) .. "</span>" .. notes ..
    self.sheets:of(finding, (t:title(finding)), self.anchors[finding]) .. "</td></tr>\n"
end

-- Group by group, in the order of the rules. On paper a line each.
local on_paper = { ["not applicable"] = "why" }

function writer:list(heading, verdict)
  local t, bodies = self.t, {}
  for _, group in ipairs(self.results.groups) do
    local rows = {}
    for _, finding in ipairs(self.results.findings) do
      if finding.group == group.name and finding.verdict == verdict and finding.group ~= "confirm" then rows[#rows + 1] = self:row(finding) end
    end
    if #rows > 0 then
      bodies[#bodies + 1] = "<tbody><tr><th class=group scope=rowgroup colspan=5>" .. h(t:group(group.name)) .. "</th></tr>\n" .. table.concat(rows) .. "</tbody>"
    end
  end
  if #bodies == 0 then return "" end
  return "<section class=\"brief " .. (on_paper[verdict] or "") .. "\"><h2>" .. h(heading) .. "</h2><table class=list><thead><tr><th scope=col>" .. h(t "check") .. "</th><th scope=col>" .. h(t "value") ..
    "</th><th scope=col>" .. h(t "allowed") .. "</th><th scope=col>" .. h(t "margin") ..
    "</th><th scope=col class=reason>" .. h(t "reason_source") .. "</th></tr></thead>\n" ..
    table.concat(bodies) .. "</table></section>\n"
end

-- What a person has seen needs no table: one line an item, with a box for the paper copy.
function writer:confirm_list(heading, verdict, box)
  local items = {}
  for _, finding in ipairs(self.results.findings) do
    if finding.verdict == verdict and finding.group == "confirm" then
      items[#items + 1] = "<li id=" .. self.anchors[finding] .. "><span aria-hidden=true>" .. box .. "</span> " .. self:title(finding) .. self:notes(finding) .. "</li>"
    end
  end
  if #items == 0 then return "" end
  return "<section><h2>" .. h(heading) .. "</h2><ul class=boxes>" .. table.concat(items) .. "</ul><p class=small>" .. h(self.t "practice") .. "</p></section>\n"
end

-- The operating point and the charts.
function writer:expected()
  local t, results, parts = self.t, self.results, {}
  local facts = said.point(t, results, self.view.system)
  if #facts > 0 then parts[#parts + 1] = page.facts(facts) end
  if results.no_operating_point then parts[#parts + 1] = "<p>" .. t("no_point", self:english(results.no_operating_point)) .. "</p>" end
  for _, spec in ipairs(charts.all(self.view, results)) do parts[#parts + 1] = chart.figure(spec) end
  if #parts == 0 then return "" end
  return "<section><h2>" .. h(t "expected_today") .. "</h2>\n" .. table.concat(parts) .. "</section>\n"
end

function writer:cautions()
  local items, list, is_english = {}, self.t:cautions(self.results.cautions)
  for _, caution in ipairs(list) do items[#items + 1] = "<li>" .. page.words(caution, is_english) .. "</li>" end
  return "<section class=cautions><h2>" .. h(self.t "before_you_start") .. "</h2><ul>" .. table.concat(items) .. "</ul></section>\n"
end

return function(results)
  local self = new_writer(results)
  local t, view = self.t, self.view
  local verdict_text = h(said.meaning(t, results))
  if results.capped and #results.capped > 0 then verdict_text = verdict_text .. " " .. h(t "capped") end
  local head = "<h1>" .. h(t "prejob") .. "</h1>\n" .. page.verdict(t, results.verdict, verdict_text, said.verdict(t, results)) .. page.first_cautions(t) .. page.facts(page.job_facts(t, results))
  local main = self:section(t "put_right", { "stop", "not known" }) .. self:section(t "keep_in_mind", { "caution" }) ..
    self:list(t "read_on_site", "to be read on site") .. self:confirm_list(t "confirm_on_site", "to be read on site", "\u{2610}") ..
    (view.is_bare and "" or self:expected()) .. self:list(t "in_order", "go") .. self:confirm_list(t "confirmed", "go", "\u{2611}") ..
    self:list(t "not_applying", "not applicable") .. self:cautions()
  local origins = said.origins(t, results)
  main = main .. self.sheets:section() .. (origins and "<p class=small>" .. h(origins) .. "</p>\n" or "")
  local title = said.verdict(t, results) .. " - " .. t "prejob" .. " - " .. (results.job.name or "")
  return page.whole(t, title, nil, head, main, h(t("footer", results.version or "")))
end
