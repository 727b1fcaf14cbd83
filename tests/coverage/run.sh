#!/bin/sh
# Builds with gcc's coverage, runs the tests, and reports the lines and branches of core and bindings that they reach:
#   sh tests/coverage/run.sh [FOLDER [LEAVE_OUT]]      (FOLDER: build-coverage; LEAVE_OUT: more tests to leave out, as
#   'test_properties|test_standard_rules|cookbook.*|same_results|check_reports', the slowest, does)
# FOLDER/coverage.txt and FOLDER/branches.txt name every line and branch that is left, FOLDER/left.txt sorts them by reason.
# Goals: lines 98 %, branches 92 %. A FOLDER of an older tree may hold objects that are built no longer: remove it then.
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
folder=${1:-$top/build-coverage}
for each in gcovr gcc; do
  command -v $each >/dev/null 2>&1 || { echo "coverage: needs $each (Debian's name)" >&2; exit 1; }
done
# Counted atomically: logs are read by several threads.
CC=gcc sh "$top/.ci/build.sh" "$folder" Debug -DCMAKE_C_FLAGS="--coverage -fprofile-update=atomic -fprofile-abs-path"
folder=$(cd "$folder" && pwd)
find "$folder" -name '*.gcda' -delete
# The program that writes manual, man pages and stubs runs as part of the build: once more, now that it is counted.
rm -f "$folder"/*.written
cmake --build "$folder" --target man completions stubs manual >/dev/null
# Left out: programs built elsewhere against an instrumented library (install, rock). One of the faults, a file that may not
# grow, hits the writing of that one run's counts too, which says so: not among what the command says.
GCOV_ERROR_FILE=/dev/null ctest --test-dir "$folder" --parallel 2 --output-on-failure -E "^(install|new_entry|luacheck${2:+|$2})\$" >"$folder/ctest.txt" 2>&1 ||
  { tail -n 60 "$folder/ctest.txt" >&2; echo "coverage: the tests fail" >&2; exit 1; }
# Branches on lines that hold only a brace are the compiler's: --exclude-unreachable-branches.
# kernels.c is kernels_body.h once more, compiled for machines with narrow registers: gcovr cannot merge two versions of one
# line, and this machine runs the wide one.
find "$folder" -name 'kernels.c.gc*' -delete
cd "$folder"
report() { gcovr --root "$top" --object-directory "$folder" --filter "$top/core/" --filter "$top/bindings/" --exclude-unreachable-branches "$@"; }
report --json coverage.json --print-summary >summary.txt
gcovr --root "$top" --add-tracefile coverage.json --txt coverage.txt
gcovr --root "$top" --add-tracefile coverage.json --branches --txt branches.txt
python3 "$top/tests/coverage/left.py" "$top" coverage.json left.txt
sed '/^---/d' branches.txt | awk 'NF >= 4 && $4 != "100%"' | head -n 200
awk '/^lines:/ { lines = $2 } /^branches:/ { branches = $2 }
  END { sub("%", "", lines); sub("%", "", branches); printf "coverage: lines %s %%, branches %s %%\n", lines, branches
        exit !(lines + 0 >= 98 && branches + 0 >= 92) }' summary.txt
