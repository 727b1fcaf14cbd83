#!/bin/sh
# Peak memory and time of impinge log for one row and for many: log_memory.sh PATH-TO-impinge [ROWS...]
# Many rows come through a pipe, so that 50 million need no room on the disk; up to 5 million come from a file too, as the
# charts of a file are as fine as its size allows. All must stay under 16 MB. Not one of the usual tests: it takes a while.
set -eu
impinge=$1
shift
[ $# -gt 0 ] || set -- 5000000
here=$(cd "$(dirname "$0")" && pwd)
job=$here/../../examples/orchard-store/job.json
work=$(mktemp -d)
trap 'rm -r "$work"' EXIT
cc -O2 -D_XOPEN_SOURCE=700 -o "$work/generate" "$here/generate.c" -lm
worst=0
peak() { # name, file, format, option...
    name=$1 file=$2 format=$3
    shift 3
    code=0
    /usr/bin/time -f '%M %U' -o "$work/peak" "$impinge" log "$file" --job "$job" --format "$format" "$@" > "$work/report" || code=$?
    [ "$code" -le 2 ] || { echo "impinge log ended with $code"; exit 1; }
    kilobytes=$(tail -n 1 "$work/peak" | cut -d ' ' -f 1)
    echo "$name, $format $*: $kilobytes kB, $(tail -n 1 "$work/peak" | cut -d ' ' -f 2) s of user time, report of $(wc -c < "$work/report") bytes"
    [ "$kilobytes" -le "$worst" ] || worst=$kilobytes
}
"$work/generate" 1 > "$work/log.csv"
peak "1 row" "$work/log.csv" html
peak "1 row" "$work/log.csv" json
mkfifo "$work/pipe"
for rows; do
    if [ "$rows" -le 5000000 ]; then
        "$work/generate" "$rows" > "$work/log.csv"
        peak "$rows rows" "$work/log.csv" html
        peak "$rows rows" "$work/log.csv" json
        peak "$rows rows" "$work/log.csv" json --threads 2
    fi
    "$work/generate" "$rows" > "$work/pipe" &
    peak "$rows rows through a pipe" "$work/pipe" json
done
[ "$worst" -lt 16384 ] || { echo "more than 16 MB"; exit 1; }
