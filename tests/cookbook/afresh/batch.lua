-- A table of many logs and their totals, written from the cookbook: impinge run batch.lua LOG.csv...
local imp = require "impinge"
local csv = require "report.csv"
local q = imp.q

local function line(cells) print((csv.line(cells):gsub("[\r\n]+$", ""))) end

local total = { spraying = q "0 s", iso = q "0 L", resin = q "0 L" }
line { "file", "rows", "spraying [s]", "iso [L]", "resin [L]", "highest iso pressure [bar]" }
for _, path in ipairs(arg) do
  local day <close> = imp.log.open(path)
  local sprayed = day.trigger:equals(1)
  local time, iso, resin = sprayed:later():time(sprayed), day.iso_flow:later():integral(sprayed), day.resin_flow:later():integral(sprayed)
  local most, rows = day.iso_pressure:later():max(), day.iso_pressure:later():count()
  time, iso, resin = time:get() or q "0 s", iso:get() or q "0 L", resin:get() or q "0 L"
  total.spraying, total.iso, total.resin = total.spraying + time, total.iso + iso, total.resin + resin
  line { path:match "[^/]+$", ("%d"):format(rows:get()), ("%.10g"):format(time:value "s"), ("%.10g"):format(iso:value "L"),
         ("%.10g"):format(resin:value "L"), ("%.10g"):format(most:get():value "bar") }
end
line { "all", ("%d"):format(#arg), ("%.10g"):format(total.spraying:value "s"), ("%.10g"):format(total.iso:value "L"),
       ("%.10g"):format(total.resin:value "L"), "" }
