# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""Files made to choke the program: one clear message, little memory, an end in sight."""
import json
import os
import resource
import struct
import subprocess
import sys
import unittest
import zlib

from support import JOBS, PROGRAM, JobCase

MOST_MB = 1000  # three times what any of them takes without the sanitizers
MOST_SECONDS = 60  # of the processor: what runs on for ever ends here

BRACKET = {
    "format": "fairhole job 1", "title": "Bracket", "units": "mm",
    "plates": [{"name": "plate", "marked_face": "outer", "thickness": 12,
                "outline": [[0, 0], [400, 0], [400, 250], [0, 250]]}],
    "parts": [{"id": "bracket", "kind": "bracket",
               "faces": [{"name": "foot", "thickness": 16, "length": 200, "width": 120, "measured_from": "outer",
                          "readings": ["foot.csv"]}]}],
    "patterns": {"foot": [{"hole": "B1", "x": 110, "y": 90}, {"hole": "B2", "x": 240, "y": 90}]},
    "hole_groups": [{"name": "foot", "on": "plate", "pattern": "foot", "fastener": "bolt"}],
    "joints": [{"name": "bracket on plate", "part": "bracket", "face": "foot", "on": "plate", "side": "marked",
                "seat": {"x": 80, "y": 60, "turn_deg": 0}, "groups": ["foot"]}],
    "fasteners": {"bolt": {"kind": "fitted bolt", "diameter": 20, "sizes": [20, 22]}}}


def png(width, height, data):
    def chunk(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
            + chunk(b"IDAT", zlib.compress(data, 9)) + chunk(b"IEND", b""))


def tiff(*entries):
    return (b"II*\0\x08\0\0\0" + struct.pack("<H", len(entries))
            + b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in entries) + b"\0\0\0\0")


class Hostile(JobCase):
    def fairhole(self, *words):
        """Lines on stderr, after a run that kept within its limits and wrote nothing."""
        def limit():
            resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
        with open(self.scratch / "said", "w+", encoding="utf-8") as said:
            run = subprocess.Popen([PROGRAM, *map(str, words)], cwd=self.scratch, stdout=subprocess.DEVNULL, stderr=said,
                                   preexec_fn=limit)
            _, status, used = os.wait4(run.pid, 0)
            run.returncode = os.waitstatus_to_exitcode(status)
            said.seek(0)
            lines = said.read().splitlines()
        self.assertLess(used.ru_maxrss / 1024, MOST_MB, words)
        self.assertIn(run.returncode, (1, 2), lines[-3:])
        self.assertFalse(self.out.exists())
        return lines

    def refused_job(self, text):
        if isinstance(text, dict):
            text = json.dumps({**BRACKET, **text})
        (self.scratch / "j").write_bytes(text if isinstance(text, bytes) else text.encode())
        return self.fairhole("run", "j", "--out", self.out)

    def test_brackets_without_end(self):
        deep = "fairhole: E123 j: brackets within brackets, 100000 deep; no more than 40 levels are read"
        self.assertEqual(self.refused_job("[" * 100000 + "]" * 100000), [deep])
        self.assertEqual(self.refused_job('{"a":' * 100000 + "1" + "}" * 100000), [deep])

    def test_keys_and_lists_without_end(self):
        self.assertEqual(self.refused_job("{" + ",".join(f'"k{i}":1' for i in range(300000)) + "}"),
                         ["fairhole: E183 j: more than 2000 keys in one object; this cannot be what was meant"])
        holes = [{"hole": f"H{i}", "x": i % 1000, "y": i // 1000} for i in range(300000)]
        self.assertEqual(self.refused_job({"patterns": {"foot": holes}}),
                         ["fairhole: E183 j: more than 100000 entries in one list; this cannot be what was meant"])

    def test_one_key_again_and_again(self):
        lines = self.refused_job("{" + ",".join(['"a":1'] * 90000) + "}")
        self.assertEqual(lines[0], 'fairhole: E124 j: the key "a" stands twice in one object; keep one of them')
        self.assertEqual(lines[100:], ["fairhole: E182 89899 more faults; mend the first ones and run again; the others may "
                                       "follow from them"])

    def test_a_short_file_that_asks_for_a_hundred_million_holes(self):
        rows = [{"row": f"R{k}", "x": 0, "y": 20 * k, "pitch": 1, "count": 10000} for k in range(2)]
        patterns = {f"p{i}": rows for i in range(1999)}
        self.assertEqual(self.refused_job({"patterns": patterns})[0],
                         'fairhole: E133 j: patterns["p5"]: 120000 holes in the patterns up to here; all patterns together take '
                         "up to 100000; look at the counts")

    def test_numbers_beyond_sense(self):
        def plate(thickness):
            return {"plates": [{**BRACKET["plates"][0], "thickness": thickness}]}
        self.assertEqual(self.refused_job(plate(1e308)),
                         ["fairhole: E103 j: plates[0].thickness: a length beyond 100 m; look at the unit: mm, in or ft",
                          "  1e+308", "  ^"])
        lines = self.refused_job(json.dumps({**BRACKET, **plate(77)}).replace("77", "NaN"))
        self.assertRegex(lines[0], "^fairhole: E122 j: line 1, column [0-9]+: this is no JSON from here on; look for a "
                                   "missing comma, quotation mark or bracket just before$")
        self.assertEqual(len(lines), 1)

    def test_names_beyond_sense(self):
        def plate(name):
            return self.refused_job({"plates": [{**BRACKET["plates"][0], "name": name}]})
        remedy = "use up to 60 letters, digits, blanks, points, - and _, a letter or digit first"
        for name in ("../../x", "a\0b", "\x1b[2J"):
            shown = name.replace("\0", " ").replace("\x1b", " ")
            self.assertEqual(plate(name)[0], f'fairhole: E136 j: plates[0].name: "{shown}" cannot name the plate\'s files; '
                                             f"{remedy}")
        self.assertEqual(plate("n" * 10000)[0], f'fairhole: E136 j: plates[0].name: "{"n" * 299}...; {remedy}')

    def test_bytes_that_are_no_text(self):
        lines = self.refused_job(json.dumps(BRACKET).encode().replace(b"Bracket", b"\xff\xfe\xc3"))
        self.assertEqual(len(lines), 1)
        self.assertIn("E122 j: line 1, column ", lines[0])

    def test_files_without_end(self):
        with open(self.scratch / "big", "wb") as big:
            big.truncate(1 << 30)  # a hole of 1 GB: takes no room
        board = JOBS / "wharf-crane" / "photos" / "board-0.json"
        for words, most in ((("run", "big", "--out", self.out), 64), (("survey", "big"), 64), (("register", "big", "big"), 64),
                            (("fair", "big"), 64), (("photo", "big", "--board", board), 400)):
            self.assertEqual(self.fairhole(*words)[0], f"fairhole: E121 big: more than {most} MB; this cannot be what was "
                                                       "meant")

    def test_readings_without_end(self):
        def survey(row):
            (self.scratch / "r").write_text("kind,from,to,reading\n" + "".join(row % i for i in range(150000)))
            return self.fairhole("survey", "r")
        says = ("fairhole: E184 r: line 100002: more than 100000 readings or faults up to here; this cannot be one face; "
                "name another file")
        self.assertEqual(survey("along,H%d,,10\n"), [says])
        lines = survey("alone,H%d,,10\n")
        self.assertEqual(len(lines), 101)
        self.assertIn("E243 r: line 2: `alone` is no kind of reading", lines[0])
        self.assertIn("E182 99902 more faults", lines[100])

    def test_measured_holes_without_end(self):
        (self.scratch / "m").write_text(json.dumps({"holes": [{"id": f"H{i}", "x": i, "y": 0} for i in range(20000)]}))
        says = "fairhole: E180 m: 20000 holes; a face has up to 10000; this cannot be what was meant"
        self.assertEqual(self.fairhole("infer", "m"), [says])
        self.assertEqual(self.fairhole("register", "m", "m"), [says, says])

    def test_pictures_far_larger_than_their_files(self):
        board = JOBS / "wharf-crane" / "photos" / "board-0.json"
        small = (JOBS.parent / "fuzz" / "pictures" / "seed-64.heic").read_bytes()
        at = small.index(b"ispe") + 8
        limit = "the limit is 200 million; take the photograph at the camera's usual 12 to 50 million pixels"
        size = "100000 x 100000 pixels are 10000 million"
        for name, data, says in (
                ("a.png", png(100000, 100000, b"\0" * 1000), f"E342 a.png: {size}; {limit}"),
                ("a.tif", tiff((256, 100000), (257, 100000), (258, 8), (259, 1), (262, 1), (273, 8), (277, 1), (278, 100000),
                               (279, 100)), f"E342 a.tif: {size}; {limit}"),
                ("a.jpg", b"\xff\xd8\xff\xe0\x00\x04ab\xff\xc0\x00\x0b\x08\xff\xff\xff\xff\x01\x01\x11\x00"
                          b"\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x00\xff\xd9",
                 f"E342 a.jpg: 65535 x 65535 pixels are 4295 million; {limit}"),
                ("a.heic", small[:at] + struct.pack(">II", 100000, 100000) + small[at + 8:],
                 "E343 a.heic: the HEIC picture cannot be unpacked: ")):
            with self.subTest(name=name):
                (self.scratch / name).write_bytes(data)
                self.assertIn(says, self.fairhole("photo", name, "--board", board)[0])
        # 30 MB of nothing behind a header of 10 x 10: what does not belong to the picture is not kept.
        (self.scratch / "b.png").write_bytes(png(10, 10, b"\0" * 30_000_000))
        self.assertIn("fairhole: E640 b.png: the picture is black: nothing is lit in it; take it again with more light; both "
                      "the board and the holes must be seen", self.fairhole("photo", "b.png", "--board", board))


class FullDisk(JobCase):
    def test_standard_output_that_takes_nothing(self):
        if not os.path.exists("/dev/full"):
            self.skipTest("this system has no /dev/full")
        with open("/dev/full", "w") as full:
            done = subprocess.run([PROGRAM, "fit", "22 H7/k6"], stdout=full, stderr=subprocess.PIPE, text=True)
        self.assertEqual(done.returncode, 2)
        self.assertEqual(done.stderr, "fairhole: E163 standard output: it cannot be written; free the disk or the pipe behind "
                                      "it\n")


if __name__ == "__main__":
    sys.exit(unittest.main())
