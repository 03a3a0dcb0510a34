# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""fairhole board and fairhole photo: sheets as printed, pictures in, holes out, one clear message for bad ones."""
import json
import struct
import subprocess
import tempfile
import unittest
import zlib
from pathlib import Path

from support import fairhole

PHOTOS = Path(__file__).resolve().parents[2] / "fixtures" / "photos"
A4_0 = ["--board", PHOTOS / "boards.json", "--check", "A4-0=118.2,198.4"]


class Board(unittest.TestCase):
    def setUp(self):
        scratch = tempfile.TemporaryDirectory(prefix="fairhole-contract-")
        self.addCleanup(scratch.cleanup)
        self.scratch = Path(scratch.name)

    def board(self, *words, name="board.pdf"):
        return fairhole("board", *words, "--out", self.scratch / name)

    def test_sheet_and_description(self):
        for paper, points in (("A4", (595.276, 841.89)), ("A3", (841.89, 1190.551)), ("Letter", (612, 792))):
            done = self.board("--paper", paper, "--number", 2, name=f"{paper}.pdf")
            self.assertEqual(done.returncode, 0, done.stderr)
            described = json.loads((self.scratch / f"{paper}.json").read_text())["boards"][0]
            self.assertEqual(described["name"], f"{paper}-2")
            self.assertEqual([m["id"] for m in described["markers"]], list(range(24, 36)))
            info = subprocess.run(["pdfinfo", self.scratch / f"{paper}.pdf"], capture_output=True, text=True, check=True)
            width, height = (float(word) for word in info.stdout.split("Page size:")[1].split()[0:3:2])
            self.assertAlmostEqual(width, points[0], delta=0.01)
            self.assertAlmostEqual(height, points[1], delta=0.01)

    def test_printed_bars_have_their_length(self):
        """Second method: poppler paints the page, and the x bar's dark run is measured in pixels."""
        self.board("--paper", "A4")
        dpi = 300
        subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", self.scratch / "board.pdf", self.scratch / "page"], check=True)
        data = next(self.scratch.glob("page*.pgm")).read_bytes()
        header = data.split(b"\n", 3)
        width, height = map(int, header[1].split())
        pixels = header[3]
        bar = next(b for b in json.loads((self.scratch / "board.json").read_text())["boards"][0]["check_bars"]
                   if b["axis"] == "x")
        row = round(height - bar["a"][1] * dpi / 25.4)
        rows = [pixels[r * width:(r + 1) * width] for r in range(row - 2, row + 3)]
        dark = [x for x in range(width) if min(r[x] for r in rows) < 128]
        self.assertAlmostEqual((dark[-1] - dark[0]) * 25.4 / dpi, bar["length_mm"], delta=0.25)  # the ticks' own width

    def test_printed_board_is_found_again(self):
        """The sheet as scanned: its own board is seen, and that there is no hole beside it."""
        self.board("--paper", "A4", "--number", 5)
        subprocess.run(["pdftoppm", "-r", "120", "-png", "-singlefile", self.scratch / "board.pdf", self.scratch / "page"],
                       check=True)
        done = fairhole("photo", self.scratch / "page.png", "--board", self.scratch / "board.json")
        self.assertEqual(done.returncode, 1)
        self.assertIn("E655", done.stderr)
        self.assertIn("the board is seen, and no hole", done.stderr)

    def test_refusals(self):
        done = self.board("--paper", "A5", "--number", 99)
        self.assertEqual(done.returncode, 2)
        self.assertIn("E345 --paper", done.stderr)
        self.assertIn("E346 --number", done.stderr)
        self.assertEqual(list(self.scratch.iterdir()), [])
        (self.scratch / "board.json").write_text("mine")
        done = self.board()
        self.assertEqual(done.returncode, 2)
        self.assertIn("board.json: a file of that name is there already", done.stderr)
        self.assertEqual([p.name for p in self.scratch.iterdir()], ["board.json"])


class Photo(unittest.TestCase):
    def photo(self, *words):
        return fairhole("photo", *words)

    def test_json(self):
        done = self.photo(PHOTOS / "devA.jpg", *A4_0, "--lift", "A4-0=3.2", "--json")
        self.assertEqual(done.returncode, 0, done.stderr)
        out = json.loads(done.stdout)
        self.assertEqual(out["frame"], "A4-0")
        self.assertEqual(len(out["covariance"]["order"]), 2 * len(out["holes"]))
        self.assertEqual(out["covariance"]["order"][:2], ["H1.x", "H1.y"])
        for i, hole in enumerate(out["holes"]):
            self.assertEqual(hole["sxx"], out["covariance"]["mm2"][2 * i][2 * i])
            self.assertEqual(hole["sxy"], out["covariance"]["mm2"][2 * i][2 * i + 1])
        self.assertLess(out["board_rms_px"], 0.05)

    def test_part_frame_and_picture(self):
        """The plate of devD: its truth stands in the frame of its own edges, and what is claimed holds there."""
        with tempfile.TemporaryDirectory() as scratch:
            picture = Path(scratch) / "devD.svg"
            words = [PHOTOS / "devD.jpg", *A4_0, "--lift", "A4-0=-17.4"]
            done = self.photo(*words, "--edges", "--picture", picture, "--json")
            self.assertEqual(done.returncode, 0, done.stderr)
            svg = picture.read_text()
            self.assertEqual(self.photo(*words, "--edges", "--picture", picture).returncode, 2)  # never written over
        self.assertIn("data:image/jpeg;base64,", svg)
        self.assertIn("Frame of part", svg)
        out = json.loads(done.stdout)
        self.assertEqual(out["frame"], "part")
        self.assertTrue(any("x runs along the straight edge" in text for text in out["warnings"]))
        for true in json.loads((PHOTOS / "devD.truth.json").read_text())["holes"]:
            x, y = true["part_xy"]
            hole = min(out["holes"], key=lambda h: (h["x"] - x) ** 2 + (h["y"] - y) ** 2)
            self.assertLess(abs(hole["x"] - x), 3.5 * hole["sxx"] ** 0.5)
            self.assertLess(abs(hole["y"] - y), 3.5 * hole["syy"] ** 0.5)
            self.assertLess(hole["sxx"] + hole["syy"], 0.5 ** 2)

    def test_frame_of_two_holes(self):
        words = [PHOTOS / "devA.jpg", *A4_0, "--lift", "A4-0=3.2", "--json"]
        plain = {h["id"]: h for h in json.loads(self.photo(*words).stdout)["holes"]}
        a, b = [h["id"] for h in plain.values() if not h["doubtful"]][:2]
        done = self.photo(*words, "--datum", f"{a},{b}")
        self.assertEqual(done.returncode, 0, done.stderr)
        holes = json.loads(done.stdout)["holes"]
        origin = min(holes, key=lambda h: h["x"] ** 2 + h["y"] ** 2)
        self.assertLess(max(abs(origin[k]) for k in ("x", "y", "sxx", "syy")), 1e-9)
        length = ((plain[a]["x"] - plain[b]["x"]) ** 2 + (plain[a]["y"] - plain[b]["y"]) ** 2) ** 0.5
        other = min(holes, key=lambda h: abs(h["x"] - length) + abs(h["y"]))
        self.assertAlmostEqual(other["x"], length, delta=1e-6)
        self.assertAlmostEqual(other["syy"], 0.0, delta=1e-9)
        done = self.photo(*words, "--datum", f"{a},H99")
        self.assertEqual(done.returncode, 2)
        self.assertIn("E357 --datum: no hole H99 is seen; name two holes as they are listed without this option: "
                      "--datum H1,H5", done.stderr)

    def test_bad_pictures(self):
        """Each gets one clear message, and nothing on stdout."""
        def plain(name, width, height, value):
            """An even grey as PNG, by zlib alone."""
            def chunk(kind, data):
                return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
            rows = (b"\0" + bytes([value]) * width) * height
            path = Path(scratch) / name
            path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)) +
                             chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b""))
            return path
        with tempfile.TemporaryDirectory() as scratch:
            fairhole("board", "--number", 5, "--out", Path(scratch) / "board.pdf")
            subprocess.run(["pdftoppm", "-r", "100", "-png", "-singlefile", Path(scratch) / "board.pdf",
                            Path(scratch) / "page"], check=True)
            subprocess.run(["pdftoppm", "-r", "100", "-png", "-singlefile", "-H", "175", "-x", "0", "-y", "0", "-W", "175",
                            Path(scratch) / "board.pdf", Path(scratch) / "corner"], check=True)
            subprocess.run(["pdftoppm", "-r", "12", "-png", "-singlefile", Path(scratch) / "board.pdf",
                            Path(scratch) / "tiny"], check=True)
            board = ["--board", Path(scratch) / "board.json"]
            for picture, code, phrase in (
                    (plain("black.png", 300, 200, 0), "E640", "black.png"),
                    (plain("grey.png", 300, 200, 140), "E641", "grey.png"),
                    (Path(scratch) / "corner.png", "E655", "corner.png"),  # one marker is enough to go by
                    (Path(scratch) / "tiny.png", "E64", "tiny.png")):
                done = self.photo(picture, *board, "--picture", Path(scratch) / "out.svg")
                with self.subTest(picture=picture.name):
                    self.assertIn(done.returncode, (1, 2))
                    self.assertEqual(done.stdout, "")
                    lines = [line for line in done.stderr.splitlines() if line.strip()]
                    self.assertEqual(len(lines), 1, done.stderr)
                    self.assertIn(phrase, lines[0])
                    if code:
                        self.assertIn(code, lines[0])
                    self.assertFalse((Path(scratch) / "out.svg").exists())

    def test_every_fault_at_once(self):
        with tempfile.TemporaryDirectory() as scratch:
            text = Path(scratch) / "notes.jpg"
            text.write_text("bring the ladder")
            cut = Path(scratch) / "cut.jpg"
            cut.write_bytes((PHOTOS / "devA.jpg").read_bytes()[:300000])
            done = self.photo(text, cut, Path(scratch) / "none.jpg", "--board", PHOTOS / "boards.json",
                              "--check", "A4-0=118.2", "--lift", "A4-0")
        self.assertEqual(done.returncode, 2)
        for phrase in ("E340", "notes.jpg: this is no picture file", "E341", "cut.jpg: the file ends before",
                       "E121", "none.jpg: there is no such file",
                       'E355 --check: "A4-0=118.2" cannot be read; write what the x and the y bar measured: A4-0=179.6,269.5',
                       'E355 --lift: "A4-0" cannot be read; write how high the print lies above the metal, in mm: A4-0=3.2'):
            self.assertIn(phrase, done.stderr)
        self.assertEqual(done.stdout, "")

    def test_what_a_person_says_of_places(self):
        demo = PHOTOS.parent / "jobs" / "wharf-crane" / "photos"
        words = [demo / "right-aft-bracket.jpg", "--board", demo / "board-0.json", "--lift", "A4-0=-15.9"]
        before = json.loads(self.photo(*words, "--json").stdout)["holes"]
        with tempfile.TemporaryDirectory() as scratch:
            flat = Path(scratch) / "flat.jpg"
            said = [f"--hole=B1={before[0]['x'] + 2},{before[0]['y'] - 2}", f"--no-hole={before[1]['x']},{before[1]['y']}"]
            after = json.loads(self.photo(*words, *said, "--flat", flat, "--json").stdout)
            self.assertEqual(flat.read_bytes()[:2], b"\xff\xd8")
            low, high = after["flat"]["low"], after["flat"]["high"]
            self.assertTrue(all(low[i] < hole["xy"[i]] < high[i] for hole in before for i in (0, 1)))
        self.assertEqual([hole["id"] for hole in after["holes"]], ["B1", "H2", "H3", "H4"])
        self.assertAlmostEqual(after["holes"][0]["x"], before[0]["x"], delta=0.05)
        self.assertEqual([hole["doubtful"] for hole in after["holes"]], [False, True, False, False])
        self.assertEqual(after["holes"][1]["remarks"][-1], "marked as no hole by hand")
        done = self.photo(*words, "--hole", "A3=12", "--no-hole", "far away")
        self.assertEqual(done.returncode, 2)
        self.assertIn('E355 --hole: "A3=12" cannot be read; write where the hole is, with its name if it shall have one: '
                      "120.5,44 or A3=120.5,44", done.stderr)
        self.assertIn('E355 --no-hole: "far away" cannot be read; write where it is: 120.5,44', done.stderr)

    def test_scans_and_boards_do_not_mix(self):
        for words, phrase in (
                ([], "E355 --board: nothing says how large things are; name the BOARD.json of the sheet in the pictures, "
                     "or the --dpi of a flatbed scan"),
                (["--dpi", 300, "--board", PHOTOS / "boards.json"],
                 "E355 --dpi: it is for one scan without a board; give one picture and no --board; or leave --dpi out, "
                 "for a board gives the scale"),
                (["--dpi", 7], 'E355 --dpi: "7" cannot be read; write the scanner\'s dots to the inch, 50 to 5000'),
                (["--dpi", 300, "--datum", "H1"],
                 "E355 --datum: two holes are needed; write the hole at the origin and the one x runs to: --datum H1,H5"),
                (["--dpi", 300, "--edges", "--datum", "H1,H2"],
                 "E355 --datum: --edges gives the frame already; write the hole at the origin and the one x runs to: "
                 "--datum H1,H5")):
            done = self.photo(PHOTOS / "devE.jpg", *words)
            self.assertEqual(done.returncode, 2)
            self.assertIn(phrase, done.stderr)

    def test_no_datum_edges(self):
        # A scan shows marks on paper, and no part.
        done = self.photo(PHOTOS / "devE.jpg", "--rubbing", "--dpi", 300, "--edges")
        self.assertEqual(done.returncode, 1)
        self.assertIn("E657 --edges: no two straight edges that meet square are seen about the holes; photograph the part "
                      "with its datum corner, on a ground of another colour; or name two holes: --datum H1,H5", done.stderr)

    def test_board_files_that_are_none(self):
        with tempfile.TemporaryDirectory() as scratch:
            bad = Path(scratch) / "bad.json"
            layout = json.loads((PHOTOS / "boards.json").read_text())
            layout["boards"][1]["markers"][0]["id"] = 3
            layout["boards"][2]["markers"][0]["corners"].pop()
            bad.write_text(json.dumps(layout))
            done = self.photo(PHOTOS / "devA.jpg", "--board", bad)
            self.assertEqual(done.returncode, 2)
            self.assertIn("boards[2].markers[0]: 3 corners where a marker has four", done.stderr)
            layout["boards"].pop()
            bad.write_text(json.dumps(layout))
            done = self.photo(PHOTOS / "devA.jpg", "--board", bad)
            self.assertEqual(done.returncode, 2)
            self.assertIn("E349 --board: boards A4-0 and A4-1 both have marker 3", done.stderr)


if __name__ == "__main__":
    unittest.main()
