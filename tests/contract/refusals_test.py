# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""Wrong use and bad input: exit 2, one plain message a fault on stderr, nothing written, nothing changed."""
import json
import os
import subprocess
import unittest

from support import JobCase, fairhole, hashes

READINGS = "readings/bracket-foot.csv"


class BadFiles(JobCase):
    def refuse(self, *phrases):
        before = hashes(self.job)
        self.assert_refused(self.run_job(), *phrases)
        self.assertEqual(hashes(self.job), before, "an input file was changed")

    def edit_text(self, name, change):
        path = self.job / name
        path.write_text(change(path.read_text()))

    def test_no_such_job(self):
        self.assert_refused(fairhole("run", self.job, "--out", self.out),
                            f"{self.job}: there is no such file or folder; name a job folder or a job file")

    def test_readings_that_cannot_be_read(self):
        self.example()
        (self.job / READINGS).unlink()
        (self.job / READINGS).mkdir()
        self.refuse(f"E121 {self.job}/{READINGS}: this is no file; name a file\n")

    def test_no_such_readings(self):
        self.example()
        (self.job / READINGS).unlink()
        self.refuse(f"{READINGS}: there is no such file; look at the name and the folder\n")

    def test_picture_renamed_as_readings(self):
        self.example()
        (self.job / READINGS).write_bytes(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\xff\xfe")
        self.refuse(f"{READINGS}: not a UTF-8 text file; save it from the spreadsheet as CSV, UTF-8\n")

    def test_prose_renamed_as_readings(self):
        self.example()
        (self.job / READINGS).write_text("Dear all,\nthe bracket is sixteen thick.\n")
        self.refuse("line 1: the header row has no column `kind`")

    def test_unknown_unit(self):
        self.example(lambda job: job["plates"][0].update(thickness="1/2 furlong"))
        self.refuse('plates[0].thickness: "furlong" is no unit known here; write mm, in or ft\n')

    def test_not_a_number_in_the_job(self):
        self.example()
        self.edit_text("job.json", lambda text: text.replace('"thickness": 16', '"thickness": NaN'))
        self.refuse("job.json: line ", "this is no JSON from here on")

    def test_not_a_number_in_the_readings(self):
        self.example()
        self.edit_text(READINGS, lambda text: text.replace("along,A1,,1 1/4", "along,A1,,nan"))
        self.refuse(f"{READINGS}: line 7: a number is wanted here; write a length such as 101.6 mm or 4 3/16 in\n")

    def test_readings_cut_off(self):
        self.example()
        self.edit_text(READINGS, lambda text: text[:text.index("along,X1") + len("along,X1,")])
        self.refuse(f"{READINGS}: line 15: the row has 3 fields of 6: ", "the last line seems to be cut off; complete the row\n")

    def test_job_cut_off(self):
        self.example()
        self.edit_text("job.json", lambda text: text[:400])
        self.refuse("the JSON ends too early; close what is open; the file may have been cut off\n")

    def test_ten_thousand_brackets(self):
        self.example()
        for text in ("[" * 10000 + "]" * 10000, '{"a":' * 10000 + "1" + "}" * 10000):
            (self.job / "job.json").write_text(text)
            self.refuse("brackets within brackets, 10000 deep; no more than 40 levels are read\n")

    def test_key_twice(self):
        self.example()
        self.edit_text("job.json", lambda text: text.replace('"title"', '"units": "mm",\n"title"'))
        self.refuse('job.json: the key "units" stands twice in one object; keep one of them\n')

    def test_id_twice(self):
        self.example(lambda job: job["parts"].append(job["parts"][0]))
        self.refuse('parts[1].id: there are two parts named "bracket"; give each its own name\n')

    def test_unknown_key_and_its_nearest(self):
        self.example(lambda job: job["plates"][0].update(thicknes=3))
        self.refuse('plates[0].thicknes: "thicknes" is not known here; did you mean "thickness"?\n')

    def test_a_million_holes(self):
        self.example(lambda job: job["patterns"]["foot"][0].update(count=1000, rows=1000))
        self.refuse('patterns["foot"]: item 1: count times rows is 1000000; a count lies between 1 and 10000\n')

    def test_two_faults_are_both_reported(self):
        def spoil(job):
            job["plates"][0]["thickness"] = "1/2 furlong"
            job["joints"][0]["side"] = "marke"
        self.example(spoil)
        self.refuse('plates[0].thickness: "furlong"', 'joints[0].side: "marke" is not known here; write marked or other')

    def test_two_unknown_names_are_both_reported(self):
        def spoil(job):
            job["joints"][0]["part"] = "brackt"
            job["hole_groups"][0]["fastener"] = "boltt"
        self.example(spoil)
        self.refuse('there is no part "brackt"; did you mean "bracket"?', 'there is no fastener "boltt"')


class WrongUse(JobCase):
    def test_out_is_missing(self):
        self.example()
        self.assert_refused(fairhole("run", self.job), "E170 command line: --out is required; see fairhole --help\n")

    def test_unknown_command(self):
        self.assertEqual(fairhole("drill").returncode, 2)

    def test_no_such_readings(self):
        missing = self.scratch / "none.csv"
        self.assert_refused(fairhole("survey", missing),
                            f"E121 {missing}: there is no such file; look at the name and the folder\n")

    def test_source_date_epoch_is_no_number(self):
        self.example()
        refused = self.run_job(env={"SOURCE_DATE_EPOCH": "yesterday"})
        self.assert_refused(refused, 'E165 SOURCE_DATE_EPOCH: "yesterday" is no number of seconds; set it to seconds '
                            "since 1970, or unset it\n")

    def test_register_takes_no_nonsense(self):
        holes = self.scratch / "holes.json"
        holes.write_text(json.dumps({"holes": [{"id": name, "x": x, "y": 0} for name, x in (("a", 0), ("b", 9))]}))
        remedy = "name a drawn hole and a measured one: DRAWN=MEASURED\n"
        for options, said in (
                (("--near", "1,2"), 'E170 --near: "1,2" is no place; write x,y,turn in mm and degrees: --near 12.5,0,-90\n'),
                (("--near", "1,2,nan"),
                 'E170 --near: "1,2,nan" is no place; write x,y,turn in mm and degrees: --near 12.5,0,-90\n'),
                (("--hand", "left"), 'E170 --hand: "left" is no hand; write --hand as-drawn or --hand mirrored, or leave it '
                                     'out\n'),
                (("--pin", "a"), 'E170 --pin: "a" pins nothing; write a drawn hole and the measured one it is: --pin A3=H7\n'),
                (("--pin", "a=z"), f'E303 pin a=z: there is no measured hole "z"; {remedy}'),
                (("--pin", "z=a"), f'E303 pin z=a: there is no drawn hole "z"; {remedy}'),
                (("--pin", "a=a", "--pin", "b=a"), "E303 pin b=a: one of the two is pinned already; pin each hole once\n")):
            with self.subTest(options=options):
                self.assert_refused(fairhole("register", holes, holes, *options), said)

    def test_holes_files_that_are_none(self):
        good = self.scratch / "good.json"
        good.write_text(json.dumps({"holes": [{"id": name, "x": x, "y": 0} for name, x in (("a", 0), ("b", 9))]}))
        bad = self.scratch / "bad.json"
        one = {"id": "a", "x": 0, "y": 0}
        for content, said in (
                ({}, f'E180 {bad}: there is no list "holes"; write {{"holes": [{{"id", "x", "y"}}]}}\n'),
                ({"holes": [3]}, f'E180 {bad}: holes[0]: this is no hole; write {{"id": "H1", "x": 0, "y": 0}}\n'),
                ({"holes": [{"x": 0, "y": 0}]}, f'E180 {bad}: holes[0]: "id" is missing or no text; give every hole a name\n'),
                ({"holes": [{"id": "a", "y": 0}]}, f'E180 {bad}: holes[0]: "x" is missing; state it in mm\n'),
                ({"holes": [{"id": "a", "x": "1", "y": 0}]}, f'E180 {bad}: holes[0]: "x" is no number; state it in mm\n'),
                ({"holes": [one, one]}, f"E180 {bad}: holes[1]: hole a stands here twice; rename one\n")):
            with self.subTest(content=content):
                bad.write_text(json.dumps(content))
                self.assert_refused(fairhole("register", good, bad), said)

    def test_new_takes_no_full_folder(self):
        self.job.mkdir()
        (self.job / "mine.txt").write_text("mine")
        self.assert_refused(fairhole("new", self.job), "the folder is not empty; name a folder that is new or empty\n")
        self.assertEqual(hashes(self.job).keys(), {"mine.txt"})


class OutFolder(JobCase):
    def test_holds_the_job(self):
        self.example()
        before = hashes(self.job)
        for out in (self.job, f"{self.job}/", self.job / "readings" / ".."):
            self.assert_refused(fairhole("run", self.job, "--out", out),
                                f"E161 {out}: this folder holds {self.job}/", "; name another folder for the results\n")
            self.assertEqual(hashes(self.job), before)

    def test_holds_a_file_of_our_name(self):
        self.example()
        other = self.scratch / "other"
        other.mkdir()
        (other / "plan.json").write_text("mine")
        before = hashes(other)
        self.assert_refused(fairhole("run", self.job, "--out", other),
                            f"{other}/plan.json: this file is not from an earlier run; move it away, or name another "
                            "folder\n")
        self.assertEqual(hashes(other), before)

    def test_cannot_be_made(self):
        self.example()
        before = hashes(self.scratch)
        self.assert_refused(fairhole("run", self.job, "--out", self.job / "job.json" / "x"), "nothing was changed\n")
        self.assertEqual(hashes(self.scratch), before)


class Bench(JobCase):
    def test_a_machine_on_no_network(self):
        alone = ["unshare", "--map-root-user", "--net"]
        if subprocess.run([*alone, "true"], capture_output=True).returncode != 0:
            self.skipTest("this machine lets nobody leave the network")
        done = subprocess.run([*alone, os.environ["FAIRHOLE_PROGRAM"], "bench", self.job.parent, "--lan"], capture_output=True,
                              text=True, timeout=20)
        self.assertEqual(done.returncode, 1)
        self.assertIn("E786 --lan: this machine is on no network; join one, or leave --lan out and use the page on this "
                      "machine", done.stderr)

    def test_a_folder_in_a_folder_that_is_not_there(self):
        done = fairhole("bench", self.job / "a" / "b")
        self.assertEqual(done.returncode, 2)
        self.assertIn("there is no such folder", done.stderr)


if __name__ == "__main__":
    unittest.main()
