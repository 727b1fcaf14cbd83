#!/bin/sh
# The long campaign, and a table of what it found:
#   sh tests/campaign.sh [SECONDS_A_FUZZER [SOAK_MINUTES [EVERY_NTH_FAULT]]]      600, 15 and 37 if not given: about four hours
# Static analysis, fuzzers (clang), faults, ThreadSanitizer, coverage, mutants and soak; what is not here is said. Ends with 1 where anything is open.
# Each part writes its own log to build-campaign/ and ends with a line, which the table shows.
set -u
top=$(cd "$(dirname "$0")/.." && pwd)
seconds=${1:-600} minutes=${2:-15} every=${3:-37}
logs=$top/build-campaign
table=$logs/table.txt
open=0 missing=""
mkdir -p "$logs"
: >"$table"

# part NAME SCRIPT COMMAND...: run it where its script is there, and keep its last line.
part() {
  name=$1 script=$2
  shift 2
  if [ ! -e "$script" ]; then
    printf '%-10s not here: %s\n' "$name" "${script#"$top"/}" >>"$table"
    missing=" of what was run"
    return
  fi
  echo "campaign: $name ($(date '+%H:%M'))"
  if "$@" >"$logs/$name.log" 2>&1; then result=ok; else result=OPEN open=1; fi
  printf '%-10s %-4s %s\n' "$name" "$result" "$(tail -n 1 "$logs/$name.log")" >>"$table"
}

sh "$top/.ci/build.sh" "$top/build" RelWithDebInfo || exit 1
part analysis "$top/tests/static_analysis.sh" sh "$top/tests/static_analysis.sh"
part fuzz "$top/tests/fuzz/run.sh" sh "$top/tests/fuzz/run.sh" "$seconds"
part faults "$top/tests/faults/run_faults.py" python3 "$top/tests/faults/run_faults.py" "$top/build/bin/impinge" "$top/build/tests/interpose.so" \
  "$top" --every "$every"
part threads "$top/tests/threads.sh" sh "$top/tests/threads.sh"
part coverage "$top/tests/coverage/run.sh" sh "$top/tests/coverage/run.sh"
# another seed each day, which nobody has written tests for
part mutation "$top/tests/mutation/run.sh" sh "$top/tests/mutation/run.sh" --seed "$(date +%Y%m%d)"
part soak "$top/tests/soak/run.sh" sh "$top/tests/soak/run.sh" "$minutes"
grep -h '^soak:' "$logs/soak.log" 2>/dev/null | sed 's/^/           /' >>"$table" # memory of the two long processes

echo
echo "campaign of $(date '+%Y-%m-%d'), $(git -C "$top" log -1 --format=%h 2>/dev/null):"
cat "$table"
if [ "$open" -eq 0 ]; then echo "nothing$missing is open"; else echo "something is open: see ${logs#"$top"/}/"; fi
exit "$open"
