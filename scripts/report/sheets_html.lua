-- The working behind findings in HTML: inputs and sheets, each distinct sheet once, in place or as an appendix.
local display = require "report.display"
local escape = require "report.escape"
local page = require "report.page"
local said = require "report.said"
local h = escape.html

local sheets = {}
sheets.__index = sheets

function sheets.new(view)
  return setmetatable({ view = view, seen = {}, appendix = {} }, sheets)
end

-- Names and texts of the catalogue are not translated.
function sheets:english(text) return page.words(text, self.view.t.language ~= "en") end

-- Whoever follows a calculation wants a digit more than whoever reads its outcome.
local working_digits = 4

function sheets:show(value)
  local t = self.view.t
  if value == true then return h(t "yes") end
  if value == false then return h(t "no") end
  return h(display.show(value, self.view.system, working_digits))
end

-- What the same value is in SI, where the page shows another system.
function sheets:si_cell(value)
  if display.is_si(self.view.system) then return "" end
  return "<td class=number>" .. (value ~= nil and h(display.show(value, "si", working_digits)) or "") .. "</td>"
end

function sheets:rows(sheet)
  local rows, columns = {}, display.is_si(self.view.system) and 3 or 4
  for _, line in ipairs(sheet.lines) do
    rows[#rows + 1] = "<tr><th scope=row>" .. self:english(said.plain(line.name or "")) .. "</th><td><code>" .. h(line.symbol or "") .. "</code></td><td class=number>" ..
      (line.value ~= nil and self:show(line.value) or self:english(line.text or "")) .. "</td>" .. self:si_cell(line.value) .. "</tr>"
    local substituted = said.substituted(line)
    if line.role ~= "input" and (line.formula or substituted) then
      rows[#rows + 1] = "<tr><td colspan=" .. columns .. "><code>" .. h(line.formula or "") .. "</code>" ..
        (substituted and "<br><code>" .. h(substituted) .. "</code>" or "") .. "</td></tr>"
    end
  end
  return table.concat(rows)
end

function sheets:table(sheet, number)
  local t = self.view.t
  local title = sheet.title or sheet.calculation
  local caption = number and t("sheet_number", number) .. ": " .. title or title
  local si = display.is_si(self.view.system) and "" or "<th scope=col>" .. h(t "in_si") .. "</th>"
  return "<table><caption>" .. page.words(caption, t.language ~= "en") .. "</caption><thead><tr><th scope=col>" .. h(t "quantity") .. "</th><th scope=col>" ..
    h(t "symbol") .. "</th><th scope=col>" .. h(t "value") .. "</th>" .. si .. "</tr></thead><tbody>" .. self:rows(sheet) .. "</tbody></table><p class=small>" ..
    h(t "source") .. ": " .. page.words(sheet.source or "", t.language ~= "en") .. "</p>"
end

-- Two sheets are the same when they say the same.
local function key_of(sheet)
  local parts = { sheet.calculation or "", sheet.title or "" }
  for _, line in ipairs(sheet.lines) do
    parts[#parts + 1] = (line.symbol or "") .. "=" .. (line.value ~= nil and tostring(line.value) or line.text or "") .. (line.substituted or "")
  end
  return table.concat(parts, "\n")
end

function sheets:inputs(finding)
  local t, rows = self.view.t, {}
  for _, input in ipairs(finding.inputs or {}) do
    rows[#rows + 1] = "<tr><th scope=row>" .. page.words(input.label or input.path, t.language ~= "en") .. "</th><td class=number>" .. self:show(input.value) ..
      "</td>" .. self:si_cell(type(input.value) ~= "boolean" and input.value or nil) .. "<td>" .. h(t:origin(input.origin or "")) .. "</td></tr>"
  end
  if #rows == 0 then return "" end
  local si = display.is_si(self.view.system) and "" or "<th scope=col>" .. h(t "in_si") .. "</th>"
  return "<table><caption>" .. h(t "inputs_caption") .. "</caption><thead><tr><th scope=col>" .. h(t "input") .. "</th><th scope=col>" .. h(t "value") ..
    "</th>" .. si .. "<th scope=col>" .. h(t "from") .. "</th></tr></thead><tbody>" .. table.concat(rows) .. "</tbody></table>"
end

-- A sheet in place: in full the first time, afterwards where to find it.
function sheets:in_place(sheet, finding_title, anchor)
  local key = key_of(sheet)
  local first = self.seen[key]
  if not first then
    self.seen[key] = { title = finding_title, anchor = anchor }
    return self:table(sheet)
  end
  if first.anchor == anchor then return "" end
  return "<p><a href=\"#" .. first.anchor .. "\">" ..
    self.view.t("sheet_as", self:english(sheet.title or sheet.calculation), h(first.title)) .. "</a></p>"
end

function sheets:number_of(sheet)
  local key = key_of(sheet)
  if not self.seen[key] then
    self.appendix[#self.appendix + 1] = sheet
    self.seen[key] = #self.appendix
  end
  return self.seen[key]
end

-- The working of a finding, to be opened.
function sheets:of(finding, title, anchor)
  if finding.group == "confirm" then return "" end -- nothing was worked out
  local t, parts, links, linked = self.view.t, {}, {}, {}
  parts[1] = self:inputs(finding)
  for _, sheet in ipairs(finding.sheets or {}) do
    if self.view.with_sheets then
      local number = self:number_of(sheet)
      if not linked[number] then
        linked[number] = true
        links[#links + 1] = "<a href=\"#sheet-" .. number .. "\">" .. number .. "</a>"
      end
    else
      parts[#parts + 1] = self:in_place(sheet, title, anchor)
    end
  end
  if #links > 0 then parts[#parts + 1] = "<p>" .. t("sheets_used", table.concat(links, ", ")) .. "</p>" end
  local inner = table.concat(parts)
  if inner == "" then return "" end
  return "<details><summary aria-label=\"" .. h(t("working_of", title)) .. "\">" .. h(t "working") .. "</summary>" ..
    page.wide(t("working_of", title), inner) .. "</details>"
end

-- All sheets, where they were asked for; call after every finding has been written.
function sheets:section()
  if #self.appendix == 0 then return "" end
  local parts = { "<section class=appendix><h2>" .. h(self.view.t "sheets") .. "</h2>\n" }
  for number, sheet in ipairs(self.appendix) do parts[#parts + 1] = "<div id=sheet-" .. number .. ">" ..
    page.wide(self.view.t("sheet_number", number), self:table(sheet, number)) .. "</div>\n" end
  parts[#parts + 1] = "</section>\n"
  return table.concat(parts)
end

return sheets
