"""What the build wrote from the program's tables: every option and calculation is in all of it, and it can be read.

    python3 documents.py BUILD_FOLDER

The table itself is asked for with `impinge list --format json`.
"""
import html.parser
import json
import pathlib
import re
import shutil
import subprocess
import sys

build = pathlib.Path(sys.argv[1])
runner = build / "bin" / "impinge"
faults = []


def expect(true, sentence):
    if not true:
        faults.append(sentence)


def run(*command, **more):
    return subprocess.run(command, capture_output=True, text=True, **more)


table = json.loads(run(runner, "list", "--format", "json").stdout)
calculations = [entry["id"] for entry in table["calculations"]]
expect(len(calculations) > 50 and len(table["commands"]) > 4, "the table of calculations and commands is nearly empty")


def read(*parts):
    return build.joinpath(*parts).read_text(encoding="utf-8")


completions = {name: read("completions", name) for name in ("impinge.bash", "_impinge", "impinge.fish")}


def check_option(owner, option, help_text, man):
    """owner: a command's name, or None for the program itself."""
    name, what = option["name"], owner or "impinge"
    expect(re.search(rf"^  .*{name}\b", help_text, re.M), f"{what} --help lacks {name}")
    expect(re.search(r"^\.B .*" + name.replace("-", r"\\-") + r"\b", man, re.M), f"{what}'s man page lacks {name}")
    zsh = completions["_impinge"]
    part = zsh if owner is None else zsh.split(f"    {owner})\n", 1)[1].split(";;", 1)[0]
    expect(re.search(rf"{name}['\}}\[]", part), f"zsh completion of {what} lacks {name}")
    bash = completions["impinge.bash"].split("case $command in\n", 1)[1]
    part = bash.split("    *)\n" if owner is None else f"    {owner})\n", 1)[1].split('options="', 1)[1].split('"', 1)[0]
    expect(name in part.split(), f"bash completion of {what} lacks {name}")
    condition = "__fish_use_subcommand" if owner is None else f"__fish_seen_subcommand_from {owner}"
    fish = f"complete -c impinge -n '{condition}' -l {name[2:]} "
    expect(fish in completions["impinge.fish"], f"fish completion of {what} lacks {name}")
    for choice in option.get("choices", []):
        for shell, text in completions.items():
            expect(choice in text, f"{shell} lacks the choice {choice} of {name}")


for command in table["commands"]:
    help_text = run(runner, command["name"], "--help").stdout
    man = read("man", f"impinge-{command['name']}.1")
    for option in command["options"]:
        check_option(command["name"], option, help_text, man)
help_text, man = run(runner, "--help").stdout, read("man", "impinge.1")
for option in table["options"]:
    check_option(None, option, help_text, man)

for identifier in calculations:
    for shell, text in completions.items():
        expect(identifier in text, f"{shell} lacks {identifier}")
    room = identifier.split(".")[0]
    page = read("manual", f"{room}.md")
    expect(f"$ impinge calc {identifier} " in page, f"the manual has no example of {identifier}")
    expect(f'id="{identifier}"' in page and f'id="{identifier}"' in read("manual", f"{room}.html"), f"the manual lacks {identifier}")
    expect(f"function imp.{identifier}(with) end" in read("stubs", "impinge.lua"), f"the stubs lack {identifier}")


class Page(html.parser.HTMLParser):
    """Ids, links and open tags of a page."""

    def __init__(self):
        super().__init__()
        self.ids, self.links, self.open, self.outside = set(), [], [], []

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        self.ids.add(attrs.get("id"))
        if tag not in ("meta", "br"):
            self.open.append(tag)
        if tag == "a":
            self.links.append(attrs["href"])
        if tag in ("script", "img", "link") or "src" in attrs:
            self.outside.append(tag)

    def handle_endtag(self, tag):
        expect(self.open and self.open[-1] == tag, f"</{tag}> closes {self.open[-1:]}")
        self.open = self.open[:-1]


pages = {}
for path in sorted((build / "manual").glob("*.html")):
    pages[path.name] = Page()
    pages[path.name].feed(path.read_text(encoding="utf-8"))
    expect(not pages[path.name].open, f"{path.name} leaves {pages[path.name].open} open")
    expect(not pages[path.name].outside, f"{path.name} needs something outside itself: {pages[path.name].outside}")
for name, page in pages.items():
    for link in page.links:
        target, _, anchor = link.partition("#")
        expect((target or name) in pages and (not anchor or anchor in pages[target or name].ids), f"{name} leads nowhere: {link}")
for path in sorted((build / "manual").glob("*.md")):
    expect(path.with_suffix(".html").name in pages, f"{path.name} has no HTML page")
    for target in re.findall(r"\]\(([^)#]*)", path.read_text(encoding="utf-8")):
        expect(not target or (build / "manual" / target).exists(), f"{path.name} leads nowhere: {target}")

# The tools that read these files find nothing wrong in them, where they are at hand.
for tool, command in {
    "bash": ["bash", "-n", "completions/impinge.bash"],
    "zsh": ["zsh", "-n", "completions/_impinge"],
    "fish": ["fish", "-n", "completions/impinge.fish"],
    "groff": ["groff", "-man", "-ww", "-z", *sorted(f"man/{p.name}" for p in (build / "man").iterdir())],
    "lua5.4": ["lua5.4", "-e", "assert(loadfile 'stubs/impinge.lua')"],
}.items():
    if shutil.which(tool):
        result = run(*command, cwd=build)
        expect(result.returncode == 0 and not result.stderr, f"{tool}: {result.stderr}")


def complete(*words):
    """What bash offers behind these words."""
    script = (
        "source completions/impinge.bash; COMP_WORDS=(\"$@\"); COMP_CWORD=$(($# - 1)); _impinge; "
        'printf "%s\\n" "${COMPREPLY[@]}"'
    )
    return run("bash", "-c", script, "bash", *words, cwd=build).stdout.split()


if shutil.which("bash"):
    offered = complete("impinge", "")
    expect(sorted(offered) == sorted(c["name"] for c in table["commands"]), f"bash offers {offered} as commands")
    expect(complete("impinge", "check", "--st") == ["--stage"], "bash does not complete --stage")
    expect(complete("impinge", "check", "--stage", "") == ["site", "plan"], "bash does not offer the stages")
    expect("climate.dew_point" in complete("impinge", "calc", "climate."), "bash does not offer calculations")
    offered = complete("impinge", "calc", "climate.dew_point", "air")
    expect(offered == ["air_temperature="], f"bash offers {offered} as inputs")

for fault in faults:
    print(fault, file=sys.stderr)
print(f"{len(table['commands'])} commands, {len(calculations)} calculations, {len(pages)} pages: {len(faults)} faults")
sys.exit(1 if faults else 0)
