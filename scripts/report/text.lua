-- The pre-job check as plain text: verdict first, then what to do, worst first.
local chart = require "chart"
local charts = require "report.charts"
local display = require "report.display"
local escape = require "report.escape"
local said = require "report.said"
local view_of = require "report.view".of
local wrap = require "report.wrap"

local writer = {}
writer.__index = writer

local label_columns = 14

function writer:add(line) self.lines[#self.lines + 1] = line end

function writer:labelled(label, text)
  if text == nil or text == "" then return end
  self:add(wrap.lines(text, wrap.padded("      " .. label, label_columns) .. (wrap.columns(label) > 7 and " " or ""), string.rep(" ", label_columns)))
end

function writer:heading(text)
  self:add("")
  self:add(text)
  self:add(string.rep("-", wrap.columns(text)))
end

function writer:show(value) return display.show(value, self.view.system) end

function writer:sentence(finding)
  local parts, t = {}, self.t
  local found = said.figures(t, finding, self.view.system)
  parts[1] = found.value
  if found.limit then
    local origin = finding.limit_origin and (" (" .. t:origin(finding.limit_origin) .. ")") or ""
    parts[#parts + 1] = found.kind .. " " .. found.limit .. origin
  end
  if found.margin then parts[#parts + 1] = t("margin_is", found.margin) end
  return table.concat(parts, "; ")
end

function writer:lever_text(levers)
  local passing, failing = said.levers(self.t, levers, self.view.system)
  if #passing > 0 then return self.t(#passing == 1 and "passes_this" or "passes_these", table.concat(passing, "; ")) end
  return table.concat(failing, "; ")
end

-- Parts that another finding has shown already are shown there.
function writer:parts(finding)
  local texts = {}
  for i, part in ipairs(finding.parts or {}) do texts[i] = escape.line(part.label) .. ": " .. self:show(part.value) end
  if #texts == 0 then return end
  local key = table.concat(texts, "\n")
  local same = self.parts_seen[key]
  if same then return self:labelled("", self.t("parts_as", same)) end
  self.parts_seen[key] = (self.t:title(finding))
  for _, text in ipairs(texts) do self:labelled("", text) end
end

function writer:source(finding)
  return finding.practice and self.t "practice" or finding.source
end

function writer:finding(finding)
  local t = self.t
  local verdict = t("verdict " .. finding.verdict)
  self:add(wrap.lines(("%s  [%s: %s]"):format(said.title(t, finding), t:group(finding.group), finding.id), wrap.padded(verdict .. " ", label_columns), string.rep(" ", label_columns)))
  self:labelled(t "found", self:sentence(finding))
  self:labelled(t "why", (t:sentence(finding.reason)))
  for _, note in ipairs(said.notes(t, finding)) do self:labelled("", note[1]) end
  self:parts(finding)
  if finding.verdict ~= "go" and finding.verdict ~= "not applicable" then
    self:labelled(t "do", (said.advice(t, finding)))
    self:labelled(t "passes", self:lever_text(finding.levers))
  end
  for _, note in ipairs(said.changes(t, finding)) do self:labelled("", note) end
  self:labelled(t "source", self:source(finding))
end

-- What is in order takes one line: value, limit, margin, reason, source.
function writer:short(finding)
  local t, source, found = self.t, self:source(finding), self:sentence(finding)
  local parts = { (t:title(finding)) .. " [" .. t:group(finding.group) .. ": " .. finding.id .. "]" }
  if found ~= "" then parts[#parts + 1] = found end
  if finding.reason and finding.reason ~= "inside its limits" then parts[#parts + 1] = (t:sentence(finding.reason)) end
  if source then parts[#parts + 1] = t("source"):lower() .. ": " .. source end
  self:add(wrap.lines(table.concat(parts, "; "), "  * ", "    "))
  self:labelled("", (t:sentence(finding.assumed)))
  for _, note in ipairs(said.changes(t, finding)) do self:labelled("", note) end
end

local short = { ["go"] = true, ["not applicable"] = true, ["to be read on site"] = true }
local headings = { ["stop"] = "put_right", ["not known"] = "put_right", ["caution"] = "keep_in_mind", ["to be read on site"] = "read_on_site",
                   ["go"] = "in_order", ["not applicable"] = "not_applying" }

function writer:findings()
  local last
  for _, verdict in ipairs(said.order) do
    for _, finding in ipairs(self.results.findings) do
      if finding.verdict == verdict then
        if headings[verdict] ~= last then
          last = headings[verdict]
          self:heading(self.t(last))
        end
        if short[verdict] then self:short(finding) else self:finding(finding) end
      end
    end
  end
end

-- Of the states along the hoses only where sections end.
local function at_ends(profiles)
  local made = {}
  for side, rows in pairs(profiles) do
    made[side] = {}
    for i, row in ipairs(rows) do
      local next_row = rows[i + 1]
      if i == 1 or not next_row or next_row.section ~= row.section then made[side][#made[side] + 1] = row end
    end
  end
  return made
end

function writer:expected()
  local t, results = self.t, self.results
  local facts = said.point(t, results, self.view.system)
  local shown = { profiles = results.profiles and at_ends(results.profiles), line_currents = results.line_currents }
  local drawn = charts.all(self.view, shown)
  if #facts == 0 and #drawn == 0 and not results.no_operating_point then return end
  self:heading(t "expected_today")
  local widest = 0
  for _, fact in ipairs(facts) do widest = math.max(widest, wrap.columns(fact[1])) end
  for _, fact in ipairs(facts) do self:add("  " .. wrap.padded(fact[1], widest) .. "  " .. fact[2]) end
  if results.no_operating_point then self:add(wrap.lines(t("no_point", results.no_operating_point), "  ", "  ")) end
  for _, spec in ipairs(drawn) do
    local titles, rows = chart.rows(spec)
    self:add("")
    self:add("  " .. spec.title)
    self:add(wrap.table(titles, rows, "  "))
  end
end

function writer:cautions()
  self:heading(self.t "before_you_start")
  for _, caution in ipairs((self.t:cautions(self.results.cautions))) do self:add(wrap.lines(caution, "  * ", "    ")) end
end

-- Every distinct sheet once, where they were asked for.
function writer:sheets()
  if not self.view.with_sheets then return end
  local seen, t = {}, self.t
  self:heading(t "sheets")
  for _, finding in ipairs(self.results.findings) do
    for _, sheet in ipairs(finding.sheets or {}) do
      local lines = {}
      for _, line in ipairs(sheet.lines) do
        lines[#lines + 1] = "      " .. wrap.padded(escape.line(line.symbol or ""), 10) .. " " ..
          (line.value ~= nil and self:show(line.value) or escape.line(line.text or "")) .. "  " .. escape.line(said.plain(line.name or ""))
        local substituted = said.substituted(line)
        if line.role ~= "input" and substituted then lines[#lines + 1] = "        " .. escape.line(substituted) end
      end
      local key = (sheet.title or "") .. table.concat(lines, "\n")
      if not seen[key] then
        seen[key] = true
        self:add("  " .. escape.line(sheet.title or sheet.calculation) .. ": " .. escape.line(sheet.formula or ""))
        self:add(table.concat(lines, "\n"))
        self:labelled(t "source", sheet.source)
      end
    end
  end
end

return function(results)
  local view = view_of(results)
  local t = view.t
  local self = setmetatable({ results = results, view = view, t = t, lines = {}, parts_seen = {} }, writer)
  self:add("")
  self:add(wrap.capitals(t("prejob")) .. ": " .. said.verdict(t, results))
  self:add("")
  self:add(wrap.lines((results.job.name or t "unnamed") .. (results.job.date and (", " .. results.job.date) or ""), "", ""))
  self:add(t "stage" .. ": " .. t(results.stage) .. ".")
  self:add(wrap.lines(said.meaning(t, results), "", ""))
  if results.capped and #results.capped > 0 then self:add(wrap.lines(t "capped", "", "")) end
  for _, line in ipairs(t:list "first_cautions") do self:add(wrap.lines(line, "  ! ", "    ")) end
  self:findings()
  self:expected()
  self:cautions()
  self:sheets()
  local origins = said.origins(t, results)
  if origins then self:add("\n" .. wrap.lines(origins, "", "")) end
  self:add("\n" .. said.last(t, results))
  return table.concat(self.lines, "\n") .. "\n"
end
