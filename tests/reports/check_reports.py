"""Reports of the command, read back as others read them: Python's html.parser, json and csv are the judges.

Usage: check_reports.py IMPINGE REPOSITORY
Every test's name is the sentence it proves. Texts that cannot be shown harmlessly are replaced by U+FFFD; what that means is
written here a second time, from the description in scripts/report/escape.lua. Over 500 lines: each
promise of the reports is a function of its own.
"""
import csv
import decimal
import io
import json
import pathlib
import random
import re
import subprocess
import tempfile
from html.parser import HTMLParser

from reading import FORMATS, IMPINGE, ORCHARD, REPORTS, UNSEEN, collapsed, decoded, finish, one_line, proves, run, visible

# ---- reading back

ALLOWED = set("html head meta title link style body header main footer section article h1 h2 h3 p div span strong ul ol li dl dt dd table caption thead "
              "tbody tr th td details summary code br a figure figcaption svg g path rect circle text desc".split())


class Page(HTMLParser):
    """All text nodes of elements, and the text of each element that has an id."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.stack, self.texts, self.by_id, self.faults = [], [], {}, []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attributes):
        if tag not in ALLOWED:
            self.faults.append(f"tag {tag}")
        names = dict(attributes)
        for name, value in attributes:
            if name.startswith("on") or name == "style" or (name in ("href", "src") and not (value or "").startswith(("#", "data:,"))):
                self.faults.append(f"attribute {name}={value}")
        if tag in ("meta", "link", "br", "path", "rect", "circle"):
            return
        self.stack.append((tag, names.get("id"), []))

    def handle_endtag(self, tag):
        if tag in ("path", "rect", "circle"):
            return
        if not self.stack or self.stack[-1][0] != tag:
            self.faults.append(f"</{tag}> closes {self.stack[-1][0] if self.stack else 'nothing'}")
            return
        _, identity, parts = self.stack.pop()
        text = "".join(parts)
        self.texts.append(text)
        if identity:
            self.by_id[identity] = text
        if self.stack:
            self.stack[-1][2].append(text)

    def handle_data(self, data):
        if self.stack:
            self.stack[-1][2].append(data)


def markdown_cells(text):
    cells = []
    for line in text.split("\n"):
        body = line[2:] if line.startswith("- ") else line
        for cell in re.split(r"(?<!\\)(?:\\\\)*\|", body) if line.startswith("|") else [body]:
            cells.append(re.sub(r"\\([!-/:-@\[-`{-~])", r"\1", cell).strip())
    return cells


def csv_rows(text):
    return list(csv.reader(io.StringIO(text, newline="")))


def is_number(cell):
    return re.fullmatch(r"[+-]?[\d.]+([eE][+-]?\d+)?", cell) is not None


# ---- numbers

TENTHS = {"degC", "degF", "K", "degC_diff", "degF_diff"}


def is_told(value, digits):
    return abs(float(f"{value:.{digits}g}") - value) <= 1e-12 * abs(value)


def shown(quantity, digits=None):
    """The documented rounding: temperatures to a tenth; three significant digits, or as typed where four tell the number or it is whole."""
    unit, value = quantity["unit"], quantity["value"]
    if digits is None:
        digits = 4 if is_told(value, 4) else 6 if is_told(value, 6) and value == int(value) else 3
    number = f"{value:.1f}" if unit in TENTHS else format(decimal.Decimal(f"{value:.{digits}g}"), "f")
    if re.fullmatch(r"-0(\.0)?", number):
        number = number[1:]
    return number, "" if unit == "1" else unit


def digits_of(finding, name):
    """A margin is worked out: three. Value and limit get more where they would read the same without being so."""
    value, limit = finding.get("value"), finding.get("limit")
    if name == "margin":
        return 3
    if not isinstance(value, dict) or not isinstance(limit, dict) or value == limit or value["unit"] != limit["unit"] or shown(value) != shown(limit):
        return None
    return next((digits for digits in (4, 5, 6) if shown(value, digits) != shown(limit, digits)), None)


RAISED = str.maketrans("-0123456789", "\u207b\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079")


def raised(unit):
    """m^2 as a page shows it: m\u00b2."""
    return re.sub(r"\^(-?\d+)", lambda power: power[1].translate(RAISED), unit)


def answers(finding):
    """A rule that declares what a yes is: the words that stand for its value, else None."""
    shown = finding.get("shown") or {}
    if "yes" not in shown or not isinstance(finding.get("value"), dict):
        return None
    yes = shown["yes"]["value"] if isinstance(shown["yes"], dict) else shown["yes"]
    return f"{shown['value']}: {'yes' if finding['value']['value'] == yes else 'no'}"


OUTCOMES = {"stop": "Not met: ", "not known": "Find out: ", "caution": "Check: "}


def numbers_agree(job, *options):
    findings = json.loads(run(job, "--format", "json", *options))["findings"]
    rows = csv_rows(run(job, "--format", "csv", *options))
    head, rows = rows[0], rows[1:]
    page = Page(run(job, "--format", "html", *options))
    text = collapsed(run(job, "--format", "text", *options))
    cells = set(markdown_cells(run(job, "--format", "markdown", *options)))
    proves("CSV has a row for each finding", len(rows) == len(findings))
    proves("every CSV row has every column", all(len(row) == len(head) for row in rows))
    seen = 0
    for place, (finding, row) in enumerate(zip(findings, rows), 1):
        cell = dict(zip(head, row))
        proves("rows stand in the order of the findings", cell["rule"] == finding["id"], finding["id"])
        there = page.by_id.get(f"f{place}", "")
        title = OUTCOMES.get(finding["verdict"], "") + finding["title"]
        proves("HTML has every finding, with what became of it in front of its title", title in there, title)
        at = text.find(collapsed(title) + " [")
        proves("text has every finding", at >= 0, finding["title"])
        for name in ("value", "limit", "margin"):
            if not isinstance(finding.get(name), dict):
                continue
            proves("CSV has six digits for whoever works on with them", (cell[name], cell[name + "_unit"]) == shown(finding[name], 6), cell[name])
            if answers(finding):
                proves("a question is answered with yes or no in every form, without limit or margin",
                       all(answers(finding) in form for form in (there, text[at:at + 700])) and answers(finding) in cells and "margin" not in text[at:at + 150], finding["id"])
                continue
            number, unit = shown(finding[name], digits_of(finding, name))
            both, unraised = f"{number} {raised(unit)}".strip(), f"{number} {unit}".strip()
            label = (finding.get("shown") or {}).get(name, "")
            proves("a value and a limit stand behind the words that the rule declares for them", all(f"{label} {words}".strip() in form for words, form in
                   ((both, there), (unraised, text[at:at + 700]))), (finding["id"], label))
            place_text = f"{finding['id']} {name}: {both}"
            proves("JSON and HTML agree digit for digit", re.search(rf"(?<!\d)(?<!\d\.){re.escape(both)}(?!\d)(?!\.\d)", there), place_text + there[:200])
            proves("JSON and text agree digit for digit", re.search(rf"(?<!\d)(?<!\d\.){re.escape(unraised)}(?!\d)(?!\.\d)", text[at:at + 700]), place_text)
            if name != "margin":
                proves("JSON and Markdown agree digit for digit", (f"{label} {both}".strip() if name == "value" else both) in cells, place_text)
            seen += 1
    proves("many numbers have been compared", seen > 60, seen)


# ---- hostile texts

def hostile_texts():
    fixed = ["<script>alert(1)</script>", "</title></style><b>", "\"' onload=x autofocus", "a & b &lt; c &#39;", "=1+1", "+1", "-2+3", "@SUM(A1)", "=HYPERLINK(\"x\")",
             "\u202egnp.exe", "\u2066left\u2069", "bell\x07 escape\x1b[31m red", "\x7f delete \x85 next line", "line\u2028separator", "\ufeffmark", "a\tb\nc\r\nd",
             "| pipe | in | cells |", "# heading", "- item", "1. item", "* star _under_ `code` [x](http://a) ![y](z) ~~no~~", "\\ back \\| slash", "a,b;c", "\"quoted\", \"twice\"",
             "emoji \U0001f9ea and \u00e9\u0301", "%s %d %1 %%", "${x} {{y}} $(z)", "--", "'", "\u3000wide", "x" * 3900, "long " * 700, "0", "1e5", "nil", "<!-- -->", "]]>"]
    letters = list("<>&\"'`=+-@|\\*_#[](){}!~.,;:%$ \tab1\n") + ["\u202e", "\u200f", "\x1b", "\x00", "\x0b", "\u00e9", "\U0001f600", "\u0085"]
    source = random.Random(20310417)
    return fixed + ["".join(source.choice(letters) for _ in range(source.randint(1, 60))).strip() or "x" for _ in range(60)]


def lua_text(raw):
    return '"' + "".join(f"\\{byte:03d}" for byte in raw) + '"'


def check_forms(name, wanted, outputs):
    """wanted: the texts as they should be read back; outputs: format -> text of the report."""
    page = Page(outputs["html"])
    proves(f"{name}: the page has only its own tags and attributes", not page.faults, page.faults[:3])
    texts = set(page.texts) | {text.strip() for text in page.texts}
    whole = page.texts[-1]
    plain, cells = collapsed(outputs["text"]), markdown_cells(outputs["markdown"])
    proves(f"{name}: no control character in text", not UNSEEN.search(outputs["text"]))
    for form in FORMATS:
        proves(f"{name}: nothing unseen in {form}", not UNSEEN.search(outputs[form].replace("\r\n", "\n")))
    for cell in (cell for row in csv_rows(outputs["csv"]) for cell in row):
        proves(f"{name}: no CSV cell begins a formula", not cell.startswith(("=", "+", "-", "@", "\t", "\r")) or is_number(cell), cell[:60])
    return page, texts, whole, plain, cells


def stands_in(text, plain):
    """Whether plain text has a text, words longer than a whole line broken into lines."""
    if collapsed(text) in plain:
        return True
    return re.search(r"\S{101}", text) is not None and re.sub(r"\s", "", text) in re.sub(r"\s", "", plain)


def longest_name_is_shown_whole(folder):
    """A name of as many bytes as a text may have, in one word: whole in every form, and no wider than the page."""
    job = json.loads((ORCHARD / "job.json").read_text())
    for part in ("rig", "material"):
        job[part] = json.loads((ORCHARD / f"{part}.json").read_text())
    path = folder / "long.json"
    for name in ("N" * 4000, "\u00c4" * 2000):
        job["name"] = name
        path.write_text(json.dumps(job))
        text = run(path, "--format", "text")
        proves("a name of 4000 bytes is whole in text", name in re.sub(r"\s", "", text))
        proves("no line of the text is wider than 100 columns for it", max(map(len, text.splitlines())) <= 100, max(map(len, text.splitlines())))
        page = run(path, "--format", "html")
        proves("it is whole in HTML, whose style breaks it anywhere", name in page and re.search(r"overflow-wrap: ?anywhere", page))
        proves("it is whole in Markdown", name in run(path, "--format", "markdown"))
        proves("it is whole in JSON", json.loads(run(path, "--format", "json"))["job"]["name"] == name)


def job_texts_survive(folder):
    names = [text for text in hostile_texts() if "\x00" not in text and text.strip(" \t\r\n")]
    sample = names[:21] + names[34:40]
    job = json.loads((ORCHARD / "job.json").read_text())
    rig, material = json.loads((ORCHARD / "rig.json").read_text()), json.loads((ORCHARD / "material.json").read_text())
    for number in range(0, len(sample) - 2, 3):
        job["name"], rig["name"], material["name"] = sample[number], sample[number + 1], sample[number + 2]
        job["rig"], job["material"] = rig, material
        path = folder / "job.json"
        path.write_text(json.dumps(job))
        for report in REPORTS if number % 4 == 0 else REPORTS[:1]:
            outputs = {form: run(path, "--report", report, "--format", form) for form in FORMATS}
            page, _, whole, plain, cells = check_forms(f"{report} of a job named {job['name'][:20]!r}", None, outputs)
            found = json.loads(outputs["json"])["job"]
            for key, text in (("name", job["name"]), ("rig", rig["name"]), ("material", material["name"])):
                proves("a job's text reads back equal from JSON", found[key] == text, (found[key][:80], text[:80]))
                seen = visible(text)
                if report == "set-up" and len(one_line(text)) > 90:  # one page: cut, with an ellipsis
                    seen = one_line(text)[:89] + "\u2026"
                proves("a job's text reads back from HTML, replaced visibly at most", seen in whole or one_line(seen) in whole, seen[:80])
                if key == "name" or report != "prejob":
                    proves("a job's text reads back from text", stands_in(one_line(seen), plain), seen[:80])
                proves("a job's text reads back from Markdown",
                       any(collapsed(one_line(seen)) == collapsed(cell.split(": ", 1)[-1]) for cell in cells), seen[:80])


def rule_texts_survive(folder):
    texts = [text.encode() for text in hostile_texts() if text.strip()]
    texts += [b"no \xff utf-8 \xe2\x82 here", b"y" * 10000, ("\u00fc <b>" * 2500).encode()]
    lines = []
    for number, raw in enumerate(texts):
        text = lua_text(raw)
        lines.append(f"rule {{ id = 'hostile-{number}', title = {text}, group = 'hostile', stage = 'plan', advice = {text}, source = {text},"
                     f" compute = function() return nil, {text} end, at_most = q '1 m' }}")
    path = folder / "hostile.lua"
    path.write_text("\n".join(lines))
    outputs = {form: run(ORCHARD / "job.json", "--rules", str(path), "--format", form) for form in FORMATS}
    page, texts_seen, whole, plain, cells = check_forms("hostile rules", None, outputs)
    findings = {finding["id"]: finding for finding in json.loads(outputs["json"])["findings"]}
    places = {finding["id"]: place for place, finding in enumerate(json.loads(outputs["json"])["findings"], 1)}
    rows = csv_rows(outputs["csv"])
    by_rule = {row[1]: dict(zip(rows[0], row)) for row in rows[1:]}
    for number, raw in enumerate(texts):
        identity, text = f"hostile-{number}", decoded(raw)
        seen = visible(text)
        finding, cell = findings.get(identity), by_rule.get(identity, {})
        if finding is None:
            proves("every hostile rule is reported", False, raw[:60])
            continue
        for field in ("title", "advice", "reason", "source"):
            proves("a rule's text reads back equal from JSON", finding[field] == text, (field, finding[field][:60], text[:60]))
            got = cell[field]
            formula = seen[0] in "=+-@\t\r" and not is_number(seen)
            proves("a rule's text reads back from CSV, with an apostrophe at most", got.replace("\r\n", "\n") == ("'" if formula else "") + seen.replace("\r\n", "\n")
                   or got == ("'" if formula else "") + seen, (field, got[:60], seen[:60]))
        there = page.by_id[f"f{places[identity]}"]
        proves("a rule's texts read back from HTML", there.count(seen) >= 4, (seen[:60], there[:200]))
        proves("a rule's title reads back from text", stands_in(one_line(seen), plain), seen[:60])
        proves("a rule's title reads back from Markdown", collapsed(OUTCOMES["not known"] + one_line(seen)) in (collapsed(cell) for cell in cells), seen[:60])


# ---- the rest

def forms_are_sound():
    for job in (ORCHARD / "job.json", ORCHARD / "bad-day.json"):
        for report in REPORTS:
            for form in FORMATS:
                first = run(job, "--report", report, "--format", form)
                proves(f"{report} as {form}: the same job gives the same bytes", first == run(job, "--report", report, "--format", form))
                proves(f"{report} as {form} is not empty", len(first) > 300)
                if form == "html":
                    page = Page(first)
                    proves(f"{report}: well-formed, with its own tags only", not page.faults and not page.stack, page.faults[:3])
                    proves(f"{report}: needs nothing from elsewhere", not re.search(r"(src|href)=\"?(?!#|\"?data:,)\w", first) and "url(" not in first)
                    proves(f"{report}: one main, one header, one footer", all(len(re.findall(f"<{tag}[ >]", first)) == 1 for tag in ("main", "header", "footer", "h1")))
                    identities = re.findall(r" id=\"?([^ \">]+)", first)
                    proves(f"{report}: no id twice", len(identities) == len(set(identities)))
                if form == "json":
                    proves(f"{report}: JSON says its version and which report it is", json.loads(first)["impinge"] == 1 and json.loads(first)["report"])
    html = run(ORCHARD / "bad-day.json", "--format", "html")
    proves("charts have their table", html.count("<figure") == html.count("<figcaption>") == html.count("<table class=data>") == 3)
    proves("the states along the hoses are in JSON", len(json.loads(run(ORCHARD / "job.json", "--format", "json"))["profiles"]["iso"]) > 10)


def shared_parts_once(folder):
    path = folder / "twice.lua"
    path.write_text("\n".join(f"rule {{ id = 'twice-{i}', title = 'Twice {i} (invented)', group = 'own', stage = 'plan', at_most = q '1 m', compute = function() "
                              "return q '2 m', { parts = { { label = 'a part of both', value = q '3 m' } } } end }" for i in range(2)))
    for form in ("html", "text"):
        report = run(ORCHARD / "job.json", "--rules", str(path), "--format", form)
        proves(f"{form}: parts that two findings share are shown once", report.count("a part of both") == 1)
        proves(f"{form}: the other says where", "Parts as under" in report)


def sheets_on_request():
    plain, full = run(ORCHARD / "job.json", "--format", "html"), run(ORCHARD / "job.json", "--format", "html", "--with", "sheets")
    proves("there is no appendix unless asked for", "class=appendix" not in plain and "class=appendix" in full)
    numbers = re.findall(r"<div id=sheet-(\d+)>", full)
    proves("sheets are numbered from 1, each once", numbers == [str(i) for i in range(1, len(numbers) + 1)] and len(numbers) > 20)
    proves("every link leads to a sheet", set(re.findall(r"href=\"#sheet-(\d+)\"", full)) == set(numbers))
    proves("without it each sheet is still in place", plain.count("dew point") > 1 and "<code>" in plain)
    other = run(ORCHARD / "job.json", "--format", "html", "--with", "sheets", "--units", "us")
    proves("sheets in other units show SI beside them", "<th scope=col>In SI</th>" in other and "<th scope=col>In SI</th>" not in full)
    appendix = run(ORCHARD / "job.json", "--with", "sheets").partition("Appendix: sheets")[2]
    proves("the appendix can be had as text, formulas and all", "What a cable may carry" in appendix and "Operating point of the rig" in appendix, appendix[:200])


def units_of_ones_own(folder):
    finding = next(f for f in json.loads(run(ORCHARD / "job.json", "--format", "json"))["findings"] if f["id"] == "pressure-setting")
    proves("the example's pressure is in bar", finding["value"]["unit"] == "bar")
    bar = finding["value"]["value"]

    def pressure(path):
        row = next(row for row in csv_rows(run(ORCHARD / "job.json", "--format", "csv", "--units", str(path))) if row[1] == "pressure-setting")
        return row[5], row[6]
    # 1 psi = 6894.757 Pa: NIST SP 811, appendix B.8
    proves("us shows psi", pressure("us")[1] == "psi" and abs(float(pressure("us")[0]) - bar * 1e5 / 6894.757) < 1)
    own = folder / "units.json"
    own.write_text('{"impinge": 1, "kind": "units", "base": "us", "show": {"psi": "kPa"}}')
    proves("a file of one's own shows kPa", pressure(own) == (f"{bar * 100:.6g}", "kPa"), pressure(own))
    beside = json.loads((ORCHARD / "job.json").read_text())
    for name in ("rig", "material"):
        beside[name] = json.loads((ORCHARD / f"{name}.json").read_text())
    (folder / "beside.json").write_text(json.dumps(beside | {"display_units": "units.json"}))
    proves("a job may name the file beside it", ",kPa," in run(folder / "beside.json", "--format", "csv"))
    proves("the command line comes first", ",kPa," not in run(folder / "beside.json", "--format", "csv", "--units", "si"))
    page = run(ORCHARD / "job.json", "--format", "html", "--units", str(own))
    proves("charts follow", "Pressure, kPa" in page and "Temperature, degF" in page)
    for text, reason in (('{"show": {"bar": "m"}}', "show.bar"), ('{"show": {"bar": "bars"}}', "show.bar"), ('{"show": {"degC": "K"}}', "show.degC"), ("{", "units.json"),
                         ('{"base": "metric", "show": {}}', "base"), ('{"units": {}}', "units"), ("[]", "braces"), ('{"show": {"bar": 3}}', "quotes")):
        own.write_text(text)
        done = subprocess.run([IMPINGE, "check", str(ORCHARD / "job.json"), "--units", str(own)], capture_output=True, check=False)
        proves(f"{text} is refused in one sentence", done.returncode == 4 and done.stdout == b"" and reason in done.stderr.decode() and done.stderr.count(b"\n") == 1, done)
    done = subprocess.run([IMPINGE, "check", str(ORCHARD / "job.json"), "--units", "metric"], capture_output=True, check=False)
    proves("units that are no file are refused", done.returncode == 4 and b"metric" in done.stderr, done.stderr)


def second_language():
    for report in REPORTS:
        html = run(ORCHARD / "job.json", "--report", report, "--format", "html", "--language", "es")
        proves(f"{report}: the page says that it is Spanish", "<html lang=es>" in html)
        proves(f"{report}: dates stay ISO", "2031-04-17" in html)
    heads = [run(ORCHARD / "job.json", "--report", report, "--language", "es").split("\n")[1] for report in REPORTS[:3]]
    proves("Spanish headings are capitals, accented ones too", all(head == head.upper() for head in heads) and heads[0].startswith("COMPROBACIÓN"), heads)
    bad = run(ORCHARD / "bad-day.json", "--format", "html", "--language", "es")
    proves("the verdict is Spanish", "<strong>ALTO</strong>" in bad)
    proves("so is what became of a rule", "No se cumple: Presión bien ajustada" in bad and "Not met" not in bad)
    proves("advice that is not translated is marked as English", "<span lang=en>Use a larger plug and socket" in bad)
    first, second = run(ORCHARD / "job.json", "--format", "csv"), run(ORCHARD / "job.json", "--format", "csv", "--language", "es")
    numbers = [[row[i] for i in (1, 5, 6, 8, 9, 11, 12)] for row in csv_rows(first)]
    proves("numbers are the same in both languages", numbers == [[row[i] for i in (1, 5, 6, 8, 9, 11, 12)] for row in csv_rows(second)])


def reports_without_enough(folder):
    job = {"name": "Bare (invented)", "rig": {"name": "Bare rig (invented)"}, "material": {"name": "Bare material (invented)"}}
    path = folder / "bare.json"
    path.write_text(json.dumps(job))
    for report in REPORTS:
        for form in FORMATS:
            text = run(path, "--report", report, "--format", form)
            proves(f"{report} as {form} of a job that says nothing is a report all the same", "Bare (invented)" in text or form == "csv", text[:100])
    sheet = json.loads(run(path, "--report", "set-up", "--format", "json"))
    proves("the set-up sheet names what is not known and invents nothing", "hose_current" in sheet["not_known"] and
           all("expect" not in r and "set" not in r for r in sheet["readings"] if r["key"] in sheet["not_known"]))


def verdict_and_cautions_come_first():
    for job, verdict, meaning in (("job.json", "GO", "Nothing was found against starting."), ("bad-day.json", "STOP", "Do not start.")):
        for report in REPORTS[:3]:  # spray hours have a verdict of their own
            html, text = (run(ORCHARD / job, "--report", report, "--format", form) for form in ("html", "text"))
            box, _, rest = html.partition("</header>")[0].partition("</div>")
            proves(f"{report} of {job}: the verdict is on top", f"<strong>{verdict}</strong>" in box, box[-200:])
            proves(f"{report} of {job}: at most four cautions follow it at once", rest.startswith("\n<ul class=first>") and 1 <= rest.count("<li>") <= 4, rest[:80])
            proves(f"{report} of {job}: they name lungs, pressure, electricity and heat",
                   all(word in rest for word in ("Isocyanates", "supplied-air", "high pressure", "licensed electrician", "local code", "Hot fluid")), rest[:600])
            proves(f"{report} of {job}: as text they stand before the first table", 0 < text.find("  ! Isocyanates") < text.find("---"), text[:300])
        proves(f"{job}: the pre-job check says what the verdict means", meaning in run(ORCHARD / job) and meaning in run(ORCHARD / job, "--format", "html"))
    proves("an estimate of a stop says that the job must not start", "must not start" in run(ORCHARD / "bad-day.json", "--report", "estimate"))
    proves("an estimate's JSON has the verdict", json.loads(run(ORCHARD / "bad-day.json", "--report", "estimate", "--format", "json"))["verdict"] == "stop")


def planned_and_predicted_flow():
    result = json.loads(run(ORCHARD / "job.json", "--format", "json"))
    planned, predicted = shown(result["planned_flow"])[0], shown(result["operating_point"]["flow"])[0]
    proves("the example plans another flow than is predicted", planned != predicted)
    text = collapsed(run(ORCHARD / "job.json"))
    proves("both flows are named", f"flow predicted while spraying, both sides {predicted} L/min" in text and f"flow planned in the job, both sides {planned} L/min" in text)
    proves("the estimate says which flow its times are at",
           f"at the planned flow, {planned} L/min; predicted while spraying: {predicted} L/min" in collapsed(run(ORCHARD / "job.json", "--report", "estimate")))


def drums_are_whole():
    findings = json.loads(run(ORCHARD / "bad-day.json", "--format", "json"))["findings"]
    levers = [lever["value"]["value"] for finding in findings for lever in finding["levers"] if lever["path"] in ("stock.iso_drums", "stock.resin_drums")]
    # 480.8 L of each side are needed, a drum gives 208 L x 0.96 = 199.7 L: 2.41 drums, so 3
    proves("what would pass is a whole number of drums, rounded up", levers == [3, 3], levers)


def hours_say_what_became_of_a_rule():
    raw = run(ORCHARD / "job.json", "--report", "spray-hours")
    text, hours = collapsed(raw), json.loads(run(ORCHARD / "job.json", "--report", "spray-hours", "--format", "json"))
    can = [hour["time"] for hour in hours["hours"] if hour["verdict"] in ("go", "caution")]
    head = f"{len(can)} of {len(hours['hours'])} hours can be sprayed, first {can[0]}"
    proves("spray hours are headed by how many they are and the first of them, and end with it", 0 < len(can) < len(hours["hours"])
           and raw.split("\n")[1] == f"SPRAY HOURS: {head}" and raw.rstrip().split("\n")[-1] == head, raw[:200])
    page = run(ORCHARD / "job.json", "--report", "spray-hours", "--format", "html")
    proves("so is the page, and no word of go", f"<strong>{head}</strong>" in page and "<strong>GO" not in page)
    for form in (text, page):
        proves("that only the weather is judged stands above the hours", 0 < form.find("Only the weather is judged here") < form.find("Hour by hour"))
    proves("the exit code is told", "Exit code: 0 where some of it can be sprayed" in text)
    proves("a rule that keeps an hour from being sprayed is not met", "Not met: " in text and not re.search(r"(?<!Not met: )(?<!Check: )Surface is clear of the dew point: \d", text))


def a_go_in_the_office_is_a_go_so_far():
    """In every format and report, English and Spanish; on site nothing of it."""
    for language, so_far, to_come in (("en", "GO SO FAR", "site readings and confirmations are still to come"),
                                      ("es", "ADELANTE POR AHORA", "faltan las lecturas y confirmaciones en la obra")):
        for form in ("text", "html", "markdown"):
            plan = collapsed(run(ORCHARD / "job.json", "--stage", "plan", "--language", language, "--format", form))
            proves(f"the plan's verdict says so far ({language}, {form})", so_far in plan and to_come in plan)
            proves(f"the site's does not ({language}, {form})", so_far not in run(ORCHARD / "job.json", "--language", language, "--format", form))
            for report in ("set-up", "estimate"):
                proves(f"nor does the {report} hide it ({language}, {form})",
                       so_far in run(ORCHARD / "job.json", "--stage", "plan", "--language", language, "--format", form, "--report", report))


def a_plan_is_not_for_setting():
    for language, words in (("en", "Plan only: not for setting the rig"), ("es", "Solo plan: no sirve para ajustar el equipo")):
        for form in FORMATS:
            options = ("--report", "set-up", "--language", language, "--format", form)
            begin = run(ORCHARD / "job.json", "--stage", "plan", *options)
            if form == "json":
                proves(f"the plan's sheet says so in JSON ({language})", json.loads(begin)["notice"] == words)
            else:
                head = begin.partition("<header>")[2] if form == "html" else begin
                proves(f"the plan's sheet says first that it is not for setting the rig ({language}, {form})", words.lower() in head[:120].lower(), head[:120])
            proves(f"the site's does not ({language}, {form})", words.lower() not in run(ORCHARD / "job.json", *options).lower())


def the_verdict_is_the_last_line_too():
    for job, options, last in (("bad-day.json", (), "STOP: 28 to stop, 1 not known, 6 with caution"), ("job.json", (), "GO: 79 in order"),
                               ("job.json", ("--report", "estimate"), "GO: 79 in order")):
        results = json.loads(run(ORCHARD / job, "--format", "json"))["counts"]
        counted = all(int(number) == results[verdict] for number, verdict in zip(re.findall(r"\d+", last), ("stop", "not known", "caution") if "STOP" in last else ("go",)))
        proves(f"{job} {options}: the text ends with its verdict and counts", counted and run(ORCHARD / job, *options).rstrip().split("\n")[-1] == last, results)


def what_would_pass_and_where_limits_come_from():
    text, page = run(ORCHARD / "bad-day.json"), run(ORCHARD / "bad-day.json", "--format", "html")
    plain = collapsed(text)
    proves("text says that one of several changes passes", "Passes with one of these: cable section at 10 mm^2; cable layers on drum at 0" in plain)
    proves("and of a single one it does not", "Passes with measured voltage at" in plain, plain[:100])
    for form in (text, page):
        proves("what the brackets behind limits mean is said once", form.count("In brackets behind a limit") == 1 and "Put right first" in form and "Do first" not in form)


def powers_are_raised():
    page, marks = (run(ORCHARD / "bad-day.json", "--format", form) for form in ("html", "markdown"))
    text, data = run(ORCHARD / "bad-day.json"), run(ORCHARD / "bad-day.json", "--format", "json")
    estimate = {form: run(ORCHARD / "job.json", "--report", "estimate", "--format", form) for form in FORMATS}
    proves("HTML raises powers", "cable section at 25 mm\u00b2" in page and "185 m\u00b2" in estimate["html"])
    proves("Markdown does too", "185 m\u00b2" in estimate["markdown"] and "^" not in marks.replace("V^2", ""), marks[:100])
    proves("text, CSV and JSON stay as they are typed", "25 mm^2" in text and '"mm^2"' in data and "185 m^2" in estimate["text"] and "\u00b2" not in text + data + estimate["csv"])


def logs_warn_first():
    log = str(ORCHARD / "day.csv")
    for files, title in (([log], "Day report"), ([log, log], "Table of logs")):
        for form in ("text", "html"):
            done = subprocess.run([IMPINGE, "log", *files, "--job", str(ORCHARD / "job.json"), "--format", form], capture_output=True, check=False, text=True)
            head = done.stdout.partition("</header>")[0] if form == "html" else done.stdout.partition("---")[0]
            lines = head.count("<li>") if form == "html" else head.count("\n  ! ")
            proves(f"{title} as {form}: four short cautions stand on top", lines == 4 and all(word in head for word in ("Isocyanates", "high pressure", "electrician", "Hot fluid")), head[-300:])
            proves(f"{title} as {form}: the title", title.lower() in head.lower() and "fleet" not in head.lower(), head[:100])
            if form == "text":
                proves(f"{title}: the last line is the verdict", re.fullmatch(r"STOP: \d.*", done.stdout.rstrip().split("\n")[-1]), done.stdout[-100:])


def notes_on_limits_are_translated(folder):
    job = json.loads((ORCHARD / "job.json").read_text())
    for name in ("rig", "material"):
        job[name] = json.loads((ORCHARD / f"{name}.json").read_text())
    job["limits"] = job.get("limits", {}) | {"voltage_drop": "9 %"}
    for name in ("grouped", "ambient_temperature"):
        job["supply"]["cable"].pop(name, None)
    job["supply"].pop("code", None)
    path = folder / "loosened.json"
    path.write_text(json.dumps(job))
    english, spanish = (run(path, "--format", "html", "--language", language) for language in ("en", "es"))
    for there, here in (("The job&#39;s own limit is at most 9 %; the rule&#39;s own is at most 5 %.", "El l\u00edmite propio del trabajo es como m\u00e1ximo 9 %; el de la regla es como m\u00e1ximo 5 %."),
                        ("Assumed, as the job does not say:", "Supuesto, pues el trabajo no lo dice:"), ("air of 30", "aire a 30"),
                        ("no other loaded circuit beside the cable", "ning\u00fan otro circuito cargado junto al cable")):
        proves(f"a note on limits is translated: {there}", there in english and here in spanish and there not in spanish, spanish.count(here))


class Spoken(HTMLParser):
    """Texts that a screen reader speaks in the page's own language; code is no language."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.stack, self.texts = [], []
        self.feed(html.partition("</style>")[2].partition("<body")[2].partition(">")[2])

    def handle_starttag(self, tag, attributes):
        if tag not in ("br", "path", "rect", "circle"):
            self.stack.append("en" if tag == "code" else dict(attributes).get("lang"))

    def handle_endtag(self, tag):
        if self.stack and tag not in ("br", "path", "rect", "circle"):
            self.stack.pop()

    def handle_data(self, data):
        if "en" not in self.stack:
            self.texts.append(data.strip())


def english_is_marked():
    for job in ("job.json", "bad-day.json"):
        for more in ((), ("--with", "sheets"), *(("--report", report) for report in REPORTS[1:])):
            spoken = Spoken(run(ORCHARD / job, "--format", "html", "--language", "es", *more)).texts
            english = [text for text in spoken if "(invented)" not in text and re.search(r"\b(the|of|and|with|for|from|heater|hose|is)\b", text)]
            proves(f"{job} {more}: what stays English on a Spanish page is marked as English", len(spoken) > 100 and not english, english[:5])


def a_near_name_of_a_report_is_suggested():
    done = subprocess.run([IMPINGE, "check", str(ORCHARD / "job.json"), "--report", "setup"], capture_output=True, check=False, text=True)
    proves("a report's name that is nearly right is refused with the right one", done.returncode == 3 and 'did you mean "set-up"?' in done.stderr, done.stderr)
    done = subprocess.run([IMPINGE, "check", str(ORCHARD / "job.json"), "--report", "xyz"], capture_output=True, check=False, text=True)
    proves("one that is like none is refused without", done.returncode == 3 and "did you mean" not in done.stderr, done.stderr)


a_plan_is_not_for_setting()
the_verdict_is_the_last_line_too()
what_would_pass_and_where_limits_come_from()
powers_are_raised()
logs_warn_first()
a_near_name_of_a_report_is_suggested()
english_is_marked()
drums_are_whole()
hours_say_what_became_of_a_rule()
verdict_and_cautions_come_first()
a_go_in_the_office_is_a_go_so_far()
planned_and_predicted_flow()
numbers_agree(ORCHARD / "job.json")
numbers_agree(ORCHARD / "bad-day.json")
numbers_agree(ORCHARD / "job.json", "--stage", "plan")
forms_are_sound()
sheets_on_request()
second_language()
with tempfile.TemporaryDirectory() as name:
    notes_on_limits_are_translated(pathlib.Path(name))
    units_of_ones_own(pathlib.Path(name))
    shared_parts_once(pathlib.Path(name))
    reports_without_enough(pathlib.Path(name))
    longest_name_is_shown_whole(pathlib.Path(name))
    job_texts_survive(pathlib.Path(name))
    rule_texts_survive(pathlib.Path(name))
finish()
