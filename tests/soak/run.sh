#!/bin/sh
# The soak:  sh tests/soak/run.sh [MINUTES]      15 minutes if not given; an optimised build is made for it.
# Half of the time checks, calculations and logs run in one process, half of it as commands in locales, time zones and on threads
# of many kinds. Ends with a line for each: memory at the beginning and the end, drifts, the locale that was there.
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
minutes=${1:-15}
build=$top/build
sh "$top/.ci/build.sh" "$build" RelWithDebInfo
exec python3 "$top/tests/soak/same_results.py" "$build/bin/impinge" "$build/tests/soak" "$top" "$(awk "BEGIN { print $minutes * 60 }")"
