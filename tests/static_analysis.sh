#!/bin/sh
# gcc -fanalyzer, clang-tidy (.clang-tidy) and cppcheck over core and bindings; any finding fails.
#   sh tests/static_analysis.sh [gcc|clang-tidy|cppcheck]...      all three without a name; JOBS=2 at a time
# A finding that is none is suppressed at its place, with the reason.
set -eu
cd "$(dirname "$0")/.."
missing=""
for each in gcc clang-tidy cppcheck; do command -v $each >/dev/null 2>&1 || missing="$missing $each"; done
if [ -n "$missing" ]; then
  echo "static_analysis: these are not here (Debian's names):$missing" >&2
  exit 1
fi
[ $# -gt 0 ] || set -- gcc clang-tidy cppcheck
report=$(mktemp)
trap 'rm -f "$report"' EXIT
defines='-D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE -DIMP_VERSION=\"0\" -DIMP_INSTALLED_SCRIPTS=\"/usr\" -DHAVE_EDITLINE=\"libedit.so\"'
folders="-Icore -Ibindings -Ibindings/runner -Ibindings/documents"
flags="-std=c11 $defines $folders $(pkg-config --cflags lua5.4 libcjson libedit)"
found=0

files() { find core bindings -name '*.c' | LC_ALL=C sort; }

# Each file after what tells the analysers of imp_fail; its own file without.
with_models() { sed 's,^,-include tests/analysis_models.h ,; s,.* core/status.c$,core/status.c,'; }

for tool in "$@"; do
  echo "static_analysis: $tool over $(files | wc -l) files"
  case $tool in
  gcc) # -O1: fewer impossible paths; warnings are errors, so that each file's exit code tells
    files | with_models | xargs -P "${JOBS:-2}" -I{} sh -c "gcc -O1 -fanalyzer -Wall -Wextra -Werror $flags -c {} -o /dev/null" >"$report" 2>&1 || found=1 ;;
  clang-tidy)
    files | with_models | xargs -P "${JOBS:-2}" -I{} sh -c "set -- {}; for file; do :; done
      clang-tidy --quiet \$file -- $flags \${2:+-include tests/analysis_models.h} 2>/dev/null" >"$report" 2>&1 || found=1 ;;
  cppcheck)
    sh -c "cppcheck -j ${JOBS:-2} --quiet --std=c11 --enable=warning,performance,portability --inline-suppr --error-exitcode=1 \
      --suppress=missingIncludeSystem $defines $folders $(files | tr '\n' ' ')" >"$report" 2>&1 || found=1 ;;
  *)
    echo "static_analysis: expected gcc, clang-tidy or cppcheck, got $tool" >&2
    exit 1 ;;
  esac
  cat "$report"
done
[ $found = 0 ] && echo "static_analysis: clean"
exit $found
