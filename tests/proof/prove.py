# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""tools/prove: writes docs/proof.md from what tests assert. --check compares its published checks with the tests'."""
import argparse
import difflib
import os
import subprocess
import sys
from pathlib import Path

import evidence
from evidence import ROOT, difference, number, table, to_digits, tolerance, window

DOCUMENT = ROOT / "docs" / "proof.md"
PICTURES = ROOT / "docs" / "proof"
BEGIN, END = "<!-- published checks -->\n", "<!-- end of published checks -->\n"

HEAD = """# What is proven, and how well

Made by `tools/prove` from tests that assert what they write down ([tests/support/evidence.h](../tests/support/evidence.h)): no figure here was typed.
The same sources and seeds give the same document. `tools/prove` builds nothing by hand: it runs the test programs of the Release build, the program on the
fairing cases and on the demo job, and takes some minutes. In ctest `house.proof` compares the published checks below with those that the tests record.

- [Published checks](#published-checks): values that somebody else printed.
- [Second methods](#second-methods): values worked out another way.
- [Statistics](#statistics): does the claimed uncertainty come true?
- [Fairing against certified optima](#fairing-against-certified-optima)
- [Drawings as others read them](#drawings-as-others-read-them)
- [The whole chain](#the-whole-chain)
- [Not proven](#not-proven)

"""

PUBLISHED = """## Published checks

Of many values of one quantity the row shows the one that takes most of its tolerance. A tolerance is half a unit of the last printed digit unless the
test says why not. The tables stand in [fixtures/reference](../fixtures/reference/README.md) and [fixtures/networks](../fixtures/networks), with their sources.

"""

SECOND = """## Second methods

Closed forms, quadrature, exact arithmetic, another program; and scenes drawn by rays, whose truth is known. Where the value is not a
number to be met but an error to be kept small, the tolerance is its limit.

"""

STATISTICS = """## Statistics

Fixed seeds. "Found" is judged by the test against what is allowed; where a row tells of several cases it is the worst of them. Truth for every
unknown with a prior is drawn from that prior.

"""

CALIBRATION = """
![Claimed odds against what came true, each tenth of the claims a point with two standard errors](proof/calibration.svg)

*Odds claimed against what came true, in tenths of the claims; bars are two standard errors, the broken line is perfect honesty.*

![Shares that should be 95 %, with what the tests allow](proof/coverage.svg)

*Shares that should be 95 %: found (dot) and allowed (line).*

"""

CERTIFIED = """## Fairing against certified optima

The cases of [fixtures/fairing](../fixtures/fairing/README.md), certified by an independent solver with proven bounds. The program's poses are judged
by plain geometry that knows no solver. The last column is how far the program's own proven bound lies below its value.

"""

READERS = """## Drawings as others read them

The demo job is run with a drill program stated for both plates; each file is read by programs that share nothing with this one, and compared with
the holes of plan.json: position and diameter together for DXF, position for the others. A dash: the reader judges the file, not places.

"""

CHAIN = """## The whole chain

Simulated restorations from readings to drilled plates, and whether the odds came true: [trial.md](trial.md), made by `tools/trial`.

"""

OPEN = """## Not proven

- **Strength.** Edge distances, net sections and resistances are checked against published rules and one worked example; no structure is.
- **Published tables as data.** Threads, hexagons, washers, drill gauges and bolt holes were typed from the same sources as their check values: the
  comparison finds slips of the pen, not a source's own errors. What the catalogue marks `memory` was checked against nothing
  ([fits.md](fits.md)). No standard itself was opened; every value comes from a handbook, law, guide or maker's table that quotes it.
- **Real steel.** No plate has been drilled from these drawings, no measured part of a real machine has been through the program. The errors of
  marking, punching, drilling and setting are stated figures ([fairing.md](fairing.md#errors)); if a shop errs otherwise, so do the odds.
- **Real photographs.** Pictures are drawn by rays or simulated; no telephone's own picture with its sharpening and lens corrections is among the tests
  ([photo-holes.md](photo-holes.md)).
- **Many photographs.** Whole photographs are drawn and measured by the score here, and the window for their mean square is as wide as so few ask for.
  What 500 of them gave, and where the claim is too small, stands in [photo-holes.md](photo-holes.md).
- **Priors.** Scatter of old holes, lost and extra holes, torn holes and series of round values are judgement. The statistics above draw truth
  from these priors and so test the reckoning, not the priors.
- **Slips that nothing contradicts** are in the odds by a share of slips among readings, and of their sizes, that is judged and not measured ([survey.md](survey.md#slips)); [trial.md](trial.md) says how far whole jobs then come true.
- **Fairing** is proven where it says so. Large or crowded frames may end with a bound below the plan's cost ([fairing.md](fairing.md)); the plan then says how far.
- **Printing.** The template is full size in the file and on a raster; what a printer does is measured by its own check bars, by hand.
- **Machines.** Drill programs were run by an interpreter written from the standard and read by a parser, never by a machine's control.
"""


def cell(text):
    return text.replace("|", "/")


def comparison(lines):
    """Rows with an expected value or a limit."""
    rows = []
    for line in lines:
        limit = line.expected != line.expected  # a window, no value
        allowed = (line.most - line.least) / 2
        name = cell(line.quantity) + (f", {line.unit}" if line.unit else "")
        values = ["", f"{line.got:.3g}", "", window(line)] if limit else [
            number(line.expected), to_digits(line.got, allowed), difference(line), tolerance(line)]
        rows.append([cell(line.source), name, line.count, *values])
    return table(["source", "what", "values", "expected", "program", "difference", "tolerance"], rows)


def published_section(lines):
    chosen = [line for line in lines if line.kind == "published"]
    total = sum(line.count for line in chosen)
    return f"{BEGIN}{comparison(chosen)}\n{len(chosen)} quantities, {total} values.\n{END}"


def statistics_rows(lines):
    rows = []
    for line in lines:
        name = cell(line.quantity) + (f", {line.unit}" if line.unit else "")
        rows.append([cell(line.source), name, f"{line.got:.4g}", window(line), line.trials, line.seed])
    return table(["trial", "what", "found", "allowed", "trials", "seed"], rows)


def draw(build, lines, curves):
    """The two figures, by the program's own drawing module."""
    text = [f"curve|{name}|{claimed}|{seen}|{count}" for name, points in curves.items() for claimed, seen, count in points]
    for line in lines:
        if line.kind == "statistics" and "95 %" in line.quantity:
            frame = line.quantity.partition("ellipses")[2]
            text.append(f"share|{line.source}{frame}|{line.got}|{line.least}|{line.most}")
    PICTURES.mkdir(exist_ok=True)
    subprocess.run([build / "tests" / "fairhole_draw_proof", PICTURES], input="\n".join(text), text=True, check=True)


def check(build):
    """The document's published checks against the tests': every line, both ways."""
    lines, _, passed = evidence.gather(build, "published")
    text = DOCUMENT.read_text() if DOCUMENT.exists() else ""
    stands = text[text.find(BEGIN):text.find(END) + len(END)] if BEGIN in text and END in text else ""
    wanted = published_section(lines)
    if stands != wanted:
        print("docs/proof.md does not tell what the tests record; run tools/prove:")
        print("\n".join(difflib.unified_diff(stands.splitlines(), wanted.splitlines(), "docs/proof.md", "tests", lineterm="", n=0)))
    return 0 if passed and lines and stands == wanted else 1


def write(build):
    os.environ["FAIRHOLE_PROGRAM"] = str(build / "fairhole")
    import certified  # they read FAIRHOLE_PROGRAM
    import readers
    lines, curves, passed = evidence.gather(build, "all")
    certificates, optimal = certified.section()
    files, same = readers.section()
    draw(build, lines, curves)
    of_kind = {kind: [line for line in lines if line.kind == kind] for kind in ("second method", "statistics")}
    DOCUMENT.write_text(HEAD + PUBLISHED + published_section(lines) + "\n" + SECOND + comparison(of_kind["second method"]) + "\n" +
                        STATISTICS + statistics_rows(of_kind["statistics"]) + CALIBRATION + CERTIFIED + certificates + "\n" + READERS +
                        files + "\n" + CHAIN + OPEN)
    for good, what in ((passed, "a test failed"), (optimal, "a certified case is missed"), (same, "a reader reads something else")):
        if not good:
            print(f"tools/prove: {what}", file=sys.stderr)
    return 0 if passed and optimal and same else 1


def main():
    parser = argparse.ArgumentParser(prog="tools/prove", description=__doc__)
    parser.add_argument("--build", type=Path, default=ROOT / "build", help="folder of the Release build")
    parser.add_argument("--check", action="store_true", help="compare the published checks only, write nothing")
    parser.add_argument("--targets", action="store_true", help="print the test programs that are run")
    options = parser.parse_args()
    if options.targets:
        print(*(program.name for program, _ in evidence.programs(options.build, "all")))
        return 0
    return check(options.build.resolve()) if options.check else write(options.build.resolve())


if __name__ == "__main__":
    sys.exit(main())
