-- What our scripts may see, room by room: rule files declare rules, the engine sees `host`, one-liners see `q`.
std = "lua54"
max_line_length = 240
self = false
ignore = { "241" } -- a table that is only indexed to reach the tables in it is used all the same
local declarations = { "rule", "tighten", "silence", "replace", "calculator", "report", "case" }
files["scripts/rules"] = { read_globals = declarations }
files["scripts/engine"] = { read_globals = { "host" } }
files["scripts/report"] = { read_globals = { "host" } }
files["scripts/calculators"] = { read_globals = declarations }
files["scripts/logs"] = { read_globals = { "event", "fact", "tighten", "silence", "replace" } }
files["scripts/templates"] = { read_globals = declarations }
files["examples"] = { read_globals = { "rule", "tighten", "silence", "replace", "calculator", "case", "event", "fact" } }
files["tests/cookbook"] = { read_globals = declarations }
files["tests/bench/log_rules.lua"] = { read_globals = { "event" } }
files["tests/api"] = { read_globals = { "imp" } }
files["tests/lua"] = { read_globals = { "host", "q", "imp" } }
