-- A sweep of one input as charts: one SVG, or a page that needs nothing else. Takes what `impinge calc --sweep` found:
-- { id, title, source, validity, inputs = { {name, text}, ... }, x = {name, unit, values}, outputs = { {name, unit, help, values}, ... },
--   cautions, version }; a value that is not a number is missing.
local chart = require "chart"
local escape = require "report.escape"
local style = require "report.style"

local sweep = {}
local h = escape.html

local function plain(name) return (name:gsub("_", " ")) end

local function axis_of(column)
  return { label = plain(column.name), unit = column.unit ~= "1" and column.unit or nil, exact = column.exact }
end

local function spec_of(found, output)
  local points = {}
  for i, x in ipairs(found.x.values) do
    local y = output.values[i]
    points[i] = { x, y == y and y or nil }
  end
  local title = ("%s over %s"):format(plain(output.name), plain(found.x.name))
  return {
    title = title, description = ("%s: %s"):format(found.title, title),
    x = { label = plain(found.x.name), unit = found.x.unit ~= "1" and found.x.unit or nil, exact = true }, y = axis_of(output),
    series = { { label = plain(output.name), points = points, marks = #points <= 30 } },
  }
end

-- All outputs below each other in one drawing.
function sweep.svg(found)
  local parts, width, y = {}, 0, 0
  for _, output in ipairs(found.outputs) do
    local drawing = chart.svg(spec_of(found, output))
    local w, height = drawing:match 'viewBox="0 0 ([%d.]+) ([%d.]+)"'
    w, height = tonumber(w), tonumber(height)
    parts[#parts + 1] = (drawing:gsub("^<svg ", ('<svg x="0" y="%g" width="%g" height="%g" '):format(y, w, height), 1))
    width, y = math.max(width, w), y + height
  end
  if #parts == 1 then return chart.svg(spec_of(found, found.outputs[1])) .. "\n" end
  return ('<svg viewBox="0 0 %g %g" xmlns="http://www.w3.org/2000/svg" role="img">\n<title>%s</title>\n%s\n</svg>\n')
    :format(width, y, h(found.title), table.concat(parts, "\n"))
end

function sweep.html(found)
  local facts, figures = {}, {}
  for _, input in ipairs(found.inputs) do
    facts[#facts + 1] = "<dt>" .. h(plain(input.name)) .. "</dt><dd>" .. h(input.text) .. "</dd>"
  end
  for i, output in ipairs(found.outputs) do figures[i] = chart.figure(spec_of(found, output)) end
  return table.concat {
    "<!DOCTYPE html>\n<html lang=en>\n<head>\n<meta charset=utf-8>\n",
    "<meta name=viewport content=\"width=device-width, initial-scale=1\">\n<title>",
    h(found.title), "</title>\n<style>\n", style, "</style>\n</head>\n<body>\n<main>\n<h1>", h(found.id), "</h1>\n<h2>", h(found.title),
    "</h2>\n", #facts > 0 and "<dl class=facts>" .. table.concat(facts) .. "</dl>\n" or "", table.concat(figures),
    "<p>Source: ", h(found.source), "</p>\n<p>Validity: ", h(found.validity), "</p>\n</main>\n<footer><p class=small>",
    "The figures support and never replace the supplier's data sheets, local codes and licensed practice. impinge ", h(found.version),
    "</p></footer>\n</body>\n</html>\n",
  }
end

return sweep
