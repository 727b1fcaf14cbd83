"""The set-up sheet: what it gives whom, and in which order. See check_reports.py for what all reports have in common.

Usage: check_set_up.py IMPINGE REPOSITORY
"""
import json
import pathlib
import re
import tempfile

from reading import ORCHARD, finish, proves, run

PHASES = ("before power", "power on", "before the trigger", "spraying", "after spraying")


def a_go_sheet_goes_by_phases():
    sheet = json.loads(run(ORCHARD / "job.json", "--report", "set-up", "--format", "json"))
    readings = {reading["key"]: reading for reading in sheet["readings"]}
    order = [PHASES.index(reading["phase"]) for reading in sheet["readings"]]
    proves("readings stand in the order of the phases", order == sorted(order) and set(order) == set(range(5)), order)
    keys = [reading["key"] for reading in sheet["readings"]]
    proves("line currents come after the heaters", keys.index("current_heating_L1") > keys.index("heater_resin"))
    results = json.loads(run(ORCHARD / "job.json", "--format", "json"))
    breaker = results["line_currents"]["breaker"]["value"]
    for state in ("heating", "spraying"):
        for line in results["line_currents"][state]:
            reading = readings[f"current_{state}_{line['line']}"]
            proves("a line current is shown as a maximum: what is computed and a tenth, the breaker at most", "expect" not in reading and "low" not in reading
                   and abs(reading["high"]["value"] - min(1.1 * line["current"]["value"], breaker)) < 1e-9, reading)
    # the example's material: lifts of at most 44 mm, so 82 mm in two of 41 mm; the wait and the re-entry time as they stand there
    proves("lift, wait and re-entry time are numbers", abs(readings["lift_thickness"]["set"]["value"] - 41) < 1e-9
           and readings["lift_wait"]["set"] == {"value": 18, "unit": "min"} and readings["re_entry"]["set"] == {"value": 26, "unit": "h"})
    text = run(ORCHARD / "job.json", "--report", "set-up")
    places = [text.find(words) for words in ("1  Before power", "Isolation and earth", "2  Power on", "Residual-current", "3  Before the trigger", "Lines are bled",
                                             "4  While spraying", "5  After spraying", "locked out", "To relieve pressure")]
    proves("boxes stand in their phases, shut-down and relief at the end", -1 not in places and places == sorted(places), places)
    for words in ("At the start", "At midday", "surface, coldest", "dew point", "humidity", "iso, batch number", "resin, batch number", "release valves open"):
        proves(f"the sheet has room for or says: {words}", words in text)
    checked = json.loads(run(ORCHARD / "job.json", "--format", "json"))["findings"]
    regulator = next(finding for finding in checked if finding["id"] == "air-regulator")
    for side in ("iso", "resin"):
        part = next(part for part in regulator["parts"] if part["label"] == f"{side} transfer pump's air")
        proves("the transfer pump's air is the same number in check and sheet", readings[f"transfer_air_{side}"]["set"] == part["value"], part)


def a_stop_gives_no_settings(folder):
    unconfirmed = json.loads((ORCHARD / "job.json").read_text())
    for name in ("rig", "material"):
        unconfirmed[name] = json.loads((ORCHARD / f"{name}.json").read_text())
    del unconfirmed["confirmed"]["fire_watch_set"]
    (folder / "unconfirmed.json").write_text(json.dumps(unconfirmed))
    for job, word in ((ORCHARD / "bad-day.json", "STOP"), (folder / "unconfirmed.json", "NOT KNOWN")):
        sheet = json.loads(run(job, "--report", "set-up", "--format", "json"))
        proves(f"{word}: JSON says that settings are withheld, and gives none", sheet["withheld"] is True and "profiles" not in sheet and len(sheet["readings"]) > 20
               and not any(key in reading for reading in sheet["readings"] for key in ("set", "expect", "low", "high")))
        text = run(job, "--report", "set-up")
        proves(f"{word}: the reasons are listed", ("Not met: Set pressure is right" if word == "STOP" else "Find out: Fire watch is set") in text)
        blank = text.partition("Not to be set")[2]
        proves(f"{word}: the table is blank", blank.count("________") > 100 and not re.search(r"\d (bar|degC|A|V|L/min)\b", blank), blank[:300])
        page = run(job, "--report", "set-up", "--format", "html")
        cells = re.findall(r"<td[^>]*>([^<]*)</td>", page)
        proves(f"{word}: so is the page's", cells and not any(cells), cells[:5])
    estimate = json.loads(run(ORCHARD / "bad-day.json", "--report", "estimate", "--format", "json"))
    warming = {figure["key"]: figure for figure in estimate["figures"] if figure["key"].startswith("warm_") and figure["key"] != "warm_up_time"}
    proves("an estimate with cold drums says when to begin with them", set(warming) == {"warm_iso", "warm_resin"}
           and all("before setting up" in figure["remark"] for figure in warming.values()), warming)
    proves("and so does the sheet", "Cold drums: warm the iso drums for" in run(ORCHARD / "bad-day.json", "--report", "set-up"))


a_go_sheet_goes_by_phases()
with tempfile.TemporaryDirectory() as name:
    a_stop_gives_no_settings(pathlib.Path(name))
finish()
