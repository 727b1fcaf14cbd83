#!/bin/sh
# Builds the Debian package, installs it in a fresh Debian (debootstrap), uses it there, removes it, and looks for what is
# left behind. Needs root, debootstrap and a Debian mirror.
#   sh clean_root.sh [FOLDER]      FOLDER keeps the build and the base system between runs; else a temporary one
# MIRROR and SUITE choose what is installed (default: this machine's suite from deb.debian.org).
set -eu
source=$(cd "$(dirname "$0")/../.." && pwd)
[ "$(id -u)" = 0 ] || { echo "clean_root.sh: needs root" >&2; exit 1; }
command -v debootstrap >/dev/null || { echo "clean_root.sh: needs debootstrap" >&2; exit 1; }
mirror=${MIRROR:-http://deb.debian.org/debian}
suite=${SUITE:-$(. /etc/os-release && echo "$VERSION_CODENAME")}
if [ $# -ge 1 ]; then
  mkdir -p "$1"
  work=$(cd "$1" && pwd)
else
  work=$(mktemp -d)
fi
root=$work/root
clean_up() {
  rm -rf "$root"
  [ $# -ge 1 ] || rm -rf "$work"
}
trap 'clean_up "$@"' EXIT
fail() { echo "clean_root.sh: $*" >&2; exit 1; }
started=$(date +%s)
lap() { now=$(date +%s); echo "$1: $((now - started)) s"; started=$now; }

package=$(sh "$source/.packaging/build_deb.sh" "$work/build")
depends=$(dpkg-deb -f "$package" Depends)
for each in libc6 liblua5.4-0 libcjson1; do
  echo "$depends" | grep -q "\b$each\b" || fail "the package does not depend on $each: $depends"
done
dpkg-deb -I "$package" shlibs | grep -q "^libimpinge" || fail "no shlibs"
lap "package ($(basename "$package"), depends: $depends)"

# Hardening and no trace of this machine.
mkdir -p "$work/unpacked"
dpkg-deb -x "$package" "$work/unpacked"
for file in "$work"/unpacked/usr/bin/impinge $(find "$work/unpacked" -name '*.so' -type f -o -name 'libimpinge.so.*' -type f); do
  readelf -lW "$file" | grep -q GNU_RELRO && readelf -dW "$file" | grep -qE 'BIND_NOW|FLAGS.* NOW' || fail "$file: not hardened by relro and now"
  nm -D "$file" | grep -q __stack_chk_fail || fail "$file: no stack protector"
  ! grep -qaF "$source" "$file" || fail "$file holds the path of its source"
done
readelf -hW "$work/unpacked/usr/bin/impinge" | grep -q 'DYN' || fail "the command is not position independent"
nm -D "$work/unpacked/usr/bin/impinge" | grep -q '_chk@\?' || fail "the command is not fortified"
rm -rf "$work/unpacked"

# The base system, kept as an archive between runs.
if [ ! -f "$work/base.tar" ]; then
  debootstrap --variant=minbase "$suite" "$root" "$mirror" >"$work/debootstrap.log" 2>&1 || { tail -5 "$work/debootstrap.log" >&2; fail "debootstrap failed"; }
  tar -C "$root" -cf "$work/base.tar" .
else
  mkdir -p "$root"
  tar -C "$root" -xf "$work/base.tar"
fi
lap "base system ($suite)"

cp /etc/resolv.conf "$root/etc/" 2>/dev/null || true
for proxy in /etc/apt/apt.conf.d/*; do # how this machine reaches its mirror
  grep -qi proxy "$proxy" 2>/dev/null && cp "$proxy" "$root/etc/apt/apt.conf.d/" || true
done
inside() { env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root LC_ALL=C.UTF-8 ${http_proxy:+http_proxy="$http_proxy"} DEBIAN_FRONTEND=noninteractive chroot "$root" "$@"; }
# What belongs to the package manager's own memory, and to the loader's, is not the package's.
listing() { (cd "$root" && find . -path ./proc -prune -o -path ./sys -prune -o -path ./dev -prune -o -print | grep -vE '^\./(var/(lib|cache|log)/(apt|dpkg|ldconfig)|var/log|var/cache|tmp|etc/ld\.so\.cache|root)' | sort); }
depend_names=$(echo "$depends" | tr ',' '\n' | sed 's/ *(.*//; s/^ *//; s/|.*//' | tr '\n' ' ')
inside apt-get update -qq >"$work/apt.log" 2>&1 || { tail -5 "$work/apt.log"; fail "apt-get update"; }
# shellcheck disable=SC2086
inside apt-get install -y -qq --no-install-recommends $depend_names >>"$work/apt.log" 2>&1 || { tail -5 "$work/apt.log"; fail "the dependencies"; }
listing >"$work/before"
# Taken away again: the package itself must bring them.
# shellcheck disable=SC2046
inside apt-get purge -y -qq --auto-remove $(echo "$depend_names" | tr ' ' '\n' | grep -v '^libc6$') >>"$work/apt.log" 2>&1 || fail "apt-get purge"
cp "$package" "$root/tmp/impinge.deb"
inside apt-get install -y -qq --no-install-recommends /tmp/impinge.deb >>"$work/apt.log" 2>&1 || { tail -5 "$work/apt.log"; fail "the package does not install"; }
lap "install"

# Used as a technician would, with only what the package brought.
doc=/usr/share/doc/impinge
[ "$(inside impinge calc climate.dew_point air_temperature="20 degC" relative_humidity="50 %")" = "9.3 degC" ] || fail "impinge calc"
code=0; inside impinge check $doc/examples/orchard-store/job.json >"$work/report" || code=$?
[ "$code" -le 1 ] || { cat "$work/report"; fail "impinge check on the good job ends with $code"; }
code=0; inside impinge check $doc/examples/orchard-store/bad-day.json >"$work/report" || code=$?
[ "$code" = 2 ] || { cat "$work/report"; fail "impinge check on the bad day ends with $code"; }
code=0; inside impinge check $doc/examples/orchard-store/job.json --rules $doc/examples/company-rules.lua --format html -o /tmp/report.html || code=$?
[ "$code" -le 2 ] && [ -s "$root/tmp/report.html" ] || fail "the HTML report ends with $code"
# The README's own commands, as they stand.
cat >"$root/tmp/readme.sh" <<'COMMANDS'
mkdir -p /tmp/readme/build && cd /tmp/readme && ln -s /usr/bin build/bin
cp -r /usr/share/doc/impinge/examples /usr/share/impinge/scripts .
sed -n '/^```sh/,/^```$/p' /usr/share/doc/impinge/README.md | grep '^build/bin/' >commands
while IFS= read -r line; do
  code=0; sh -c "$line" >output 2>&1 </dev/null || code=$?
  [ "$code" -le 2 ] || { echo "$line: ends with $code"; cat output; exit 1; }
done <commands
[ "$(grep -c . commands)" -ge 5 ]
COMMANDS
inside sh /tmp/readme.sh || fail "a command of the README"
inside ldconfig -p | grep -q libimpinge || fail "the loader does not know libimpinge"
[ -f "$root/usr/share/man/man1/impinge.1" ] && [ -f "$root/usr/share/zsh/vendor-completions/_impinge" ] && \
  [ -f "$root/usr/share/bash-completion/completions/impinge" ] || fail "man pages or completion"
lap "use"

inside apt-get purge -y -qq impinge >>"$work/apt.log" 2>&1 || fail "the package does not go"
listing >"$work/after"
diff "$work/before" "$work/after" >"$work/left" || { cat "$work/left"; fail "left behind"; }
lap "removal, nothing left behind"
