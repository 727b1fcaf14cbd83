#!/bin/sh
# Look at every HTML report of the examples in headless Chromium: sh tests/browser/run.sh [BUILD-FOLDER]
# Not part of the quick tests. Packages go into the build folder and are not kept in the repository; without a browser, npm
# or pdfinfo the check is skipped with a message and succeeds.
set -eu
root=$(CDPATH= cd -- "$(dirname -- "$0")/../.." && pwd)
build=${1:-$root/build}
skip() { echo "skipped: $1"; exit 0; }
browser=$(command -v chromium || command -v chromium-browser || command -v google-chrome || true)
[ -n "$browser" ] || skip "there is no chromium"
command -v node > /dev/null && command -v npm > /dev/null || skip "there is no node with npm"
command -v pdfinfo > /dev/null || skip "there is no pdfinfo (poppler-utils)"
[ -x "$build/bin/impinge" ] || { echo "build first: there is no $build/bin/impinge"; exit 1; }
work=$build/browser
mkdir -p "$work/reports"
rm -f "$work/reports"/*.html
if [ ! -d "$work/node_modules/playwright-core" ] || [ ! -d "$work/node_modules/axe-core" ]; then
  (cd "$work" && { [ -f package.json ] || npm init -y > /dev/null; } && npm install --no-audit --no-fund playwright-core axe-core > /dev/null) ||
    skip "npm cannot fetch playwright-core and axe-core"
fi

# report SUFFIX JOB OPTION...: all three reports of a job; 0, 1 and 2 are verdicts
report() {
  suffix=$1; job=$2; shift 2
  for kind in prejob set-up estimate; do
    code=0
    "$build/bin/impinge" check "$job" --report $kind --format html -o "$work/reports/$kind-$suffix.html" "$@" || code=$?
    [ $code -le 2 ] || { echo "check $job ends with $code"; exit 1; }
  done
}
for job in "$root"/examples/*/*job*.json "$root"/examples/*/bad-day.json; do
  [ -f "$job" ] || continue
  report "$(basename "$(dirname "$job")")-$(basename "$job" .json)" "$job"
done
orchard=$root/examples/orchard-store
report us-sheets "$orchard/job.json" --units us --with sheets
report spanish "$orchard/job.json" --language es
report office "$orchard/job.json" --stage plan
code=0
"$build/bin/impinge" check "$orchard/job.json" --report spray-hours --forecast "$orchard/forecast.csv" --surface-below "2 K" --format html \
  -o "$work/reports/spray-hours.html" || code=$?
[ $code -le 2 ] || { echo "spray-hours ends with $code"; exit 1; }
# the day's log, and a fleet of three: two more days of the generator's
code=0
"$build/bin/impinge" log "$orchard/day.csv" --job "$orchard/job.json" --format html -o "$work/reports/day.html" || code=$?
for seed in 2 3; do "$build/bin/impinge" run -o "$work/day-$seed.csv" "$root/examples/make-log.lua" rows=3000 step=5 seed=$seed; done
"$build/bin/impinge" log "$orchard/day.csv" "$work/day-2.csv" "$work/day-3.csv" --job "$orchard/job.json" --format html -o "$work/reports/fleet.html" || code=$?
[ $code -le 2 ] || { echo "a log report ends with $code"; exit 1; }
node "$root/tests/browser/check_reports.mjs" "$work" "$browser" "$work/reports" "$work/pictures"
