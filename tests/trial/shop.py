# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""The simulated shop of the whole-chain trial: a plan carried out on the true parts, with the errors of marking, drilling and
setting that docs/fairing.md states. Written apart from the program; it knows plan.json and the truth."""
import math

from crane import carrier_from_face, length

SETTING = 0.25                                                                     # mm, each locating hole and axis
DRILLING = {"marked out": (0.2, 0.15), "template": (0.15, 0.15), "CNC": (0.02, 0.0)}  # punch, wander


COMPASS = [(math.cos(k * math.pi / 6), math.sin(k * math.pi / 6)) for k in range(12)]


def minus(p, q):
    return (p[0] - q[0], p[1] - q[1])


def plus(p, q):
    return (p[0] + q[0], p[1] + q[1])


class Rigid:
    """The motion that lays a and b on their targets: middle on middle, line on line."""

    def __init__(self, a, b, to_a, to_b):
        self.middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        self.to = ((to_a[0] + to_b[0]) / 2, (to_a[1] + to_b[1]) / 2)
        turn = 0.0
        if a != b:
            turn = math.atan2(*reversed(minus(to_b, to_a))) - math.atan2(*reversed(minus(b, a)))
        self.c, self.s = math.cos(turn), math.sin(turn)

    def __call__(self, p):
        x, y = minus(p, self.middle)
        return (self.to[0] + self.c * x - self.s * y, self.to[1] + self.s * x + self.c * y)


class Layer:
    """A true old hole as it stands over the plate."""

    def __init__(self, ends, shortest):
        self.ends, self.radius = ends, shortest / 2

    @property
    def centre(self):
        return ((self.ends[0][0] + self.ends[1][0]) / 2, (self.ends[0][1] + self.ends[1][1]) / 2)

    def cleans_up(self, centre, diameter):
        return max(math.dist(e, centre) for e in self.ends) + self.radius <= diameter / 2

    def needs(self, centre):
        return 2 * (max(math.dist(e, centre) for e in self.ends) + self.radius)

    def off_axis(self, p):
        (ax, ay), (bx, by) = self.ends
        ux, uy = bx - ax, by - ay
        n = ux * ux + uy * uy
        t = 0.0 if n == 0 else min(1.0, max(0.0, ((p[0] - ax) * ux + (p[1] - ay) * uy) / n))
        return math.dist(p, (ax + t * ux, ay + t * uy))


def highest(value, p):
    """Greatest value of a concave function and where, by a shrinking compass search."""
    best, step = value(p), 0.5
    while step > 1e-3:
        for c, s in COMPASS:
            q = (p[0] + step * c, p[1] + step * s)
            tried = value(q)
            if tried > best:
                best, p = tried, q
                break
        else:
            step /= 2
    return best


def widest_shank(layers, plate_hole, start):
    """Diameter of the thickest straight shank through all of them; plate_hole is a centre and a diameter, or None."""
    plate = [Layer([plate_hole[0]] * 2, plate_hole[1])] if plate_hole else []
    return 2 * highest(lambda p: min(t.radius - t.off_axis(p) for t in layers + plate), start)


def cleans_up_at(layers, plate_hole, start):
    """Diameter of the smallest circle that takes in all of them, wherever it may stand."""
    plate = [Layer([plate_hole[0]] * 2, plate_hole[1])] if plate_hole else []
    return -highest(lambda p: -max(t.needs(p) for t in layers + plate), start)


class Shop:
    """All of one plan, carried out once."""

    def __init__(self, case, plan, rng):
        self.case, self.rng = case, rng
        self.groups = {g["name"]: g for g in case.job["hole_groups"]}
        self.way = case.job["plates"][0]["drilled"]
        self.stacks = {(s["plate"], s["id"]): s for s in plan["stacks"]}
        self.drilled = {key: self.drill(s) for key, s in self.stacks.items()}
        self.standing = {seat["joint"]: self.stand(seat) for seat in plan["seats"]}

    def noise(self, sigma):
        return (self.rng.gauss(0, sigma), self.rng.gauss(0, sigma))

    def true_hole(self, stack, layer):
        return self.case.truth[layer["part"], layer["face"]][stack["id"]]

    def drill(self, stack):
        """Where the hole comes to stand. An old carrier has no marks: the tool is set by the carrier's own hole."""
        new = stack["layers"][0]["new_plate"]
        at = (stack["x"], stack["y"])
        if new and self.way == "marked out" and stack["mark_x"] is not None:
            at = (stack["mark_x"], stack["mark_y"])
        if not new and stack["layers"] and stack["layers"][0]["joint"] is None:
            own = stack["layers"][0]
            at = minus(self.true_hole(stack, own).faying, own["misfit"])
        punch, wander = DRILLING[self.way]
        return plus(plus(at, self.noise(punch)), self.noise(wander))

    def stand(self, seat):
        """Where a part comes to stand: its locating holes are set where the plan has them, each off by the setting error."""
        ends, targets = [], []
        for name in seat["locating"]:
            stack = self.stacks[seat["plate"], name]
            layer = next(l for l in stack["layers"] if l["joint"] == seat["joint"])
            planned = plus((stack["x"], stack["y"]), layer["misfit"])
            own = stack["layers"][0]
            if not own["new_plate"] and own["joint"] is None:  # set by the carrier's hole, wherever that truly is
                planned = plus(planned, minus(self.true_hole(stack, own).faying, plus((stack["x"], stack["y"]), own["misfit"])))
            ends.append(carrier_from_face(seat["plate_from_face"], self.true_hole(stack, layer).faying))
            targets.append(plus(planned, self.noise(SETTING)))
        if len(ends) == 1:
            ends.append(ends[0]), targets.append(targets[0])
        rigid = Rigid(*ends, *targets)
        return lambda p: rigid(carrier_from_face(seat["plate_from_face"], p))

    def layer(self, stack, layer):
        hole = self.true_hole(stack, layer)
        stands = self.standing[layer["joint"]] if layer["joint"] else (lambda p: p)
        return Layer([stands(e) for e in hole.ends()], hole.shortest)

    def holds(self, stack):
        """Whether the stack goes together as planned."""
        centre = self.drilled[stack["plate"], stack["id"]]
        old = [(l, self.layer(stack, l)) for l in stack["layers"] if not l["new_plate"] and l["hole"]]
        reamed = [t for l, t in old if l["action"] == "ream"]
        left = [t for l, t in old if l["action"] == "leave"]
        if any(not t.cleans_up(centre, stack["finish_diameter"]) for t in reamed):
            return False
        guided = stack["finish"] == "in place" and left
        about = left[0].centre if guided else centre
        if any(not t.cleans_up(about, l["bush_outside"]) for l, t in old if l["action"] == "bush"):
            return False
        if guided:
            pilot = stack["layers"][0]["pilot_diameter"] or 0.0
            return left[0].off_axis(centre) + pilot / 2 <= left[0].radius
        if not left:
            return True
        shank = length(self.case.job["fasteners"][self.groups[stack["group"]]["fastener"]]["diameter"])
        hole = (centre, stack["finish_diameter"]) if stack["layers"][0]["new_plate"] else None
        return widest_shank(left, hole, centre) >= shank
