-- A call that must fail: its error names a line of the script and holds the given part.
return function(f, part)
  local ok, message = pcall(f)
  if ok then error("did not fail: expected \"" .. part .. "\"", 2) end
  if not message:find(part, 1, true) then error(("\"%s\" does not hold \"%s\""):format(message, part), 2) end
  if not message:find("^[^:]+%.lua:%d+: ") then error(("\"%s\" names no line"):format(message), 2) end
end
