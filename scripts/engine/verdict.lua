-- verdict.lua: what a value is worth against its limits, what all findings together are worth, and the exit code.

local verdict = {}

-- Worst first. A finding "to be read on site" and one "not applicable" never count.
verdict.names = { "stop", "not known", "caution", "to be read on site", "go", "not applicable" }

local rank = {}
for place, name in ipairs(verdict.names) do rank[name] = place end

local exit_codes = { go = 0, caution = 1, stop = 2, ["not known"] = 2 }

-- 1 is the worst.
function verdict.rank(name)
  return rank[name] or error(("there is no verdict %q"):format(tostring(name)))
end

function verdict.exit_code(overall)
  return exit_codes[overall]
end

-- margin is positive inside. straddles: the value's own uncertainty reaches over the limit.
local function side(value, limit, lower, uncertainty)
  local margin = lower and value - limit.value or limit.value - value
  local outside = lower and value < limit.value or not lower and value > limit.value
  local straddles = false
  if uncertainty then
    local towards = lower == outside and value + uncertainty or value - uncertainty
    straddles = (lower and towards < limit.value or not lower and towards > limit.value) ~= outside
  end
  return { limit = limit, kind = lower and "at least" or "at most", margin = margin, outside = outside,
           straddles = straddles }
end

local function closer(a, b)
  if not a then return b end
  if not b or a.margin <= b.margin then return a end
  return b
end

-- limits: { at_least=, at_most=, caution_below=, caution_above= }, each { value=, ... } or nil.
-- Returns { verdict=, side=, caution=, reason= }: side is the hard limit that governs (the caution limit where a rule
-- has no other), caution the caution limit on the same end.
function verdict.judge(value, limits, uncertainty)
  local least = limits.at_least and side(value, limits.at_least, true, uncertainty)
  local most = limits.at_most and side(value, limits.at_most, false, uncertainty)
  local below = limits.caution_below and side(value, limits.caution_below, true)
  local above = limits.caution_above and side(value, limits.caution_above, false)
  local hard, soft = closer(least, most), closer(below, above)
  if not hard and not soft then
    return { verdict = "go", reason = "known" }
  end
  if not hard then
    local name = soft.outside and "caution" or "go"
    return { verdict = name, side = soft, caution = soft,
             reason = soft.outside and (soft.kind == "at least" and "below the value that calls for caution"
                                        or "above the value that calls for caution")
                      or "clear of the value that calls for caution" }
  end
  local same_end = hard.kind == "at least" and below or hard.kind == "at most" and above or nil
  local judged = { side = hard, caution = same_end or soft }
  local low = hard.kind == "at least"
  if hard.outside and not hard.straddles then
    judged.verdict = "stop"
    judged.reason = low and "below its lower limit" or "above its upper limit"
  elseif hard.outside then
    judged.verdict = "not known"
    judged.reason = "outside its limit by less than the uncertainty of the measurement: measure better"
  elseif hard.straddles then
    judged.verdict = "caution"
    judged.reason = "the uncertainty of the measurement reaches over the limit"
  elseif soft and soft.outside then
    judged.verdict = "caution"
    judged.caution = soft
    judged.reason = soft.kind == "at least" and "inside its limit, but below the value that calls for caution"
                    or "inside its limit, but above the value that calls for caution"
  else
    judged.verdict = "go"
    judged.reason = "inside its limits"
  end
  return judged
end

-- Counts by verdict, and the verdict of all together; silenced findings count separately.
function verdict.overall(findings)
  local counts = { silenced = 0 }
  for _, name in ipairs(verdict.names) do counts[name] = 0 end
  local capped = {}
  for _, finding in ipairs(findings) do
    if finding.silenced then
      counts.silenced = counts.silenced + 1
    else
      counts[finding.verdict] = counts[finding.verdict] + 1
    end
    if finding.caps then capped[#capped + 1] = finding.id end
  end
  local overall = "go"
  if counts.stop > 0 then
    overall = "stop"
  elseif counts["not known"] > 0 then
    overall = "not known"
  elseif counts.caution > 0 or #capped > 0 then
    overall = "caution"
  end
  return overall, counts, capped
end

return verdict
