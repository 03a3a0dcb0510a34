# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""What the trial compares with: three ways in which plates are laid out without this program. Each is dealt with kindly:
readings without blunders, no notice taken that parts touch each other, and afterwards every stack gets the best circle or shank
that there is."""
import math

from crane import carrier_from_face, group_holes, length
from shop import DRILLING, SETTING, Layer, Rigid, cleans_up_at, plus, widest_shank

MEASURING = 0.2  # mm, each axis: tape and centring


def marked(p, way, rng):
    at = tuple(round(v / 0.5) * 0.5 for v in p) if way == "marked out" else p
    punch, wander = DRILLING[way]
    return tuple(v + rng.gauss(0, punch) + rng.gauss(0, wander) for v in at)


def farthest(ids, at):
    return max(((a, b) for a in ids for b in ids), key=lambda pair: math.dist(at[pair[0]], at[pair[1]]))


def as_seen(holes, nominal, rng):
    """Measured places of a part's holes with the part laid over the drawing as well as it goes (mean and turn)."""
    seen = {h: (p[0] + rng.gauss(0, MEASURING), p[1] + rng.gauss(0, MEASURING)) for h, p in holes.items()}
    n = len(seen)
    mean = [sum(p[k] for p in seen.values()) / n for k in (0, 1)]
    goal = [sum(nominal[h][k] for h in seen) / n for k in (0, 1)]
    cross = dot = 0.0
    for h, p in seen.items():
        u, v = (p[0] - mean[0], p[1] - mean[1]), (nominal[h][0] - goal[0], nominal[h][1] - goal[1])
        cross, dot = cross + u[0] * v[1] - u[1] * v[0], dot + u[0] * v[0] + u[1] * v[1]
    c, s = math.cos(math.atan2(cross, dot)), math.sin(math.atan2(cross, dot))
    return {h: (goal[0] + c * (p[0] - mean[0]) - s * (p[1] - mean[1]), goal[1] + s * (p[0] - mean[0]) + c * (p[1] - mean[1]))
            for h, p in seen.items()}


class Bench:
    """One case, laid out by `way_of_layout`: 'drawing', 'transfer' or 'average'."""

    def __init__(self, case, way_of_layout, rng):
        self.case, self.layout, self.rng = case, way_of_layout, rng
        self.way = case.job["plates"][0]["drilled"]
        self.groups = {g["name"]: g for g in case.job["hole_groups"]}

    def results(self):
        """((carrier, stack), outcome) of every stack that joins old metal."""
        out = []
        for carrier in sorted({g["on"] for g in self.groups.values()}):
            out += self.carrier(carrier)
        return out

    def carrier(self, carrier):
        rng, case = self.rng, self.case
        nominal, spec = {}, {}
        for g in self.groups.values():
            if g["on"] == carrier:
                for h, p in group_holes(case.job, g).items():
                    nominal[h], spec[h] = p, case.job["fasteners"][g["fastener"]]
        joints = [j for j in case.job["joints"] if j["on"] == carrier]
        joints.sort(key=lambda j: j["side"] != "marked")  # the outer part first: it is the jig
        rough = {j["name"]: self.in_carrier(j) for j in joints}
        old = case.truth.get(tuple(carrier.split("/")))
        anchor = {h: old[h].faying for h in nominal} if old else {}
        layers = {h: [Layer(old[h].ends(), old[h].shortest)] for h in nominal} if old else {h: [] for h in nominal}
        plate_hole = {}
        if not old and self.layout == "drawing":
            plate_hole = {h: (marked(p, self.way, rng), length(spec[h]["sizes"][0])) for h, p in nominal.items()}
        if not old and self.layout == "average":
            seen = [as_seen({h: t.centre for h, t in rough[j["name"]].items()}, nominal, rng) for j in joints]
            for h, p in nominal.items():
                places = [s[h] for s in seen if h in s] or [p]
                mean = tuple(sum(q[k] for q in places) / len(places) for k in (0, 1))
                plate_hole[h] = (marked(mean, self.way, rng), length(spec[h]["sizes"][0]) - 3.0)  # a pilot
        anchor = anchor or {h: plate_hole[h][0] if h in plate_hole else marked(p, self.way, rng) for h, p in nominal.items()}
        for j in joints:
            for h, layer in self.hung(rough[j["name"]], anchor).items():
                layers[h].append(layer)
                if not old and self.layout == "transfer" and h not in plate_hole:
                    plate_hole[h] = (layer.centre, 2 * layer.radius)
                    anchor[h] = layer.centre
        return [((carrier, h), outcome(spec[h], layers[h], plate_hole.get(h), self.layout == "transfer")) for h in nominal if layers[h]]

    def in_carrier(self, joint):
        """The part's true holes with the part at the drawing's seat."""
        face = next(f for p in self.case.job["parts"] if p["id"] == joint["part"] for f in p["faces"] if f["name"] == joint["face"])
        seat = dict(joint["seat"], mirrored=(joint["side"] == "marked") == (face["measured_from"] == "faying"))
        holes = self.case.truth[joint["part"], joint["face"]]
        return {h: Layer([carrier_from_face(seat, e) for e in hole.ends()], hole.shortest) for h, hole in holes.items()}

    def hung(self, holes, anchor):
        """The part bolted up by its two holes farthest apart, each off by the setting error."""
        at = {h: t.centre for h, t in holes.items()}
        ids = [h for h in holes if h in anchor]
        a, b = farthest(ids, at)
        error = lambda: (self.rng.gauss(0, SETTING), self.rng.gauss(0, SETTING))
        rigid = Rigid(at[a], at[b], plus(anchor[a], error()), plus(anchor[b], error()))
        return {h: Layer([rigid(e) for e in t.ends], 2 * t.radius) for h, t in holes.items()}


def outcome(spec, layers, plate_hole, transferred=False):
    """What becomes of a stack once all parts stand, treated as well as the sizes at hand allow: by how many of them it must
    be opened out, 0 where it is fair, None where no size is wide enough."""
    start = layers[0].centre
    sizes = [length(s) for s in spec["sizes"]]
    if "clearance" in spec:
        through = plate_hole if plate_hole is None or transferred else (plate_hole[0], max(plate_hole[1], sizes[0]))
        if widest_shank(layers, through, start) >= length(spec["diameter"]):
            return 0
    elif len(layers) == 1 and transferred:
        return 0
    needed = cleans_up_at(layers, plate_hole, start)
    return next((k for k, size in enumerate(sizes) if needed <= size), None)
