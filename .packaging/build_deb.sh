#!/bin/sh
# Builds the Debian package and prints its path:  sh .packaging/build_deb.sh FOLDER
# Configured for /usr, so that files go where Debian wants them.
set -eu
top=$(cd "$(dirname "$0")/.." && pwd)
mkdir -p "$1"
folder=$(cd "$1" && pwd)
log=$folder/build.log
{
  cmake -S "$top" -B "$folder" -DCMAKE_BUILD_TYPE=RelWithDebInfo -DCMAKE_INSTALL_PREFIX=/usr -DBUILD_TESTING=OFF
  cmake --build "$folder" --parallel 2
  rm -f "$folder"/*.deb
  cpack --config "$folder/CPackConfig.cmake" -B "$folder"
} >"$log" 2>&1 || { cat "$log" >&2; exit 1; }
ls "$folder"/impinge_*.deb
