#!/bin/sh
# Peak memory of impinge log for one row and for many: log_memory.sh PATH-TO-impinge [ROWS]
# The many come through a file, then through a pipe. Both must stay under 16 MB. Not one of the usual tests: it takes a while.
set -eu
impinge=$1
rows=${2:-5000000}
here=$(cd "$(dirname "$0")" && pwd)
job=$here/../../examples/orchard-store/job.json
work=$(mktemp -d)
trap 'rm -r "$work"' EXIT
cc -O2 -D_XOPEN_SOURCE=700 -o "$work/generate" "$here/generate.c" -lm
worst=0
peak() { # name, file
    code=0
    /usr/bin/time -f %M -o "$work/peak" "$impinge" log "$2" --job "$job" --format html > "$work/report" || code=$?
    [ "$code" -le 2 ] || { echo "impinge log ended with $code"; exit 1; }
    kilobytes=$(tail -n 1 "$work/peak")
    echo "$1: $kilobytes kB, report of $(wc -c < "$work/report") bytes"
    [ "$kilobytes" -le "$worst" ] || worst=$kilobytes
}
"$work/generate" 1 > "$work/log.csv"
peak "1 row" "$work/log.csv"
"$work/generate" "$rows" > "$work/log.csv"
peak "$rows rows" "$work/log.csv"
mkfifo "$work/pipe"
"$work/generate" "$rows" > "$work/pipe" &
peak "$rows rows through a pipe" "$work/pipe"
[ "$worst" -lt 16384 ] || { echo "more than 16 MB"; exit 1; }
