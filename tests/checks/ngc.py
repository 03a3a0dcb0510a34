# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""An interpreter for drilling programs, written from NIST IR 6556 (Kramer, Proctor, Messina: The NIST RS274NGC Interpreter,
version 3, 2000): section 3.3 (lines, words, comments), 3.4 (modal groups, table 4), 3.5.16 (canned cycles G81, G82, G83, G85).
It keeps to what such programs need and refuses the rest. run(text) gives the holes made and every move."""
import re

GROUPS = {  # table 4
    1: ("G0", "G1", "G2", "G3", "G38.2", "G80", "G81", "G82", "G83", "G84", "G85", "G86", "G87", "G88", "G89"),
    2: ("G17", "G18", "G19"), 3: ("G90", "G91"), 5: ("G93", "G94"), 6: ("G20", "G21"), 7: ("G40", "G41", "G42"), 8: ("G43", "G49"),
    10: ("G98", "G99"), 12: ("G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"), 13: ("G61", "G61.1", "G64"),
    104: ("M0", "M1", "M2", "M30", "M60"), 106: ("M6",), 107: ("M3", "M4", "M5"), 108: ("M7", "M8", "M9"), 109: ("M48", "M49"),
}
GROUP_OF = {code: group for group, codes in GROUPS.items() for code in codes}
CYCLES = ("G81", "G82", "G83", "G85")
WORD = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")


class Fault(Exception):
    pass


def words_of(line):
    """Words of a block, comments taken out (3.3.3: no bracket within a comment); 3.3: at most 256 characters."""
    if len(line) > 256:
        raise Fault("a line of over 256 characters")
    plain, depth = "", 0
    for char in line:
        if char == "(":
            if depth:
                raise Fault("a bracket within a comment")
            depth = 1
        elif char == ")":
            if not depth:
                raise Fault("a comment ends that did not begin")
            depth = 0
        elif not depth:
            plain += char
    if depth:
        raise Fault("a comment does not end")
    plain = re.sub(r"\s", "", plain).upper()
    words = WORD.findall(plain)
    if "".join(a + b for a, b in words) != plain:
        raise Fault(f"cannot read {plain!r}")
    return [(letter, float(number)) for letter, number in words]


class Machine:
    def __init__(self):
        self.at = {"X": None, "Y": None, "Z": None}  # unknown before the first move
        self.modal = {}
        self.tool = self.slot = self.offset = None
        self.feed = self.speed = 0.0
        self.spinning = self.ended = False
        self.sticky = {}  # R, Z, Q of a cycle hold from block to block (3.5.16.1)
        self.holes, self.moves = [], []

    def need(self, condition, text):
        if not condition:
            raise Fault(text)

    def block(self, line):
        self.need(not self.ended, "a block after the program's end")
        codes, values = [], {}
        for letter, number in words_of(line):
            if letter in "GM":
                codes.append(f"{letter}{number:g}")
                continue
            self.need(letter in "FHNPQRSTXYZL", f"word {letter} has no business here")
            self.need(letter not in values, f"word {letter} twice in a block")
            values[letter] = number
        groups = [GROUP_OF.get(code) for code in codes]
        self.need(None not in groups, f"unknown code in {codes}")
        self.need(len(set(groups)) == len(groups), f"two codes of one modal group: {codes}")
        self.carry_out(codes, values)

    def carry_out(self, codes, values):
        """In the order of table 8: feed, speed, tool, tool change, spindle, modes, motion, stop."""
        self.feed = values.get("F", self.feed)
        self.speed = values.get("S", self.speed)
        self.slot = values.get("T", self.slot)
        for code in codes:
            if code == "M6":
                self.need(not self.spinning, "a tool change with the spindle turning")
                self.tool, self.offset = self.slot, None
            elif code in ("M3", "M4", "M5"):
                self.need(code == "M5" or self.speed > 0.0, "the spindle starts without a speed")
                self.spinning = code != "M5"
            elif code == "G43":
                self.need("H" in values, "G43 without H")
                self.offset = values["H"]
            elif code == "G49":
                self.offset = None
            if code[0] == "G" and code not in ("G43", "G49"):
                self.modal[GROUP_OF[code]] = code
        motion = self.modal.get(1)
        if any(axis in values for axis in "XYZ"):
            self.need(motion is not None and motion != "G80", "an axis word and no motion")
            (self.cycle if motion in CYCLES else self.straight)(motion, values)
        if motion == "G80":
            self.sticky = {}
        if "M2" in codes or "M30" in codes:
            self.need(not self.spinning, "the program ends with the spindle turning")
            self.ended = True

    def ready(self):
        for group, code in ((2, "G17"), (3, "G90"), (6, "G21")):
            self.need(self.modal.get(group) == code, f"{code} is not in force")
        self.need(self.modal.get(12), "no work offset")
        self.need(self.tool is not None and self.offset == self.tool, "no tool with its own length offset")

    def go(self, kind, **to):
        start = dict(self.at)
        self.at.update(to)
        self.moves.append((kind, start, dict(self.at), self.tool))

    def straight(self, motion, values):
        self.need(motion in ("G0", "G1"), f"{motion} is none of ours")
        self.ready()
        self.need(motion == "G0" or (self.feed > 0.0 and self.spinning), "G1 without feed or spindle")
        self.go(motion, **{axis: values[axis] for axis in "XYZ" if axis in values})

    def cycle(self, motion, values):
        self.ready()
        self.need(self.spinning and self.feed > 0.0, "a cycle without spindle or feed")
        self.need(self.modal.get(10) in ("G98", "G99"), "no return level")
        for letter in "RZQ":
            if letter in values:
                self.sticky[letter] = values[letter]
        self.need("R" in self.sticky and "Z" in self.sticky, "a cycle without R or Z")
        clear, bottom = self.sticky["R"], self.sticky["Z"]
        self.need(clear >= bottom, "R below Z")
        self.need(self.at["Z"] is not None, "a cycle from an unknown height")
        old_z = self.at["Z"]
        if self.at["Z"] < clear:  # 3.5.16.1: preliminary motion
            self.go("G0", Z=clear)
        self.go("G0", X=values.get("X", self.at["X"]), Y=values.get("Y", self.at["Y"]))
        self.go("G0", Z=clear)
        if motion == "G83":
            peck = self.sticky.get("Q", 0.0)
            self.need(peck > 0.0, "G83 without Q")
            depth = clear
            while depth - peck > bottom:
                depth -= peck
                self.go("G1", Z=depth)
                self.go("G0", Z=clear)
                self.go("G0", Z=depth)
        self.go("G1", Z=bottom)
        self.go("G1" if motion == "G85" else "G0", Z=clear)
        self.go("G0", Z=max(old_z, clear) if self.modal[10] == "G98" else clear)
        self.holes.append({"tool": int(self.tool), "x": self.at["X"], "y": self.at["Y"], "z": bottom, "cycle": motion,
                           "feed": self.feed, "speed": self.speed})


def run(text):
    lines = text.split("\n")
    if lines[0].strip() != "%" or lines[-2].strip() != "%":
        raise Fault("a program that begins with % ends with it (3.3)")
    machine = Machine()
    for number, line in enumerate(lines[1:-2], 2):
        try:
            machine.block(line)
        except Fault as fault:
            raise Fault(f"line {number}: {line}: {fault}") from None
    if not machine.ended:
        raise Fault("the program does not end (M2 or M30)")
    return machine
