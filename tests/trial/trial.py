# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""The whole-chain trial: simulated restorations from readings to drilled plates."""
import argparse
import concurrent.futures
import functools
import json
import os
import pathlib
import random
import subprocess
import sys
import tempfile

import tables
from crane import Case
from rules_of_thumb import Bench, outcome
from shop import Shop, length

SOURCE = pathlib.Path(__file__).resolve().parents[2]


def one_case(program, demo, runs, seed):
    """A case from its readings to `runs` simulated shops; a dict of plain figures."""
    rng = random.Random(seed)
    case = Case(demo, rng)
    with tempfile.TemporaryDirectory() as folder:
        job = pathlib.Path(folder, "job")
        (job / "readings").mkdir(parents=True)
        (job / "job.json").write_text(json.dumps(case.job))
        for name, text in case.files.items():
            (job / name).write_text(text)
        done = subprocess.run([program, "run", job, "--out", pathlib.Path(folder, "out")], capture_output=True, text=True)
        plan_file = pathlib.Path(folder, "out", "plan.json")
        if not plan_file.exists():
            return {"seed": seed, "exit": done.returncode, "said": done.stderr[-2000:] + done.stdout[-2000:]}
        plan = json.loads(plan_file.read_text())
    out = {"seed": seed, "exit": done.returncode, "slips": case.slips, "way": case.job["plates"][0]["drilled"],
           "confidence": case.job["rules"]["confidence"], "ready": plan["ready"], "odds": plan["odds"], "proven": plan["proven"],
           "problems": [p["code"] for p in plan["problems"]], "jobs": [], "stacks": [], "fairhole": [], "plugs": 0}
    if not plan["ready"]:  # it says so, and nothing is marked out from it
        return out | {"undecided": 0}
    decided = [s for s in plan["stacks"] if s["method"] not in ("undecided", "leave-out")]
    out["undecided"] = sum(s["method"] == "undecided" for s in plan["stacks"])
    joined = [s for s in decided if any(l["hole"] for l in s["layers"])]
    out["plugs"] = sum(l["action"] == "plug and re-drill" for s in joined for l in s["layers"])
    out["opened"] = sum(s["method"] == "open-out" for s in joined)
    held = {(s["plate"], s["id"]): 0 for s in joined}
    for run in range(runs):
        shop = Shop(case, plan, rng)
        good = {key: shop.holds(shop.stacks[key]) for key in held}
        out["jobs"].append(all(good.values()))
        for key, ok in good.items():
            held[key] += ok
        if run == 0:
            out["fairhole"] = [afterwards(shop, case, shop.stacks[key], ok) for key, ok in good.items()]
    out["stacks"] = [(s["method"], s["odds"], held[s["plate"], s["id"]]) for s in joined]
    for layout in ("drawing", "transfer", "average"):
        out[layout] = [(*key, what) for key, what in Bench(case, layout, rng).results()]
    return out


def afterwards(shop, case, stack, good):
    """(carrier, stack, steps of oversize or None, as planned?, steps that would have done): what becomes of a stack."""
    key = (stack["plate"], stack["id"])
    spec = case.job["fasteners"][shop.groups[stack["group"]]["fastener"]]
    sizes = [length(s) for s in spec["sizes"]]
    layers = [shop.layer(stack, l) for l in stack["layers"] if l["hole"] and l["action"] != "plug and re-drill"]
    hole = (shop.drilled[key], stack["layers"][0]["pilot_diameter"] or stack["finish_diameter"])
    least = outcome(spec, layers, hole if stack["layers"][0]["new_plate"] else None) if layers else 0
    if not good:
        return (*key, least, False, least)
    opened = stack["method"] in ("open-out", "bush")
    steps = sum(s < stack["finish_diameter"] - 1e-6 for s in sizes) if opened else 0
    return (*key, steps, True, min(steps, least) if least is not None else steps)


def main():
    parser = argparse.ArgumentParser(prog="tools/trial", description=__doc__)
    parser.add_argument("--cases", type=int, default=300)
    parser.add_argument("--shops", type=int, default=7, help="simulated shops for each plan")
    parser.add_argument("--first", type=int, default=0, help="number of the first case")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--raw", type=pathlib.Path, required=True, help="a new file: one line of JSON for each case")
    parser.add_argument("--table", action="store_true", help="no new cases: the tables of --raw, for docs/trial.md")
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    args = parser.parse_args()
    if args.table:
        print(tables.of([json.loads(line) for line in args.raw.open()]))
        return 0
    program = os.environ.get("FAIRHOLE_PROGRAM", str(SOURCE / "build/fairhole"))
    demo = json.loads((SOURCE / "fixtures/jobs/wharf-crane/job.json").read_text())
    first = args.seed * 100000 + args.first
    seeds = range(first, first + args.cases)
    case = functools.partial(one_case, program, demo, args.shops)
    with concurrent.futures.ProcessPoolExecutor(args.jobs) as pool, args.raw.open("w") as raw:
        for result in pool.map(case, seeds):
            raw.write(json.dumps(result) + "\n")
            raw.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
