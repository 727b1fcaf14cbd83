-- A document's data as JSON.
local encode = require "report.json".encode

return function(document)
  local data = { impinge = 1, report = document.report }
  data.notice = document.banner
  for key, value in pairs(document.data) do data[key] = value end
  return encode(data)
end
