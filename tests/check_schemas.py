#!/usr/bin/env python3
"""Holds the JSON Schemas of scripts/schema/ against the corpus that the reader is held to.

Every good document must be valid, and every bad one invalid, but for those that only the reader can judge: these
are listed here with the reason, and the list must be exact. The validator is python3-jsonschema.
Exit: 0 they agree, 1 they do not, 77 python3-jsonschema is not installed.
"""

import json
import pathlib
import sys

try:
    import jsonschema
except ImportError:
    print("skipped: python3-jsonschema is not installed")
    sys.exit(77)

TESTS = pathlib.Path(__file__).resolve().parent
SCHEMAS = TESTS.parent / "scripts" / "schema"

DIMENSION = "a schema does not know units"
RANGE = "a schema does not know units, so it cannot compare"
FIELDS = "fields against each other"
FILE = "the fault is in the file that this one names"

ONLY_THE_READER = {
    "job-coulomb.json": DIMENSION,
    "job-currency.json": "the list of currencies",
    "job-date-does-not-exist.json": "the calendar, where formats are not asserted",
    "job-difference-for-reading.json": DIMENSION,
    "job-dimension-for-pure.json": DIMENSION,
    "job-decimal-comma.json": "the grammar of quantities is only sketched in a pattern",
    "job-display-units.json": "which texts are names of files",
    "job-farad.json": DIMENSION,
    "job-file-missing.json": FILE,
    "job-file-not-json.json": FILE,
    "job-file-wrong-kind.json": FILE,
    "job-gauge.json": "which texts are wire gauges",
    "job-half-a-person.json": "rows do not say which numbers are counts",
    "job-inline-check.json": FIELDS,
    "job-limits-order.json": FIELDS,
    "job-long-number.json": "how a number was written is gone once the text is a tree",
    "job-negative-length.json": RANGE,
    "job-reading-for-difference.json": DIMENSION,
    "job-repeated-keys.json": "repeated keys are gone once the text is a tree",
    "job-section-and-gauge.json": FIELDS,
    "job-too-cold.json": RANGE,
    "job-two-currencies.json": FIELDS,
    "job-unknown-unit.json": DIMENSION,
    "job-us-units-out-of-range.json": RANGE,
    "job-wrong-dimension.json": DIMENSION,
    "job-zero-area.json": RANGE,
    "material-lifts-upside-down.json": FIELDS,
    "material-same-temperature.json": FIELDS,
    "material-viscosity-is-kinematic.json": DIMENSION,
    "material-window-upside-down.json": FIELDS,
    "rig-compressor-pressures.json": FIELDS,
    "rig-insulation.json": FIELDS,
    "rig-motor-without-plate.json": FIELDS,
}


def refuse_constant(name):
    raise ValueError(f"{name} is not JSON")


def faults(path, validators):
    """What the schema, or already the text, has against a document."""
    try:
        document = json.loads(path.read_bytes().decode("utf-8"), parse_constant=refuse_constant)
    except (ValueError, RecursionError) as error:
        return [str(error)]
    return [error.message for error in validators[path.name.split("-")[0]].iter_errors(document)]


def main():
    validators = {}
    for kind in ("material", "rig", "job"):
        schema = json.loads((SCHEMAS / f"{kind}.schema.json").read_text(encoding="utf-8"))
        jsonschema.Draft202012Validator.check_schema(schema)
        validators[kind] = jsonschema.Draft202012Validator(schema)
    complaints = []
    good = sorted((TESTS / "documents" / "good").glob("*.json"))
    bad = sorted((TESTS / "documents" / "bad").glob("*.json"))
    examples = sorted((TESTS.parent / "examples").glob("*/*.json"))
    for path in good:
        complaints += [f"{path.name}: the reader takes it, the schema does not: {fault}" for fault in faults(path, validators)]
    for path in examples:
        if path.stem in ("material", "rig", "job", "bad-day"):
            kind = path.stem if path.stem in validators else "job"
            document = json.loads(path.read_text(encoding="utf-8"))
            complaints += [f"{path}: {fault.message}" for fault in validators[kind].iter_errors(document)]
    for path in bad:
        accepted = not faults(path, validators)
        if accepted and path.name not in ONLY_THE_READER:
            complaints.append(f"{path.name}: the reader refuses it, the schema does not")
        if not accepted and path.name in ONLY_THE_READER:
            complaints.append(f"{path.name}: listed as the reader's alone, but the schema refuses it too")
    complaints += [f"{name}: listed, but not in the corpus" for name in ONLY_THE_READER if name not in {p.name for p in bad}]
    if len(good) < 15 or len(bad) < 40:
        complaints.append("the corpus was not found")
    for complaint in complaints:
        print(complaint)
    print(f"{len(good)} good and {len(bad)} bad documents: " + ("the schemas do not agree" if complaints else "the schemas agree"))
    return 1 if complaints else 0


if __name__ == "__main__":
    sys.exit(main())
