-- fault.lua: a mistake in a script's declarations, as an error that tells it apart from a fault of the engine's own.

local fault = {}

local mark = {}

function fault.raise(message, ...)
  error(setmetatable({ message = message:format(...) }, mark), 0)
end

-- The sentence of a fault, or nil for any other error.
function fault.message(problem)
  return getmetatable(problem) == mark and problem.message or nil
end

return fault
