#!/bin/sh
# Flips operators and constants of the core's formulas and reports the share that the tests kill:
#   sh tests/mutation/run.sh [FOLDER] [--count N] [--seed N] [--only FILE,FILE...]      (FOLDER: build-mutation)
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
folder=$top/build-mutation
case ${1:--} in
-*) ;;
*) folder=$1 && shift ;;
esac
mkdir -p "$folder"
exec python3 "$top/tests/mutation/mutate.py" "$top" "$folder" "$@"
