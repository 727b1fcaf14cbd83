-- standard.lua: the standard rules together, in the order of a report. They share one state, so that what several files
-- require is read once.

for _, group in ipairs(require "rules.index") do require("rules." .. group) end
