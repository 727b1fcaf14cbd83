-- Add a rule that computes: enough hose heat left at dusk. The catalogue computes, the rule only asks and compares.
-- The limit of 45 W/m is an invented company's own.
--   impinge test examples/cookbook/04-add-a-rule.lua
local imp = require "impinge"
local q = imp.q

rule {
  id = "hose-loss-at-dusk",
  title = "Hose loses less than 45 W/m at the site's air temperature",
  group = "heating",
  stage = "site",                                    -- "plan": can be judged in the office
  uses = { "settings.hose_temperature", "site.air_temperature", "rig.hose.loss_coefficient" }, -- missing ones are named
  compute = function(job)
    local excess = job.settings.hose_temperature - job.site.air_temperature
    return job.rig.hose.loss_coefficient * excess
  end,
  at_most = q "45 W/m",
  lever = { "settings.hose_temperature" },           -- the tool solves for the value that passes
  source = "practice",
  advice = "Lower the hose temperature within the material's window, or wrap the hose.",
}

local cold = { settings = { hose_temperature = "60 degC" }, site = { air_temperature = "-20 degC" },
               rig = { hose = { loss_coefficient = "0.62 W/(m K)" } } }
-- 80 K x 0.62 W/(m K) = 49.6 W/m; 45 W/m are reached at 72.58 K, 52.6 degC; the tool rounds to what passes
case { rule = "hose-loss-at-dusk", name = "a frosty evening", job = cold, verdict = "stop", value = q "49.6 W/m",
       passes = { ["settings.hose_temperature"] = q "52.6 degC" },
       within = { value = q "0.1 W/m", ["settings.hose_temperature"] = q "0.2 K" } }
case { rule = "hose-loss-at-dusk", name = "nobody read the air", verdict = "not known", missing = { "site.air_temperature" },
       job = { settings = cold.settings, rig = cold.rig } }
