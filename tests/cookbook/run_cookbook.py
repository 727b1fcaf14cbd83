"""Runs every script of the cookbook as its head says, and compares what it writes with the file beside this one.

Usage: run_cookbook.py [--write] REPOSITORY BUILD_FOLDER
A line "--   impinge ..." in a script's head is a command; "# exit code N" behind it says how it ends, else it is 0. All run in
one folder that has examples/. NAME.txt holds each command and what it writes, errors included. The index,
examples/cookbook/README.md, is made of the scripts' first sentences. --write writes both anew.
"""
import difflib
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

WRITE = "--write" in sys.argv
ROOT, BUILD = (pathlib.Path(word).resolve() for word in [word for word in sys.argv[1:] if word != "--write"])
BOOK, EXPECTED = ROOT / "examples" / "cookbook", ROOT / "tests" / "cookbook"
FEWEST, LONGEST = 20, 40
COMMAND = re.compile(r"^--   (impinge .*?)(?:\s+# exit code (\d+))?$")
faults = []


def head_of(text):
    lines = []
    for line in text.splitlines():
        if not line.startswith("--"):
            break
        lines.append(line)
    return lines


def run(script, folder):
    """Everything that the commands of a script's head write."""
    written = []
    for line in head_of(script.read_text()):
        match = COMMAND.match(line)
        if not match:
            continue
        command, code = match[1], int(match[2] or 0)
        done = subprocess.run(["sh", "-c", f'impinge() {{ "{BUILD}/bin/impinge" "$@"; }}; {command}'], cwd=folder, stdin=subprocess.DEVNULL, timeout=120,
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env={"PATH": "/usr/bin:/bin", "LC_ALL": "C.UTF-8"})
        if done.returncode != code:
            faults.append(f"{script.name}: {command}\n  ends with {done.returncode}, expected {code}: {done.stdout[-300:]}")
        written.append(f"$ {command}\n{done.stdout}")
    if not written:
        faults.append(f"{script.name}: its head names no command")
    return "".join(written)


def index(scripts):
    lines = ["# Cookbook", "", "Scripts to copy from, each with its commands in its head. Rigs, materials, jobs, logs and prices in them are invented.",
             "Run the commands where `examples/` is; `tests/cookbook/` holds what each writes.", ""]
    for script in scripts:
        text = " ".join(line[2:].strip() for line in head_of(script.read_text()) if not COMMAND.match(line))
        sentence = re.match(r".*?[.?](?= |$)", text)[0]
        lines.append(f"- [{script.name}]({script.name}): {sentence}")
    return "\n".join(lines) + "\n"


def compare(path, found):
    if WRITE:
        path.write_text(found)
    stated = path.read_text() if path.exists() else ""
    if stated != found:
        difference = difflib.unified_diff(stated.splitlines(), found.splitlines(), str(path.relative_to(ROOT)), "found", lineterm="", n=1)
        faults.append("\n".join(difference))


scripts = sorted(BOOK.glob("*.lua"))
if len(scripts) < FEWEST:
    faults.append(f"there are {len(scripts)} scripts, fewer than {FEWEST}")
with tempfile.TemporaryDirectory() as folder:
    shutil.copytree(ROOT / "examples", pathlib.Path(folder) / "examples")
    for script in scripts:
        text = script.read_text()
        if len(text.splitlines()) > LONGEST:
            faults.append(f"{script.name}: has more than {LONGEST} lines")
        if "invented" not in text.lower():
            faults.append(f"{script.name}: does not say that its data are invented")
        compare(EXPECTED / f"{script.stem}.txt", run(script, folder))
compare(BOOK / "README.md", index(scripts))
for fault in faults:
    print(fault, file=sys.stderr)
print(f"{len(scripts)} scripts, {len(faults)} faults")
sys.exit(1 if faults else 0)
