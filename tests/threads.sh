#!/bin/sh
# ThreadSanitizer over what runs on several threads: concurrent use of the library, the parallel log reader, whole log commands.
#   sh tests/threads.sh        ends with a line of what was run
set -eu
top=$(cd "$(dirname "$0")/.." && pwd)
build=$top/build-thread
[ -f "$build/CMakeCache.txt" ] || cmake -S "$top" -B "$build" -DCMAKE_BUILD_TYPE=Thread >/dev/null
tests="test_threads test_log_threads test_log_reader test_log_summary test_columns"
# shellcheck disable=SC2086
cmake --build "$build" --parallel 2 --target impinge $tests >"$build/build.log" 2>&1 || { cat "$build/build.log" >&2; exit 1; }
# ThreadSanitizer needs the usual addresses, which some kernels no longer give
fixed=""
command -v setarch >/dev/null 2>&1 && setarch "$(uname -m)" -R true 2>/dev/null && fixed="setarch $(uname -m) -R"
export TSAN_OPTIONS="halt_on_error=1 second_deadlock_stack=1"
ran=0
run() {
  $fixed "$@" >"$build/run.log" 2>&1 || { code=$?; [ "$code" -le "$most" ] || { cat "$build/run.log" >&2; echo "threads: failed: $*" >&2; exit 1; }; }
  ran=$((ran + 1))
}
most=0
for test in $tests; do (cd "$top/tests" && run "$build/tests/$test") || exit 1; ran=$((ran + 1)); done
most=2 # a verdict
day=$top/examples/orchard-store/day.csv
for threads in 2 4 8; do
  run "$build/bin/impinge" log "$day" --job "$top/examples/orchard-store/job.json" --threads "$threads" --format json
  run "$build/bin/impinge" log "$day" "$top/tests/logs/small.csv" --threads "$threads"
done
echo "threads: $ran programs run under ThreadSanitizer, 0 findings"
