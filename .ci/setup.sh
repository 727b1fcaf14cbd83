#!/bin/sh
# Installs what impinge needs to build and to be tested, where apt is at hand; names what is missing where it is not.
#   sh .ci/setup.sh        what the build needs
#   sh .ci/setup.sh test   that, and what the tests compare with
set -eu

missing=""
need_command() { command -v "$1" >/dev/null 2>&1 || missing="$missing $2"; }
need_library() { pkg-config --exists "$1" 2>/dev/null || missing="$missing $2"; }

need_command cc gcc
need_command make make
need_command cmake cmake
need_command pkg-config pkg-config
need_library lua5.4 liblua5.4-dev
need_library libcjson libcjson-dev
need_library libedit libedit-dev
if [ "${1:-}" = test ]; then
  need_library cmocka libcmocka-dev
  need_command lua5.4 lua5.4
  need_command python3 python3
  need_command luacheck lua-check
  need_command units units
  need_command udunits2 udunits-bin
  python3 -c 'import jsonschema' 2>/dev/null || { [ -e /usr/lib/python3/dist-packages/jsonschema ] || missing="$missing python3-jsonschema"; }
fi
[ -n "$missing" ] || exit 0

if ! command -v apt-get >/dev/null 2>&1; then
  echo "setup: apt-get is not here; install these by hand (Debian names):$missing" >&2
  exit 1
fi
if [ "$(id -u)" = 0 ]; then
  as_root=""
elif command -v sudo >/dev/null 2>&1; then
  as_root="sudo"
else
  echo "setup: needs root or sudo to install:$missing" >&2
  exit 1
fi
echo "setup: installing$missing" >&2
log=$(mktemp)
trap 'rm -f "$log"' EXIT
# shellcheck disable=SC2086
if ! { $as_root apt-get update -qq && DEBIAN_FRONTEND=noninteractive $as_root apt-get install -y -qq --no-install-recommends $missing; } >"$log" 2>&1; then
  tail -n 20 "$log" >&2
  echo "setup: apt-get could not install:$missing" >&2
  exit 1
fi
