# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""Good input: what is written, that it is written again byte for byte, and that the drawings pass apart-written checks."""
import csv
import json
import unittest

from support import JOBS, JobCase, audit, fairhole, hashes


def hole(name, x, y):
    return {"id": name, "x": x, "y": y, "sxx": 0.01, "sxy": 0.0, "syy": 0.01, "diameter": 20.0, "s_diameter": 0.1}


class Results(JobCase):
    def setUp(self):
        super().setUp()
        self.example()

    def holes_file(self):
        path = self.scratch / "holes.json"
        holes = [{"id": s["id"], "x": s["x"], "y": s["y"], "d": s["finish_diameter"]}
                 for s in self.plan()["stacks"] if s["plate"] == "side plate" and s["finish_diameter"]]
        self.assertEqual(len(holes), 4)
        path.write_text(json.dumps(holes))
        return path

    def test_one_set_of_files(self):
        before = hashes(self.job)
        result = self.run_job()
        self.assert_done(result)
        self.assertEqual(result.stderr, "")
        self.assertEqual(hashes(self.job), before, "an input file was changed")
        self.assertEqual(set(hashes(self.out)),
                         {"plan.json", "holes.csv", "fasteners.pdf", "fasteners.csv", "turning-list.csv", "buying-list.csv", "report.html", "side plate.dxf", "side plate-template.pdf",
                          "side plate-sheet.pdf", "side plate-order.pdf", "fairhole-results.txt"})
        plan = self.plan()
        for key in ("units", "plates", "seats", "stacks", "cost", "bound", "proven", "odds", "warnings"):
            self.assertIn(key, plan)
        for key in ("id", "plate", "x", "y", "method", "finish_diameter", "fastener", "grip", "odds", "layers"):
            self.assertIn(key, plan["stacks"][0])
        for key in ("part", "joint", "along", "across", "turn_deg"):
            self.assertIn(key, plan["seats"][0])

    def test_a_hole_that_another_joint_knows_is_no_old_repair(self):
        job = JOBS / "awkward-across-the-joint"
        self.assert_done(fairhole("run", job, "--out", self.out))
        report = (self.out / "report.html").read_text(encoding="utf-8")
        self.assertIn("strap", report)
        self.assertNotIn("from an old repair", report)

    def test_a_bush_stands_on_every_list(self):
        self.assert_done(fairhole("run", JOBS / "awkward-worn", "--out", self.out))

        def rows(name):
            with open(self.out / name, encoding="utf-8", newline="") as lines:
                return list(csv.DictReader(lines))
        bush = [row for row in rows("fasteners.csv") if row["kind"] == "bush"]
        self.assertEqual(len(bush), 1)
        # p6 of 30 to 50 mm is +42/+26, H7 of 18 to 30 mm +21/0 (ISO 286-2:2010); the bracket's foot is 16 mm thick.
        wanted = {"mark": "B1", "plate": "plate", "hole": "B4", "layers": "A4 of bracket", "finish_diameter": "21", "length": "16", "seat": "32",
                  "outside_min": "32.026", "outside_max": "32.042", "wall": "5.5025", "bore_min": "21", "bore_max": "21.021", "open": ""}
        self.assertEqual({key: bush[0][key] for key in wanted}, wanted)
        self.assertLess(float(bush[0]["turned_bore"]), 21)
        turned = [row for row in rows("turning-list.csv") if row["kind"] == "bush"]
        self.assertEqual([(row["mark"], row["quantity"], row["length"], row["bar"], row["bar_length"]) for row in turned], [("B1", "1", "16", "1 5/16 in", "22")])
        self.assertIn("round bar 1 5/16 in", {row["what"] for row in rows("buying-list.csv")})

    def test_the_shops_own_sizes_are_taken(self):
        """A drill, a reamer and a washer of their own: in the pilots, the work order and the schedule."""
        def own(job):
            job["catalogues"] = ["drills.csv", "reamers.csv", "washers.csv"]
        self.edit(own)
        (self.job / "drills.csv").write_text("drill,prov,source\n17.55,user,reground\n", encoding="utf-8")
        (self.job / "reamers.csv").write_text("reamer,kind,prov,source\n20.6375,hand,user,bought\n", encoding="utf-8")
        (self.job / "washers.csv").write_text("# unit: in\nwasher,series,hole,outside,thickness,prov,source\n3/4,plain,13/16,1 1/2,7/16,user,turned\n", encoding="utf-8")
        self.assert_done(self.run_job())
        pilots = {layer["pilot_diameter"] for stack in self.plan()["stacks"] for layer in stack["layers"] if layer["new_plate"]}
        self.assertIn(17.55, pilots)
        with open(self.out / "fasteners.csv", encoding="utf-8", newline="") as lines:
            rows = list(csv.DictReader(lines))
        self.assertEqual({float(row["nut_washer"]) for row in rows if row["thread"] == "3/4 BSW"}, {11.1125}, "7/16 in")
        before = hashes(self.job)
        refused = fairhole("run", self.job, "--out", self.job)
        self.assertEqual(refused.returncode, 2)
        self.assertEqual(hashes(self.job), before)

    def test_a_job_without_decided_fasteners_still_has_the_list(self):
        def blank(job):
            for group in job["hole_groups"]:
                group["holes"] = {s["id"]: {"method": "leave-out"} for s in self.stacks_before}
        self.assert_done(self.run_job())
        self.stacks_before = self.plan()["stacks"]
        self.edit(blank)
        self.assert_done(self.run_job())
        with open(self.out / "fasteners.csv", encoding="utf-8", newline="") as lines:
            reader = csv.DictReader(lines)
            self.assertEqual(list(reader), [])
            self.assertEqual(reader.fieldnames[:4], ["mark", "plate", "hole", "kind"])

    def test_second_run_removes_stale_files_and_keeps_foreign_ones(self):
        self.assert_done(self.run_job())
        (self.out / "notes.txt").write_text("mine")

        def rename(job):
            job["plates"][0]["name"] = "cheek"
            job["joints"][0]["on"] = job["hole_groups"][0]["on"] = "cheek"
        self.edit(rename)
        self.assert_done(self.run_job())
        names = set(hashes(self.out))
        self.assertIn("cheek.dxf", names)
        self.assertIn("notes.txt", names)
        self.assertFalse([name for name in names if name.startswith("side plate")])

    def test_same_bytes_again_and_in_another_locale(self):
        first = self.run_job()
        self.assert_done(first)
        files = hashes(self.out)
        self.assert_done(self.run_job())
        self.assertEqual(hashes(self.out), files)
        self.out = self.scratch / "german"
        self.assert_done(self.run_job(env={"LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8", "TZ": "Asia/Tokyo"}))
        self.assertEqual(hashes(self.out), files)

    def test_date_of_the_run(self):
        self.edit(lambda job: job.pop("date"))
        self.assert_done(self.run_job(env={"SOURCE_DATE_EPOCH": "1000000000"}))
        self.assertEqual(self.plan()["date"], "2001-09-09")  # 1e9 s after 1970-01-01 is 2001-09-09 01:46:40 UTC
        files = hashes(self.out)
        self.assert_done(self.run_job(env={"SOURCE_DATE_EPOCH": "1000000000"}))
        self.assertEqual(hashes(self.out), files)

    def test_job_file_named_itself(self):
        self.assert_done(self.run_job())
        files = hashes(self.out)
        self.job = self.job / "job.json"
        self.assert_done(self.run_job())
        self.assertEqual(hashes(self.out), files)

    def check_template(self, *options):
        return audit("check_pdf.py", self.out / "side plate-template.pdf", self.holes_file(), *options)

    def test_template_of_a_printer_that_is_off(self):
        """On one long sheet: a page with a single ring could be any hole of that size to the checker."""
        self.assert_done(self.run_job("--single-sheet", "--template-check-x", 98.5, "--template-check-y", 99.2))
        checked = self.check_template("--sx", 100 / 98.5, "--sy", 100 / 99.2)
        self.assertEqual(checked.returncode, 0, checked.stdout + checked.stderr)
        self.assertNotEqual(self.check_template().returncode, 0, "the check cannot tell corrected from plain")

    def test_template_at_full_size(self):
        self.assert_done(self.run_job("--single-sheet"))
        checked = self.check_template()
        self.assertEqual(checked.returncode, 0, checked.stdout + checked.stderr)

    def test_drawing_in_both_versions(self):
        for options in ((), ("--dxf-r12",)):
            with self.subTest(options=options):
                self.assert_done(self.run_job(*options))
                checked = audit("check_dxf.py", self.out / "side plate.dxf", self.holes_file())
                self.assertEqual(checked.returncode, 0, checked.stdout + checked.stderr)


class FaceCommands(JobCase):
    def register(self, pattern, measured, *options):
        files = []
        for name, holes in (("pattern", pattern), ("measured", measured)):
            files.append(self.scratch / f"{name}.json")
            files[-1].write_text(json.dumps({"holes": holes}))
        return fairhole("register", *files, "--json", *options)

    def test_survey(self):
        self.example()
        result = fairhole("survey", self.job / "readings" / "bracket-foot.csv", "--json")
        self.assert_done(result)
        survey = json.loads(result.stdout)
        for key in ("holes", "dof", "chi2", "chi2_p", "readings", "unchecked", "next", "square_deg", "covariance"):
            self.assertIn(key, survey)
        self.assertLessEqual({"id", "x", "y", "sxx", "sxy", "syy", "diameter", "s_diameter"}, set(survey["holes"][0]))
        self.assertLessEqual({"row", "residual", "w", "redundancy", "mdb", "rejected", "slip"},
                             set(survey["readings"][0]))
        order = [f"{hole['id']}.{axis}" for hole in survey["holes"] for axis in "xy"]
        self.assertEqual(survey["covariance"]["order"], order)

    def test_register(self):
        pattern = [hole("a", 0, 0), hole("b", 140, 0), hole("c", 0, 60), hole("d", 90, 60)]
        measured = [hole(h["id"].upper(), h["x"] + 30, h["y"] + 40) for h in pattern]
        result = self.register(pattern, measured, "--near", "31,41,0")
        self.assert_done(result)
        face = json.loads(result.stdout)
        self.assertLessEqual({"pose", "cov", "matches", "missing", "extra", "rivals", "distortion"}, set(face))
        self.assertFalse(face["pose"]["mirrored"])
        self.assertAlmostEqual(face["pose"]["x"], 30.0, delta=1e-6)  # an exact copy, shifted by (30, 40)
        self.assertAlmostEqual(face["pose"]["y"], 40.0, delta=1e-6)
        self.assertEqual([(m["nominal"], m["measured"]) for m in face["matches"]],
                         [("a", "A"), ("b", "B"), ("c", "C"), ("d", "D")])

    def test_register_tells_a_bow_from_scatter(self):
        """Two rows on a leg bowed 3 mm away from its datum edge, readings 0.1 mm: the parabola as put in."""
        pattern = [hole(f"{row}{i}", 80.0 * i + (25.0 if row == "b" else 0.0), y)
                   for row, y, count in (("a", 40.0, 7), ("b", 95.0, 6)) for i in range(count)]
        middle, half = 240.0, 240.0
        measured = [hole(h["id"].upper(), h["x"], h["y"] + 3.0 * (1.0 - ((h["x"] - middle) / half) ** 2) +
                         0.05 * (-1) ** n) for n, h in enumerate(pattern)]
        picture = self.scratch / "picture.svg"
        result = self.register(pattern, measured, "--svg", picture)
        self.assert_done(result)
        bent = json.loads(result.stdout)["distortion"]
        self.assertEqual(bent["accepted"], ["bow"])
        self.assertAlmostEqual(bent["bow"], 3.0, delta=0.1)  # the 0.05 mm put on alternate holes
        self.assertAlmostEqual(bent["scale"], 1.0, delta=1e-3)
        self.assertIn("<svg", picture.read_text())
        kept = picture.read_bytes()
        again = self.register(pattern, measured, "--svg", picture)
        self.assertEqual(again.returncode, 2, again.stderr)
        self.assertEqual(picture.read_bytes(), kept)

    def test_register_with_rivals(self):
        """Three of a row's four holes half a pitch off: they are the first three or the last three."""
        pattern = [hole(f"r{i}", 12.0 * i, 0) for i in range(4)]
        measured = [hole(f"m{i}", 12.0 * i + 6.0, 0) for i in range(3)]
        result = self.register(pattern, measured)
        self.assertEqual(result.returncode, 1, result.stdout + result.stderr)
        face = json.loads(result.stdout)
        self.assertIsNone(face["pose"])
        self.assertGreaterEqual(len(face["rivals"]), 2)
        self.assertLessEqual({"pose", "matched", "odds"}, set(face["rivals"][0]))
        self.assertIn("the pattern fits as well", result.stderr)

    ROW = [hole("a", 0, 0), hole("b", 76.2, 0), hole("c", 152.4, 0), hole("d", 228.6, 0), hole("e", 0, 90)]
    FOUND = [hole("M1", 100, 50), hole("M2", 176.3, 50), hole("M3", 252.3, 50.1)]  # a to c or b to d, either way round

    def test_register_says_how_rivals_differ(self):
        result = self.register(self.ROW, self.FOUND, "--hand", "as-drawn")
        self.assertEqual(result.returncode, 1, result.stdout + result.stderr)
        face = json.loads(result.stdout)
        self.assertIsNone(face["pose"])
        self.assertEqual(len(face["rivals"]), 4)
        self.assertAlmostEqual(sum(rival["odds"] for rival in face["rivals"]), 1.0, delta=0.01)
        said = " / ".join(rival["how"] for rival in face["rivals"])
        self.assertIn("one pitch, 76.2 mm, ", said)
        self.assertIn("turned half round", said)
        self.assertIn("measure the end distance or name one hole", said)
        # Without the hand, each of them from the other side as well.
        both = json.loads(self.register(self.ROW, self.FOUND).stdout)
        self.assertEqual(len(both["rivals"]), 8)
        self.assertIn("seen from the other side", " / ".join(rival["how"] for rival in both["rivals"]))

    def test_register_near_and_pin_settle(self):
        for options in (("--near", "97,53,1"), ("--pin", "a=M1")):
            with self.subTest(options=options):
                result = self.register(self.ROW, self.FOUND, "--hand", "as-drawn", *options)
                self.assert_done(result)
                face = json.loads(result.stdout)
                self.assertEqual(face["rivals"], [])
                self.assertEqual([(m["nominal"], m["measured"]) for m in face["matches"]],
                                 [("a", "M1"), ("b", "M2"), ("c", "M3")])

    def test_register_hand(self):
        """An L without symmetry, seen from behind: found so when nothing is said, refused when said otherwise."""
        behind = [hole(h["id"].upper(), -h["x"], h["y"]) for h in self.ROW]
        face = json.loads(self.register(self.ROW, behind).stdout)
        self.assertTrue(face["pose"]["mirrored"])
        self.assert_done(self.register(self.ROW, behind, "--hand", "mirrored"))
        refused = self.register(self.ROW, behind, "--hand", "as-drawn")
        self.assertEqual(refused.returncode, 1)
        self.assertIn("the holes fit the pattern's other hand", refused.stderr)


if __name__ == "__main__":
    unittest.main()
