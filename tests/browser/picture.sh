#!/bin/sh
# Writes the README's picture anew, the head of the bad day's report in headless Chromium: sh tests/browser/picture.sh [BUILD-FOLDER]
set -eu
root=$(CDPATH= cd -- "$(dirname -- "$0")/../.." && pwd)
build=${1:-$root/build}
browser=$(command -v chromium || command -v chromium-browser || command -v google-chrome) || { echo "there is no chromium" >&2; exit 1; }
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
"$build/bin/impinge" check "$root/examples/orchard-store/bad-day.json" --format html -o "$folder/report.html" || [ $? -le 2 ]
"$browser" --headless --no-sandbox --disable-gpu --hide-scrollbars --window-size=860,1150 --screenshot="$folder/report.png" "file://$folder/report.html" >/dev/null 2>&1
mv "$folder/report.png" "$root/examples/orchard-store/bad-day.png"
