#!/usr/bin/env python3
"""The same input gives the same output, byte for byte: again and again, on any number of threads, in any locale and time zone,
in one process and in many.

Usage: same_results.py IMPINGE SOAK SOURCE_FOLDER [SECONDS]

SECONDS (20) are shared by the runs. A German locale (decimal comma) is made with localedef where Debian's package `locales`
is installed; else the line at the end says which one was taken.
"""
import itertools
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import time

ZONES = ["UTC", "Pacific/Auckland", "America/St_Johns", ""]
THREADS = ["1", "2", "3", "8"]


def german(folder):
    """A locale with a decimal comma: its name and what the environment needs for it."""
    target = folder / "de_DE.UTF-8"
    try:
        subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", str(target)], capture_output=True, check=False, timeout=60)
    except FileNotFoundError:
        pass
    if (target / "LC_NUMERIC").exists():
        return "de_DE.UTF-8", {"LOCPATH": str(folder)}
    known = subprocess.run(["locale", "-a"], capture_output=True, text=True, check=False).stdout.split()
    for name in known:
        if re.match(r"(de|fr|es|it|nl)_", name):
            return name, {}
    return ("C.UTF-8", {}) if "C.utf8" in known or "C.UTF-8" in known else ("C", {})


def commands(source):
    job = str(source / "examples" / "orchard-store" / "job.json")
    day = str(source / "examples" / "orchard-store" / "day.csv")
    small = str(source / "tests" / "logs" / "small.csv")
    return [(["check", job, "--format", "json"], False),
            (["check", str(source / "examples" / "orchard-store" / "bad-day.json")], False),
            (["calc", "rig.operating_point", "--job", job, "--format", "json"], False),
            (["calc", "mix.dip_ratio", "iso_diameter=571 mm", "iso_drop=148 mm", "resin_diameter=571 mm", "resin_drop=147 mm",
              "--uncertainty", "iso_drop=2 mm", "--format", "json"], False),
            (["log", day, "--job", job, "--format", "json"], True),
            (["log", day, small, "--format", "csv"], True),
            (["log", day, "--partial"], True)]


def main():
    binary, soak, source = (pathlib.Path(argument).resolve() for argument in sys.argv[1:4])
    seconds = float(sys.argv[4]) if len(sys.argv) > 4 else 20.0
    begun = time.monotonic()
    differing = runs = 0
    with tempfile.TemporaryDirectory() as name:
        locale, extra = german(pathlib.Path(name))
        places = [{"LC_ALL": language, "TZ": zone, **extra} for language, zone in itertools.product(["C", locale], ZONES)]
        wanted = {}
        hashes = set()
        failed = False
        for share, language in enumerate(["C", locale]):
            done = subprocess.run([str(soak), str(source), str(seconds / 4), language], capture_output=True, text=True, check=False,
                                  env={**os.environ, **extra, "TZ": ZONES[share + 1]})
            print(done.stdout.strip())
            failed = failed or done.returncode != 0
            hashes.update(re.findall(r"results ([0-9a-f]{16})", done.stdout))
        for turn in itertools.count():
            for number, (arguments, on_threads) in enumerate(commands(source)):
                place = places[(turn + number) % len(places)]
                threads = ["--threads", THREADS[turn % len(THREADS)]] if on_threads else []
                done = subprocess.run([str(binary), *arguments, *threads], capture_output=True, check=False, timeout=120,
                                      env={"PATH": os.environ["PATH"], **place})
                runs += 1
                result = (done.returncode, done.stdout, done.stderr)
                if result != wanted.setdefault(number, result):
                    differing += 1
                    print(f"{' '.join(arguments[:2])} differs with {place} {threads}")
            if turn + 1 >= len(places) and time.monotonic() - begun > seconds:
                break
    if len(hashes) != 1:
        print("the results in one process depend on the locale")
    print(f"same results: {runs} commands in 2 locales (C, {locale}), {len(ZONES)} time zones, on {', '.join(THREADS)} threads: "
          f"{differing} differ")
    return 1 if differing or failed or len(hashes) != 1 else 0


if __name__ == "__main__":
    sys.exit(main())
