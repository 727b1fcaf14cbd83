#!/bin/sh
# Units, evaluations and scripting beside their peers, in one run: sh tests/bench/run_core.sh
# Peers: UDUNITS-2 and GNU units (Debian), mathjs and psychrolib (npm), pure Lua. What is not installed is left out.
set -eu
cd "$(dirname "$0")/../.."
top=$(pwd)
sh .ci/build.sh build RelWithDebInfo
out=build/bench
mkdir -p "$out"
cc -std=c11 -O2 -D_XOPEN_SOURCE=700 -Icore tests/bench/core_bench.c build/lib/libimpinge.a $(pkg-config --libs libcjson) -lm -lpthread -o "$out/core_bench"
"$out/core_bench" > "$out/ours.tsv"
cc -std=c11 -O2 -D_XOPEN_SOURCE=700 -Icore tests/bench/point_bench.c build/lib/libimpinge.a $(pkg-config --libs libcjson) -lm -lpthread -o "$out/point_bench"
"$out/point_bench" tests/independent/operating_point.json > "$out/points.tsv"
cut -f 1,2 "$out/points.tsv" >> "$out/ours.tsv"
lua5.4 tests/bench/lua_bench.lua "$top/build/lib/lua" tests/independent/operating_point.json >> "$out/ours.tsv"
cc -std=c11 -O2 -Icore -Ibindings $(pkg-config --cflags lua5.4) tests/bench/state_bench.c build/CMakeFiles/binding_objects.dir/bindings/*.o build/lib/libimpinge.a \
  $(pkg-config --libs lua5.4 libcjson) -lm -lpthread -o "$out/state_bench"
"$out/state_bench" "$top/build/bin/impinge" "$(command -v lua5.4)" > "$out/states.tsv"

: > "$out/peers.tsv"
peer() { while IFS="$(printf '\t')" read -r name time; do printf '%s\t%s\t%s\n' "$1" "$name" "$time" >> "$out/peers.tsv"; done; }
if cc -std=c11 -O2 -D_XOPEN_SOURCE=700 tests/bench/peer_udunits.c -I/usr/include/udunits2 -ludunits2 -lm -o "$out/peer_udunits" 2>/dev/null; then
  "$out/peer_udunits" | peer "UDUNITS-2 $(dpkg-query -Wf '${Version}' libudunits2-0 2>/dev/null)"
fi
if command -v npm >/dev/null 2>&1; then
  [ -d "$out/node_modules/mathjs" ] || npm install --silent --no-fund --no-audit --prefix "$out" mathjs psychrolib >/dev/null 2>&1 || true
  node tests/bench/peer_javascript.mjs "$top/$out" > "$out/javascript.tsv" || true
  version() { node -p "require('$top/$out/node_modules/$1/package.json').version" 2>/dev/null; }
  grep '^parse' "$out/javascript.tsv" | peer "mathjs $(version mathjs)" || true
  grep '^evaluate' "$out/javascript.tsv" | peer "psychrolib $(version psychrolib)" || true
fi
if command -v units >/dev/null 2>&1; then
  seq 1 2000 | sed 's/$/ lb\/ft^3/' > "$out/units.in"
  start=$(date +%s%N)
  while read -r line; do printf '%s\nkg/m^3\n' "$line"; done < "$out/units.in" | units -t >/dev/null 2>&1 || true
  end=$(date +%s%N)
  echo "parse two unit texts and convert	$(( (end - start) / 2000 ))" | peer "GNU units $(dpkg-query -Wf '${Version}' units 2>/dev/null), its own start included"
fi

echo "operation                                    ours [ns]"
awk -F'\t' '{ printf "%-44s %9.1f\n", $1, $2 }' "$out/ours.tsv"
echo
awk -F'\t' '{ printf "%s: %.2f ms with %d steps a hose, %.0f points a second\n", $1, $2 / 1e6, $3, 1e9 / $2 }' "$out/points.tsv"
awk -F'\t' '/^Lua: operating point/ { printf "%s: %.2f ms, %.0f points a second\n", $1, $2 / 1e6, 1e9 / $2 }' "$out/ours.tsv"
echo
echo "peer                                         operation                            theirs [ns]   theirs / ours"
awk -F'\t' 'NR == FNR { ours[$1] = $2; next } { printf "%-44s %-34s %13.1f %15.2f\n", $1, $2, $3, $3 / ours[$2] }' "$out/ours.tsv" "$out/peers.tsv"

echo
echo "a script's start                             [ns, or times]"
awk -F'\t' '{ printf "%-44s %12.2f\n", $1, $2 }' "$out/states.tsv"
