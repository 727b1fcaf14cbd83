-- thin.lua: fewer points that draw the same line: of each narrow column of the chart the first, lowest, highest and last
-- point, so that no peak is lost.
local thin = {}

local thinner = {}
thinner.__index = thinner

-- A collector for points that come one by one in the order of x, between low and high.
function thin.collector(low, high, buckets)
  local width = (high - low) / buckets
  return setmetatable({ low = low, width = width > 0 and width or 1, x = {}, y = {}, bucket = nil, first = nil }, thinner)
end

local function keep(self, x, y)
  local n = #self.x
  if n > 0 and self.x[n] == x and self.y[n] == y then return end
  self.x[n + 1], self.y[n + 1] = x, y
end

local function flush(self)
  if not self.first_x then return end
  keep(self, self.first_x, self.first_y)
  if self.low_x < self.high_x then
    keep(self, self.low_x, self.low_y)
    keep(self, self.high_x, self.high_y)
  else
    keep(self, self.high_x, self.high_y)
    keep(self, self.low_x, self.low_y)
  end
  keep(self, self.last_x, self.last_y)
  self.first_x = nil
end

-- y nil is a missing value. The line breaks where a whole column or more has none.
function thinner:add(x, y)
  if y == nil then return end
  local bucket = math.floor((x - self.low) / self.width)
  if bucket ~= self.bucket then
    flush(self)
    if self.bucket and bucket > self.bucket + 1 and self.missing_since and self.missing_since <= x - self.width then
      self.x[#self.x + 1], self.y[#self.y + 1] = x, false
    end
    self.bucket = bucket
  end
  self.missing_since = nil
  if not self.first_x then
    self.first_x, self.first_y, self.low_x, self.low_y, self.high_x, self.high_y = x, y, x, y, x, y
  end
  if y < self.low_y then self.low_x, self.low_y = x, y end
  if y > self.high_y then self.high_x, self.high_y = x, y end
  self.last_x, self.last_y = x, y
end

function thinner:missing(x)
  self.missing_since = self.missing_since or x
end

-- Two arrays, x and y; y false: the line breaks here.
function thinner:points()
  flush(self)
  self.bucket = nil
  return self.x, self.y
end

-- Arrays x and y (y[i] nil or false: missing), thinned to at most four points a column.
function thin.arrays(x, y, buckets)
  local low, high = x[1], x[#x]
  local collector = thin.collector(low or 0, high or 1, buckets)
  for i = 1, #x do
    if y[i] then collector:add(x[i], y[i]) else collector:missing(x[i]) end
  end
  return collector:points()
end

return thin
