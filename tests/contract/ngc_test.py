# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""The drill program: only where fixture and work offset are stated; run by an interpreter written from the standard."""
import json
import math
import pathlib
import subprocess
import sys
import unittest

from support import CHECKS, JobCase, hashes

sys.path.insert(0, str(CHECKS))
import ngc  # noqa: E402

SETUP = {"fixture": "stops at the datum edges (two) and a clamp", "work_offset": "G55", "safe_height": 40}


class DrillProgram(JobCase):
    def program(self):
        self.example(lambda job: job["plates"][0].update(drill_program=SETUP))
        self.assert_done(self.run_job())
        return (self.out / "side plate.ngc").read_text(encoding="ascii")

    def test_none_without_a_stated_fixture(self):
        self.example()
        self.assert_done(self.run_job())
        self.assertFalse([name for name in hashes(self.out) if name.endswith(".ngc")])

    def test_makes_every_hole_where_the_plan_has_it(self):
        text = self.program()
        machine = ngc.run(text)
        stacks = [s for s in self.plan()["stacks"] if s["plate"] == "side plate" and s["order"]]
        thickness = self.plan()["plates"][0]["thickness"]
        for stack in stacks:
            made = [h for h in machine.holes if math.hypot(h["x"] - stack["x"], h["y"] - stack["y"]) < 1e-4]
            with self.subTest(stack["id"]):
                self.assertGreaterEqual(len(made), 2, "spotted and drilled")
                self.assertEqual(made[0]["tool"], 1)
                self.assertGreater(made[0]["z"], -thickness, "spotted, not drilled through")
                self.assertTrue(all(h["z"] <= -thickness - 2.0 for h in made[1:]), "through, with 2 mm to spare")
                self.assertEqual([h["tool"] for h in made], sorted({h["tool"] for h in made}))
        centres = {(h["x"], h["y"]) for h in machine.holes}
        self.assertEqual(len(centres), len(stacks), "a hole that the plan does not have")

    def test_last_tool_is_the_pilot_or_the_finish(self):
        text = self.program()
        names = dict(line[1:-1].split(" ", 1) for line in text.splitlines() if line.startswith("(T") and ", " in line)
        machine = ngc.run(text)
        for stack in self.plan()["stacks"]:
            if stack["plate"] != "side plate" or not stack["order"]:
                continue
            pilot = [layer["pilot_diameter"] for layer in stack["layers"] if layer["new_plate"]][0]
            wanted = pilot or stack["finish_diameter"]
            last = [h for h in machine.holes if math.hypot(h["x"] - stack["x"], h["y"] - stack["y"]) < 1e-4][-1]
            words = names[f"T{last['tool']}"].split(",")[0].split()
            value = sum(float(a) / float(b) if b else float(a) for a, _, b in (w.partition("/") for w in words[1:-1]))
            diameter = value * (25.4 if words[-1] == "in" else 1.0)
            self.assertLess(abs(diameter - wanted), 0.26, stack["id"])

    def test_no_rapid_move_in_the_metal_and_clear_of_the_clamps(self):
        machine = ngc.run(self.program())
        for kind, start, end, _ in machine.moves:
            if start["X"] is not None and (start["X"], start["Y"]) != (end["X"], end["Y"]):
                self.assertGreaterEqual(min(start["Z"], end["Z"]), SETUP["safe_height"], "across below the safe height")
            down = start["Z"] is not None and end["Z"] < start["Z"]
            if kind == "G0" and down and end["Z"] < 3.0:  # only back into a hole that a peck has made
                self.assertTrue(any(m[0] == "G1" and m[2] == end for m in machine.moves))

    def test_head_says_what_must_be_known(self):
        text = self.program()
        head = text[:text.index("G17")]
        for words in ("CAUTION", "stops at the datum edges /two/ and a clamp", "G55", "Millimetres", "Safe height 40 mm", "face up",
                      "datum corner", "T1 spotting drill"):
            self.assertIn(words, head)
        self.assertIn("\nG55\n", text)

    def test_another_parser_reads_the_same_words(self):
        """A general-purpose parser from the npm registry, where tools/setup --tests has installed it."""
        modules = pathlib.Path(__file__).resolve().parents[1] / "node_modules" / "gcode-parser"
        if not modules.is_dir():
            self.skipTest("gcode-parser is not installed")
        path = self.scratch / "program.ngc"
        path.write_text(self.program())
        script = ("const p = require(process.argv[1]); const fs = require('fs');"
                  "const r = p.parseStringSync(fs.readFileSync(process.argv[2], 'utf8'), {flatten: false});"
                  "console.log(JSON.stringify(r.map(b => b.words).filter(w => w.length)))")
        done = subprocess.run(["node", "-e", script, str(modules), str(path)], capture_output=True, text=True, check=True)
        theirs = [[(letter, float(number)) for letter, number in words] for words in json.loads(done.stdout)]
        lines = path.read_text().splitlines()[1:-1]
        ours = [words for words in (ngc.words_of(line) for line in lines) if words]
        self.assertEqual(theirs, ours)


class Interpreter(unittest.TestCase):
    """It refuses what the standard forbids: else it could not find a fault in our program."""

    def test_refuses(self):
        start = "%\nG17 G21 G90 G94 G40 G49 G80\nG54\nT1 M6\nG43 H1\nG0 Z50\nS500 M3\nF50\n"
        end = "G80\nM5\nM2\n%\n"
        ngc.run(start + "G98 G81 Z-5 R3 X1 Y1\n" + end)
        for bad in ("G98 G81 G82 Z-5 R3 X1 Y1", "G81 Z-5 R3 X1 Y1", "G98 G81 Z-5 X1 Y1", "G98 G81 Z5 R3 X1 Y1", "G98 G83 Z-5 R3 X1 Y1",
                    "G98 G81 Z-5 R3 X1 X2", "(a (b))", "G80\nX5", "G77"):
            with self.subTest(bad), self.assertRaises(ngc.Fault):
                ngc.run(start + bad + "\n" + end)
        for broken in (start.replace("G54\n", ""), start.replace("G43 H1\n", ""), start.replace("S500 M3\n", ""), start.replace("G21 ", "")):
            with self.assertRaises(ngc.Fault):
                ngc.run(broken + "G98 G81 Z-5 R3 X1 Y1\n" + end)


if __name__ == "__main__":
    unittest.main()
