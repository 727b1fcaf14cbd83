#!/bin/sh
# impinge log beside its peers, the same summary with the same results: sh tests/bench/run_log.sh [ROWS] [--install]
# The yardstick is reference.c, which knows the layout and checks nothing. Peers: mawk, gawk, Miller, Lua, LuaJIT, pandas (Debian),
# DuckDB (npm); --install fetches those that are missing, and without it they are "not here". Peers' programs: peer_log.*.
# Of quick programs the best of TURNS (5) turns counts, with all of them taking turns; slow ones run once.
set -eu
cd "$(dirname "$0")/../.."
rows=5000000
install=no
for argument; do
  case $argument in
    --install) install=yes ;;
    *) rows=$argument ;;
  esac
done
sh .ci/build.sh build RelWithDebInfo
out=build/bench
mkdir -p "$out"
if [ $install = yes ]; then
  wanted="mawk gawk miller lua5.4 luajit python3-pandas time"
  command -v npm >/dev/null 2>&1 || wanted="$wanted npm" # where Node came with its own, Debian's does not go beside it
  # shellcheck disable=SC2086
  apt-get install -y -q $wanted >"$out/install.log" 2>&1 || echo "some packages could not be installed: $out/install.log"
  npm install --silent --no-fund --no-audit --prefix "$out" @duckdb/node-api >>"$out/install.log" 2>&1 || echo "DuckDB could not be installed: $out/install.log"
fi
work=$(mktemp -d)
trap 'rm -r "$work"' EXIT
log=$work/log.csv
for name in generate reference; do
  cc -std=c11 -O2 -D_XOPEN_SOURCE=700 "tests/bench/$name.c" -o "$work/$name" -lm
done
"$work/generate" "$rows" > "$log"

# timed NAME COMMAND...: one turn; its time goes to $work/turns, its output to $work/NAME.out
timed() {
  name=$1
  shift
  code=0
  /usr/bin/time -f '%U %S %e %M' -o "$work/time" "$@" > "$work/$name.out" 2> "$work/$name.err" || code=$?
  [ $code -le 2 ] || { echo "$name ended with $code: $(head -n 1 "$work/$name.err")"; return; }
  printf '%s %s\n' "$name" "$(tail -n 1 "$work/time")" >> "$work/turns"
}
have() { command -v "$1" >/dev/null 2>&1; }
missing() { printf '%s\n' "$1" >> "$work/missing"; }
: > "$work/missing"

impinge=build/bin/impinge
for turn in $(seq "${TURNS:-5}"); do
  timed reference "$work/reference" "$log"
  timed impinge "$impinge" log "$log"
  timed impinge-2-threads "$impinge" log --threads 2 "$log"
  timed impinge-json "$impinge" log --format json "$log"
  timed impinge-row-callback "$impinge" run --max-steps 1000000000000 --max-seconds 3600 tests/bench/log_rows.lua "$log"
done
awk_program=tests/bench/peer_log.awk
for awk in mawk gawk; do
  if have $awk; then timed $awk $awk -F, -f $awk_program "$log"; else missing $awk; fi
done
for lua in lua5.4 luajit; do
  if have $lua; then timed $lua $lua tests/bench/peer_log.lua "$log"; else missing $lua; fi
done
if /usr/bin/python3 -c 'import pandas' 2>/dev/null; then timed pandas /usr/bin/python3 tests/bench/peer_log.py "$log"; else missing pandas; fi
if have node && [ -d "$out/node_modules/@duckdb/node-api" ]; then
  for threads in 1 2; do
    timed "duckdb-$threads-threads" node tests/bench/peer_duckdb.mjs "$(pwd)/$out" $threads "$log"
  done
else
  missing duckdb
fi
if have mlr; then timed miller mlr --icsv --onidx put -q -f tests/bench/peer_log.mlr "$log"; else missing miller; fi

# The same results: every line of a peer as the reference has it, to six digits; impinge's from its JSON report
"$impinge" log "$log" --rules tests/bench/log_rules.lua --format json > "$work/report.json" || [ $? -le 2 ]
cat > "$work/check.lua" <<'LUA'
local work = arg[1]
local function lines(path)
  local found = {}
  for line in io.lines(path) do
    local words = {}
    for word in line:gmatch("%S+") do words[#words + 1] = tonumber(word) or word end
    found[words[1]] = words
  end
  return found
end
local expected, wrong = lines(work .. "/reference.out"), 0
local function same(who, name, at, value)
  local wanted = expected[name][at]
  if type(value) == "number" and math.abs(value - wanted) <= 2e-6 * math.max(math.abs(wanted), 1e-3) then return end
  print(("%s: %s is %s, expected %s"):format(who, name, value, wanted))
  wrong = wrong + 1
end
for i = 2, #arg do
  local found = lines(("%s/%s.out"):format(work, arg[i]))
  for name, words in pairs(expected) do
    for at = 2, #words do same(arg[i], name, at, found[name] and found[name][at]) end
  end
end
local text = io.open(work .. "/report.json"):read("a")
local totals = text:match('"totals": (%b{})')
local function total(name) return tonumber(totals:match('"' .. name .. '": {"value": ([^,]+)') or totals:match('"' .. name .. '": ([%d.]+)')) end
for _, name in ipairs { "rows", "sprays", "spraying_time", "iso_volume", "resin_volume", "ratio" } do same("impinge", name, 2, total(name)) end
for id, name in pairs { ["off-ratio"] = "off_ratio_events", ["off-balance"] = "off_balance_events", cold = "cold_events" } do
  local count
  local at = text:find('"id": "bench-' .. id .. '"', 1, true)
  for found, value in text:sub(1, at):gmatch('()"count": (%d+)') do if found < at then count = tonumber(value) end end
  same("impinge", name, 2, count)
end
print(wrong == 0 and "results: all the same" or wrong .. " results differ")
os.exit(wrong == 0)
LUA
peers=$(awk '$1 !~ /^(reference|impinge)/ && !seen[$1]++ { print $1 }' "$work/turns")
echo "$rows rows, $(wc -c < "$log") bytes; $(uname -m), $(nproc) processors: $(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -n 1); $(date +%Y-%m-%d)"
# shellcheck disable=SC2086
lua5.4 "$work/check.lua" "$work" $peers && checked=0 || checked=1
echo
echo "| program | user [s] | system [s] | wall [s] | user / reference | CPU / reference | wall / reference | peak [MB] |"
echo "|---|---|---|---|---|---|---|---|"
awk '
{
    if (!($1 in user)) order[++count] = $1
    if (!($1 in user) || $2 < user[$1]) user[$1] = $2
    if (!($1 in cpu) || $2 + $3 < cpu[$1]) { cpu[$1] = $2 + $3; system_time[$1] = $3 }
    if (!($1 in wall) || $4 < wall[$1]) wall[$1] = $4
    if ($5 > peak[$1]) peak[$1] = $5
}
function ratio(of) { return of["reference"] > 0 ? sprintf("%.2f", of[n] / of["reference"]) : "" } # too few rows to tell
END {
    for (i = 1; i <= count; i++) {
        n = order[i]
        printf "| %s | %.2f | %.2f | %.2f | %s | %s | %s | %.1f |\n", n, user[n], system_time[n], wall[n], ratio(user), ratio(cpu), ratio(wall), peak[n] / 1024
    }
}' "$work/turns"
sed 's/.*/| & | not here | | | | | | |/' "$work/missing"
exit $checked
