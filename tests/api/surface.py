"""What scripts and the shell may count on: every name of the interface, compared with surface.txt.

Usage: surface.py [--write] REPOSITORY BUILD_FOLDER LUA
A difference fails: a name that is gone or means something else breaks what people have written. A change that is meant is
written with --write, in the same commit, and DEVELOPERS.md says what it may be.
"""
import difflib
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile

WRITE = "--write" in sys.argv
ROOT, BUILD, LUA = (pathlib.Path(word).resolve() for word in [word for word in sys.argv[1:] if word != "--write"])
IMPINGE = BUILD / "bin" / "impinge"
SURFACE = ROOT / "tests" / "api" / "surface.txt"


def lines_of(*command, **environment):
    done = subprocess.run([str(word) for word in command], capture_output=True, text=True, check=True, env={"PATH": os.environ["PATH"], **environment})
    return done.stdout.splitlines()


def commands(api):
    def option(place, row):
        choices = "=" + "|".join(row["choices"]) if "choices" in row else f"={row['value']}" if "value" in row else ""
        letter = f" -{row['letter']}" if "letter" in row else ""
        return f"option {place} {row['name']}{letter}{choices}{' repeats' if row['repeats'] else ''}"
    for command in api["commands"]:
        yield f"command {command['name']} {command['arguments']}".rstrip()
        yield from (option(command["name"], row) for row in command["options"])
    yield from (option("impinge", row) for row in api["options"])


def rows(place, way, listed):
    for row in listed:
        what = row.get("dimension", row["kind"])
        unit = f" [{row['unit']}]" if row.get("unit", "1") != "1" else ""
        choices = " = " + "|".join(row["choices"]) if "choices" in row else ""
        required = "" if way == "output" or row.get("required") else " optional"
        yield f"{way} {place}.{row['name']} {what}{unit}{choices}{required}"
        if row["kind"] != "record":  # a record's fields are those of the documents below
            yield from rows(f"{place}.{row['name']}", way, row.get("rows", []))


def calculations(api):
    for word, key in (("calculation", "calculations"), ("stock calculator", "calculators")):
        for entry in api[key]:
            yield f"{word} {entry['id']}"
            yield from rows(entry["id"], "input", entry["inputs"])
            yield from rows(entry["id"], "output", entry["outputs"])


def fields(schema, at, place):
    """The paths of a document, from its schema."""
    if "$ref" in at:
        at = schema["$defs"][at["$ref"].rsplit("/", 1)[1]]
    for choice in at.get("anyOf", []):
        yield from fields(schema, choice, place)
    yield from fields(schema, at["items"], place + "[]") if isinstance(at.get("items"), dict) else ()
    for name, inner in at.get("properties", {}).items():
        yield f"{place}.{name}"
        yield from fields(schema, inner, f"{place}.{name}")


def documents():
    for kind in ("job", "rig", "material"):
        schema = json.loads((ROOT / "scripts" / "schema" / f"{kind}.schema.json").read_text())
        skipped = (f"{kind}.rig.", f"{kind}.material.")  # documents of their own
        yield from (f"document {path}" for path in dict.fromkeys(fields(schema, schema, kind)) if not path.startswith(skipped))


def request_keys():
    """The keys of declared calculators and of the engine's requests, from the tables that the bindings check them with."""
    for file, places in (("calculator_rows.c", ("calculator input", "calculator output", "calculator")),
                         ("engine_lua.c", ("solve_for", "sweep", "sensitivity", "uncertainty"))):
        tables = re.findall(r"static const char \*const \w*fields\[\] = \{([^}]*)\}", (ROOT / "bindings" / file).read_text())
        assert len(tables) == len(places), (file, len(tables))
        for place, table in zip(places, tables):
            yield from (f"key {place}.{name}" for name in re.findall(r'"(\w+)"', table))


def surface():
    api = json.loads("\n".join(lines_of(IMPINGE, "list", "--format", "json")))
    with tempfile.TemporaryDirectory() as scratch:
        module = lines_of(LUA, ROOT / "tests" / "api" / "module_names.lua", ROOT / "scripts", pathlib.Path(scratch) / "log.csv",
                          LUA_CPATH=f"{BUILD}/lib/lua/?.so")
    parts = {
        f"the module, API level {api['api_level']}": module,
        "declarations and requests": list(request_keys()),
        "the sandbox": lines_of(IMPINGE, "run", ROOT / "tests" / "api" / "sandbox_names.lua"),
        "the command": list(commands(api)),
        "calculations": list(calculations(api)),
        "documents": list(documents()),
    }
    return "".join(f"# {title}\n" + "".join(f"{line}\n" for line in lines) + "\n" for title, lines in parts.items())


found = surface()
if WRITE:
    SURFACE.write_text(found)
stated = SURFACE.read_text()
for line in difflib.unified_diff(stated.splitlines(), found.splitlines(), "stated in surface.txt", "found", lineterm="", n=0):
    print(line)
sys.exit(0 if found == stated else 1)
