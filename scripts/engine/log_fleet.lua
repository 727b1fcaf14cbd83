-- log_fleet.lua: many logs: one row each, totals, and what lies outside of what is usual for them.

local imp = require "impinge"
local fleet = {}

-- The figures of a row. `sum`: added up in the total; `chart`: a file far from the others is an outlier.
fleet.figures = {
  { key = "spraying_time", title = "Spraying", sum = true, unit = "h" },
  { key = "logged_time", title = "Logged", sum = true, unit = "h" },
  { key = "iso_volume", title = "Iso", sum = true },
  { key = "resin_volume", title = "Resin", sum = true },
  { key = "mass", title = "Mass", sum = true },
  { key = "ratio", title = "Ratio", chart = true },
  { key = "ratio_uncertainty", title = "Ratio uncertainty" },
  { key = "off_ratio_time", title = "Off ratio", sum = true, unit = "min" },
  { key = "imbalance_mean", title = "Imbalance", chart = true },
  { key = "iso_coefficient", title = "Iso flow coefficient", chart = true },
  { key = "resin_coefficient", title = "Resin flow coefficient", chart = true },
}

-- An individuals chart needs some files before its limits say anything (common practice, no source).
local fewest = 8

local function fact_value(result, id, label)
  for _, fact in ipairs(result.facts or {}) do
    if fact.id == id then
      for _, entry in ipairs(fact.values or {}) do
        if entry.label == label then return entry.value end
      end
    end
  end
end

local function row_of(result)
  if result.unusable then return { file = result.file, unusable = result.unusable } end
  local summary = result.summary
  local row = { file = result.file, first_time = summary.first_time, last_time = summary.last_time, rows = summary.rows,
                sprays = summary.sprays, verdict = result.verdict, stops = result.counts.stop, cautions = result.counts.caution,
                damage = 0, outliers = {} }
  for _, figure in ipairs(fleet.figures) do row[figure.key] = summary[figure.key] end
  if summary.iso_mass and summary.resin_mass then row.mass = summary.iso_mass + summary.resin_mass end
  row.off_ratio_time = result.off_ratio_time
  row.iso_coefficient = fact_value(result, "flow-coefficient", "iso")
  row.resin_coefficient = fact_value(result, "flow-coefficient", "resin")
  for _, found in ipairs(result.faults.found) do row.damage = row.damage + found.count end
  return row
end

local function add_totals(rows)
  local totals = { rows = 0, files = 0, sprays = 0, stops = 0, cautions = 0, damage = 0 }
  for _, row in ipairs(rows) do
    if not row.unusable then
      totals.files = totals.files + 1
      for _, key in ipairs { "rows", "sprays", "stops", "cautions", "damage" } do totals[key] = totals[key] + row[key] end
      for _, figure in ipairs(fleet.figures) do
        if figure.sum and row[figure.key] then
          totals[figure.key] = totals[figure.key] and totals[figure.key] + row[figure.key] or row[figure.key]
        end
      end
    end
  end
  if totals.iso_volume and totals.resin_volume and totals.resin_volume > imp.q "0 L" then
    totals.ratio = totals.iso_volume / totals.resin_volume
  end
  return totals
end

-- Individuals charts over the files, in their order: limits, and which files lie outside them.
local function add_charts(rows)
  local charts = {}
  for _, figure in ipairs(fleet.figures) do
    local values, owners = {}, {}
    for _, row in ipairs(figure.chart and rows or {}) do
      if row[figure.key] then
        values[#values + 1] = row[figure.key]
        owners[#owners + 1] = row
      end
    end
    if #values >= fewest then
      local chart = imp.stats.individuals(imp.column(values, values[1]:unit()))
      chart.key, chart.title = figure.key, figure.title
      for _, place in ipairs(chart.signals) do owners[place].outliers[figure.key] = true end
      charts[#charts + 1] = chart
    end
  end
  return charts
end

local worse = { go = 0, caution = 1, stop = 2 }

function fleet.report(results)
  local report = { kind = #results == 1 and "day report" or "fleet table", verdict = "go", unusable = 0, rows = {} }
  for _, result in ipairs(results) do
    report.rows[#report.rows + 1] = row_of(result)
    if result.unusable then
      report.unusable = report.unusable + 1
    elseif worse[result.verdict] > worse[report.verdict] then
      report.verdict = result.verdict
    end
  end
  if #results == 1 then report.day = results[1] else report.days = results end
  report.totals = add_totals(report.rows)
  report.charts = add_charts(report.rows)
  return report
end

return fleet
