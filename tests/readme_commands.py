"""Runs the commands that the README prints, and compares what they write with what it prints.

    python3 readme_commands.py SOURCE_FOLDER BUILD_FOLDER [FILE.md]...     compare (README.md unless files are named)
    python3 readme_commands.py --write SOURCE_FOLDER BUILD_FOLDER ...      write the real output into the files

In a ```sh block every line that begins with build/bin/ is a command, run as it stands in a folder that has build/,
examples/ and scripts/. Its exit code must be the one its comment says ("exit code 2"), else 0; a check without such a comment may
end with 0, 1 or 2. A ```text block right behind the ```sh block is what all its commands write, errors included; a line
"..." in it stands for any lines.
"""
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

BLOCKS = re.compile(r"^```sh\n(?P<commands>.*?)^```\n(?:\s*^```text\n(?P<printed>.*?)^```\n)?", re.M | re.S)


def run_block(block, folder, faults):
    """Everything that the block's commands write."""
    written = []
    for line in block.splitlines():
        if not line.startswith("build/bin/"):
            continue
        result = subprocess.run(
            ["sh", "-c", line], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL, text=True,
            env={"PATH": "/usr/bin:/bin", "HOME": str(folder), "LC_ALL": "C.UTF-8"}, timeout=120)
        stated = re.search(r"#.*exit code (\d)", line)
        allowed = [int(stated.group(1))] if stated else [0, 1, 2] if re.match(r"build/bin/impinge check\b", line) else [0]
        if result.returncode not in allowed:
            faults.append(f"{line}\n  ends with {result.returncode}, expected {' or '.join(map(str, allowed))}: {result.stdout.strip()[-400:]}")
        written.append(result.stdout)
    return "".join(written)


def agrees(printed, written):
    parts = [re.escape(part) for part in re.split(r"^\.\.\.\n", printed, flags=re.M)]
    return re.fullmatch(r"(?:.*\n)*?".join(parts), written) is not None


def check(text, folder, faults):
    """The text with its outputs as they are; counts commands and outputs."""
    counts = [0, 0]

    def block(match):
        written = run_block(match["commands"], folder, faults)
        counts[0] += len(re.findall(r"^build/bin/", match["commands"], re.M))
        if match["printed"] is None:
            return match[0]
        counts[1] += 1
        if agrees(match["printed"], written):
            return match[0]
        faults.append(f"after\n{match['commands']}\nthis is printed:\n{match['printed']}\nand this is written:\n{written}")
        start, end = match.span("printed")
        whole, offset = match[0], match.start()
        return whole[: start - offset] + written + whole[end - offset :]

    return BLOCKS.sub(block, text), counts


def workplace(source, build, folder):
    folder = pathlib.Path(folder)
    (folder / "build").symlink_to(build)
    for name in ("examples", "scripts"):
        shutil.copytree(source / name, folder / name)
    return folder


def prove_that_faults_are_seen(folder):
    """A README with a wrong output, one with a wrong exit code, and a right one."""
    ask = "```sh\nbuild/bin/impinge --version{}\n```\n```text\n{}\n```\n"
    cases = {ask.format("", "impinge x"): 1, ask.format(" # exit code 3", "..."): 1, ask.format("", "..."): 0}
    for text, expected in cases.items():
        faults = []
        check(text, folder, faults)
        assert len(faults) == expected, (text, faults)


def main(arguments):
    write = "--write" in arguments
    source, build, *files = [pathlib.Path(a).resolve() for a in arguments if a != "--write"]
    faults = []
    with tempfile.TemporaryDirectory() as scratch:
        folder = workplace(source, build, scratch)
        prove_that_faults_are_seen(folder)
        for file in files or [source / "README.md"]:
            text = file.read_text(encoding="utf-8")
            real, counts = check(text, folder, faults)
            print(f"{file.name}: {counts[0]} commands, {counts[1]} outputs")
            if write and real != text:
                file.write_text(real, encoding="utf-8")
    for fault in faults:
        print(fault, file=sys.stderr)
    return 1 if faults else 0


sys.exit(main(sys.argv[1:]))
