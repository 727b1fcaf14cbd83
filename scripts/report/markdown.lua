-- The pre-job check as Markdown: the same findings as tables, to be put into a note or an issue.
local charts = require "report.charts"
local said = require "report.said"
local view_of = require "report.view".of
local write = require "report.document.markdown"
local page = require "report.page"

local function finding_rows(view, results, verdicts)
  local t, rows = view.t, {}
  for _, verdict in ipairs(verdicts) do
    for _, finding in ipairs(results.findings) do
      if finding.verdict == verdict then
        local found = said.figures(t, finding, view.system)
        rows[#rows + 1] = { t("verdict " .. verdict), (said.title(t, finding)), found.value or "", found.kind or "", found.limit or "", (t:sentence(finding.reason or "")), (said.advice(t, finding)) or "" }
      end
    end
  end
  return rows
end

local function add_findings(blocks, view, results, key, verdicts)
  local t, rows = view.t, finding_rows(view, results, verdicts)
  if #rows == 0 then return end
  local columns = {}
  for i, word in ipairs { "verdict", "check", "value", "allowed", "limit", "why", "do" } do columns[i] = { label = t(word) } end
  blocks[#blocks + 1] = { kind = "heading", text = t(key) }
  blocks[#blocks + 1] = { kind = "table", caption = t(key), columns = columns, rows = rows }
end

return function(results)
  local view = view_of(results)
  local t, blocks = view.t, {}
  add_findings(blocks, view, results, "put_right", { "stop", "not known" })
  add_findings(blocks, view, results, "keep_in_mind", { "caution" })
  local drawn = charts.all(view, results)
  if #drawn > 0 then blocks[#blocks + 1] = { kind = "heading", text = t "expected_today" } end
  for _, spec in ipairs(drawn) do blocks[#blocks + 1] = { kind = "chart", spec = spec } end
  add_findings(blocks, view, results, "read_on_site", { "to be read on site" })
  add_findings(blocks, view, results, "in_order", { "go" })
  add_findings(blocks, view, results, "not_applying", { "not applicable" })
  blocks[#blocks + 1] = { kind = "heading", text = t "before_you_start" }
  blocks[#blocks + 1] = { kind = "list", items = (t:cautions(results.cautions)) }
  return write {
    title = t "prejob", view = view, first = t:list "first_cautions", verdict = results.verdict, verdict_word = said.verdict(t, results), verdict_text = said.meaning(t, results),
    facts = page.job_facts(t, results), blocks = blocks, footer = t("footer", results.version or ""),
  }
end
