local t = {} t.t = t
rule(t)
