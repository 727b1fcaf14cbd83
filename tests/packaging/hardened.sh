#!/bin/sh
# What an optimised build was linked with: position independent, relocations read-only and bound at start, stack protector,
# checked copies (fortify).   sh hardened.sh IMPINGE LIBRARY...
set -eu
fail() { echo "hardened.sh: $*" >&2; exit 1; }
command -v readelf >/dev/null || fail "needs readelf (binutils)"
readelf -hW "$1" | grep -q 'Type: *DYN' || fail "$1 is not position independent"
for file in "$@"; do
  readelf -lW "$file" | grep -q GNU_RELRO || fail "$file: no part becomes read-only after relocation"
  readelf -dW "$file" | grep -qE 'BIND_NOW|FLAGS.* NOW' || fail "$file: symbols are not bound at start"
  readelf -lW "$file" | grep -qE 'GNU_STACK.* RW ' || fail "$file: the stack may be executed"
  readelf --dyn-syms -W "$file" | grep -q '__stack_chk_fail' || fail "$file: no stack protector"
  readelf --dyn-syms -W "$file" | grep -qE '__[a-z]+_chk(@|$)' || fail "$file: copies are not checked"
done
