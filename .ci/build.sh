#!/bin/sh
# Configures (once, and again where that failed before) and builds:  sh .ci/build.sh FOLDER BUILD_TYPE [cmake option...]
set -eu
top=$(cd "$(dirname "$0")/.." && pwd)
folder=$1 type=$2
shift 2
log=$(mktemp)
trap 'rm -f "$log"' EXIT
[ -f "$folder/Makefile" ] || [ -f "$folder/build.ninja" ] || cmake -S "$top" -B "$folder" -DCMAKE_BUILD_TYPE="$type" "$@" >"$log" 2>&1 || { cat "$log" >&2; exit 1; }
cmake --build "$folder" --parallel 2 >"$log" 2>&1 || { cat "$log" >&2; exit 1; }
