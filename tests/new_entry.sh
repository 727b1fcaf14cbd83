#!/bin/sh
# A new calculation is one function, its rows and one line in its room's array: a copy of the tree gets one, is built, and
# the entry must be found by calc, explain, list and Lua with no other edit.   sh new_entry.sh SOURCE_FOLDER
set -eu
source=$1
copy=$(mktemp -d)
trap 'rm -rf "$copy"' EXIT
cp -r "$source/CMakeLists.txt" "$source/.packaging" "$source/core" "$source/bindings" "$source/scripts" "$copy/"

cat > "$copy/entry.c" <<'ENTRY'
/* an entry that exists only in this test: the weight of a liquid column */
static const imp_param column_pressure_in[] = {
    {.name = "density", .symbol = "rho", .dimension = IMP_DENSITY, .unit = "kg/m^3", .presence = IMP_REQUIRED,
     .low = 1.0, .high = 20000.0, .help = "of the liquid"},
    {.name = "height", .symbol = "h", .dimension = IMP_LENGTH, .unit = "m", .presence = IMP_REQUIRED,
     .low = 0.0, .high = 1000.0, .help = "of the column"}};
static const imp_param column_pressure_out[] = {
    {.name = "pressure", .symbol = "p", .dimension = IMP_PRESSURE, .unit = "bar", .trend = "++", .help = "at its foot"}};
static imp_status column_pressure_evaluate(const imp_call *call)
{
    call->out[0].number = call->in[0].number * 9.80665 * call->in[1].number;
    return IMP_OK;
}
ENTRY
awk -v entry="$copy/entry.c" '
  /^const imp_calc imp_pump_calcs\[\]/ { while ((getline line < entry) > 0) print line }
  /IMP_CALC_END/ { print "    IMP_CALC(column_pressure, \"pump.column_pressure\", \"Pressure of a liquid column\", \"p = rho 9.80665 h\", \"test only\", \"liquids\")," }
  { print }' "$source/core/pump.c" > "$copy/core/pump.c"

cmake -S "$copy" -B "$copy/build" -DCMAKE_BUILD_TYPE=Debug -DBUILD_TESTING=OFF > "$copy/log" 2>&1 || { cat "$copy/log"; exit 1; }
cmake --build "$copy/build" --parallel 2 --target impinge >> "$copy/log" 2>&1 || { cat "$copy/log"; exit 1; }
impinge="$copy/build/bin/impinge"

# 1000 kg/m^3 x 9.80665 m/s^2 x 10 m = 0.980665 bar
expect() {
  printf '%s\n' "$2" | grep -qF -- "$3" || { echo "$1: expected \"$3\" in: $2"; exit 1; }
}
expect calc "$("$impinge" calc pump.column_pressure density="1000 kg/m^3" height="10 m")" "0.9807 bar"
expect explain "$("$impinge" explain pump.column_pressure)" "p = rho 9.80665 h"
expect list "$("$impinge" list column)" "pump.column_pressure"
expect Lua "$("$impinge" eval 'imp.pump.column_pressure{ density = q"1000 kg/m^3", height = q"10 m" }')" "0.980665 bar"
echo "the new entry was found by calc, explain, list and Lua"
