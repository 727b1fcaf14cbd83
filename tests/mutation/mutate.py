#!/usr/bin/env python3
"""Flips one operator or constant of the core's formulas at a time and sees whether the tests notice.

Usage: mutate.py SOURCE_FOLDER WORK_FOLDER [--count N] [--seed N] [--workers N] [--only FILE,FILE...] [--thorough] [--list]

A mutant is killed when a test fails, crashes or spends ten times its usual processor time. Tried in turn, until the first
that fails: the tests of the file's room, the published cases, the core's other tests; --thorough also the slow ones, of the
rules and over every entry's range, which take a minute a mutant. What survives is tried once more on the tests of its
room with the sanitizers for addresses and undefined behaviour, as the other half of tests/run.sh does. A flip changes + - * / += -=
*= /=, == !=, && ||, fmin fmax, turns < into >= and > into <= (not into <=, which differs at one value of a continuous
quantity only), and makes a constant a tenth larger (0 becomes 1, a whole number the next one). Formulas are the bodies of
functions and file-level constants; messages and places in arrays are left alone. equivalent.txt names flips that change no result, with the reason.
"""
import argparse
import concurrent.futures
import os
import pathlib
import queue
import random
import re
import resource
import shutil
import subprocess
import sys
import threading

FILES = """air cable cable_ampacity cable_reach climate electrical electrical_loads electrical_ratings electrical_supply
engine_solve engine_uncertainty exact_sum fluid fluid_fit gun heat heat_circuit heat_hose hose hose_friction hose_march
hose_pair hose_power_law hose_run humidity line_currents may_run mix pump rig rig_heat_up rig_model rig_need solve sketch
stats yield yield_film""".split()
# The room's own tests first: by the name of the file, and where the name does not say it, here.
ROOM_TESTS = {"humidity": ["climate"], "engine_solve": ["sweep", "solve", "engine"], "engine_uncertainty": ["sweep", "engine"],
              "cable_ampacity": ["cable"], "electrical_supply": ["electrical", "may_run"], "sketch": ["columns", "log_summary"],
              "electrical_loads": ["line_currents", "may_run"], "exact_sum": ["exact_sum"], "hose_march": ["hose_run"], "rig_model": ["rig", "rig_signs"],
              "rig_need": ["rig", "rig_questions"], "rig_heat_up": ["rig", "rig_questions"], "solve": ["solve", "engine"]}
# What the rest of the core's tests are here: those of rules and jobs run the formulas through whole checks.
THEN = ["typed_refusals", "row_limits", "calc_edges", "reference", "engine", "catalogue", "rig", "rig_questions", "rig_signs", "hose_run"]
SLOW = ["standard_rules", "properties"]
FLAGS = "-std=c11 -O1 -w -fPIC -D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE".split()
SANITIZERS = ["-fsanitize=address,undefined", "-fno-sanitize-recover=all"]
SANITIZER_OPTIONS = {"ASAN_OPTIONS": "detect_leaks=0"}  # the tests' programs are the plain ones, which it knows nothing of
SPARE_SECONDS = 2

SWAPS = {"+": "-", "-": "+", "*": "/", "/": "*", "+=": "-=", "-=": "+=", "*=": "/=", "/=": "*=", "==": "!=", "!=": "==",
         "&&": "||", "||": "&&", "<": ">=", ">": "<=", "<=": ">", ">=": "<", "fmin(": "fmax(", "fmax(": "fmin("}
TOKEN = re.compile(r"(?P<text>\"(?:\\.|[^\"\\])*\"|'(?:\\.|[^'\\])*'|/\*.*?\*/|//.*$)"
                   r"|(?<= )(?P<operator>[-+*/]=?|[=!]=|&&|\|\||[<>]=?)(?= )|(?<=[^=!<>] )(?P<broken>[-+*/]|&&|\|\||[=!]=|[<>]=?)$"
                   r"|(?P<call>\bf(?:min|max)\()"
                   r"|(?<![\w.\[])(?P<number>\d+\.\d*(?:e[-+]?\d+)?|\d+e[-+]?\d+|\d+)(?![\w.])")

TOLERANCE = re.compile(r"1e-(?:[7-9]|1\d)")  # how exactly a search closes in: a tenth more is no fault; nor is 0.55
# where an index, a whole number, is asked whether it is above 0.5


def larger(number):
    if re.fullmatch(r"\d+", number):
        return str(int(number) + 1)
    value = float(number)
    return repr(1.0 if value == 0 else value * 1.1)


def is_message(line):
    return re.search(r"imp_fail|snprintf|imp_sheet_|sizeof|_SIZE\b|^\s*(case|default)\b|^\s*\.", line) is not None


def formula_lines(lines):
    """Numbers of the lines that hold formulas: bodies of functions, and file-level constants."""
    inside, constant, message = False, False, False
    for number, line in enumerate(lines):
        if line == "{":
            inside = True
        elif line.startswith("}"):
            inside = constant = message = False
        elif re.match(r"(static )?const double\b", line):
            constant = not line.rstrip().endswith(";")
            yield number
        elif inside or constant:
            message = message or is_message(line)
            if not message and not line.lstrip().startswith("#"):
                yield number
            if line.rstrip().endswith((";", "{", ")", "else")):
                message = False
        if constant and line.rstrip().endswith("};"):
            constant = False


def mutants_of(name, text):
    lines, found, in_comment = text.split("\n"), [], False
    wanted = set(formula_lines(lines))
    for number, line in enumerate(lines):
        opens, closes = line.rfind("/*"), line.rfind("*/")
        if in_comment:
            in_comment = closes < 0
            continue
        in_comment = opens > closes
        if number not in wanted or in_comment or line.lstrip().startswith("/*"):
            continue
        for token in TOKEN.finditer(line):
            if token.group("text"):
                continue
            old = token.group(0)
            if TOLERANCE.fullmatch(old) or old == "0.5" and line[:token.start()].endswith("number > "):
                continue
            new = larger(old) if token.group("number") else SWAPS[old]
            found.append({"file": name, "line": number + 1, "old": line.strip(), "at": token.start(),
                          "flip": f"{old} -> {new}", "new": (line[:token.start()] + new + line[token.end():]).strip(),
                          "text": "\n".join(lines[:number] + [line[:token.start()] + new + line[token.end():]] + lines[number + 1:])})
    return found


def spread(all_of, count, seed):
    """As many of each file as its share of all the places, at least four, chosen by the seed."""
    draw, chosen, total = random.Random(seed), [], sum(len(found) for found in all_of.values())
    for name in sorted(all_of):
        found = list(all_of[name])
        draw.shuffle(found)
        chosen += found[:max(4, round(count * len(found) / total))]
    return chosen


def pkg(*arguments):
    return subprocess.run(["pkg-config", *arguments], check=True, capture_output=True, text=True).stdout.split()


class Bench:
    def __init__(self, source, work, files, then):
        self.source, self.work, self.files, self.then = source, work, files, then
        self.objects = work / "objects"
        self.include = [f"-I{source / folder}" for folder in ("core", "bindings", "bindings/runner", "tests")]
        self.include += pkg("--cflags", "lua5.4", "libcjson", "cmocka")
        self.defines = [f'-DIMP_VERSION="0"', f'-DIMP_SOURCE_FOLDER="{source}"', f'-DIMP_SCRIPTS_FOLDER="{source}/scripts"',
                        f'-DIMP_TESTS_FOLDER="{source}/tests"', f'-DIMP_TABLE_FILE="/dev/null"', '-DIMPINGE_BINARY="/bin/false"']
        self.usual, self.sanitized_usual = {}, {}
        self.sanitized, self.first = work / "sanitized", threading.Lock()
        preloaded = subprocess.run(["cc", "-print-file-name=libasan.so"], check=True, capture_output=True, text=True).stdout.strip()
        self.sanitizer_environment = {"LD_PRELOAD": preloaded, **SANITIZER_OPTIONS}

    def compile_once(self, path, to, more=()):
        """What an earlier run compiled stays, unless the file or any header changed since."""
        newest = max(each.stat().st_mtime for folder in ("core", "bindings", "tests") for each in (self.source / folder).glob("*.h"))
        if not to.exists() or to.stat().st_mtime < max(newest, path.stat().st_mtime):
            self.compile(path, to, more)

    def compile(self, path, to, more=()):
        subprocess.run(["cc", *FLAGS, *more, *self.include, *self.defines, "-c", str(path), "-o", str(to)], check=True, capture_output=True)

    def link(self, to, objects, more=()):
        subprocess.run(["cc", "-shared", "-fuse-ld=lld", *more, "-o", str(to), *map(str, objects), *pkg("--libs", "libcjson"),
                        "-lm", "-lpthread"], check=True, capture_output=True)

    def prepare(self, workers):
        self.objects.mkdir(parents=True, exist_ok=True)
        jobs = [(path, self.objects / f"core_{path.stem}.o") for path in sorted((self.source / "core").glob("*.c"))]
        jobs += [(path, self.objects / f"bindings_{path.stem}.o") for path in sorted((self.source / "bindings").glob("*.c"))]
        jobs += [(path, self.objects / f"{path.stem}.o") for path in sorted((self.source / "tests").glob("test_*.c"))
                 if path.stem[5:] in self.tests()]
        with concurrent.futures.ThreadPoolExecutor(workers) as pool:
            list(pool.map(lambda job: self.compile_once(*job), jobs))
            self.sanitized.mkdir(exist_ok=True)
            list(pool.map(lambda path: self.compile_once(path, self.sanitized / f"core_{path.stem}.o", SANITIZERS),
                          sorted((self.source / "core").glob("*.c"))))
        self.core = [to for _, to in jobs if to.name.startswith("core_")]
        bindings = [to for _, to in jobs if to.name.startswith("bindings_")]
        (self.work / "plain").mkdir(exist_ok=True)
        self.link(self.work / "plain" / "libcore.so", self.core)
        for name in self.tests():
            subprocess.run(["cc", "-fuse-ld=lld", "-o", str(self.work / name), str(self.objects / f"test_{name}.o"),
                            *map(str, bindings), f"-L{self.work / 'plain'}", "-lcore", *pkg("--libs", "lua5.4", "libcjson", "cmocka"),
                            "-lm", "-lpthread"], check=True)
        for name in self.tests():
            passed, self.usual[name] = self.run(name, self.work / "plain", 600)
            if not passed:
                sys.exit(f"mutation: test_{name} fails before anything is flipped")

    def tests(self):
        names = {path.stem[5:] for path in (self.source / "tests").glob("test_*.c")}
        wanted = set(self.then)
        for file in self.files:
            wanted |= set(self.room_tests(file))
        return sorted(names & wanted)

    def room_tests(self, file):
        room = file.split("_")[0]
        names = sorted(path.stem[5:] for path in (self.source / "tests").glob(f"test_{room}*.c"))
        first = ROOM_TESTS.get(file, [file] if file in names else [])
        return list(dict.fromkeys(first + [name for name in names if name not in ("rig_signs", "rig_questions")]))

    def run(self, name, folder, seconds, sanitized=False):
        def limit():
            resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 2))
            if not sanitized:  # whose shadow of all memory is far larger
                resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        started = subprocess.Popen([str(self.work / name)], cwd=self.source / "tests", preexec_fn=limit, stdout=subprocess.DEVNULL,
                                   stderr=subprocess.DEVNULL, env={"LD_LIBRARY_PATH": str(folder), "PATH": "/usr/bin:/bin",
                                                                   **(self.sanitizer_environment if sanitized else {})})
        asleep = threading.Timer(60 * seconds, started.kill)
        asleep.start()
        _, status, used = os.wait4(started.pid, 0)
        asleep.cancel()
        started.returncode = os.waitstatus_to_exitcode(status)
        return started.returncode == 0, used.ru_utime + used.ru_stime

    def judge(self, mutant, folder):
        """Name of the test that kills the mutant, "" when none does, None when it does not compile."""
        folder.mkdir(exist_ok=True)
        changed, made = folder / f"{mutant['file']}.c", folder / "changed.o"
        changed.write_text(mutant["text"])
        try:
            self.compile(changed, made)
        except subprocess.CalledProcessError:
            return None
        self.link(folder / "libcore.so", [made if path.name == f"core_{mutant['file']}.o" else path for path in self.core])
        for name in dict.fromkeys(self.room_tests(mutant["file"]) + self.then):
            if name in self.usual and not self.run(name, folder, 10 * self.usual[name] + SPARE_SECONDS)[0]:
                return name
        return self.judge_sanitized(mutant, folder, changed)

    def judge_sanitized(self, mutant, folder, changed):
        self.compile(changed, folder / "changed.o", SANITIZERS)
        objects = [self.sanitized / path.name for path in self.core]
        with self.first:
            if not (self.sanitized / "libcore.so").exists() or not self.sanitized_usual:
                self.link(self.sanitized / "libcore.so", objects, SANITIZERS)
            for name in self.room_tests(mutant["file"]):
                if name in self.usual and name not in self.sanitized_usual:
                    passed, self.sanitized_usual[name] = self.run(name, self.sanitized, 600, True)
                    if not passed:
                        sys.exit(f"mutation: test_{name} fails with sanitizers before anything is flipped")
        self.link(folder / "libcore.so", [folder / "changed.o" if path.name == f"core_{mutant['file']}.o" else path for path in objects],
                  SANITIZERS)
        for name in self.room_tests(mutant["file"]):
            if name in self.usual and not self.run(name, folder, 10 * self.sanitized_usual[name] + SPARE_SECONDS, True)[0]:
                return name + ", sanitized"
        return ""


def equivalents(path):
    """{(file, line before, line after)}: three lines and a reason each, parted by empty lines."""
    known = set()
    for block in re.split(r"\n\s*\n", path.read_text() if path.exists() else ""):
        lines = [line for line in block.split("\n") if line.strip() and not line.startswith("#")]
        if not lines:
            continue
        if len(lines) < 4:
            sys.exit(f"mutation: {path}: a block needs the file, the line before, the line after and the reason: {lines[0]}")
        known.add((lines[0].strip(), lines[1].strip(), lines[2].strip()))
    return known


def copy_of(source, to):
    """The tree as it is now, times kept: what is edited while this runs changes nothing here."""
    for folder in ("core", "bindings", "scripts", "examples", "tests"):
        shutil.rmtree(to / folder, ignore_errors=True)
        shutil.copytree(source / folder, to / folder, symlinks=True)
    return to


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("source", type=pathlib.Path)
    parser.add_argument("work", type=pathlib.Path)
    parser.add_argument("--count", type=int, default=360)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", type=lambda text: text.split(","), default=FILES)
    parser.add_argument("--thorough", action="store_true")
    parser.add_argument("--list", action="store_true")
    given = parser.parse_args()
    source, work = given.source.resolve(), given.work.resolve()
    if not given.list:
        source = copy_of(source, work / "source")
    all_of = {name: mutants_of(name, (source / "core" / f"{name}.c").read_text()) for name in FILES}
    chosen = spread(all_of, given.count, given.seed)
    chosen = [mutant for mutant in chosen if mutant["file"] in given.only]
    known = equivalents(pathlib.Path(__file__).with_name("equivalent.txt"))
    kept = [mutant for mutant in chosen if (mutant["file"], mutant["old"], mutant["new"]) not in known]
    print(f"{sum(map(len, all_of.values()))} places in {len(FILES)} files; {len(chosen)} chosen by seed {given.seed}, "
          f"{len(chosen) - len(kept)} of them known to change no result")
    if given.list:
        for mutant in kept:
            print(f"core/{mutant['file']}.c:{mutant['line']}: {mutant['flip']}: {mutant['old']}")
        return
    bench = Bench(source, work, given.only, THEN + SLOW * given.thorough)
    bench.prepare(given.workers)
    folders = queue.Queue()
    for number in range(given.workers):
        folders.put(work / f"worker{number}")

    def judge(mutant):
        folder = folders.get()
        try:
            return bench.judge(mutant, folder)
        finally:
            folders.put(folder)

    killed, stillborn, survivors = 0, 0, []
    with concurrent.futures.ThreadPoolExecutor(given.workers) as pool:
        for mutant, verdict in zip(kept, pool.map(judge, kept)):
            killed += bool(verdict)
            stillborn += verdict is None
            if verdict == "":
                survivors.append(mutant)
                print(f"survives: core/{mutant['file']}.c:{mutant['line']}: {mutant['flip']}\n    {mutant['old']}\n    {mutant['new']}", flush=True)
    tried = len(kept) - stillborn
    if stillborn:
        print(f"{stillborn} do not compile and are not counted")
    print(f"mutation: {killed} of {tried} mutants killed ({100.0 * killed / max(1, tried):.1f} %)")
    sys.exit(0 if killed >= 0.9 * tried else 1)


if __name__ == "__main__":
    main()
