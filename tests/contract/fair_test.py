# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""fairhole fair: certified cases, judged by plain geometry that knows no solver; bad and degenerate input."""
import json
import math
import unittest
from pathlib import Path

from support import JobCase, fairhole

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures" / "fairing"
VALUE_MM = 0.001  # how close to the certified optimum a value must come
HOLDS_MM = 1e-6   # a stack exceeds a bolt only by more
POSE = 1e-9       # rounding of limits read from text


def least(f, low, high):
    for _ in range(60):
        a, b = low + (high - low) / 3, high - (high - low) / 3
        low, high = (low, b) if f(a) < f(b) else (a, high)
    return f((low + high) / 2)


def clean_up(discs):
    """Diameter of the smallest circle about discs (x, y, d): a convex function of its centre, searched in x and y."""
    xs, ys = [d[0] for d in discs], [d[1] for d in discs]
    reach = lambda x, y: max(math.hypot(x - a, y - b) + d / 2 for a, b, d in discs)
    return 2 * least(lambda x: least(lambda y: reach(x, y), min(ys), max(ys)), min(xs), max(xs))


def moved(case, pose):
    """Discs of every stack at a pose; fails if a part leaves its play."""
    stacks = {}
    for part, move in zip(case["parts"], pose, strict=True):
        limits = part.get("limits", {"dx": 0, "dy": 0, "rot_deg": 0})
        for key in ("dx", "dy", "rot_deg"):
            assert abs(move[key]) <= limits[key] + POSE, (part["id"], key, move)
        c, s = math.cos(math.radians(move["rot_deg"])), math.sin(math.radians(move["rot_deg"]))
        for hole in part["holes"]:
            x, y = hole["x"] - part["ref"][0], hole["y"] - part["ref"][1]
            stacks.setdefault(hole["stack"], []).append((part["ref"][0] + c * x - s * y + move["dx"],
                                                         part["ref"][1] + s * x + c * y + move["dy"], hole["d"]))
    return stacks


def diameters(case, pose):
    return {stack: clean_up(discs) for stack, discs in moved(case, pose).items()}


class CertifiedCases(unittest.TestCase):
    def test_all(self):
        names = sorted(FIXTURES.glob("*.json"))
        self.assertEqual(len(names), 7)
        for path in names:
            with self.subTest(path.name):
                case = json.loads(path.read_text())
                done = fairhole("fair", path, "--json")
                self.assertEqual(done.returncode, 0, done.stderr)
                self.judge(case, json.loads(done.stdout))

    def judge(self, case, answer):
        best = case["certified"]["max"]
        found = answer["max"]
        self.assertLessEqual(found["value"], best["upper"] + VALUE_MM)
        self.assertGreaterEqual(found["value"], best["lower"] - 1e-7)
        self.assertLessEqual(found["lower"], best["upper"] + 1e-7)  # a bound above a pose that exists would be false
        self.assertLess(found["value"] - found["lower"], 1e-4)
        self.assertAlmostEqual(max(diameters(case, found["pose"]).values()), found["value"], delta=1e-6)
        counts = case["certified"]["count"]
        expected = {f"{case['bolt']:g}": counts["value"]} if "bolt" in case else {k: v["upper"] for k, v in counts.items()}
        self.assertEqual(set(answer["count"]), set(expected))
        for bolt, count in expected.items():
            got = answer["count"][bolt]
            self.assertEqual(got["value"], count)
            self.assertEqual((got["lower"], got["proven"]), (count, True))
            over = [s for s, d in diameters(case, got["pose"]).items() if d > float(bolt) + HOLDS_MM]
            self.assertEqual(len(over), count)


def part(name, at, play=None, holes="ST"):
    out = {"id": name, "ref": [0, 0],
           "holes": [{"id": f"{name}{s}", "stack": s, "x": at[0] + 100 * i, "y": at[1], "d": 10} for i, s in enumerate(holes)]}
    return {**out, "limits": dict(zip(("dx", "dy", "rot_deg"), play))} if play else out


class Degenerate(JobCase):
    def fair(self, *parts, **keys):
        path = self.scratch / "case.json"
        path.write_text(json.dumps({"parts": parts, **keys}))
        done = fairhole("fair", path, "--json")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertNotRegex(done.stdout, "(?i)nan|inf")
        return json.loads(done.stdout)

    def test_all_holes_coincide(self):
        answer = self.fair(part("a", (0, 0)), part("b", (0, 0), (2, 2, 1)), bolt=10)
        self.assertAlmostEqual(answer["max"]["value"], 10, delta=1e-6)
        self.assertEqual(answer["count"]["10"]["value"], 0)

    def test_no_play_at_all(self):
        answer = self.fair(part("a", (0, 0)), part("b", (3, 4), (0, 0, 0)), bolts=[14.9, 15])
        self.assertAlmostEqual(answer["max"]["value"], 15, delta=1e-9)
        self.assertEqual([answer["count"][d]["value"] for d in ("14.9", "15")], [2, 0])

    def test_one_layer(self):
        answer = self.fair(part("a", (0, 0), (2, 2, 1)), bolts=[9, 11])
        self.assertAlmostEqual(answer["max"]["value"], 10, delta=1e-6)
        self.assertEqual([answer["count"][d]["value"] for d in ("9", "11")], [2, 0])

    def test_no_bolt(self):
        self.assertEqual(self.fair(part("a", (0, 0)), part("b", (3, 4), (9, 9, 0)))["count"], {})

    def test_huge_play(self):
        answer = self.fair(part("a", (0, 0)), part("b", (30, 40), (10000, 10000, 180)), bolt=10.001)
        self.assertAlmostEqual(answer["max"]["value"], 10, delta=1e-5)
        self.assertEqual(answer["count"]["10.001"]["value"], 0)

    def test_one_sided_play(self):
        answer = self.fair(part("a", (0, 0)), part("b", (3, 4), ([0, 5], [-4, -1], 0)))
        self.assertAlmostEqual(answer["max"]["value"], 13, delta=1e-6)  # x stays 3 off, y comes to 0

    def test_nothing_but_fixed_parts_far_off(self):
        answer = self.fair(part("a", (1e4, 1e4)), part("b", (1e4 + 3, 1e4 + 4)), bolt=15)
        self.assertAlmostEqual(answer["max"]["value"], 15, delta=1e-9)
        self.assertEqual(answer["count"]["15"]["value"], 0)

    def test_same_bytes_again(self):
        words = ("fair", FIXTURES / "small09.json", "--json")
        self.assertEqual(fairhole(*words).stdout, fairhole(*words).stdout)


class Refusals(JobCase):
    def refuse(self, text, *phrases):
        path = self.scratch / "case.json"
        path.write_text(text)
        self.assert_refused(fairhole("fair", path, "--json"), *phrases)

    def test_no_such_file(self):
        self.assert_refused(fairhole("fair", self.scratch / "none.json"), "none.json: there is no such file")

    def test_no_json(self):
        self.refuse("Dear all", "E122", "this is no JSON from here on")

    def test_not_a_number(self):
        self.refuse(json.dumps({"parts": [part("a", (math.nan, 0))]}), "E122", "case.json: line 1, column ")

    def test_negative_diameter(self):
        self.refuse(json.dumps({"parts": [part("a", (0, 0))], "bolt": -1}), "E129", "bolt: a length of -1 mm cannot be")

    def test_every_fault_is_named(self):
        a, b = part("a", (0, 0)), part("a", (0, 0), (1, 1, -1))
        del a["holes"][0]["d"]
        self.refuse(json.dumps({"parts": [a, b]}), 'holes[0]: "d" is missing', 'another part is called "a"',
                    "parts[1].limits.rot_deg: -1 cannot be")


if __name__ == "__main__":
    unittest.main()
