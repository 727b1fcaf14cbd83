#!/bin/sh
# Builds the LuaRocks package from a copy of the tree and uses it in a stock Lua 5.4:  sh rock.sh SOURCE_FOLDER
set -eu
source=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
fail() { echo "rock.sh: $*" >&2; exit 1; }
command -v luarocks >/dev/null || fail "needs luarocks"
mkdir "$work/source"
cp -r "$source/CMakeLists.txt" "$source/.packaging" "$source/core" "$source/bindings" "$source/scripts" "$source/LICENSE" "$work/source/"
cd "$work/source"
rock=$(ls .packaging/*.rockspec)
luarocks --lua-version 5.4 lint "$rock" >"$work/log" 2>&1 || { cat "$work/log"; fail "luarocks lint"; }
luarocks --lua-version 5.4 make --tree "$work/tree" "$rock" >"$work/log" 2>&1 || { tail -20 "$work/log"; fail "luarocks make"; }
cd "$work"
module=$(find "$work/tree" -name impinge.so)
[ "$(echo "$module" | grep -c .)" = 1 ] || fail "not one module: $module"
! readelf -d "$module" | grep -qE 'NEEDED.*lib(lua|impinge)' || fail "the module needs a Lua or a core beside it"
eval "$(luarocks --lua-version 5.4 path --tree "$work/tree")"
lua5.4 -e 'local imp = require "impinge"
  local t = imp.climate.dew_point{ air_temperature = "20 degC", relative_humidity = "50 %" }
  assert(math.abs(t:value "degC" - 9.27) < 0.01, tostring(t))'
luarocks --lua-version 5.4 remove --tree "$work/tree" impinge >"$work/log" 2>&1 || { cat "$work/log"; fail "luarocks remove"; }
[ -z "$(find "$work/tree" -name 'impinge*' -not -path '*/manifest*')" ] || { find "$work/tree"; fail "left behind"; }
