# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""Simulated restorations for the whole-chain trial: old parts with their true holes, and what a fitter would measure.

The demo job gives the shape (parts, seats, patterns, fasteners); everything else is drawn anew for each case. Frames and
hands follow docs/formats/job.md and are worked out here once more, apart from the program."""
import copy
import math

IN = 25.4


def length(value):
    """Millimetres of a length of the demo job: a number, or text such as '1 1/16 in'."""
    if isinstance(value, (int, float)):
        return float(value)
    number, unit = value.rsplit(" ", 1)
    whole = sum(int(p.split("/")[0]) / int(p.split("/")[1]) if "/" in p else float(p) for p in number.split())
    return whole * (IN if unit == "in" else 1.0)


def turned(degrees, p):
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (c * p[0] - s * p[1], s * p[0] + c * p[1])


def carrier_from_face(seat, p):
    """seat: x, y, turn_deg, mirrored."""
    q = turned(seat["turn_deg"], (p[0], -p[1] if seat["mirrored"] else p[1]))
    return (seat["x"] + q[0], seat["y"] + q[1])


def face_from_carrier(seat, p):
    q = turned(-seat["turn_deg"], (p[0] - seat["x"], p[1] - seat["y"]))
    return (q[0], -q[1] if seat["mirrored"] else q[1])


def pattern_holes(items):
    """{id: (x, y)} of a pattern of single holes and rows."""
    holes = {}
    for item in items:
        x, y = length(item["x"]), length(item["y"])
        if "hole" in item:
            holes[item["hole"]] = (x, y)
            continue
        step = turned(item.get("direction_deg", 0), (length(item["pitch"]), 0.0))
        for k in range(item["count"]):
            holes[f"{item['row']}{k + 1}"] = (x + k * step[0], y + k * step[1])
    return holes


def group_holes(job, group):
    """{id: (x, y)} of a hole group, in its carrier's frame."""
    at = group["at"]
    placed = {}
    for hole, (x, y) in pattern_holes(job["patterns"][group["pattern"]]).items():
        q = turned(at.get("turn_deg", 0), (x, -y if group["hand"] == "other" else y))
        placed[hole] = (at["x"] + q[0], at["y"] + q[1])
    return placed


class Hole:
    """A true old hole in its face's frame: `at` on the measured side, `faying` where the part touches its carrier."""

    def __init__(self, at, faying, shortest, ovality, axis_deg):
        self.at, self.faying, self.shortest, self.ovality, self.axis_deg = at, faying, shortest, ovality, axis_deg

    def ends(self):
        """Centres of the two discs whose hull the hole is."""
        u = turned(self.axis_deg, (self.ovality / 2, 0.0))
        return [(self.faying[0] + u[0], self.faying[1] + u[1]), (self.faying[0] - u[0], self.faying[1] - u[1])]


class Case:
    """One restoration: `job` as it is typed, `files` of readings, and the truth: {(part, face): {stack id: Hole}}."""

    def __init__(self, demo, rng):
        self.rng, self.job, self.files, self.truth, self.slips = rng, copy.deepcopy(demo), {}, {}, 0
        self.scatter = rng.uniform(0.15, 0.4)
        self.leave_out()
        way = rng.choice(["marked out", "template", "CNC"])
        for plate in self.job["plates"]:
            plate["drilled"] = way
        self.job["rules"]["confidence"] = rng.choice([0.7, 0.8, 0.9, 0.95])
        groups = {g["name"]: g for g in self.job["hole_groups"]}
        drawn = {}
        for joint in self.job["joints"]:
            key = (joint["part"], joint["face"])
            drawn[key] = [(groups[g], hole, p) for g in joint["groups"] for hole, p in group_holes(self.job, groups[g]).items()]
        beam = ("beam", "back")
        drawn[beam] = [(g, hole, p) for g in self.job["hole_groups"] if g["on"] == "beam/back"
                       for hole, p in group_holes(self.job, g).items()]
        seats = {(j["part"], j["face"]): j for j in self.job["joints"]}
        for part in self.job["parts"]:
            for face in part["faces"]:
                self.add_face(part, face, seats.get((part["id"], face["name"])), drawn[part["id"], face["name"]])

    def leave_out(self):
        """Some of the parts are not there: no two cases are alike."""
        loose = [p["id"] for p in self.job["parts"] if p["kind"] in ("bracket", "guide")]
        gone = {p for p in loose if self.rng.random() < 0.3}
        self.job["parts"] = [p for p in self.job["parts"] if p["id"] not in gone]
        self.job["joints"] = [j for j in self.job["joints"] if j["part"] not in gone]
        kept = {g for j in self.job["joints"] for g in j["groups"]}
        self.job["hole_groups"] = [g for g in self.job["hole_groups"] if g["name"] in kept]

    def add_face(self, part, face, joint, drawn):
        rng = self.rng
        seat = {"x": 0.0, "y": 0.0, "turn_deg": 0.0, "mirrored": False}
        if joint:
            seat = dict(joint["seat"], mirrored=(joint["side"] == "marked") == (face["measured_from"] == "faying"))
        turn, shift = rng.gauss(0, 0.0012), (rng.gauss(0, 0.5), rng.gauss(0, 0.5))  # the row as once drilled
        tilt = length(face["thickness"]) * math.radians(0.5) if face["measured_from"] == "outer" else 0.0
        middle = [sum(p[k] for _g, _h, p in drawn) / len(drawn) for k in (0, 1)]
        holes, truth = {}, {}
        for k, (group, stack, p) in enumerate(drawn):
            arm = (p[0] - middle[0], p[1] - middle[1])
            moved = (p[0] + shift[0] - turn * arm[1], p[1] + shift[1] + turn * arm[0])
            u, v = face_from_carrier(seat, moved)
            at = (u + rng.gauss(0, self.scatter), v + rng.gauss(0, self.scatter))
            faying = (at[0] + rng.gauss(0, tilt), at[1] + rng.gauss(0, tilt))
            oval = rng.uniform(0.8, 1.8) if rng.random() < 0.03 else abs(rng.gauss(0, 0.08))
            fastener = self.job["fasteners"][group["fastener"]]
            shortest = max(length(fastener["sizes"][0]), length(fastener["diameter"]) + 1.5) if "clearance" in fastener \
                else length(fastener["sizes"][0])
            hole = Hole(at, faying, shortest + abs(rng.gauss(0.1, 0.12)), oval, rng.uniform(0, 180))
            holes[f"H{k + 1}"] = hole
            truth[stack] = hole
        name = f"readings/{part['id']}-{face['name']}.csv"
        self.files[name] = self.measure(holes)
        face.pop("photos", None)
        face.pop("holes", None)
        face["readings"] = [name]
        self.truth[part["id"], face["name"]] = truth

    def slip(self, value, unit):
        """What a person does to a reading now and then."""
        step = IN if unit == "in" else 10.0
        return value + self.rng.choice([step, -step, step / 2, -step / 2, 2.0, -2.0])

    def measure(self, holes):
        """Tape of class II (Directive 2014/32/EU: 0.3 mm + 0.2 mm for each metre; 0.2 mm more at the end), calliper."""
        rng = self.rng
        unit = rng.choice(["mm", "in"])
        scale, zero = 1 + rng.uniform(-0.5, 0.5) / 1000, {k: rng.uniform(-0.2, 0.2) for k in ("along", "across")}
        slope = math.tan(math.radians(rng.gauss(0, 0.2)))
        resolution = IN / 64 if unit == "in" else 0.5

        def tape(kind, true):
            read = true * scale + zero.get(kind, 0.0) + rng.gauss(0, 0.15)
            if rng.random() < 0.01:
                self.slips += 1
                read = self.slip(read, unit)
            return f"{round(read / resolution) * resolution / (IN if unit == 'in' else 1.0):.6f}"

        lines = [f"# unit: {unit}", "# tape: II", f"# resolution: {'1/64' if unit == 'in' else '0.5'}",
                 f"# centring: {'0.15 mm' if unit == 'mm' else '0.0059055'}", "# square: 0 +- 0.2",
                 "kind,from,to,reading,sigma,note"]
        ids = list(holes)
        for h, hole in holes.items():
            lines.append(f"along,{h},,{tape('along', hole.at[0] - slope * hole.at[1])},,")
            lines.append(f"across,{h},,{tape('across', hole.at[1])},,")
        pairs = list(zip(ids, ids[1:])) + list(zip(ids, ids[2:])) + ([(ids[0], ids[-1])] if len(ids) > 3 else [])
        for a, b in dict.fromkeys(pairs):
            lines.append(f"centres,{a},{b},{tape('centres', math.dist(holes[a].at, holes[b].at))},,")
        for h, hole in holes.items():
            for direction in (0, 90):
                mean = hole.shortest + hole.ovality / 2
                across = mean + hole.ovality / 2 * math.cos(2 * math.radians(direction - hole.axis_deg)) + rng.gauss(0, 0.04)
                lines.append(f"dia,{h},{direction},{across:.2f} mm,0.04 mm,")
        return "\n".join(lines) + "\n"
