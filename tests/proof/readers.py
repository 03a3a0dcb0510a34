# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""The demo job's drawings and a drill program as independent programs read them, against the plan they were drawn from."""
import json
import math
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import ezdxf

from evidence import ROOT, table

sys.path[:0] = [str(ROOT / "tests" / "checks"), str(ROOT / "tests" / "contract")]
import ngc  # noqa: E402
from support import fairhole  # noqa: E402

JOB = ROOT / "fixtures" / "jobs" / "wharf-crane"
CHECKS = ROOT / "tests" / "checks"
DXF_MM = 1e-6      # what DXF's decimals must keep
PDF_MM = 0.005     # what fine printers resolve is ten times as much
PDF_PRINTED_MM = 1e-4  # the checker's own last digit
RASTER_MM = 0.1    # a ring's centre at 300 dots to the inch, of which one is 0.085 mm
NGC_MM = 7.1e-5    # written to 0.0001 mm: half of it in x and in y


@dataclass
class Read:
    """What one reader found in one file."""
    reader: str
    file: str
    found: str
    worst_mm: float
    allowed_mm: float
    sound: bool = True
    told_to_mm: float = 0.0

    def holds(self):
        return self.sound and self.worst_mm <= self.allowed_mm

    def row(self):
        if self.allowed_mm == 0.0:
            return [self.reader, self.file, self.found, "-", "-"]
        least = max(self.told_to_mm, self.allowed_mm / 1000)
        worst = f"< {least:.1g} mm" if self.worst_mm < least else f"{self.worst_mm:.2g} mm"
        return [self.reader, self.file, self.found, worst, f"{self.allowed_mm:.2g} mm"]


def holes_of(plan, plate):
    return [{"id": s["id"], "x": s["x"], "y": s["y"], "d": s["finish_diameter"]}
            for s in plan["stacks"] if s["plate"] == plate and s["order"]]


def worst_off(holes, circles):
    """Largest distance of a hole from the nearest circle of its diameter, diameters' difference included."""
    return max(min(math.hypot(h["x"] - x, h["y"] - y) + abs(h["d"] - d) for x, y, d in circles) for h in holes)


def output_of(*words):
    return subprocess.run([str(w) for w in words], capture_output=True, text=True, check=False).stdout


def read_dxf(path, holes, name):
    """By ezdxf, dxf-parser and GDAL."""
    doc = ezdxf.readfile(path)
    audit, entities = doc.audit(), list(doc.modelspace())
    circles = [(e.dxf.center.x, e.dxf.center.y, 2 * e.dxf.radius) for e in entities if e.dxftype() == "CIRCLE"]
    faults = len(audit.errors) + len(audit.fixes)
    yield Read(f"ezdxf {ezdxf.__version__}, auditor", name, f"{len(entities)} entities, {len(circles)} circles, {faults} faults",
               worst_off(holes, circles), DXF_MM, faults == 0)
    theirs = json.loads(output_of("node", CHECKS / "read_dxf.js", path))
    same = sum(theirs["counts"].values()) == len(entities) and theirs["units"] == 4
    yield Read("dxf-parser (npm)", name, f"{sum(theirs['counts'].values())} entities, {len(theirs['circles'])} circles",
               worst_off(holes, [(c["x"], c["y"], c["d"]) for c in theirs["circles"]]), DXF_MM, same)
    count = int(re.search(r"Feature Count: (\d+)", output_of("ogrinfo", "-so", "-al", path))[1])
    yield Read("GDAL, ogrinfo", name, f"{count} features", 0.0, 0.0, count == len(entities))


def read_template(path, holes, name, scratch):
    """Page contents by qpdf, a raster by poppler (tests/checks/check_pdf.py); the file itself by qpdf."""
    truth = scratch / "holes.json"
    truth.write_text(json.dumps(holes))
    done = subprocess.run([sys.executable, CHECKS / "check_pdf.py", path, truth, "--tol", str(PDF_MM)], capture_output=True,
                          text=True, check=False)
    got = re.search(r"pages (\d+), holes (\d+)/(\d+), max position error in the drawing ([\d.]+) mm; "
                    r"raster (\d+) dpi: (\d+) rings, median [\d.]+ max ([\d.]+)", done.stdout)
    pages, seen, all_holes, worst, dpi, rings, ring_worst = got.groups()
    sound = done.returncode == 0 and seen == all_holes
    yield Read("qpdf, page contents", name, f"{pages} pages, {seen} of {all_holes} holes", float(worst), PDF_MM, sound, PDF_PRINTED_MM)
    yield Read(f"poppler, {dpi} dpi raster", name, f"{rings} whole rings", float(ring_worst), RASTER_MM, sound)
    check = subprocess.run(["qpdf", "--check", path], capture_output=True, check=False)
    yield Read("qpdf --check", name, "no syntax error", 0.0, 0.0, check.returncode == 0)


def read_program(text, holes, name, scratch):
    """Run by the interpreter of tests/checks/ngc.py; its words by gcode-parser."""
    made = ngc.run(text).holes
    worst = max(min(math.hypot(h["x"] - m["x"], h["y"] - m["y"]) for m in made) for h in holes)
    stray = max(min(math.hypot(h["x"] - m["x"], h["y"] - m["y"]) for h in holes) for m in made)
    yield Read("interpreter written from NIST IR 6556", name, f"{len(made)} cycles at {len(holes)} holes", max(worst, stray), NGC_MM)
    path = scratch / "program.ngc"
    path.write_text(text)
    script = ("const p = require(process.argv[1]); const fs = require('fs');"
              "const r = p.parseStringSync(fs.readFileSync(process.argv[2], 'utf8'), {flatten: false});"
              "console.log(JSON.stringify(r.map(b => b.words).filter(w => w.length)))")
    theirs = json.loads(output_of("node", "-e", script, ROOT / "tests" / "node_modules" / "gcode-parser", path))
    theirs = [[(letter, float(value)) for letter, value in words] for words in theirs]
    ours = [words for words in map(ngc.words_of, text.splitlines()[1:-1]) if words]
    count = sum(map(len, theirs))
    yield Read("gcode-parser (npm)", name, f"{len(theirs)} blocks, {count} words, the same", 0.0, 0.0, theirs == ours)


def run_job(job, out, *options):
    done = fairhole("run", job, "--out", out, *options)
    if done.returncode != 0:
        raise SystemExit(f"fairhole run failed: {done.stderr}")
    return json.loads((out / "plan.json").read_text())


def reads(scratch):
    job, out, old = scratch / "job", scratch / "out", scratch / "r12"
    shutil.copytree(JOB, job)
    stated = json.loads((job / "job.json").read_text())
    for plate in stated["plates"]:
        plate["drill_program"] = {"fixture": "stops at the datum edges", "work_offset": "G54", "safe_height": 40}
    (job / "job.json").write_text(json.dumps(stated))
    plan = run_job(job, out, "--single-sheet")
    run_job(job, old, "--dxf-r12")
    for plate in (p["name"] for p in plan["plates"]):
        holes = holes_of(plan, plate)
        yield from read_dxf(out / f"{plate}.dxf", holes, f"{plate}.dxf, R2000")
        yield from read_dxf(old / f"{plate}.dxf", holes, f"{plate}.dxf, R12")
        yield from read_template(out / f"{plate}-template.pdf", holes, f"{plate}-template.pdf, one sheet", scratch)
        yield from read_template(old / f"{plate}-template.pdf", holes, f"{plate}-template.pdf, tiles", scratch)
        yield from read_program((out / f"{plate}.ngc").read_text(), holes, f"{plate}.ngc", scratch)


def section():
    """Markdown and whether every reader read the same."""
    with tempfile.TemporaryDirectory(prefix="fairhole-proof-") as folder:
        found = list(reads(Path(folder)))
    head = ["read by", "file", "found", "worst deviation", "allowed"]
    return table(head, [read.row() for read in found]), all(read.holds() for read in found)
