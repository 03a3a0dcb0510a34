# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""tools/bench-all: runs the benchmarks one by one and writes docs/speed.md: time, peak memory, how they grow."""
import argparse
import itertools
import json
import math
import os
import platform
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "proof"))
from evidence import table  # noqa: E402

DOCUMENT = ROOT / "docs" / "speed.md"
LEAST_SECONDS = 0.5  # of a benchmark that takes less; Google Benchmark repeats it
MS = {"ns": 1e-6, "us": 1e-3, "ms": 1.0, "s": 1e3}

# Title, what the size counts, what to know, and the columns: heading, module, benchmark (or more, by spaces).
FAMILIES = [
    ("Survey", "holes", "Five readings a hole. The peer is Ceres (sparse normal equations, covariance of every hole) on the same readings and "
     "priors, started from the truth: it does what the first column does, less the tests and the proposals for next readings.",
     [("one adjustment, tests, next readings", "survey", "adjust_face_once"),
      ("and the search for blunders", "survey", "adjust_face_without_full_covariance"),
      ("and the covariance over all holes", "survey", "adjust_face"),
      ("peer: Ceres", "survey", "adjust_face_by_ceres")]),
    ("Survey, very long faces", "holes", "", [("one adjustment, tests, next readings", "survey", "adjust_face_once_large")]),
    ("Registration", "holes", "40 % of the holes missing and as many extra, either hand, nothing known of the place; mean of 20 parts (6 of 1,000 "
     "holes). The peer is a plain random-sample consensus, which finds a pose but neither rivals nor odds.",
     [("strewn holes", "registration", "exhaustive/irregular exhaustive/irregular_large"),
      ("square grid", "registration", "exhaustive/grid exhaustive/grid_large"),
      ("staggered rows", "registration", "exhaustive/staggered exhaustive/staggered_large"),
      ("peer: random samples, strewn", "registration", "ransac/irregular")]),
    ("Inference", "holes", "Gauge lines of ten holes, one in ten left out, one in ten strewn about.",
     [("pattern from holes alone", "inference", "infer_rows")]),
    ("Smallest circle about a stack", "layers", "The peer is CGAL's smallest enclosing sphere of spheres in double precision.",
     [("ours", "geometry", "smallest_enclosing_of_a_stack"), ("peer: CGAL", "geometry", "smallest_enclosing_by_cgal")]),
    ("Fairing at given seats", "stacks", "Every treatment of every stack, 400 drawings of lots for the odds.", [("decisions and odds", "fairing", "fair")]),
    ("Fairing, seats free", "parts", "Plates in a row, each with two angles and a beam, two and a half stacks a part: the seats of least largest clean-up circle, "
     "with proof.", [("least largest circle", "fairing", "least_worst_of_a_chain")]),
    ("Drawings", "holes", "Ten holes a row on a plate as long as it takes.",
     [("DXF", "report", "dxf_of_a_plate"), ("full-size template, PDF on A4", "report", "template_of_a_plate")]),
    ("Labels", "holes", "Places of the holes' names so that none covers another. On one sheet of 400 by 260 mm 2,000 names take half the paper, and more "
     "than half is not searched.",
     [("long plate, full size", "report", "labels_of_a_long_plate"), ("one sheet", "report", "labels_on_one_sheet")]),
    ("Photographs: adjustment", "pictures", "Cameras, boards and covariance from what is measured in the pictures; a row of pictures 300 mm apart, every second "
     "with a board.", [("adjustment", "photo", "adjust_pictures")]),
    ("Photographs: one picture of 12 million pixels", "", "From the file's bytes to holes with their covariance, beside unpacking alone and OpenCV's circle finder "
     "and blob finder on the unpacked picture, one thread, which give pixels without place or uncertainty.",
     [("unpack, as any viewer", "photo", "unpack_jpeg"), ("cameras alone", "photo", "cameras_of_one_picture"),
      ("file to holes", "photo", "read_one_picture"), ("three pictures of one face", "photo", "read_three_pictures"),
      ("peer: Hough circles", "photo", "circles_by_hough"), ("peer: blobs", "photo", "blobs_by_opencv")]),
    ("The demo job", "", "Two plates, 47 stacks: seats and treatments of all joints together; the same with one decision pinned; the whole run with photographs.",
     [("fairing", "job", "crane_faired"), ("what if", "job", "crane_what_if"), ("whole run", "job", "crane_run")]),
]

HEAD = """# Speed and growth

Made by `tools/bench-all`. Times are the processor's, of one thread, so that other work on the machine counts for less, though not for nothing; what reads
photographs uses all cores, and its times are by the clock; memory is the peak of a process that runs that benchmark alone, programs and libraries included. The exponent is that of the power of the size
that fits the times best (least squares of logarithms, the smallest size left out where three remain). Peers run in the same call on the same input.

Machine: {machine}.

"""


def run(program, name):
    """Milliseconds (elapsed where the benchmark says so, else of the processor) and peak megabytes of one benchmark, in a process of its own."""
    with tempfile.NamedTemporaryFile() as out, tempfile.NamedTemporaryFile() as memory:
        done = subprocess.run(["/usr/bin/time", "-o", memory.name, "-f", "%M", program, f"--benchmark_filter=^{name}$",
                               f"--benchmark_out={out.name}", "--benchmark_out_format=json",
                               f"--benchmark_min_time={LEAST_SECONDS}"], capture_output=True, text=True, check=False)
        if done.returncode != 0 or "ERROR OCCURRED" in done.stdout:
            raise SystemExit(f"{name} did not run:\n{done.stdout}{done.stderr}")
        runs = [r for r in json.loads(Path(out.name).read_text())["benchmarks"] if r["run_type"] == "iteration"]
        kilobytes = int(Path(memory.name).read_text().split()[-1])
    return runs[0]["real_time" if name.endswith("/real_time") else "cpu_time"] * MS[runs[0]["time_unit"]], kilobytes / 1024.0


def sizes_of(program, bases):
    """The full names of a benchmark, or of several that make one column, by size."""
    names = subprocess.run([program, "--benchmark_list_tests"], capture_output=True, text=True, check=True).stdout.split()
    found = {}
    for name, base in itertools.product(names, bases.split()):
        rest = name[len(base):]
        if name.startswith(base) and (rest == "" or rest[0] == "/"):
            words = [w for w in rest.split("/") if w.isdigit()]
            found[int(words[0]) if words else 0] = name
    return found


def exponent(times):
    """Of the power that fits; none for fewer than two sizes."""
    points = sorted((math.log(size), math.log(ms)) for size, ms in times.items())
    points = points[1:] if len(points) > 3 else points
    if len(points) < 2:
        return "-"
    mx, my = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    return f"{sum((x - mx) * (y - my) for x, y in points) / sum((x - mx) ** 2 for x, _ in points):.2f}"


def in_words(ms):
    value, unit = (ms / 1000, "s") if ms >= 1000 else (ms, "ms") if ms >= 1 else (1000 * ms, "us") if ms >= 1e-3 else (1e6 * ms, "ns")
    return f"{value:.3g} {unit}" if value < 100 else f"{value:.0f} {unit}"


def section(build, title, counts, note, columns):
    measured = []
    for heading, module, bases in columns:
        program = build / "src" / module / f"fairhole_{module}_bench"
        found = {}
        for size, name in sizes_of(program, bases).items():
            print(f"{name} ...", end=" ", flush=True)
            found[size] = run(program, name)
            print(f"{in_words(found[size][0])}, {found[size][1]:.0f} MB", flush=True)
        measured.append((heading, found))
    text = f"## {title}\n\n{note}\n\n" if note else f"## {title}\n\n"
    if not counts:
        return text + table(["", "time", "peak memory"],
                            [[h, in_words(found[0][0]), f"{found[0][1]:.0f} MB"] for h, found in measured]) + "\n"
    head = [counts] + [word for heading, _ in measured for word in (heading, "memory")]
    rows = []
    for size in sorted({size for _, found in measured for size in found}):
        cells = [(in_words(f[size][0]), f"{f[size][1]:.0f} MB") if size in f else ("", "") for _, f in measured]
        rows.append([f"{size:,}", *(word for cell in cells for word in cell)])
    powers = [(exponent({s: t for s, (t, _) in f.items()}), "") for _, f in measured]
    rows.append(["exponent", *(word for cell in powers for word in cell)])
    return text + table(head, rows) + "\n"


def machine():
    model = next((line.split(":")[1].strip() for line in open("/proc/cpuinfo") if line.startswith("model name")), platform.machine())
    compiler = subprocess.run(["c++", "--version"], capture_output=True, text=True, check=False).stdout.splitlines()[0]
    return f"{model}, {os.cpu_count()} processors, {compiler}, Release (-O3)"


def main():
    parser = argparse.ArgumentParser(prog="tools/bench-all", description=__doc__)
    parser.add_argument("--build", type=Path, default=ROOT / "build-bench")
    options = parser.parse_args()
    build = options.build.resolve()
    DOCUMENT.write_text(HEAD.format(machine=machine()) + "".join(section(build, *family) for family in FAMILIES).rstrip("\n") + "\n")


if __name__ == "__main__":
    main()
