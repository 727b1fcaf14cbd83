-- The set-up sheet: one printed page for the technician at the rig, in the order of starting up. What to see, what to set,
-- what to expect and between what, and a blank for what is read. A job that must not start gets no settings: its sheet says
-- why, and is blank.
local display = require "report.display"
local escape = require "report.escape"
local figures = require "report.figures"
local page = require "report.page"
local readings = require "report.set_up_readings"
local said = require "report.said"
local view_of = require "report.view".of

local most_sections = 8
local most_reasons = 30
local most_cautions = 4
local reason_columns = 96

-- The states at the sections' ends, at most eight of them, and at the gun.
local function ends_of(profile)
  local ends = {}
  for i, row in ipairs(profile) do
    local following = profile[i + 1]
    if following and following.section ~= row.section or not following then ends[#ends + 1] = row end
  end
  return ends
end

local function chosen(count)
  local list, every = {}, math.ceil((count - 1) / most_sections)
  for i = every, count - 1, every do list[#list + 1] = i end
  list[#list + 1] = count
  return list
end

local function along_hoses(t, profiles)
  if not profiles then return nil end
  local ends = { iso = ends_of(profiles.iso), resin = ends_of(profiles.resin) }
  local columns, rows = { { label = t "along_section" } }, {}
  local picked = chosen(#ends.iso)
  for _, i in ipairs(picked) do columns[#columns + 1] = { label = i == #ends.iso and t "gun" or tostring(i) } end
  for _, what in ipairs { "pressure", "temperature" } do
    for _, side in ipairs { "iso", "resin" } do
      local row = { t(side) .. ", " .. t(what):lower() }
      for _, i in ipairs(picked) do row[#row + 1] = ends[side][i] and ends[side][i][what] or "" end
      rows[#rows + 1] = row
    end
  end
  return { kind = "table", narrow = true, caption = t "along_hose", unseen = true, columns = columns, rows = rows }
end

-- What a person must have seen in a phase, in the rules' order, and the steps that every rig takes; a box each.
local function boxes(t, results, phase)
  local items = {}
  for _, finding in ipairs(results.findings) do
    if finding.group == "confirm" and finding.verdict ~= "not applicable" and finding.phase == phase then
      local text, is_english = t:title(finding)
      items[#items + 1] = { place = finding.place or 0, text = text, english = is_english }
    end
  end
  table.sort(items, function(a, b) return a.place < b.place end)
  for _, text in ipairs(t:list("steps " .. phase)) do items[#items + 1] = { text = text } end
  return items
end

-- Findings of some verdicts, a line each, cut where they are many: the sheet is one page.
local function listed(view, results, verdicts, most)
  local t, items, more = view.t, {}, 0
  for _, verdict in ipairs(verdicts) do
    for _, finding in ipairs(results.findings) do
      if finding.verdict == verdict then
        local title, is_english = said.title(t, finding)
        local found = said.figures(t, finding, view.system)
        if verdict == "caution" then found.limit = nil end -- that of a stop, which is kept
        local text = title .. (found.value and "; " .. found.value or "") .. (found.limit and "; " .. found.kind .. " " .. found.limit or "")
        if #items < most then items[#items + 1] = { text = escape.cut(text, reason_columns), english = is_english } else more = more + 1 end
      end
    end
  end
  if more > 0 then items[#items + 1] = { text = t("and_more", tostring(more)) } end
  return items
end

local columns = { "quantity", "set_to", "expect", "between", "read" }

local function surface_table(t, names, allowed)
  local heads = { { label = t "surface_and_air" } }
  for i, name in ipairs(names) do heads[i + 1] = { label = name, blank = true } end
  return { kind = "table", unseen = true, is_even = true, caption = t "surface_and_air", columns = heads,
           rows = { { t "allowed", table.unpack(allowed) }, { t "at_start" }, { t "at_midday" } } }
end

-- how: is_withheld, is_again (its headings stand above already).
local function table_of(t, caption, rows, how)
  local heads = {}
  for i, key in ipairs(columns) do heads[i] = { label = t(key), blank = i > 1 and (how.is_withheld or key == "read") } end
  return { kind = "table", unseen = true, is_again = how.is_again, caption = caption, grouped = t "step", rows = rows, columns = heads }
end

-- The sheet of a job that may start.
local function recipe(blocks, view, results, read)
  local t = view.t
  local function add(block) if block then blocks[#blocks + 1] = block end end
  if results.verdict == "caution" then
    add { kind = "heading", text = t "keep_in_mind" }
    add { kind = "boxes", items = listed(view, results, { "caution" }, most_cautions) }
  end
  for number, phase in ipairs(read.phases) do
    local title = number .. "  " .. t("phase " .. phase.key)
    local items = boxes(t, results, phase.key)
    add { kind = "heading", text = title }
    if #items > 0 then add { kind = "boxes", items = items } end
    if phase.key == "before the trigger" then
      add(surface_table(t, read:of_the_surface()))
    end
    add(table_of(t, title, phase.rows, { is_again = number > 1 }))
    if phase.key == "spraying" then add(along_hoses(t, results.profiles)) end
  end
  if results.no_operating_point then add { kind = "text", text = t("no_point", results.no_operating_point) } end
  add { kind = "text", text = t "relief" }
  add { kind = "text", small = true, text = t "tolerance_note" .. " " .. t "short_cautions" }
end

-- The sheet of a job that must not: the reasons, and the same quantities with nothing set.
local function withheld(blocks, view, results, read)
  local t, rows = view.t, {}
  blocks[#blocks + 1] = { kind = "heading", text = t "why_no_settings" }
  blocks[#blocks + 1] = { kind = "boxes", items = listed(view, results, { "stop", "not known" }, most_reasons) }
  blocks[#blocks + 1] = { kind = "heading", text = t "no_settings" }
  for _, phase in ipairs(read.phases) do
    for _, row in ipairs(phase.rows) do rows[#rows + 1] = { row[1], group = row.group } end
  end
  blocks[#blocks + 1] = table_of(t, t "no_settings", rows, { is_withheld = true })
  for _, entry in ipairs(read.data) do entry.set, entry.expect, entry.low, entry.high = nil, nil, nil, nil end
end

-- Drums too cold take hours: when to begin with them.
local function drums_first(blocks, view, job)
  local t = view.t
  for _, side in ipairs { "iso", "resin" } do
    local time, before = figures.conditioning(job, side)
    if time then
      blocks[#blocks + 1] = { kind = "text", text = t("warm_drums", t(side), display.show(time, view.system)) .. " "
        .. (before and t("warm_before", display.show(before, view.system)) or t "warm_during") }
    end
  end
end

local verdict_texts = { go = "sheet_go", caution = "sheet_caution" }

return function(results)
  local view = view_of(results)
  local t = view.t
  local read = readings.of(results, view, host.job())
  local may_start = verdict_texts[results.verdict] ~= nil
  local blocks = {}
  drums_first(blocks, view, read.job)
  if may_start then recipe(blocks, view, results, read) else withheld(blocks, view, results, read) end
  blocks[#blocks + 1] = { kind = "signed", labels = { t("batch", t "iso"), t("batch", t "resin"), t "signed", t "date", t "time" } }
  local verdict_word = said.verdict(t, results)
  return {
    report = "set-up sheet", title = t "set_up", view = view, one_page = true, verdict = results.verdict, verdict_word = verdict_word,
    banner = results.stage == "plan" and t "plan_only" or nil, last = said.last(t, results), first = t:list "first_cautions",
    verdict_text = may_start and results.stage == "plan" and said.meaning(t, results)
      or t(verdict_texts[results.verdict] or "sheet_stop", verdict_word) .. " " .. t "stage" .. ": " .. t(results.stage) .. ". " .. said.counts(t, results) .. ".",
    facts = page.job_facts(t, results, 90), blocks = blocks, footer = t("footer", results.version or ""),
    data = { job = results.job, verdict = results.verdict, stage = results.stage, version = results.version, readings = read.data,
             withheld = not may_start, not_known = read.unknown, profiles = may_start and results.profiles or nil, cautions = results.cautions },
  }
end
