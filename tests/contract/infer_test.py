# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""The pattern from measured holes: what infer says and writes, and what register and a job make of it."""
import json
import unittest

from support import JobCase, fairhole

# Two rows drawn in inches, with a hole missing; off by a few tenths of a millimetre, as typed.
HOLES_MM = [(38.3, 57.0), (114.1, 57.4), (190.6, 56.9), (266.8, 57.3), (419.0, 57.2), (495.4, 57.1),
            (76.3, 108.1), (152.2, 107.8), (228.8, 108.0), (304.6, 107.9), (381.2, 108.2)]


class Infer(JobCase):
    def measured(self, holes=HOLES_MM, name="measured.json"):
        path = self.scratch / name
        path.write_text(json.dumps({"holes": [
            {"id": f"H{i + 1}", "x": x, "y": y, "sxx": 0.04, "sxy": 0, "syy": 0.04} for i, (x, y) in enumerate(holes)]}))
        return path

    def infer(self, *words):
        result = fairhole("infer", *words)
        self.assertEqual(result.returncode, 0, result.stderr)
        return result.stdout

    def test_says_the_rows_in_plain_words(self):
        text = self.infer(self.measured())
        self.assertIn("Drawn in inches, over 99 in 100.", text)
        self.assertIn("Row A: 7 holes, 3 in (76.20 mm) pitch, first 1 1/2 in (38.10 mm) from the end, "
                      "gauge 2 1/4 in (57.15 mm) off the edge", text)
        self.assertIn("Row B: 5 holes, 3 in (76.20 mm) pitch, first 3 in (76.20 mm) from the end, "
                      "gauge 4 1/4 in (107.95 mm) off the edge, staggered by half a pitch", text)
        self.assertIn("    no hole found at A5: lost, or never drawn?\n", text)

    def test_json(self):
        found = json.loads(self.infer(self.measured(), "--json"))
        self.assertEqual(found["unit"], "in")
        row = found["items"][0]
        self.assertEqual(row["item"], {"row": "A", "x": 38.1, "y": 57.15, "pitch": 76.2, "count": 7})
        self.assertEqual([d["name"] for d in row["dimensions"]], ["pitch", "first", "gauge"])
        self.assertEqual(row["dimensions"][0]["candidates"][0]["read_as"], "3 in")
        self.assertIsNone(row["places"][4]["measured"])
        for dimension in row["dimensions"]:
            odds = [c["odds"] for c in dimension["candidates"]]
            self.assertLessEqual(sum(odds), 1 + 1e-9)
            self.assertGreater(sum(odds), 0.97)

    def test_order_of_holes_and_unit_of_readings_do_not_matter(self):
        def readings(name, unit, per_unit):
            path = self.scratch / name
            rows = [f"{kind},H{i},,{value / per_unit!r},{0.25 / per_unit!r},"
                    for i, hole in enumerate(HOLES_MM) for kind, value in zip(("along", "across"), hole)]
            path.write_text(f"# unit: {unit}\nkind,from,to,reading,sigma,note\n" + "\n".join(rows) + "\n")
            survey = fairhole("survey", path, "--json")
            self.assertEqual(survey.returncode, 0, survey.stderr)
            measured = self.scratch / (name + ".json")
            measured.write_text(survey.stdout)
            return self.infer(measured)

        self.assertEqual(readings("mm.csv", "mm", 1.0), readings("in.csv", "in", 25.4))

    def test_no_order_is_said(self):
        text = self.infer(self.measured([(10, 12), (77, 193), (251, 48), (140, 333)]))
        self.assertIn("No row, grid or circle is to be seen: every hole is stated by itself, where it was measured.\n", text)
        self.assertEqual(text.count("in no order"), 4)

    def test_file_for_register(self):
        measured, pattern = self.measured(), self.scratch / "pattern.json"
        self.infer(measured, "--out", pattern)
        result = fairhole("register", pattern, measured, "--json")
        self.assertEqual(result.returncode, 0, result.stderr)
        found = json.loads(result.stdout)
        self.assertEqual(len(found["matches"]), 11)
        self.assertEqual(found["missing"], ["A5"])
        self.assertEqual(found["extra"], [])

    def test_never_overwrites(self):
        measured, pattern = self.measured(), self.scratch / "pattern.json"
        pattern.write_text("mine")
        result = fairhole("infer", measured, "--out", pattern)
        self.assertEqual(result.returncode, 2)
        self.assertEqual(result.stdout, "")
        self.assertIn(f"E162 {pattern}: a file of that name is there already; name another file, or move that one away; "
                      "nothing was changed\n", result.stderr)
        self.assertEqual(pattern.read_text(), "mine")
        nowhere = fairhole("infer", measured, "--out", self.scratch / "no" / "pattern.json")
        self.assertEqual(nowhere.returncode, 2)
        self.assertIn("E163 ", nowhere.stderr)

    def test_other_hand(self):
        measured = self.measured()
        self.infer(measured, "--out", self.scratch / "left.json")
        self.infer(measured, "--out", self.scratch / "right.json", "--other-hand")
        left, right = (json.loads((self.scratch / f"{hand}.json").read_text()) for hand in ("left", "right"))
        self.assertEqual([(h["id"], h["x"], -h["y"]) for h in left["holes"]],
                         [(h["id"], h["x"], h["y"]) for h in right["holes"]])

    def test_with_other_hand(self):
        mirrored = self.measured([(560.0 - x, y) for x, y in HOLES_MM], "right.json")
        found = json.loads(self.infer(self.measured(), "--with-other-hand", mirrored, "--json"))
        self.assertEqual(found["items"][0]["places"][0]["measured_on_second"], "H1")
        self.assertEqual(found["items"][0]["item"]["pitch"], 76.2)

    def test_too_few(self):
        result = fairhole("infer", self.measured([(10, 12)]))
        self.assertEqual(result.returncode, 1)
        self.assertIn("1 hole: no pattern can be seen in that; measure at least 2 holes; a row shows from 3 holes on\n",
                      result.stderr)

    def test_job_takes_a_pattern_file(self):
        """A job with its pattern in a file makes what it makes with the pattern written out."""
        self.example()
        self.assert_done(self.run_job())
        holes = [{"id": f"B{i + 1}", "x": x, "y": y}
                 for i, (x, y) in enumerate([(31.75, 31.75), (171.45, 31.75), (31.75, 95.25), (171.45, 95.25)])]
        (self.job / "foot.json").write_text(json.dumps({"holes": holes}))
        self.edit(lambda job: job["patterns"].update(foot={"file": "foot.json"}))
        by_file = self.scratch / "by-file"
        self.assert_done(fairhole("run", self.job, "--out", by_file))
        self.assertEqual(json.loads((by_file / "plan.json").read_text()), self.plan())

    def test_job_refuses_a_bad_pattern_file(self):
        self.example(lambda job: job["patterns"].update(foot={"file": "lost.json"}))
        self.assert_refused(self.run_job(), "E121 lost.json: there is no such file; look at the name and the folder\n")
        (self.job / "lost.json").write_text('{"holes": [{"id": "B1", "x": 0}]}')
        self.assert_refused(self.run_job(), 'E180 lost.json: holes[0]: "y" is missing; state it in mm\n')


if __name__ == "__main__":
    unittest.main()
