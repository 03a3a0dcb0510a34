# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""fairhole board and fairhole photo: sheets as printed, pictures in, holes out, one clear message for bad ones."""
import functools
import itertools
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


def png(rows, size=None):
    """A grey PNG of these rows by zlib alone; `size`: what its header shall say instead."""
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
    width, height = size or (len(rows[0]), len(rows))
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)) +
            chunk(b"IDAT", zlib.compress(b"".join(b"\0" + bytes(row) for row in rows))) + chunk(b"IEND", b""))


def painted(scratch, dpi):
    """The printed sheet as poppler paints it: rows of grey."""
    subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", "-singlefile", scratch / "board.pdf", scratch / "page"], check=True)
    _, size, _, pixels = (scratch / "page.pgm").read_bytes().split(b"\n", 3)
    width, height = map(int, size.split())
    return [pixels[y * width:(y + 1) * width] for y in range(height)]


def smeared(rows, reach):
    """Means over 2 reach + 1 pixels, thrice each way: near to a normal blur of 1.7 times the reach."""
    def along(row):
        for _ in range(3):
            padded = [row[0]] * (reach + 1) + list(row) + [row[-1]] * reach
            sums = list(itertools.accumulate(padded))
            row = [(sums[i + 2 * reach + 1] - sums[i]) // (2 * reach + 1) for i in range(len(row))]
        return row
    turned = zip(*(along(row) for row in rows))
    return list(zip(*(along(column) for column in turned)))


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


@functools.cache
def read_plainly():
    """devA with its lift, which several tests start from."""
    return fairhole("photo", PHOTOS / "devA.jpg", *A4_0, "--lift", "A4-0=3.2", "--json")


class Photo(unittest.TestCase):
    def photo(self, *words):
        return fairhole("photo", *words)

    def test_json(self):
        done = read_plainly()
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
        plain = {h["id"]: h for h in json.loads(read_plainly().stdout)["holes"]}
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
        """Each gets one clear message, nothing on stdout, and nothing is written."""
        with tempfile.TemporaryDirectory() as scratch:
            scratch = Path(scratch)
            fairhole("board", "--number", 5, "--out", scratch / "board.pdf")
            sheet, small, tiny = (painted(scratch, dpi) for dpi in (100, 50, 12))
            jpeg = (PHOTOS / "devA.jpg").read_bytes()
            damaged = jpeg[:900000] + bytes(200000) + jpeg[1100000:]
            take_again = "take it again, sharp and evenly lit; rest the camera on something"
            no_hole = ("E655", "the board is seen, and no hole; photograph nearer and evenly lit; a rim must lie wholly in "
                       "the picture")
            little_board = ("E645", "too little of a board is seen to go by; take it again with a whole board in the "
                          "picture, sharp and lying flat")
            no_board = ("E641", "no scale board is found in it; photograph a whole board with its white margin, sharp, "
                        "evenly lit, at least a sixth of the picture wide")
            cases = {
                "grey.png": (png([bytes([140]) * 300] * 200), *no_board),
                "sheet.png": (png(sheet), *no_hole),
                "corner.png": (png([row[:175] for row in sheet[:175]]), *little_board),
                "tiny.png": (png(tiny), "E646", "the board is seen, but its edges are too blurred or too small to be measured; "
                             "take it again, sharp and nearer; rest the camera on something"),
                "mirrored.png": (png([row[::-1] for row in sheet]), "E642", "the board is seen mirrored; do not flip the "
                                 'picture, and print the sheet without "mirror"'),
                "two.png": (png([row + row for row in sheet]), "E644", "markers 60, 61, 62, 63, 64, 65, 66, 67, 68, 69, "
                            "70, 71 are seen twice: two sheets of one number; use sheets of different numbers (fairhole "
                            "board --number N)"),
                "blurred.png": (png(smeared(small, 12)), "E646", "nothing in it is sharp, and no scale board can be made "
                                "out; " + take_again),
                "black.png": (png([bytes(300)] * 200), "E640", "the picture is black: nothing is lit in it; take it again "
                              "with more light; both the board and the holes must be seen"),
                "text.jpg": (b"bring the ladder", "E340", "this is no picture file known here, whatever its name says; "
                             "give a photograph as JPEG, PNG, TIFF or HEIC, as the camera wrote it"),
                "cut.jpg": (jpeg[:300000], "E341", "the file ends before the picture does (300000 bytes); copy it from "
                            "the camera again"),
                "damaged.jpg": (damaged, "E343", "the picture cannot be unpacked; its data are damaged; copy it from the "
                                "camera again"),
                "large.png": (png([b"\0"], (20000, 20000)), "E342", "20000 x 20000 pixels are 400 million; the limit is "
                              "200 million; take the photograph at the camera's usual 12 to 50 million pixels"),
            }
            for name, (content, code, text) in cases.items():
                (scratch / name).write_bytes(content)
                self.refused([scratch / name, "--board", scratch / "board.json"], f"{code} {scratch / name}: {text}")
            self.refused([scratch / "sheet.png", scratch / "sheet.png", "--board", scratch / "board.json"],
                         f"E692 {scratch / 'sheet.png'}: it is the same picture as {scratch / 'sheet.png'}, byte for byte; "
                         "give each photograph once: a copy tells nothing more")

    def test_bad_boards(self):
        with tempfile.TemporaryDirectory() as scratch:
            picture = Path(scratch) / "grey.png"
            picture.write_bytes(png([bytes([140]) * 300] * 200))
            good = json.loads((PHOTOS / "boards.json").read_text())
            first = good["boards"][0]
            beside = "give the BOARD.json that was written beside the printed sheet"
            for name, content, text in (
                    ("inch.json", json.dumps({**good, "units": "in"}), 'E130 {}: units: "in" is not known here; write mm'),
                    ("nan.json", json.dumps(good).replace(str(first["markers"][0]["corners"][0][0]), "NaN", 1),
                     "E122 {}: line 1, column 301: this is no JSON from here on; look for a missing comma, quotation mark "
                     "or bracket just before"),
                    ("none.json", json.dumps({**good, "boards": []}), "E691 {}: no board is described in it; " + beside),
                    ("bare.json", json.dumps({**good, "boards": [{**first, "markers": []}]}),
                     "E691 {}: boards[0]: board A4-0 has no markers; " + beside)):
                board = Path(scratch) / name
                board.write_text(content)
                self.refused([picture, "--board", board], text.format(board))
            self.refused([picture, "--board", PHOTOS / "boards.json", "--check", "A4-0=198.4,120"],
                         "E690 --check: board A4-0: its x bar is 120 mm long as designed, so it cannot have measured 198.4 "
                         "mm; read both bars again, in mm, and write first x, then y: A4-0=X,Y", first_of_several=True)

    def refused(self, words, message, first_of_several=False):
        """Exit 1 or 2, that one message, and neither of the files asked for."""
        with self.subTest(words=words), tempfile.TemporaryDirectory() as out:
            done = self.photo(*words, "--picture", Path(out) / "out.svg", "--flat", Path(out) / "out.jpg")
            self.assertIn(done.returncode, (1, 2))
            self.assertEqual(done.stdout, "")
            self.assertEqual(list(Path(out).iterdir()), [])
            lines = done.stderr.splitlines()
            self.assertEqual(lines[0], "fairhole: " + message)
            if not first_of_several:
                self.assertEqual(len(lines), 1, done.stderr)

    def test_both_files_or_none(self):
        demo = PHOTOS.parent / "jobs" / "wharf-crane" / "photos"
        with tempfile.TemporaryDirectory() as scratch:
            taken = Path(scratch) / "taken.jpg"
            taken.write_text("mine")
            done = self.photo(demo / "right-aft-bracket.jpg", "--board", demo / "board-0.json", "--picture",
                              Path(scratch) / "new.svg", "--flat", taken)
            self.assertEqual(done.returncode, 2)
            self.assertEqual([p.name for p in Path(scratch).iterdir()], ["taken.jpg"])
            self.assertEqual(taken.read_text(), "mine")

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
