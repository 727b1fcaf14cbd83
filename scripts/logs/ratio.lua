-- Log rules on the mixing ratio.
local imp = require "impinge"
local flows = require "logs.shared.flows"
local q = imp.q

event {
  id = "off-ratio",
  title = "Ratio outside its tolerance",
  group = "ratio",
  level = "stop",
  any_of = flows.sets,
  criterion = {
    tolerance = { from = "material.ratio_tolerance", default = q "5 %" },
    nominal = { from = "material.volume_ratio", default = q "1" },
    window = q "30 s",
    lasting = q "10 s",
  },
  tighter = { tolerance = "lower", lasting = "lower" },
  criterion_text = "|mean iso flow / mean resin flow over the window / nominal - 1| above the tolerance, while spraying, for at least the time lasting",
  source = "practice",
  advice = "Cut into what was sprayed in these times and look at it; what is off ratio comes out. Before the next job: check strainer, transfer pump, its air "
    .. "and drum of the side that ran short.",
  compute = function(day, job, criterion)
    local ratio, spraying = flows.ratio(day, job, criterion.window)
    if not ratio then return nil, spraying end
    local deviation, values = ratio / criterion.nominal - 1, { { "ratio", ratio } }
    return { { label = "resin ran short", mask = (deviation:above(criterion.tolerance) & spraying):lasting(criterion.lasting), values = values },
             { label = "iso ran short", mask = (deviation:below(-criterion.tolerance) & spraying):lasting(criterion.lasting), values = values } }
  end,
}

fact {
  id = "ratio-by-spray",
  title = "Ratio of each spray",
  group = "ratio",
  any_of = flows.sets,
  criterion = { shortest = q "10 s", uncertainty = q "1 %" },
  criterion_text = "iso / resin, mean flows of every stretch of spraying of at least the shortest; the standard uncertainty of a meter's flow is taken as stated",
  source = "practice",
  ask = function(day, job, criterion)
    local spraying = day:spraying()
    if not spraying then return nil, "the log does not tell when it was sprayed" end
    local iso, resin = flows.both(day, job)
    if not iso then return nil, resin end
    return { sprays = spraying:lasting(criterion.shortest):later():spans(iso, resin) }
  end,
  judge = function(answers, _, criterion)
    local ratios, longest = {}, nil
    for _, spray in ipairs(answers.sprays) do
      local iso, resin = spray.values[1].mean, spray.values[2].mean
      if iso and resin and resin > q "0 L/min" then
        ratios[#ratios + 1] = iso / resin
        if not longest or spray.duration > longest.duration then longest = { duration = spray.duration, ratio = iso / resin } end
      end
    end
    if #ratios == 0 then return nil, "no spray was long enough" end
    local column = imp.column(ratios)
    local values = {
      { label = "sprays", value = q(#ratios), note = #ratios < answers.sprays.count and ("the first of " .. answers.sprays.count) or nil },
      { label = "mean", value = column:mean() },
      { label = "lowest", value = column:min() }, { label = "highest", value = column:max() },
      { label = "standard uncertainty of one", value = longest.ratio * criterion.uncertainty * q "2":sqrt(),
        note = "two meters, GUM linear" },
      { label = "longest spray", value = longest.ratio, note = longest.duration:to "s" },
    }
    if #ratios > 1 then values[#values + 1] = { label = "standard deviation", value = column:sd() } end
    return values
  end,
}
