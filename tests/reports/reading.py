"""What the tests of the command's reports share: running it, saying what is proved, and how texts read back."""
import pathlib
import re
import subprocess
import sys

IMPINGE, ROOT = sys.argv[1], pathlib.Path(sys.argv[2])
ORCHARD = ROOT / "examples" / "orchard-store"
REPORTS, FORMATS = ("prejob", "set-up", "estimate", "spray-hours"), ("text", "json", "html", "csv", "markdown")
failures, proved = [], []


def proves(sentence, holds, more=""):
    proved.append(sentence)
    if not holds:
        failures.append(f"not so: {sentence} {str(more)[:400]}")


def run(job, *options, codes=(0, 1, 2)):
    if "spray-hours" in options:
        options += ("--forecast", str(ORCHARD / "forecast.csv"), "--surface-below", "2 K")
    done = subprocess.run([IMPINGE, "check", str(job), *options], capture_output=True, check=False)
    if done.returncode not in codes:
        failures.append(f"check {job} {options} ends with {done.returncode}: {done.stderr.decode()[:300]}")
    return done.stdout.decode("utf-8")


# ---- what a hostile text is shown as

UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]")


def decoded(raw):
    """Bytes that are no UTF-8 are replaced one by one."""
    text = ""
    while raw:
        try:
            return text + raw.decode("utf-8")
        except UnicodeDecodeError as fault:
            text += raw[: fault.start].decode("utf-8") + "\ufffd"
            raw = raw[fault.start + 1:]
    return text


def visible(text):
    return UNSEEN.sub("\ufffd", text)


def one_line(text):
    return re.sub("[\r\n\t]+", " ", visible(text))


def collapsed(text):
    return re.sub(" +", " ", text.replace("\n", " ")).strip()


def finish():
    for failure in failures[:40]:
        print(failure)
    print(f"{len(proved)} checks, {len(failures)} fail")
    sys.exit(1 if failures else 0)
