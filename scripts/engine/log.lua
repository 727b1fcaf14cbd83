-- log.lua: job logs: asks each file what the log rules want to know, reads many side by side, and hands what they amount
-- to over to a report. Returns main(), which returns the exit code.

local imp = require "impinge"
local cautions = require "engine.cautions"
local book = require "engine.log_book"
local fault = require "engine.fault"
local fleet = require "engine.log_fleet"
local log_day = require "engine.log_day"
local pieces = require "engine.log_pieces"
local standard = require "logs.index"

local exit = { ok = 0, caution = 1, stop = 2, input = 4, script = 5, budget = 6 }

local scripts = debug.getinfo(1, "S").source:match "^@(.*)engine/log%.lua$" or ""

local function rule_files(options)
  local files = {}
  for _, group in ipairs(standard) do
    local name = "logs/" .. group .. ".lua"
    files[#files + 1] = { path = scripts .. name, name = name }
  end
  for _, path in ipairs(options.rules or {}) do files[#files + 1] = { path = path } end
  return files
end

local function warn(message) io.stderr:write(message, "\n") end

-- The time that a point of the charts stands for: by the size of the file, so that a long one does not take more memory. At
-- a row a second there are some 2000 points at most.
local function period_of(options, path)
  if options.period then return imp.q(options.period) end
  local size, seconds = 0, 60
  for _, file in ipairs(options.join and options.files or { path }) do
    size = size + (host.file_size(file) or 6e8 + 1) -- a pipe may be any length
  end
  for _, step in ipairs { { 10e6, 600 }, { 100e6, 3600 }, { 600e6, 21600 }, { 3.6e9, 86400 } } do
    if size > step[1] then seconds = step[2] end
  end
  return imp.q(seconds, "s")
end

-- A file's own sentence where it cannot be used.
local function broken(name, message)
  warn(message)
  return { file = name, unusable = message }
end

local function open_day(options, rules, path, threads)
  local hosted, message = host.log_open(path, { columns = options.columns, threads = threads })
  if not hosted then return nil, message end
  return log_day.ask(hosted, rules, period_of(options, path))
end

local function in_file(path, message)
  return message:sub(1, #path) == path and message or path .. ": " .. message
end

-- Open, ask, run and hand to `use` some files at a time; the order is kept.
local function each_file(options, rules, partial, use)
  local files, threads = options.files, math.tointeger(math.max(1, math.min(options.threads or 1, 64)) // 1)
  for first = 1, #files, threads do
    local days, hosted = {}, {}
    local last = math.min(first + threads - 1, #files)
    for i = first, last do
      local day, message = open_day(options, rules, files[i], #files == 1 and threads or 1)
      days[i] = day or broken(files[i], message)
      if day then hosted[#hosted + 1] = day.hosted end
    end
    local outcomes, at = host.log_run(hosted, partial), 0
    for i = first, last do
      if days[i].hosted then
        at = at + 1
        if outcomes[at] == true then
          use(files[i], days[i])
        else
          use(files[i], nil, broken(files[i], in_file(files[i], outcomes[at])))
        end
        host.log_close(days[i].hosted)
      else
        use(files[i], nil, days[i])
      end
    end
  end
end

-- Of many files only what their rows show is kept, so that a season does not fill the memory.
local function kept(result, is_one)
  if is_one or result.unusable then return result end
  result.series = nil
  local events = {}
  for _, event in ipairs(result.events) do
    if event.status ~= "none" then
      events[#events + 1] = { id = event.id, title = event.title, level = event.level, status = event.status, count = event.count,
                              time = event.time, reason = event.reason }
    end
  end
  result.events = events
  return result
end

local function results_of_files(options, rules)
  local results = {}
  each_file(options, rules, false, function(path, day, unusable)
    results[#results + 1] = unusable or kept(log_day.finish(day, path), #options.files == 1)
  end)
  return results
end

-- Partial results of the files: texts that merge, and the faults of files that cannot be used.
local function partials_of_files(options, rules)
  local list = {}
  each_file(options, rules, true, function(path, day, unusable)
    list[#list + 1] = day and { file = path, period = day.period, text = host.log_partial(day.hosted) }
                      or { file = path, unusable = unusable.unusable }
  end)
  return list
end

local function merged_day(rules, name, texts, period)
  local hosted, message = host.log_bind(name, texts[1])
  if not hosted then return broken(name, in_file(name, message)) end
  local day = log_day.ask(hosted, rules, period)
  local ok, problem = host.log_merge(hosted, texts)
  local result = ok and log_day.finish(day, name) or broken(name, in_file(name, problem))
  host.log_close(hosted)
  return result
end

local function results_of_partials(options, rules, list)
  local results = {}
  if not options.join then
    for _, piece in ipairs(list) do
      results[#results + 1] = piece.unusable and broken(piece.file, piece.unusable)
                              or kept(merged_day(rules, piece.file, { piece.text }, piece.period), #list == 1)
    end
    return results
  end
  local texts = {}
  for _, piece in ipairs(list) do
    if piece.unusable then return { broken(piece.file, piece.unusable) } end
    texts[#texts + 1] = piece.text
  end
  return { merged_day(rules, list[1].file, texts, list[1].period) }
end

local function exit_code(report)
  if report.unusable > 0 then return exit.input end
  return report.verdict == "stop" and exit.stop or report.verdict == "caution" and exit.caution or exit.ok
end

local function job_of()
  local job = host.job()
  if not job then return nil end
  return { name = job.name, date = job.date, rig = job.rig.name, material = job.material.name }
end

local function run(options)
  local rules = book.read(rule_files(options))
  if options.partial then
    local list = partials_of_files(options, rules)
    local code = exit.ok
    for _, piece in ipairs(list) do if piece.unusable then code = exit.input end end
    host.write(pieces.write(list))
    return code
  end
  local results
  if options.merge then
    results = results_of_partials(options, rules, pieces.read(options.files))
  elseif options.join then
    results = results_of_partials(options, rules, partials_of_files(options, rules))
  else
    results = results_of_files(options, rules)
  end
  local report = fleet.report(results)
  report.job, report.cautions, report.version = job_of(), cautions, imp.version
  report.units = options.units or host.job() and host.job().display_units or "si"
  report.exit_code = exit_code(report)
  local text = require("report.log_" .. (options.format or "text"))(report, host.write)
  if text then host.write(text) end
  return report.exit_code
end

local function main()
  collectgarbage("setpause", 120) -- reports make much text: rather more work than more memory
  local ok, outcome = pcall(run, host.options())
  if ok then return outcome end
  local message = fault.message(outcome)
  if not message then error(outcome, 0) end
  warn("impinge: " .. message)
  if message:find("used up its budget", 1, true) then return exit.budget end
  return message:find("^partial result", 1) and exit.input or exit.script
end

return main
