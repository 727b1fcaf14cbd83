#!/bin/sh
# Installs a build into a folder of its own, uses what is there, and takes it away again:
#   sh install.sh BUILD_FOLDER SOURCE_FOLDER
# The command runs, C programs build through pkg-config and CMake, headers stand alone, nothing is left behind.
set -eu
build=$1 source=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
prefix=$work/prefix
fail() { echo "install.sh: $*" >&2; exit 1; }

cmake --install "$build" --prefix "$prefix" >"$work/log" 2>&1 || { cat "$work/log"; fail "cmake --install failed"; }
cp "$build/install_manifest.txt" "$work/"
PATH=$prefix/bin:$PATH
pc=$(find "$prefix" -name impinge.pc)
libraries=$(dirname "$(dirname "$pc")")
data=$prefix/share/impinge doc=$prefix/share/doc/impinge
for path in "$data/scripts/rules/index.lua" "$data/scripts/schema/job.schema.json" "$data/stubs/impinge.lua" \
  "$doc/examples/orchard-store/job.json" "$doc/manual/index.html" "$doc/manual/index.md" "$doc/copyright" \
  "$prefix/share/man/man1/impinge.1" "$prefix/share/man/man1/impinge-check.1" \
  "$prefix/share/bash-completion/completions/impinge" "$prefix/share/fish/vendor_completions.d/impinge.fish" \
  "$libraries/libimpinge.a" "$libraries/cmake/impinge/impinge-config.cmake" "$prefix/include/impinge/impinge.h"; do
  [ -f "$path" ] || fail "not installed: $path"
done
[ ! -e "$doc/examples/run.sh" ] || fail "run.sh needs the source tree and is installed"

# The command, from elsewhere, with what was installed only.
cd "$work"
[ "$(command -v impinge)" = "$prefix/bin/impinge" ] || fail "another impinge is found"
result=$(impinge calc climate.dew_point air_temperature="20 degC" relative_humidity="50 %")
[ "$result" = "9.3 degC" ] || fail "the dew point is $result"
code=0; impinge check "$doc/examples/orchard-store/job.json" >"$work/report" || code=$?
[ "$code" -le 1 ] && grep -q "Orchard" "$work/report" || { cat "$work/report"; fail "check ends with $code"; }
LUA_CPATH="$libraries/lua/5.4/?.so" lua5.4 -e 'local imp = require "impinge"; assert(imp.q "2 m" + imp.q "1 m" == imp.q "3 m")'
LUA_CPATH="$libraries/lua/5.4/?.so" lua5.4 "$source/tests/packaging/stub_names.lua" "$data/stubs/impinge.lua" "$work/day.csv"

# The shared core: its name, and nothing but imp_ in it.
version=$("$prefix/bin/impinge" --version | cut -d' ' -f2)
shared=$libraries/libimpinge.so
readelf -d "$shared" | grep -q "SONAME.*\[libimpinge.so.${version%.*}\]" || fail "wrong soname"
[ "$(basename "$(readlink -f "$shared")")" = "libimpinge.so.$version" ] || fail "wrong links of the shared core"
others=$(nm -D --defined-only "$shared" | awk '$2 != "A" && $3 !~ /^imp_/ { print $3 }')
[ -z "$others" ] || fail "exports more than imp_: $others"
! readelf -d "$libraries/lua/5.4/impinge.so" | grep -q 'NEEDED.*liblua' || fail "the Lua module brings a Lua of its own"

# Headers: each alone, each room's among them.
for header in "$prefix"/include/impinge/*.h; do
  echo "#include <impinge/$(basename "$header")>" >"$work/alone.c"
  cc -std=c11 -Wall -Wextra -Werror -fsyntax-only -I"$prefix/include" "$work/alone.c" || fail "$(basename "$header") does not stand alone"
done
for room in $(sed -n 's/^IMP_ROOM(\([a-z]*\),.*/\1/p' "$source/core/rooms.def"); do
  [ -f "$prefix/include/impinge/$room.h" ] || fail "the room's header $room.h is not in core/impinge.h"
done

# The example in C, through pkg-config and through CMake; static too.
export PKG_CONFIG_PATH="$libraries/pkgconfig"
[ "$(pkg-config --modversion impinge)" = "$version" ] || fail "pkg-config gives another version"
# shellcheck disable=SC2046
cc -std=c11 -Wall -Wextra -Werror "$doc/examples/c/dew_point.c" $(pkg-config --cflags --libs impinge) -o "$work/by_pkg_config"
# shellcheck disable=SC2046
cc -std=c11 "$doc/examples/c/dew_point.c" $(pkg-config --cflags impinge) "$libraries/libimpinge.a" $(pkg-config --libs libcjson) -lm -pthread -o "$work/by_archive"
cmake -S "$doc/examples/c" -B "$work/c" -DCMAKE_PREFIX_PATH="$prefix" >"$work/log" 2>&1 && cmake --build "$work/c" >>"$work/log" 2>&1 || { cat "$work/log"; fail "find_package(impinge) does not build the example"; }
LD_LIBRARY_PATH=$libraries "$work/by_pkg_config" >"$work/first"
"$work/by_archive" >"$work/second"
"$work/c/dew_point" >"$work/third"
cmp "$work/first" "$work/second" && cmp "$work/first" "$work/third" || fail "the three C programs differ"
grep -q "dew point at 20 degC and 50 %: 9.27 degC" "$work/first" || { cat "$work/first"; fail "the C program's dew point"; }
grep -q "humidity for a dew point of 12 degC: 60" "$work/first" || { cat "$work/first"; fail "the C program's humidity"; }

# Nothing stays. The manifest is this install's.
mkdir "$work/away"
cp "$work/install_manifest.txt" "$work/away/"
(cd "$work/away" && cmake -P "$source/.packaging/uninstall.cmake")
[ ! -e "$prefix" ] || { find "$prefix"; fail "left behind"; }
