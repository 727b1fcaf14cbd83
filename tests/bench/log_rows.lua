-- The per-row callback of the bench: a Lua function called with four columns of every row.
local imp = require "impinge"
local day = imp.log.open(arg[1])
local rows, spraying, iso_flow, resin_flow, coldest = 0, 0, 0, 0, math.huge
day:rows({ "trigger", "iso_flow", "resin_flow", "hose_temperature" }, function(_, trigger, iso, resin, hose)
  rows = rows + 1
  if trigger == 1 then
    spraying = spraying + 1
    iso_flow = iso_flow + iso
    resin_flow = resin_flow + resin
  end
  if hose < coldest then coldest = hose end
end)
print(rows, spraying, ("%.9f"):format(iso_flow / resin_flow), coldest)
