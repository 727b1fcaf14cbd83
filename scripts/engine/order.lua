-- order.lua: the order in which findings are read: worst first, then what can hurt, then the order of the rules.

local verdict = require "engine.verdict"

local order = {}

local function before(a, b)
  local a_rank, b_rank = verdict.rank(a.verdict), verdict.rank(b.verdict)
  if a_rank ~= b_rank then return a_rank < b_rank end
  if a.safety ~= b.safety then return a.safety end
  return a.place < b.place
end

function order.sort(findings)
  table.sort(findings, before)
  return findings
end

-- Groups in the order in which the rules name them: { name=, verdict=, findings = { ids, worst first } }.
function order.groups(findings)
  local by_name, groups = {}, {}
  for _, finding in ipairs(findings) do
    local group = by_name[finding.group]
    if not group then
      group = { name = finding.group, place = finding.place, verdict = finding.verdict, findings = {} }
      by_name[finding.group] = group
      groups[#groups + 1] = group
    end
    group.place = math.min(group.place, finding.place)
    if not finding.silenced and verdict.rank(finding.verdict) < verdict.rank(group.verdict) then
      group.verdict = finding.verdict
    end
    group.findings[#group.findings + 1] = finding
  end
  table.sort(groups, function(a, b) return a.place < b.place end)
  for _, group in ipairs(groups) do
    order.sort(group.findings)
    for i, finding in ipairs(group.findings) do group.findings[i] = finding.id end
  end
  return groups
end

return order
