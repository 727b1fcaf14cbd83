#!/usr/bin/env python3
"""Makes every allocation, read, write, open, rename and sync of whole commands fail in turn, and lets signals come there.

Usage: run_faults.py IMPINGE INTERPOSE_SO SOURCE_FOLDER [--every N]

Whatever fails, a command must end by itself (no signal but the one sent, no hang) with one of the exit codes of the
program, say one sentence on stderr when the fault stopped it, leave no half-written or temporary file behind, and leave
an existing output file as it was or replace it whole. --every N tries every N-th fault only where there are many (the
default keeps the run short); 1 tries all.
"""
import os
import pathlib
import resource
import signal
import subprocess
import sys
import tempfile

PREVIOUS = "the previous report\n"
SENT = {"int-write": signal.SIGINT, "term-write": signal.SIGTERM, "term-sync": signal.SIGTERM, "hup-rename": signal.SIGHUP}
KINDS = ["memory", "write-full", "write-short", "write-interrupted", "read-short", "read-interrupted", "read-error", "open",
         "vanish", "forbidden", "rename", "sync", *SENT]
MANY = 60  # more calls than this, and only every N-th is tried
LONGEST = 120  # seconds


def commands(source, folder):
    job = str(source / "examples" / "orchard-store" / "job.json")
    log = str(source / "tests" / "logs" / "small.csv")
    script = folder / "script.lua"
    script.write_text('for i = 1, 3 do print(i, imp.q "20 degC") end\n')
    output = ["-o", str(folder / "out")]
    return {
        "calc": ["calc", "climate.dew_point", "air_temperature=20 degC", "relative_humidity=50 %", "--format", "json", *output],
        "eval": ["eval", 'imp.yield.foam{ area = q"10 m^2", thickness = q"50 mm", in_place_density = q"35 kg/m^3" }.mass'],
        "list": ["list", "pressure"],
        "run": ["run", *output, str(script)],
        "log": ["log", log, "--format", "json", *output],
        "log pieces": ["log", log, "--partial", *output],
        "check": ["check", job, "--format", "json", *output],
    }


def run(binary, arguments, library, kind, at, folder, on_stdout=False):
    count_file = folder / "count"
    count_file.unlink(missing_ok=True)
    environment = {"LD_PRELOAD": library, "FAULT_KIND": kind, "FAULT_AT": str(at), "FAULT_COUNT": str(count_file),
                   "PATH": os.environ["PATH"]}
    if on_stdout:
        environment["FAULT_STDOUT"] = "1"
    done = subprocess.run([binary, *arguments], env=environment, capture_output=True, timeout=LONGEST, check=False)
    seen = int(count_file.read_text()) if count_file.exists() and count_file.read_text().strip() else 0
    return done, seen


def sentence_fault(done):
    """What is wrong with what a failed command says, or None."""
    error = done.stderr.decode(errors="replace").strip()
    if not error or len(error.splitlines()) > 3:
        return f"exit code {done.returncode} with this on stderr: {error!r}"
    return None


def complaint(done, reference, folder, kind):
    """What is wrong with this run, or None."""
    output = folder / "out"
    text = output.read_text(errors="replace") if output.exists() else None
    left = sorted(path.name for path in folder.iterdir() if path.name not in ("out", "count", "script.lua"))
    if left:
        return f"left {left} behind"
    if done.returncode < 0:
        if kind not in SENT or -done.returncode != SENT[kind]:
            return f"died of signal {-done.returncode}"
        return None if text in (PREVIOUS, reference) else "ended by the signal, and the output file is neither old nor new"
    if done.returncode > 7:
        return f"exit code {done.returncode} is none of ours"
    if done.returncode > 2:
        if text != PREVIOUS:
            return "failed, but the previous output file is not as it was"
        return sentence_fault(done)
    return None if text == reference else "succeeded, but its output differs from the undisturbed one"


class Campaign:
    def __init__(self, binary, library, source, every, folder):
        self.binary, self.library, self.source, self.every, self.folder = binary, library, source, every, folder
        self.faults = self.findings = 0

    def note(self, what, wrong):
        self.faults += 1
        if wrong:
            self.findings += 1
            if self.findings <= 20:
                print(f"{what}: {wrong}")

    def every_call(self, label, arguments):
        output = self.folder / "out"
        output.write_text(PREVIOUS)
        run(self.binary, arguments, self.library, "none", 0, self.folder)
        reference = output.read_text()
        for kind in KINDS:
            output.write_text(PREVIOUS)
            _, seen = run(self.binary, arguments, self.library, kind, 0, self.folder)
            for at in range(1, seen + 1, self.every if seen > MANY else 1):
                output.write_text(PREVIOUS)
                done, _ = run(self.binary, arguments, self.library, kind, at, self.folder)
                self.note(f"{label}, {kind} number {at} of {seen}", complaint(done, reference, self.folder, kind))

    def standard_output(self):
        """Results that go to stdout: a full disk there, interrupted and short writes, and a reader that goes away."""
        arguments = ["explain", "rig.operating_point"]
        whole = subprocess.run([self.binary, *arguments], capture_output=True, timeout=LONGEST, check=True).stdout
        for kind in ["write-full", "write-short", "write-interrupted"]:
            done, seen = run(self.binary, arguments, self.library, kind, 1, self.folder, on_stdout=True)
            wrong = None if seen > 0 else "nothing was written"
            if kind == "write-full":
                wrong = wrong or (sentence_fault(done) if done.returncode == 7 else f"exit code {done.returncode}, not 7")
            elif done.returncode != 0 or done.stdout != whole:
                wrong = f"exit code {done.returncode}, or not the whole output"
            self.note(f"stdout, {kind}", wrong)
        for arguments in [["explain", "rig.operating_point"], ["list"], ["eval", "for i = 1, 20000 do print(i) end"]]:
            reader, writer = os.pipe()
            os.close(reader)
            done = subprocess.run([self.binary, *arguments], stdout=writer, stderr=subprocess.PIPE, timeout=LONGEST, check=False)
            os.close(writer)
            good = done.returncode == 0 and not done.stderr
            self.note(f"{arguments[0]} to nobody", None if good else f"exit code {done.returncode}, {done.stderr!r}")

    def places(self):
        """Outputs where nothing can be written, and inputs that are not there (any more)."""
        file = self.folder / "script.lua"
        ending = ["calc", "climate.dew_point", "air_temperature=20 degC", "relative_humidity=50 %"]
        for place in [self.folder / "no" / "out", file / "out", self.folder, pathlib.Path("/proc/self/out"), pathlib.Path("/dev/full"),
                      self.folder / ("n" * 300), self.folder / ("n/" * 3000)]:
            done = subprocess.run([self.binary, *ending, "-o", str(place)], capture_output=True, timeout=LONGEST, check=False)
            wrong = sentence_fault(done) if done.returncode == 7 else f"exit code {done.returncode}, not 7"
            self.note(f"output to {str(place)[:40]}", wrong)
        for arguments in [["check", "gone.json"], ["log", "gone.csv"], ["run", "gone.lua"], ["log", "--merge", "gone.json"],
                          ["check", str(self.folder)], ["log", str(self.folder)], ["run", str(self.folder)]]:
            done = subprocess.run([self.binary, *arguments], capture_output=True, timeout=LONGEST, check=False, cwd=self.folder)
            wrong = sentence_fault(done) if done.returncode in (4, 5) else f"exit code {done.returncode}"
            self.note(" ".join(arguments)[:40], wrong)

    def small_files_only(self):
        """A file that may not grow (RLIMIT_FSIZE) is a full disk, not a signal."""
        output = self.folder / "out"
        output.write_text(PREVIOUS)
        done = subprocess.run([self.binary, "explain", "rig.operating_point", "-o", str(output)], capture_output=True, timeout=LONGEST, check=False,
                              preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100)))
        wrong = complaint(done, None, self.folder, "size")
        self.note("a file that may not grow", wrong or (None if done.returncode == 7 else f"exit code {done.returncode}, not 7"))

    def too_little_memory(self):
        """A machine that is short of memory for good (RLIMIT_AS), not for one allocation: the whole result, or none and a sentence."""
        log = ["log", str(self.source / "examples" / "orchard-store" / "day.csv"), "--format", "json"]
        check = ["check", str(self.source / "examples" / "orchard-store" / "job.json"), "--format", "json"]
        for arguments in (check, log):
            whole = subprocess.run([self.binary, *arguments], capture_output=True, timeout=LONGEST, check=False)
            for kilobytes in range(5000, 15000, 397):
                done = subprocess.run([self.binary, *arguments], capture_output=True, timeout=LONGEST, check=False,
                                      preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (1024 * kilobytes, 1024 * kilobytes)))
                if done.returncode == 127:  # the program could not even be loaded
                    continue
                same = done.returncode == whole.returncode and done.stdout == whole.stdout
                wrong = None if same else sentence_fault(done) if done.returncode in (5, 7) else f"exit code {done.returncode}"
                self.note(f"{arguments[0]} in {kilobytes} KiB", wrong)

    def run(self):
        for label, arguments in commands(self.source, self.folder).items():
            self.every_call(label, arguments)
        self.standard_output()
        self.places()
        self.small_files_only()
        self.too_little_memory()
        print(f"faults: {self.faults} injected, {self.findings} findings")
        return self.findings


def main():
    binary, library, source = (pathlib.Path(argument).resolve() for argument in sys.argv[1:4])
    every = int(sys.argv[sys.argv.index("--every") + 1]) if "--every" in sys.argv else 97
    with tempfile.TemporaryDirectory() as name:
        return 1 if Campaign(str(binary), str(library), source, every, pathlib.Path(name)).run() else 0


if __name__ == "__main__":
    sys.exit(main())
