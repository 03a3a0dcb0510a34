# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""The bare fairing cases of fixtures/fairing against their certified optima, every pose judged by plain geometry."""
import json
import sys

from evidence import ROOT, table

sys.path.insert(0, str(ROOT / "tests" / "contract"))
from fair_test import FIXTURES, HOLDS_MM, VALUE_MM, diameters  # noqa: E402
from support import fairhole  # noqa: E402


def small(mm):
    """Below a millionth it is rounding, and another machine's may differ."""
    return "< 1e-06" if abs(mm) < 1e-6 else f"{mm:.1e}"


def rows_of(case, answer):
    """The table's rows of one case and whether all holds."""
    best, found = case["certified"]["max"], answer["max"]
    seen = max(diameters(case, found["pose"]).values())
    good = best["lower"] - 1e-7 <= found["value"] <= best["upper"] + VALUE_MM and abs(seen - found["value"]) < 1e-6
    parts, stacks = len(case["parts"]), len({h["stack"] for p in case["parts"] for h in p["holes"]})
    rows = [[case["name"], parts, stacks, "least largest circle, mm", f"{best['upper']:.6f}", f"{found['value']:.6f}",
             small(abs(found["value"] - best["upper"])), small(found["value"] - found["lower"])]]
    counts = case["certified"]["count"]
    wanted = {f"{case['bolt']:g}": counts["value"]} if "bolt" in case else {k: v["upper"] for k, v in counts.items()}
    for bolt, count in wanted.items():
        got = answer["count"][bolt]
        over = sum(d > float(bolt) + HOLDS_MM for d in diameters(case, got["pose"]).values())
        good = good and got["value"] == count == over and got["proven"]
        rows.append([case["name"], parts, stacks, f"fewest above {bolt} mm", count, got["value"], got["value"] - count,
                     got["value"] - got["lower"]])
    return rows, good


def section():
    """Markdown and whether every case holds."""
    rows, good = [], True
    for path in sorted(FIXTURES.glob("*.json")):
        case = json.loads(path.read_text())
        more, holds = rows_of(case, json.loads(fairhole("fair", path, "--json").stdout))
        rows, good = rows + more, good and holds
    head = ["case", "parts", "stacks", "asked", "certified", "program", "difference", "own bound less by"]
    return table(head, rows), good
