-- The frame of every HTML report: one file that needs nothing else.
local escape = require "report.escape"
local style = require "report.style"
local h = escape.html

local page = {}

-- Verdicts differ by word and by shape, never by colour alone.
page.classes = { ["stop"] = "stop", ["not known"] = "unknown", ["caution"] = "caution", ["go"] = "go",
                 ["not applicable"] = "none", ["to be read on site"] = "none" }

-- Text that stayed in English on a page in another language says so.
function page.words(text, is_english)
  if is_english then return "<span lang=en>" .. h(text) .. "</span>" end
  return h(text)
end

-- The box with the verdict; text is HTML. word: instead of the verdict's own.
function page.verdict(t, verdict, text, word)
  return "<div class=\"verdict " .. page.classes[verdict] .. "\"><strong>" .. h(word or t("verdict " .. verdict)) .. "</strong> " .. text .. "</div>\n"
end

-- What can hurt, in a few lines right under the verdict.
function page.first_cautions(t)
  local items = {}
  for i, line in ipairs(t:list "first_cautions") do items[i] = "<li>" .. h(line) .. "</li>" end
  return "<ul class=first>" .. table.concat(items) .. "</ul>\n"
end

-- facts: { { label, text }, ... }
function page.facts(facts)
  local items = {}
  for _, fact in ipairs(facts) do items[#items + 1] = "<div><dt>" .. h(fact[1]) .. "</dt><dd>" .. h(fact[2]) .. "</dd></div>" end
  return "<dl class=facts>" .. table.concat(items) .. "</dl>\n"
end

-- What the job is, for the head of every report. most: columns of a value where the report is one page; its stage stands elsewhere then.
function page.job_facts(t, results, most)
  local facts, job = {}, results.job
  local function add(key, value) if value then facts[#facts + 1] = { t(key), most and escape.cut(value, most) or value } end end
  add("job", job.name or t "unnamed")
  add("date", job.date)
  add("rig", job.rig)
  add("material", job.material)
  if not most then add("stage", t(results.stage)) end
  return facts
end

-- A region that scrolls inside itself on a narrow screen, reachable by keyboard.
function page.wide(label, inner)
  return "<div class=wide role=group tabindex=0 aria-label=\"" .. h(label) .. "\">" .. inner .. "</div>"
end

function page.whole(t, title, class, head, main, footer)
  return "<!doctype html>\n<html lang=" .. t.language .. ">\n<head>\n<meta charset=utf-8>\n<meta name=viewport content=\"width=device-width, initial-scale=1\">\n" ..
    "<meta name=color-scheme content=\"light dark\">\n<title>" .. h(title) .. "</title>\n<link rel=icon href=\"data:,\">\n<style>" ..
    style .. "</style>\n</head>\n<body" ..
    (class and " class=" .. class or "") .. ">\n<header>" .. head .. "</header>\n<main>\n" .. main .. "</main>\n<footer class=small>" ..
    footer .. "</footer>\n</body>\n</html>\n"
end

return page
