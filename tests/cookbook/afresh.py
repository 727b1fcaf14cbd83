"""Three scripts written from the cookbook, each below 40 lines, at work as commands: a company's rules, a batch over 200 logs
and a one-off calculator. What the batch finds is computed a second time here, from the files.

Usage: afresh.py REPOSITORY BUILD_FOLDER
"""
import csv
import datetime
import io
import json
import pathlib
import subprocess
import sys
import tempfile

ROOT, BUILD = (pathlib.Path(word).resolve() for word in sys.argv[1:])
SCRIPTS, LOGS = ROOT / "tests" / "cookbook" / "afresh", 200
faults = []


def proves(sentence, holds, more=""):
    if not holds:
        faults.append(f"not so: {sentence} {str(more)[:300]}")


def impinge(*words, code=0):
    done = subprocess.run([BUILD / "bin" / "impinge", *map(str, words)], capture_output=True, text=True, check=False, timeout=300)
    proves(f"impinge {' '.join(map(str, words))[:80]} ends with {code}", done.returncode == code, (done.returncode, done.stderr))
    return done.stdout


def of_log(path):
    """Rows, and time and volumes while sprayed: a row counts until the next, and nobody knows until when the last does."""
    rows = list(csv.DictReader(path.open()))
    times = [datetime.datetime.fromisoformat(row["time"]).timestamp() for row in rows]
    steps = [b - a for a, b in zip(times, times[1:])]
    steps.append(0)
    spraying = [step if row["trigger"] == "1" else 0 for row, step in zip(rows, steps)]
    litres = [sum(s * float(row[name]) / 60 for row, s in zip(rows, spraying)) for name in ("iso_flow [L/min]", "resin_flow [L/min]")]
    return len(rows), sum(spraying), *litres, max(float(row["iso_pressure [bar]"]) for row in rows)


for script in SCRIPTS.glob("*.lua"):
    proves(f"{script.name} has less than 40 lines", len(script.read_text().splitlines()) < 40)

proves("the company's cases hold", "2 of 2 cases hold" in impinge("test", SCRIPTS / "company.lua"))
checked = json.loads(impinge("check", ROOT / "examples/orchard-store/job.json", "--rules", SCRIPTS / "company.lua", "--format", "json", code=2))
by_id = {finding["id"]: finding for finding in checked["findings"]}
proves("its added rule stops, and says what would help", by_id["three-on-a-scaffold"]["verdict"] == "stop" and by_id["three-on-a-scaffold"]["levers"][0]["value"]["value"] == 3)
proves("its tightened one holds the new limit", by_id["surface-clear-of-dew-point"]["limit"] == {"value": 6, "unit": "K"}, by_id["surface-clear-of-dew-point"])
proves("its silenced one is not counted", by_id["wind-speed-in-window"]["verdict"] == "not applicable")
proves("its replaced one says its reason", by_id["lift-thickness"]["replaced"]["reason"] == "thinner lifts after a scorched one")
proves("its confirmation is read", by_id["light-enough"]["verdict"] == "go")

with tempfile.TemporaryDirectory() as name:
    folder = pathlib.Path(name)
    logs = [folder / f"day-{number:03}.csv" for number in range(LOGS)]
    for number, path in enumerate(logs):
        impinge("run", "-o", path, ROOT / "examples/make-log.lua", f"seed={number + 1}", "rows=150", "step=2", "faults=none")
    table = list(csv.reader(io.StringIO(impinge("run", SCRIPTS / "batch.lua", *logs))))
    proves("the batch has a line a log, a heading and a total", len(table) == LOGS + 2, len(table))
    totals = [0.0, 0.0, 0.0]
    for path, row in zip(logs, table[1:]):
        expected = of_log(path)
        close = [abs(float(cell) - value) <= 1e-8 * max(1, abs(value)) for cell, value in zip(row[1:], expected)]
        proves(f"the line of {path.name} is what its file says", row[0] == path.name and all(close), (row, expected))
        totals = [a + b for a, b in zip(totals, expected[1:4])]
    proves("the totals are the sums", all(abs(float(cell) - value) < 1e-6 for cell, value in zip(table[-1][2:5], totals)), (table[-1], totals))

proves("the calculator's case holds", "1 of 1 cases hold" in impinge("test", SCRIPTS / "calculator.lua"))
# 1200 m^2 x 2 W/(m^2 K) x 15 K x 9 h = 324 kWh; / 0.85 / 10 kWh/L = 38.12 L
answer = json.loads(impinge("calc", SCRIPTS / "calculator.lua", "area=1200 m^2", "rise=15 K", "hours=9 h", "--format", "json"))["outputs"]
proves("it computes what the hand computes", abs(answer["energy"]["value"] - 324) < 1e-9 and abs(answer["diesel"]["value"] - 324 / 8.5) < 1e-9, answer)
back = json.loads(impinge("calc", SCRIPTS / "calculator.lua", "area=1200 m^2", "hours=9 h", "--solve-for", "rise", "--target", "diesel=20 L", "--format", "json"))
proves("it is solved backwards", "7.87" in json.dumps(back), back)  # 20 L x 8.5 kWh/L / 21.6 kWh/K

for fault in faults:
    print(fault)
print(f"{LOGS} logs, {len(faults)} faults")
sys.exit(1 if faults else 0)
