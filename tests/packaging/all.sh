#!/bin/sh
# The packaging tests that take minutes: the rock, and the Debian package in a fresh base system (as root).
#   sh tests/packaging/all.sh [FOLDER]      FOLDER keeps builds and the base system between runs
set -eu
here=$(cd "$(dirname "$0")" && pwd)
sh "$here/rock.sh" "$here/../.."
echo "rock: built, used, removed"
sh "$here/clean_root.sh" "$@"
