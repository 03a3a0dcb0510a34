# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""What the trial found, in Markdown."""
import math
import random

EDGES = [0.0, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 1.0001]


def band(cases, share):
    """95 % band of a share over cases, by drawing whole cases again: the stacks of a case are not independent."""
    rng = random.Random(1)
    means = sorted(share([rng.choice(cases) for _ in cases]) for _ in range(400))
    return means[10], means[-11]


def calibration(cases):
    lines = ["| odds claimed | stacks | claimed | came true | 95 % band |", "|---|---|---|---|---|"]
    shops = len(cases[0]["jobs"])
    for low, high in zip(EDGES, EDGES[1:]):
        inside = [[(o, n) for _m, o, n in c["stacks"] if low <= o < high] for c in cases]
        stacks = sum(map(len, inside))
        if not stacks:
            continue
        def seen(some):
            count = sum(map(len, some))
            return sum(n for c in some for _o, n in c) / count / shops if count else math.nan
        claimed = sum(o for c in inside for o, _n in c) / stacks
        lo, hi = band([c for c in inside if c], seen)
        lines.append(f"| {low:g} to {min(high, 1.0):g} | {stacks} | {claimed:.4f} | {seen(inside):.4f} | {lo:.4f} to {hi:.4f} |")
    return "\n".join(lines)


def whole_jobs(cases):
    def seen(some):
        return sum(sum(c["jobs"]) for c in some) / sum(len(c["jobs"]) for c in some)
    lines = ["| drilled | jobs | claimed | came true | 95 % band |", "|---|---|---|---|---|"]
    for name in ("marked out", "template", "CNC", None):
        some = [c for c in cases if name in (None, c["way"])]
        if some:
            lo, hi = band(some, seen)
            claimed = sum(c["odds"] for c in some) / len(some)
            lines.append(f"| {name or 'all'} | {len(some)} | {claimed:.3f} | {seen(some):.3f} | {lo:.3f} to {hi:.3f} |")
    for name, least, most in (("all: no slip or one", 0, 1), ("all: two slips", 2, 2), ("all: three slips and more", 3, 99)):
        some = [c for c in cases if least <= c["slips"] <= most]
        if some:
            lo, hi = band(some, seen)
            claimed = sum(c["odds"] for c in some) / len(some)
            lines.append(f"| {name} | {len(some)} | {claimed:.3f} | {seen(some):.3f} | {lo:.3f} to {hi:.3f} |")
    return "\n".join(lines)


def ways(cases):
    lines = ["| of a job's stacks with old holes | as they are | opened out | steps of oversize in all | past every size | not as planned |",
             "|---|---|---|---|---|---|"]
    n = len(cases)
    for key, name, at in (("fairhole", "this program, as planned", 2), ("fairhole", "this program's seats and centres, sizes chosen afterwards", 4),
                          ("drawing", "drilled to the drawing", 2), ("transfer", "seated by two holes, transferred", 2),
                          ("average", "drilled at the average", 2)):
        steps = [row[at] for c in cases for row in c[key]]
        opened = [s for s in steps if s]
        lost = sum(s is None for s in steps) / n
        surprises = sum(not row[3] for c in cases for row in c[key]) / n if at == 2 and key == "fairhole" else len(opened) / n + lost
        lines.append(f"| {name} | {sum(s == 0 for s in steps) / n:.1f} | {len(opened) / n:.1f} | {sum(opened) / n:.1f} | {lost:.2f} | {surprises:.1f} |")
    return "\n".join(lines)


def of(rows):
    cases = [r for r in rows if r.get("stacks")]  # of plans that may be drilled
    undecided, plugs = sum(c["undecided"] for c in cases), sum(c["plugs"] for c in cases)
    head = (f"{len(rows)} restorations, {sum(len(c['stacks']) for c in cases)} stacks with old holes, {sum(c['slips'] for c in cases)} slips in the "
            f"readings; {len(rows) - len(cases)} plans not to be drilled as they stand, {undecided} stacks left undecided, {plugs} plugs, "
            f"{sum(c['proven'] for c in cases)} plans proven.")
    return "\n\n".join([head, calibration(cases), whole_jobs(cases), ways(cases)])
