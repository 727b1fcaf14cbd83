-- fault.lua: a mistake in a script's declarations, as an error that tells it apart from a fault of the engine's own.

local fault = {}

local mark = {}

function fault.raise(message, ...)
  error(setmetatable({ message = message:format(...) }, mark), 0)
end

-- The same where an input file, or what was typed, is wrong rather than a declaration.
function fault.input(message, ...)
  error(setmetatable({ message = message:format(...), exit_code = 4 }, mark), 0)
end

function fault.usage(message, ...)
  error(setmetatable({ message = message:format(...), exit_code = 3 }, mark), 0)
end

-- The exit code of a fault that names one.
function fault.exit_code(problem)
  return getmetatable(problem) == mark and problem.exit_code or nil
end

-- The sentence of a fault, or nil for any other error.
function fault.message(problem)
  return getmetatable(problem) == mark and problem.message or nil
end

return fault
