#!/bin/sh
# The main job in one command: installs what is missing, builds, checks the example job, writes its report.
set -eu
cd "$(dirname "$0")/.."
sh .ci/setup.sh
sh .ci/build.sh build RelWithDebInfo
job=examples/orchard-store/job.json
report=build/report/orchard-store.html
mkdir -p build/report
build/bin/impinge check "$job" > build/report/orchard-store.txt && code=0 || code=$?
cat build/report/orchard-store.txt
build/bin/impinge check "$job" --format html -o "$report" || [ $? -le 2 ]
echo
echo "The same as a page for the browser or the printer: $report"
echo
tail -n 1 build/report/orchard-store.txt # the verdict once more
exit "$code"
