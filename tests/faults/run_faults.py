#!/usr/bin/env python3
"""Makes every allocation, read, write, open, rename and sync of whole commands fail in turn.

Usage: run_faults.py IMPINGE INTERPOSE_SO EXAMPLES_FOLDER [--every N]

Whatever fails, a command must end by itself (no signal, no hang) with one of the exit codes of the program, say one
sentence on stderr when the fault stopped it, leave no half-written or temporary file behind, and leave an existing output
file as it was or replace it whole. --every N tries every N-th fault only (the default keeps the run short); 1 tries all.
"""
import os
import pathlib
import subprocess
import sys
import tempfile

PREVIOUS = "the previous report\n"


def commands(examples):
    job = str(examples / "orchard-store" / "job.json")
    return {
        "calc": ["calc", "climate.dew_point", "air_temperature=20 degC", "relative_humidity=50 %", "--format", "json"],
        "eval": ["eval", 'imp.yield.foam{ area = q"10 m^2", thickness = q"50 mm", in_place_density = q"35 kg/m^3" }.mass'],
        "list": ["list", "pressure"],
        "check": ["check", job, "--format", "json"],
    }


def run(binary, arguments, library, kind, at, folder):
    count_file = folder / "count"
    count_file.unlink(missing_ok=True)
    environment = {"LD_PRELOAD": library, "FAULT_KIND": kind, "FAULT_AT": str(at), "FAULT_COUNT": str(count_file),
                   "PATH": os.environ["PATH"]}
    done = subprocess.run([binary, *arguments], env=environment, capture_output=True, timeout=120)
    seen = int(count_file.read_text()) if count_file.exists() and count_file.read_text().strip() else 0
    return done, seen


def complaint(done, reference, output, kind, at, name):
    """What is wrong with this run, or None."""
    error = done.stderr.decode(errors="replace").strip()
    if done.returncode < 0:
        return f"died of signal {-done.returncode}"
    if done.returncode > 7:
        return f"exit code {done.returncode} is none of ours"
    text = output.read_text(errors="replace") if output.exists() else None
    if done.returncode > 2:
        if not error or "\n" in error and len(error.splitlines()) > 3:
            return f"exit code {done.returncode} with this on stderr: {error!r}"
        if text != PREVIOUS:
            return "failed, but the previous output file is not as it was"
    elif text != reference:
        return "succeeded, but its output differs from the undisturbed one"
    left = sorted(path.name for path in output.parent.iterdir() if path.name not in ("out", "count"))
    if left:
        return f"left {left} behind"
    return None


def campaign(binary, library, examples, every):
    tried = faults = findings = 0
    kinds = ["memory", "write-full", "write-short", "write-interrupted", "read-short", "read-interrupted", "read-error", "open",
             "rename", "sync"]
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        output = folder / "out"
        for label, arguments in commands(examples).items():
            arguments = [*arguments, "-o", str(output)] if label in ("calc", "check") else arguments
            writes_file = label in ("calc", "check")
            reference = None
            for kind in kinds:
                output.write_text(PREVIOUS)
                done, seen = run(binary, arguments, library, kind, 0, folder)
                if reference is None:
                    reference = output.read_text() if writes_file else PREVIOUS
                step = every if seen > 60 else 1
                for at in range(1, seen + 1, step):
                    output.write_text(PREVIOUS)
                    done, _ = run(binary, arguments, library, kind, at, folder)
                    tried += 1
                    faults += 1
                    wrong = complaint(done, reference, output, kind, at, label)
                    if wrong:
                        findings += 1
                        if findings <= 20:
                            print(f"{label}, {kind} number {at} of {seen}: {wrong}")
    print(f"{faults} faults injected, {findings} findings")
    return findings


def main():
    binary, library, examples = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3])
    every = int(sys.argv[sys.argv.index("--every") + 1]) if "--every" in sys.argv else 97
    return 1 if campaign(binary, library, examples, every) else 0


if __name__ == "__main__":
    sys.exit(main())
