# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""Runs the tests that write down what they assert (tests/support/evidence.h) and gathers their lines."""
import hashlib
import json
import math
import re
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TEST = re.compile(r"^TEST(_P|_F)?\((\w+), (\w+)\)", re.M)
RECORDS = {"published": r"\bpublished\(", "all": r"\b(published|second_method|statistics|record_calibration)\("}


@dataclass
class Line:
    """One row of the document: the worst of `count` values of one quantity."""
    kind: str
    source: str
    quantity: str
    unit: str
    count: int
    share: float
    expected: float
    got: float
    least: float
    most: float
    trials: str
    seed: str

    @classmethod
    def read(cls, text):
        words = text.split("|")
        return cls(*words[:4], int(words[4]), *(float(w) for w in words[5:10]), *words[10:])

    def key(self):
        return self.kind, self.source, self.quantity, self.unit

    def merge(self, other):
        """Both tell of one quantity: the worse value, all counted."""
        worse = self if self.share >= other.share else other
        count = self.count + other.count
        self.__dict__.update(worse.__dict__, count=count, trials=self.trials, seed=self.seed)


def filters_of(path, what):
    """Names of the tests in a source file that record; all of them where a helper does it for them."""
    text = path.read_text()
    pattern = re.compile(RECORDS[what])
    if "support/evidence.h" not in text or not pattern.search(text):
        return []
    starts = list(TEST.finditer(text))
    names = [f"{'*/' if m[1] == '_P' else ''}{m[2]}.{m[3]}{'/*' if m[1] == '_P' else ''}" for m in starts]
    if pattern.search(text[:starts[0].start()]):
        return names
    ends = [m.start() for m in starts[1:]] + [len(text)]
    return [name for name, start, end in zip(names, starts, ends) if pattern.search(text[start.start():end])]


def programs(build, what):
    """Test program and filter of every module that records."""
    for module in sorted(p for p in (ROOT / "src").iterdir() if p.is_dir()):
        names = [name for path in sorted(module.glob("*_test.cc")) for name in filters_of(path, what)]
        if names:
            yield build / "src" / module.name / f"fairhole_{module.name}_test", names


def report_of(program, chosen):
    """What gtest reports of the chosen tests, or None where one fails. One newer than program and fixtures stands."""
    folder = program.parents[2] / "proof"
    folder.mkdir(exist_ok=True)
    key = hashlib.sha256(chosen.encode()).hexdigest()[:12]
    kept = folder / f"{program.name}-{key}.json"
    newest = max(path.stat().st_mtime for path in (program, *(ROOT / "fixtures").rglob("*")))
    if kept.exists() and kept.stat().st_mtime > newest:
        return json.loads(kept.read_text())
    with tempfile.NamedTemporaryFile(dir=folder, suffix=".json") as out:
        done = subprocess.run([program, f"--gtest_filter={chosen}", f"--gtest_output=json:{out.name}"],
                              capture_output=True, text=True, check=False)
        if done.returncode != 0:
            print(f"{program.name} failed:\n{done.stdout[-3000:]}{done.stderr[-2000:]}")
            return None
        shutil.copyfile(out.name, kept)
    return json.loads(kept.read_text())


def gather(build, what):
    """Lines by their keys, in the order of modules and tests; points of the calibration curves; whether all passed."""
    lines, curves, passed = {}, {}, True
    for program, names in programs(build, what):
        report = report_of(program, ":".join(names) + ("-*Statistics*" if what == "published" else ""))
        passed = passed and report is not None
        for suite in (report or {}).get("testsuites", []):
            for test in suite["testsuite"]:
                for name, value in test.items():
                    if name.startswith("evidence_"):
                        line = Line.read(value)
                        if line.key() in lines:
                            lines[line.key()].merge(line)
                        else:
                            lines[line.key()] = line
                    elif name.startswith("calibration_"):
                        curve, *point = value.split("|")
                        curves.setdefault(curve, []).append((float(point[0]), float(point[1]), int(point[2])))
    return list(lines.values()), curves, passed


def number(value):
    return f"{value:.15g}"


def short(value):
    """Two digits, plainly written."""
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.2g}"


def to_digits(value, allowed):
    """As many decimals as tell hundredths of the tolerance."""
    if allowed <= 0.0:
        return f"{value:.10g}"
    text = f"{value:.{max(0, 2 - math.floor(math.log10(allowed)))}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def difference(line):
    """To two digits; what is below a hundredth of its tolerance may differ on another machine."""
    off, allowed = abs(line.got - line.expected), (line.most - line.least) / 2
    if off == 0.0:
        return "0"
    return f"< {allowed / 100:.1g}" if off < allowed / 100 else short(off)


def tolerance(line):
    return short((line.most - line.least) / 2) if line.most > line.least else "exact"


def window(line):
    """What was allowed."""
    if not math.isnan(line.expected):
        half = (line.most - line.least) / 2
        return number(line.expected) if half == 0 else f"{line.expected:.4g} ± {short(half)}"
    if math.isinf(line.least) or line.least == 0:
        return f"at most {line.most:.4g}"
    if math.isinf(line.most):
        return f"at least {line.least:.4g}"
    return f"{line.least:.4g} to {line.most:.4g}"


def table(head, rows):
    """A Markdown table."""
    cells = [head, ["---"] * len(head), *rows]
    return "".join("| " + " | ".join(str(cell) for cell in row) + " |\n" for row in cells)
