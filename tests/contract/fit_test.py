# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""fit: limits of a fit, of one class, and of the shank for one bore."""
import json
import unittest

from support import fairhole


class Fit(unittest.TestCase):
    def fit(self, *words):
        result = fairhole("fit", *words)
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertEqual(result.stderr, "")
        return result.stdout

    def refused(self, status, *words):
        result = fairhole("fit", *words)
        self.assertEqual(result.returncode, status, result.stderr)
        self.assertEqual(result.stdout, "")
        return result.stderr

    def test_json_of_a_fit(self):
        """ISO 286: at 22 mm H7 is +21/0, k6 is +15/+2 um."""
        self.assertEqual(json.loads(self.fit("22 H7/k6", "--json")),
                         {"hole": {"min": 22, "max": 22.021}, "shaft": {"min": 22.002, "max": 22.015},
                          "clearance": {"min": -0.015, "max": 0.019}})

    def test_json_of_one_class(self):
        self.assertEqual(json.loads(self.fit("22 H7", "--json")), {"hole": {"min": 22, "max": 22.021}})
        self.assertEqual(json.loads(self.fit("22 k6", "--json")), {"shaft": {"min": 22.002, "max": 22.015}})

    def test_inch_size_takes_the_standards_step(self):
        found = json.loads(self.fit("7/8 in H7/k6", "--json"))
        self.assertEqual(found["hole"], {"min": 22.225, "max": 22.246})
        self.assertIn("(0.87500 to 0.87583 in)", self.fit("7/8 in H7/k6"))

    def test_bore(self):
        self.assertEqual(json.loads(self.fit("22 H7/k6", "--bore", "22.037", "--json")),
                         {"bore": 22.037, "shank": {"min": 22.039, "max": 22.052}})
        self.assertEqual(json.loads(self.fit("22 k6", "--bore", "22.037", "--sigma", "0.003", "--json")),
                         {"bore": 22.037, "shank": {"min": 22.045, "max": 22.046}})
        text = self.fit("22 H7/k6", "--bore", "22.037")
        self.assertIn("Shank for a bore of 22.037 mm, k6 at 22: 22.039 to 22.052 mm\n", text)
        self.assertIn("The bore is 0.016 mm over H7 (22.000 to 22.021 mm): the shank follows the bore.\n", text)

    def test_nothing_left(self):
        self.assertIn("E780 bore: known to 0.014 mm at 2 sigma, and k6 is only 0.013 mm wide; ",
                      self.refused(1, "22 H7/k6", "--bore", "22.037", "--sigma", "0.007"))

    def test_text_says_how_it_drives(self):
        text = self.fit("22 H7/k6", "--length", "12", "--outside", "60")
        self.assertIn("  hole  H7   22.000 to 22.021 mm   +21 / 0 um\n", text)
        self.assertIn("  clearance  -0.015 to 0.019 mm: transition fit (negative: the shaft is the larger)\n", text)
        self.assertIn("At its tightest it drives with a hammer:\n  pressure 61 MPa, 6.1 kN over 12 mm of hole, ", text)
        self.assertIn("Halfway between the limits it goes in by hand.\n  steel in steel\n", text)
        # Interference of 48 um in 22 mm, 39 um in 12 mm (ISO 286-2); solid shank, metal of three diameters round it:
        # p = 207000 x delta / (2 d) x 8/9 = 201 and 299 MPa, and mild steel yields right through at 235.
        self.assertIn("needs a press", self.fit("22 H7/s6"))
        self.assertIn("will gall", self.fit("12 H7/s6"))
        self.assertIn("needs a press", self.fit("22 H7/k6", "--length", "60"))
        self.assertIn("length not stated, one diameter taken (--length)", self.fit("22 H7/k6"))
        self.assertIn("goes in by hand", self.fit("22 H7/g6"))
        self.assertIn("Old inch practice for this size, shaft over hole in mm, from memory:\n  running ", text)

    def test_refuses(self):
        self.assertIn("E440 \"22\" is no fit; ", self.refused(2, "22"))
        self.assertIn("E441 tolerance class z6: ", self.refused(2, "22 H7/z6"))
        self.assertIn("E442 the tables hold no size of 200 mm; ", self.refused(2, "200 H7/k6"))
        self.assertIn("E443 ", self.refused(2, "22 H7", "--bore", "22.037"))
        self.assertIn("E444 ", self.refused(2, "22 k6", "--bore", "12"))
        self.assertIn("E445 ", self.refused(2, "22 H7/k6", "--hub", "pewter"))
        self.assertIn("E101 nominal size: ", self.refused(2, "7/8 H7/k6"))
        self.assertIn("E101 --bore: ", self.refused(2, "22 k6", "--bore", "wide"))
        self.assertIn("E170 --outside: 20 mm across, and the hole is 22 mm; ",
                      self.refused(2, "22 H7/k6", "--outside", "20"))
        self.assertIn("E170 --length: ", self.refused(2, "22 H7/k6", "--length", "0"))
        self.assertIn("E170 ", self.refused(2, "22 H7/k6", "--sigma", "0.003"))


if __name__ == "__main__":
    unittest.main()
