# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""check-back as another program meets it: the worked example drilled, measured again, recorded, verified."""
import json
import unittest

from support import JobCase, fairhole, hashes


class CheckBack(JobCase):
    def setUp(self):
        super().setUp()
        self.example()
        self.assert_done(self.run_job())
        self.stacks = [s for s in self.plan()["stacks"] if s["plate"] == "side plate" and s["order"]]

    def measured(self, stage, shift=(0.0, 0.0), spoil=None, **more):
        """The plate as drilled: every hole a tenth off its place, its diameter in the middle of the limits."""
        holes = []
        for number, stack in enumerate(self.stacks):
            limits = stack["limits"][stage] or stack["limits"]["finished"]
            off = 3.0 * limits["position_zone"] if stack["id"] == spoil else 0.0
            holes.append({"id": stack["id"], "x": stack["x"] + shift[0] + off, "y": stack["y"] + shift[1] + 0.01 * number, "sxx": 1e-4,
                          "sxy": 0.0, "syy": 1e-4, "diameter": 0.5 * (limits["min"] + limits["max"]), "s_diameter": 0.002})
        path = self.scratch / "measured.json"
        path.write_text(json.dumps({"holes": holes, **more}))
        return path

    def check(self, measured, *options):
        return fairhole("check-back", self.out / "plan.json", measured, *options)

    def test_sound_plate_and_one_hole_out(self):
        spoiled = self.stacks[0]["id"]
        for stage in ("pilot", "finished"):
            for spoil in (None, spoiled):
                with self.subTest(stage=stage, spoil=spoil):
                    done = self.check(self.measured(stage, spoil=spoil), "--json", "--stage", stage)
                    self.assertEqual((done.returncode, done.stderr), (0, ""))
                    result = json.loads(done.stdout)
                    self.assertEqual(result["stage"], stage)
                    for hole in result["holes"]:
                        self.assertLessEqual({"id", "dx", "dy", "diameter", "verdict", "remedy"}, set(hole))
                        self.assertEqual(hole["verdict"], "not-conforming" if hole["id"] == spoil else "conforming", hole)
                        self.assertEqual(hole["remedy"] == "", hole["verdict"] == "conforming")

    def test_a_shift_shows_from_the_edges_and_not_among_the_holes(self):
        zone = max(s["limits"]["finished"]["position_zone"] for s in self.stacks)
        measured = self.measured("finished", shift=(3.0 * zone, 0.0))
        verdicts = lambda *options: {h["verdict"] for h in json.loads(self.check(measured, "--json", *options).stdout)["holes"]}
        self.assertEqual(verdicts("--datum"), {"not-conforming"})
        self.assertEqual(verdicts("--free"), {"conforming"})
        self.assertEqual(verdicts(), {"not-conforming"})
        measured = self.measured("finished", shift=(3.0 * zone, 0.0), frame="A4-0")
        self.assertEqual(verdicts(), {"conforming"})

    def test_record_is_written_once_and_verified(self):
        measured = self.measured("finished")
        before = hashes(self.scratch)
        done = self.check(measured, "--record", self.scratch / "record", "--date", "2026-02-01")
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        after = hashes(self.scratch)
        self.assertEqual({k: v for k, v in after.items() if not k.startswith("record")}, before)
        self.assertEqual({k for k in after if k.startswith("record")}, {"record.json", "record.pdf"})
        again = self.check(measured, "--record", self.scratch / "record")
        self.assertEqual(again.returncode, 2)
        self.assertIn("E162", again.stderr)
        record = self.scratch / "record.json"
        self.assertEqual(self.check(measured, "--verify", record).returncode, 0)
        self.assertEqual(fairhole("check-back", "--verify", record).returncode, 0)
        record.write_text(record.read_text().replace('"conforming"', '"not-conforming"', 1))
        spoiled = fairhole("check-back", "--verify", record)
        self.assertEqual(spoiled.returncode, 1)
        self.assertIn("E585", spoiled.stderr)

    def test_pilots_as_a_drill_cuts_them_conform(self):
        """Each pilot 0.1 mm over its drill, by a caliper good for 0.05 mm."""
        measured = self.measured("pilot")
        face = json.loads(measured.read_text())
        for hole, stack in zip(face["holes"], self.stacks):
            pilot = stack["limits"]["pilot"]
            if pilot:
                hole.update(diameter=pilot["drill"] + 0.1, s_diameter=0.05)
        measured.write_text(json.dumps(face))
        self.assertTrue(any(stack["limits"]["pilot"] for stack in self.stacks))
        done = self.check(measured, "--json", "--stage", "pilot")
        self.assertEqual({hole["verdict"] for hole in json.loads(done.stdout)["holes"]}, {"conforming"})

    def test_date_of_the_record_may_come_from_the_environment(self):
        measured = self.measured("finished")
        plan = self.out / "plan.json"
        # 951782400 s is 29 February 2000 (date -u -d @951782400).
        for options, date in (((), "2000-02-29"), (("--date", "2026-02-01"), "2026-02-01")):
            record = self.scratch / f"record-{date}"
            done = fairhole("check-back", plan, measured, "--record", record, *options, env={"SOURCE_DATE_EPOCH": "951782400"})
            self.assertEqual((done.returncode, done.stderr), (0, ""))
            self.assertEqual(json.loads(record.with_suffix(".json").read_text())["date"], date)
        done = fairhole("check-back", plan, measured, env={"SOURCE_DATE_EPOCH": "yesterday"})
        self.assertEqual(done.returncode, 2)
        self.assertIn("E165", done.stderr)

    def test_wrong_use(self):
        measured = self.measured("finished")
        for words, code in ((("--stage", "drilled"), "E170"), (("--free", "--datum"), "E170"), (("--plate", "other"), "E459"),
                            (("--date", "yesterday"), "E134")):
            with self.subTest(words):
                done = self.check(measured, *words)
                self.assertEqual(done.returncode, 2)
                self.assertIn(code, done.stderr)
        done = fairhole("check-back", self.job / "job.json", measured)
        self.assertEqual(done.returncode, 2)
        self.assertIn("E458", done.stderr)


if __name__ == "__main__":
    unittest.main()
