#!/usr/bin/env python3
"""Lists the branches and lines that the tests leave, each under a reason: left.py SOURCE_FOLDER COVERAGE_JSON LIST_FILE

The reasons stand in reasons.txt beside this file, in an order in which the first that fits counts: a regular expression of
the file's name, one of the line's text, and the reason. What fits none is listed as "not looked at". Prints a table of counts.
A line is sorted by what it says: a hint where to look, and no proof that it cannot be reached.
"""
import collections
import json
import pathlib
import re
import sys


def reasons(path):
    found = []
    for block in re.split(r"\n\s*\n", path.read_text()):
        lines = [line for line in block.split("\n") if line.strip() and not line.startswith("#")]
        if lines:
            found.append((re.compile(lines[0]), re.compile(lines[1]), " ".join(lines[2:])))
    return found


def left(source, coverage):
    """(file, line number, text, branches not taken, whether the line was reached)"""
    for file in sorted(coverage["files"], key=lambda file: file["file"]):
        text = (source / file["file"]).read_text().split("\n")
        for line in file["lines"]:
            missed = sum(branch["count"] == 0 for branch in line["branches"])
            if not line.get("gcovr/noncode") and (missed or line["count"] == 0):
                yield file["file"], line["line_number"], text[line["line_number"] - 1].strip(), missed, line["count"] > 0


def main():
    source, coverage, to = pathlib.Path(sys.argv[1]), json.loads(pathlib.Path(sys.argv[2]).read_text()), pathlib.Path(sys.argv[3])
    known = reasons(pathlib.Path(__file__).with_name("reasons.txt"))
    under = collections.defaultdict(list)
    for place in left(source, coverage):
        why = next((why for file, line, why in known if file.search(place[0]) and line.search(place[2])), "not looked at")
        under[why].append(place)
    with to.open("w") as out:
        for why, places in sorted(under.items(), key=lambda item: -len(item[1])):
            out.write(f"{why}\n")
            for file, number, text, missed, reached in places:
                out.write(f"  {file}:{number}: {missed} of its branches{'' if reached else ', not reached'}: {text}\n")
    print("branches  lines  left, because")
    for why, places in sorted(under.items(), key=lambda item: -sum(place[3] for place in item[1])):
        print(f"{sum(place[3] for place in places):8}  {sum(not place[4] for place in places):5}  {why}")


if __name__ == "__main__":
    main()
