# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""The same metal described from any side gives the same plate; a side stated wrongly is refused. Units, names and order
of what is described change nothing before rounding."""
import copy
import sys
import unittest
from pathlib import Path

import bracket
from support import JobCase

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
import make_awkward  # noqa: E402

SAME_MM = 1e-6  # well below anything drilled, well above the rounding of sums taken in another order
SAME_COST = 1e-9  # relative
AS_SEEN = {"seat": bracket.SEAT, "turn_deg": 0.0}
FROM_BEHIND = {"seat": (bracket.SEAT[0] + bracket.LENGTH, bracket.SEAT[1]), "turn_deg": 180.0}


class Bracket(JobCase):
    def solve(self, job, readings):
        self.write_job(job, {"foot.csv": readings})
        result = self.run_job()
        self.assert_done(result)
        return self.plan()

    def assert_same(self, plan, other, place=lambda x, y: (x, y), holes=len(bracket.DRAWN)):
        self.assertEqual(len(plan["stacks"]), holes)
        theirs = {stack["id"]: stack for stack in other["stacks"]}
        for stack in plan["stacks"]:
            twin = theirs[stack["id"]]
            x, y = place(twin["x"], twin["y"])
            self.assertAlmostEqual(stack["x"], x, delta=SAME_MM)
            self.assertAlmostEqual(stack["y"], y, delta=SAME_MM)
            self.assertEqual(stack["method"], twin["method"])
            self.assertAlmostEqual(stack["finish_diameter"], twin["finish_diameter"], delta=SAME_MM)
        self.assertLessEqual(abs(plan["cost"] - other["cost"]), SAME_COST * max(1.0, plan["cost"]))


class Hands(Bracket):
    def test_either_surface_on_either_side(self):
        """What faces the observer at the marked face is the outer surface on the marked side, the faying on the other. Bores
        are taken as square to it: their slant is a doubt that only the outer surface has."""
        def square_bored(*stated, **seen):
            job = bracket.job(*stated, **seen)
            job.setdefault("rules", {})["tilt_sigma_deg"] = 0
            return job
        plan = self.solve(square_bored("outer", "marked", **AS_SEEN), bracket.readings())
        self.assertGreater(abs(plan["seats"][0]["along"]), SAME_MM, "no seat to find: the test would show nothing")
        for surface, side, behind in (("faying", "marked", True), ("faying", "other", False), ("outer", "other", True)):
            with self.subTest(measured_from=surface, side=side):
                seen = FROM_BEHIND if behind else AS_SEEN
                twin = self.solve(square_bored(surface, side, **seen), bracket.readings(behind))
                self.assert_same(plan, twin)

    def test_plate_marked_on_its_other_face(self):
        """The bracket and its readings stay; x of the plate now runs from the other end."""
        plan = self.solve(bracket.job("outer", "marked", **AS_SEEN), bracket.readings())
        turned = bracket.job("outer", "other", seat=(bracket.PLATE_LENGTH - bracket.SEAT[0], bracket.SEAT[1]),
                             turn_deg=180.0)
        turned["plates"][0]["marked_face"] = "inner"
        for hole in turned["patterns"]["foot"]:
            hole["x"] = bracket.PLATE_LENGTH - 2 * bracket.SEAT[0] - hole["x"]
        twin = self.solve(turned, bracket.readings())
        self.assert_same(plan, twin, lambda x, y: (bracket.PLATE_LENGTH - x, y))

    def test_wrong_side_hangs_in_the_air(self):
        for surface, side in (("outer", "other"), ("faying", "marked")):
            with self.subTest(measured_from=surface, side=side):
                self.write_job(bracket.job(surface, side, **AS_SEEN), {"foot.csv": bracket.readings()})
                self.assert_refused(self.run_job(), "the part would hang in the air", "it would lie right if \"side\"")

    def test_wrong_hand_on_the_plate(self):
        """The foot lies on the plate, its holes mirrored: the readings are of the other side than the job says."""
        for surface, side in (("faying", "marked"), ("outer", "other")):
            with self.subTest(measured_from=surface, side=side):
                self.write_job(bracket.job(surface, side, **FROM_BEHIND), {"foot.csv": bracket.readings()})
                result = self.run_job()
                self.assertEqual(result.returncode, 1, result.stdout + result.stderr)
                self.assertIn("the holes fit the pattern's other hand", result.stderr)


def in_inches(node, key=""):
    """Every length of a job in inches."""
    if isinstance(node, dict):
        return {k: in_inches(v, k) for k, v in node.items()}
    if isinstance(node, list):
        return [in_inches(v, key) for v in node]
    if isinstance(node, float) and not key.endswith("_deg") and key != "confidence":
        return node / 25.4
    return node


class Invariances(Bracket):
    def setUp(self):
        super().setUp()
        self.first = self.solve(bracket.job(), bracket.readings())

    def test_inches(self):
        job = in_inches(bracket.job())
        job["units"] = "in"
        self.assert_same(self.first, self.solve(job, bracket.readings(unit="in")))

    def test_inches_of_a_bush(self):
        job, files, _ = copy.deepcopy(make_awkward.CASES["worn"])
        job["rules"].update(least_bush_wall=3.0, setting_sigma=0.1, contact_slack=0.4)
        plan = self.solve(job, files["foot.csv"])
        twin = {**in_inches(job), "units": "in"}
        other = self.solve(twin, bracket.readings(unit="in", holes=make_awkward.WORN))
        self.assert_same(plan, other, holes=4)
        self.assertEqual([stack["method"] for stack in plan["stacks"]].count("bush"), 1)
        for stack, their in zip(plan["stacks"], other["stacks"]):
            for layer, theirs in zip(stack["layers"], their["layers"]):
                self.assertAlmostEqual(layer["bush_outside"] or 0.0, theirs["bush_outside"] or 0.0, delta=SAME_MM)
        for key in ("along", "across", "turn_deg"):
            self.assertAlmostEqual(plan["seats"][0][key], other["seats"][0][key], delta=SAME_MM)

    def test_renamed_part_and_holes(self):
        job = bracket.job()
        job["parts"][0]["id"] = job["joints"][0]["part"] = "zebra"
        names = dict(zip(bracket.FOUND, ("z", "q7", "m", "hole-1", "aa")))
        holes = {names[name]: place for name, place in bracket.FOUND.items()}
        self.assert_same(self.first, self.solve(job, bracket.readings(holes=holes)))

    def test_other_order(self):
        job = bracket.job()
        job["patterns"]["foot"].reverse()
        self.assert_same(self.first, self.solve(job, bracket.readings(order=sorted(bracket.FOUND, reverse=True))))


if __name__ == "__main__":
    unittest.main()
