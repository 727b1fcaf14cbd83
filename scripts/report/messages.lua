-- The reports' own words in the language asked for. A language is one file in messages/: `words` by key, and, where they
-- are translated, the standard rules' titles by id, the cautions in their order, and the engine's fixed sentences.
-- What a language lacks is shown in English and marked as such, so that a screen reader pronounces it as English.
local messages = {}

messages.languages = { "en", "es" }

local english = require "report.messages.en"

local function table_of(language)
  for _, known in ipairs(messages.languages) do
    if known == language then return require("report.messages." .. language) end
  end
  return english
end

local book = {}
book.__index = book

-- t("margin") or t("limit_from", "material"): the text with what is filled in.
function book:__call(key, ...)
  local text = self.words[key] or english.words[key] or error("no message has the key " .. tostring(key), 2)
  if select("#", ...) == 0 then return text end
  return (text:format(...))
end

-- Several lines under one key.
function book:list(key)
  return self.lists[key] or english.lists[key] or error("no list of messages has the key " .. tostring(key), 2)
end

-- title, sentence and cautions return also whether the text stayed in English.
function book:title(finding)
  if self.language == "en" then return finding.title, false end
  local text = finding.file and finding.file:find("^rules/") and not finding.replaced and self.titles and self.titles[finding.id]
  return text or finding.title, not text
end

-- A sentence of the tables with its figures filled in: "at most 32 A" is "at most %s". What is filled in is a figure or has
-- an entry of its own; parts between semicolons are looked up one by one. nil where any of it is in no table.
local function filled_in(sentences, text, is_part)
  if sentences[text] then return sentences[text] end
  if is_part and text:find "^[-+]?%d" then return text end
  for english_text, translated in pairs(sentences) do
    if english_text:find("%s", 1, true) then
      local pattern = english_text:gsub("[%^%$%(%)%.%[%]%*%+%-%?]", "%%%0"):gsub("%%s", "(.-)")
      local parts, is_known = { text:match("^" .. pattern .. "$") }, true
      for i, part in ipairs(parts) do
        parts[i] = filled_in(sentences, part, true)
        is_known = is_known and parts[i] ~= nil
        if not is_known then break end
      end
      if is_known and #parts > 0 then return translated:format(table.unpack(parts)) end
    end
  end
  if not text:find("; ", 1, true) then return nil end
  local parts = {}
  for part in (text .. "; "):gmatch "(.-); " do
    parts[#parts + 1] = filled_in(sentences, part, true)
    if parts[#parts] == nil then return nil end
  end
  return table.concat(parts, "; ")
end

function book:sentence(text)
  if self.language == "en" or text == nil then return text, false end
  local found = self.sentences and filled_in(self.sentences, text)
  return found or text, not found
end

function book:cautions(cautions)
  if self.language == "en" or not self.translated_cautions or #self.translated_cautions ~= #cautions then
    return cautions, self.language ~= "en"
  end
  return self.translated_cautions, false
end

function book:group(name) return self.groups and self.groups[name] or name end
function book:origin(name) return self.origins and self.origins[name] or name end

function messages.of(language)
  local given = table_of(language)
  return setmetatable({
    language = given.language, words = given.words, lists = given.lists or {}, titles = given.titles, sentences = given.sentences,
    groups = given.groups, origins = given.origins, translated_cautions = given.cautions,
  }, book)
end

return messages
