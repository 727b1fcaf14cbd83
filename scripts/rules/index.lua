-- index.lua: the files of standard rules, in the order of a report.

return { "power", "loads", "protection", "voltage", "air", "hoses", "heating", "settings", "drive", "feed", "mixing", "material", "weather", "work", "confirm" }
