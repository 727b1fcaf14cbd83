-- Which hours of a forecast can be sprayed: the rules on the weather judge each row, and a company's own rule joins them.
-- Forecast, job and material are invented. A forecast is no reading: measure on site.
--   impinge check examples/orchard-store/job.json --report spray-hours --forecast examples/orchard-store/forecast.csv --surface-below "2 K" --rules examples/cookbook/20-spray-hours.lua --format csv
local imp = require "impinge"
local q = imp.q

-- A rule of the group "weather" counts for every hour whose readings it uses. Here: cold and windy together tires a crew.
rule {
  id = "crew-in-cold-wind",
  title = "Wind below 5 m/s where it is colder than 15 degC",
  group = "weather",
  uses = { "site.air_temperature", "site.wind_speed" },
  applies = function(job) return job.site.air_temperature < q "15 degC", "it is warm enough" end,
  compute = function(job) return job.site.wind_speed end,
  caution_above = q "4 m/s", at_most = q "5 m/s",
  source = "practice",
  advice = "Shorter turns, or screens.",
}
