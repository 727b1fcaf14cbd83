#!/bin/sh
# The long run of the fuzzers, with libFuzzer, ASan and UBSan:  sh tests/fuzz/run.sh [SECONDS_EACH [TARGET...]]
# Needs clang (apt-get install clang). Each target starts from its corpus; what is new stays in build-fuzz/found/TARGET, an
# input that broke something in build-fuzz/broken. Ends with a line of what was tried.
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
seconds=${1:-300}
[ $# -eq 0 ] || shift
command -v clang >/dev/null || { echo "fuzz: clang is not here (Debian: apt-get install clang)" >&2; exit 1; }
build=$top/build-fuzz
[ -f "$build/CMakeCache.txt" ] || cmake -S "$top" -B "$build" -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=Fuzz >/dev/null
cmake --build "$build" --parallel 2 --target fuzz_targets >"$build/build.log" 2>&1 || { cat "$build/build.log" >&2; exit 1; }
mkdir -p "$build/found" "$build/broken"
targets=${*:-$(cd "$top/tests/fuzz" && ls fuzz_*.c | sed 's/fuzz_\(.*\)\.c/\1/')}
tried=0 findings=0
for target in $targets; do
  mkdir -p "$build/found/$target"
  log=$build/found/$target.log
  if ! (cd "$build/found" && "$build/tests/fuzz/fuzz_$target" -max_total_time="$seconds" -timeout=30 -rss_limit_mb=4096 -max_len=8192 \
        -print_final_stats=1 -artifact_prefix="$build/broken/$target-" "$build/found/$target" "$top/tests/fuzz/corpus/$target" >"$log" 2>&1); then
    findings=$((findings + 1))
    echo "$target: broken, see $log"
    grep -aE "broken promise|ERROR: |runtime error|SUMMARY" "$log" | tr -d "\000" | head -5
  fi
  count=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")
  echo "$target: ${count:-0} inputs tried"
  tried=$((tried + ${count:-0}))
done
echo "fuzz: $tried inputs tried, $findings findings"
[ "$findings" -eq 0 ]
