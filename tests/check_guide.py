# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""Is the guide true? check_guide.py ROOT PROGRAM: follows every page of docs/guide in a folder of its own as a reader would, and looks
whether every link of every page of the project leads somewhere.

In a page, a block ```csv NAME is a file that the reader writes; ```console holds commands after `$ ` and below each what it prints, where a
line `...` stands for any lines left out and ` ...` at a line's end for the rest of it. A command ends with 0 unless `# exit status N` stands behind it. `<!-- run: COMMAND -->` is run
unseen (what the text asks the reader to change). The folder `fixtures` is there.

With --mend, lines that the program no longer prints become those that it does print and that are most like them: read what came of it."""
import difflib
import os
import pathlib
import re
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(sys.argv[1]).resolve()
PROGRAM = pathlib.Path(sys.argv[2]).resolve()
MEND = "--mend" in sys.argv[3:]
STEP = re.compile(r"^```csv (?P<file>\S+)\n(?P<rows>.*?)^```$|^```console\n(?P<session>.*?)^```$|^<!-- run: (?P<unseen>.*?) -->$",
                  re.MULTILINE | re.DOTALL)


def is_said(line, printed):
    return printed.startswith(line[:-3]) if line.endswith(" ...") else printed == line


def compared(expected, printed):
    """What stands in the page against what was printed: (the lines as they should stand, the lines that were not printed)."""
    lines, wrong, at = [], [], 0
    skipping = False
    for line in expected:
        if line == "...":
            skipping = True
        elif found := [i for i in range(at, len(printed) if skipping else min(at + 1, len(printed))) if is_said(line, printed[i])]:
            at = found[0] + 1
            skipping = False
        else:
            wrong.append(line)
            like = difflib.get_close_matches(line, printed[at:], 1, 0.5)
            if like:
                at = printed.index(like[0], at) + 1
                line = like[0]
            skipping = False
        lines.append(line)
    if at < len(printed) and not skipping:
        wrong.append(f"and then nothing; it prints: {printed[at]}")
        lines.append("...")
    return lines, wrong


def session(text, run):
    """A console block as it should stand, and its faults."""
    out, faults = [], []
    for part in re.split(r"^(?=\$ )", text, flags=re.MULTILINE):
        if not part.strip():
            continue
        command, *expected = part.rstrip("\n").split("\n")
        status = re.search(r"# exit status (\d)$", command)
        done = run(command[2:])
        printed = [line.rstrip() for line in done.stdout.rstrip("\n").split("\n")] if done.stdout else []
        lines, wrong = compared(expected, printed)
        faults += [f"{command}\n    not printed: {line}" for line in wrong]
        if done.returncode != (int(status[1]) if status else 0):
            faults.append(f"{command}\n    exit status {done.returncode}\n{done.stdout}")
        out += [command, *lines]
    return "\n".join(out) + "\n", faults


def follow(page, folder):
    (folder / "bin").mkdir()
    (folder / "bin" / "fairhole").symlink_to(PROGRAM)
    work = folder / "work"
    work.mkdir()
    (work / "fixtures").symlink_to(ROOT / "fixtures")
    environment = {**os.environ, "PATH": f"{folder / 'bin'}:{os.environ['PATH']}"}

    def run(command):
        return subprocess.run(["bash", "-c", command], cwd=work, env=environment, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)

    faults = []

    def step(match):
        if match["file"]:
            (work / match["file"]).write_text(match["rows"])
        elif match["unseen"]:
            done = run(match["unseen"])
            if done.returncode:
                faults.append(f"{match['unseen']}\n    exit status {done.returncode}\n{done.stdout}")
        else:
            text, wrong = session(match["session"], run)
            faults.extend(wrong)
            return f"```console\n{text}```"
        return match[0]

    text = page.read_text()
    mended = STEP.sub(step, text)
    if MEND and mended != text:
        page.write_text(mended)
    return faults


def anchors(page):
    heads = re.findall(r"^#+ (.*)$", re.sub(r"^```.*?^```$", "", page.read_text(), flags=re.MULTILINE | re.DOTALL), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", re.sub(r"\[([^]]*)\]\([^)]*\)", r"\1", head).lower()).replace(" ", "-") for head in heads}


def dead_links(page):
    text = re.sub(r"^```.*?^```$", "", page.read_text(), flags=re.MULTILINE | re.DOTALL)
    for target in re.findall(r"\]\(([^)\s]+)\)", re.sub(r"`[^`\n]*`", "", text)):
        if target.startswith("http"):
            continue
        name, _, anchor = target.partition("#")
        to = (page.parent / name).resolve() if name else page
        if not to.exists() or (anchor and to.suffix == ".md" and anchor not in anchors(to)):
            yield f"leads nowhere: {target}"
    if page.parent == ROOT:
        for path in re.findall(r"`((?:src|docs|tests|tools|fixtures|include)/[\w./-]+)`", text):
            if not re.search("MODULE|NAME", path) and not (ROOT / path).exists():
                yield f"is not there: {path}"


def main():
    faults = []
    pages = sorted((ROOT / "docs" / "guide").glob("*.md"))
    for page in pages:
        with tempfile.TemporaryDirectory() as folder:
            faults += [f"{page.relative_to(ROOT)}: {fault}" for fault in follow(page, pathlib.Path(folder))]
    for page in sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]):
        faults += [f"{page.relative_to(ROOT)}: {fault}" for fault in dead_links(page)]
    for fault in faults:
        print(fault)
    print(f"{len(pages)} pages of the guide, {len(faults)} faults")
    sys.exit(bool(faults))


main()
