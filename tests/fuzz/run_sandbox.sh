#!/bin/sh
# Fuzzes the sandbox with random Lua:  sh tests/fuzz/run_sandbox.sh [SECONDS] [libFuzzer option...]
# Needs clang and its libFuzzer (Debian: clang). Inputs that find something are left in build/fuzz/sandbox/findings.
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
seconds=${1:-600}
[ $# -gt 0 ] && shift
command -v clang >/dev/null || { echo "clang is missing: apt-get install clang" >&2; exit 1; }
out=$top/build/fuzz/sandbox
mkdir -p "$out/corpus" "$out/findings"
sanitizers=address,undefined
[ -f "$out/cmake/CMakeCache.txt" ] || cmake -S "$top" -B "$out/cmake" -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=Debug -DBUILD_TESTING=OFF \
  -DCMAKE_C_FLAGS="-g -O1 -fno-omit-frame-pointer -fno-sanitize-recover=all -fsanitize=fuzzer-no-link,$sanitizers" >/dev/null
cmake --build "$out/cmake" --parallel 2 --target core_static binding_objects >"$out/build.log" 2>&1 || { tail -40 "$out/build.log" >&2; exit 1; }
clang -std=c11 -g -O1 -Wall -Wextra -fsanitize=fuzzer,$sanitizers -fno-sanitize-recover=all -I"$top/core" -I"$top/bindings" \
  $(pkg-config --cflags lua5.4) "$top/tests/fuzz/sandbox.c" $(find "$out/cmake/CMakeFiles/binding_objects.dir" -name '*.o') \
  "$out/cmake/lib/libimpinge.a" $(pkg-config --libs lua5.4 libcjson) -lm -lpthread -o "$out/fuzz_sandbox"
cd "$out"
exec ./fuzz_sandbox -max_total_time="$seconds" -max_len=4096 -timeout=60 -rss_limit_mb=2048 -artifact_prefix=findings/ -print_final_stats=1 "$@" corpus "$top/tests/lua" "$top/scripts/calculators"
