-- voltage.lua: nothing of the rig may be plugged into a supply whose voltage is too high for it.

local common = require "rules.shared.common"
local supply = require "rules.shared.supply"
local q = require "impinge".q

-- Everything with a rated voltage: { label=, path=, rated= (nil where it is not given), connection=, motor= }.
local function parts_of(job)
  local parts = {}
  for place, load in ipairs(job.rig.loads) do
    parts[#parts + 1] = { label = load.name or "load " .. place, path = ("rig.loads.%d.rated_voltage"):format(place),
                          rated = load.rated_voltage, connection = load.connection, motor = load.kind == "motor" }
  end
  for _, side in ipairs(common.sides) do
    parts[#parts + 1] = { label = side .. " heater", path = "rig.heaters." .. side .. ".rated_voltage",
                          rated = job.rig.heaters[side].rated_voltage }
  end
  parts[#parts + 1] = { label = "hose transformer, primary", path = "rig.hose.primary_voltage", rated = job.rig.hose.primary_voltage }
  return parts
end

-- What a part's voltage is above its rating, of the rating; its voltage.
local function excess(job, lines, part)
  local voltage = supply.highest_at(job, part.connection and lines or lines == 3 and 3 or 2, part.connection, part.rated)
  return voltage / part.rated - 1, voltage
end

local function unrated(job)
  local missing = {}
  for _, part in ipairs(parts_of(job)) do
    if not part.rated then missing[#missing + 1] = part.path end
  end
  return missing
end

local most = q "10 %"

rule {
  id = "rated-voltage",
  title = "Supply voltage is not too high for any load",
  group = "power", stage = "plan",
  uses = supply.paths,
  safety = true,
  compute = function(job)
    local loads, why, missing = supply.loads(job)
    if not loads then return nil, why, missing end
    local lines, worst, shown, weak_motor = supply.lines(job, loads), nil, {}, nil
    for _, part in ipairs(parts_of(job)) do
      if part.rated then
        local above, voltage = excess(job, lines, part)
        if not worst or above > worst then worst = above end
        if above > most then shown[#shown + 1] = { label = ("%s, rated %s, gets"):format(part.label, part.rated:to "V"), value = voltage } end
        if part.motor and above < -most then weak_motor = part.label end
      end
    end
    if not worst then return nil, "no rated voltage is given", unrated(job) end
    return common.shown_in("%", worst), { parts = shown,
      caution = weak_motor and weak_motor .. " gets more than 10 % less than it is rated for: a motor then runs hot or does not start" or nil,
      note = "The value is how far the supply, nominal or measured, is above the rating of the part that it is worst for: "
        .. "loads as they are connected; heaters and the hose transformer from line to line, or to the neutral where they are rated for that." }
  end,
  -- An unlisted compressor on the same supply has a rating that nobody has told.
  at_most = function(job)
    local missing = unrated(job)
    if #supply.loads(job) > #job.rig.loads then missing[#missing + 1] = "rig.loads" end
    return most, "default", missing
  end,
  lever = { "supply.voltage" },
  source = "V^2 for heaters; 10 % as IEC 60038 lets the supply vary: common practice, no source; the parts' plates",
  advice = "Do not plug in: use a supply or a transformer of the plates' voltage, or have a licensed person reconnect the parts for it.",
}
