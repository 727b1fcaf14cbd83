-- The standard log rules, in the order of the report.
return { "ratio", "pressure", "feed", "temperature", "weather", "sensors", "work", "control", "plan" }
