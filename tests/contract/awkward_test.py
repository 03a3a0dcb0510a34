# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""Every awkward case of fixtures/jobs comes out as its expected.json says."""
import json
import sys
import unittest
from pathlib import Path

from support import JOBS, JobCase, hashes

TESTS = Path(__file__).resolve().parents[1]
CASES = sorted(JOBS.glob("awkward-*"))
SAME_MM = 1e-6
PLACE_MM = 0.1  # exact readings and a seat that the drawing's prior holds a little: the pull of the prior is a few hundredths
sys.path.insert(0, str(TESTS))
import make_awkward  # noqa: E402


class Awkward(JobCase):
    def check_stack(self, stack, expected):
        for key in ("method", "state"):
            if key in expected:
                self.assertEqual(stack[key], expected[key], stack["id"])
        for axis in ("x", "y"):
            if axis in expected:
                self.assertAlmostEqual(stack[axis], expected[axis], delta=PLACE_MM, msg=stack["id"])
        if "finish" in expected:
            self.assertAlmostEqual(stack["finish_diameter"], expected["finish"], delta=SAME_MM)
        if "bush_outside" in expected:
            bushes = [layer["bush_outside"] for layer in stack["layers"] if layer["bush_outside"] is not None]
            self.assertEqual(bushes, [expected["bush_outside"]], stack["id"])
        if "grip" in expected:
            self.assertAlmostEqual(stack["grip"], expected["grip"], delta=SAME_MM)
        if "actions" in expected:
            self.assertEqual([layer["action"] for layer in stack["layers"]], expected["actions"])
        layers = {layer["part"]: layer for layer in stack["layers"]}
        for part, misfit in expected.get("misfits", {}).items():
            for found, wanted in zip(layers[part]["misfit"], misfit):
                self.assertAlmostEqual(found, wanted, delta=SAME_MM)
        for phrase in expected.get("reason", []):
            self.assertIn(phrase, stack["reason"])

    def check(self, folder):
        expected = json.loads((folder / "expected.json").read_text())
        self.job, self.out = folder, self.scratch / folder.name
        result = self.run_job()
        self.assertEqual(result.returncode, expected["exit"], result.stdout + result.stderr)
        for phrase in expected.get("phrases", []):
            self.assertIn(phrase, result.stderr)
        if expected["exit"] == 2:
            self.assertFalse(self.out.exists())
        if expected["exit"] != 0:
            return
        plan = self.plan()
        stacks = {stack["id"]: stack for stack in plan["stacks"]}
        for name, wanted in expected.get("stacks", {}).items():
            self.check_stack(stacks[name], wanted)
        for phrase in expected.get("warnings", []):
            self.assertIn(phrase, json.dumps(plan["warnings"]))
        for phrase in expected.get("no_warnings", []):
            self.assertNotIn(phrase, json.dumps(plan["warnings"]))

    def test_cases(self):
        for folder in CASES:
            with self.subTest(case=folder.name):
                self.check(folder)

    def test_fixtures_are_what_the_script_writes(self):
        make_awkward.write(self.scratch)
        self.assertEqual({name: digest for name, digest in hashes(JOBS).items() if name.startswith("awkward-")},
                         hashes(self.scratch))
        self.assertGreater(len(CASES), 0)


if __name__ == "__main__":
    unittest.main()
