# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""Writes fixtures/jobs/awkward-*: one small job for each awkward case that is normal in the trade, with what must come of
it in expected.json. Every case is the lopsided bracket of contract/bracket.py with one thing changed. What is expected
follows from the case (a slot guides no reamer, 12 + 16 + 6 mm grip 34 mm), not from the program's output.

make_awkward.py FOLDER
"""
import json
import math
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent / "contract"))
import bracket  # noqa: E402

CASES = {}


def case(name, says, edit=None, holes=None, without=(), more_rows="", turn=None, **expected):
    """`stacks`, `warnings`, `exit` and `phrases` are what is expected; `without` are rows left out (their beginnings)."""
    job = bracket.job(**(turn or {}))
    if edit:
        edit(job)
    rows = bracket.readings(holes=holes).splitlines(keepends=True)
    text = "".join(row for row in rows if not row.startswith(tuple(without))) + more_rows
    files = {"foot.csv": text}
    if len(job["parts"]) > 1:
        files["strap.csv"] = bracket.readings(holes=STRAP)
    CASES[name] = job, files, {"case": says, "exit": 0, **expected}


def face(job):
    return job["parts"][0]["faces"][0]


def form(hole, word):
    return lambda job: face(job).update(holes={hole: {"form": word}})


def undecided(*reason, state="undecided"):
    return {"method": "undecided", "state": state, "reason": list(reason)}


def shifted(change):
    return {name: (*change(x, y), d) for name, (x, y, d) in bracket.FOUND.items()}


# A strap behind the plate, seen through it: its hole at B3 stands 0.8 mm further along than the bracket's.
STRAP = {name: (x + (0.8 if name == "A3" else 0.0), y, d) for name, (x, y, d) in bracket.FOUND.items()}


def strap_behind(job, fixed=None):
    part = json.loads(json.dumps(job["parts"][0]))
    part["id"] = "strap"
    part["faces"][0].update(measured_from="faying", readings=["readings/strap.csv"])
    if fixed:
        part["faces"][0]["holes"] = {fixed: {"fixed": True}}
    joint = {**job["joints"][0], "name": "strap on plate", "part": "strap", "side": "other"}
    job["parts"].append(part)
    job["joints"].append(joint)
    for joint in job["joints"]:
        del joint["play"]


def hole_to_hole():
    places = list(bracket.FOUND.items())
    return "".join(f"centres,{a},{b},{math.dist(p[:2], q[:2])!r},0.3,\n"
                   for i, (a, p) in enumerate(places) for b, q in places[i + 1:])


ALL_DECIDED = {name: {"state": "settled"} for name in bracket.DRAWN}


def with_head(job, **shape):
    face(job).update(shape)
    job["fasteners"]["bolt"]["head_diameter"] = 34.0


def no_fifth(holes, name):
    return {hole: place for hole, place in holes.items() if hole != name}


WORN = {**no_fifth(bracket.FOUND, "A5"), "A4": (111.3, 90.6, 27.5)}


def worn_casting(job):
    """Wider than the bracket, without its fifth hole: room for the seat of a bush about the fourth."""
    face(job).update(width=160.0)
    job["patterns"]["foot"] = [hole for hole in job["patterns"]["foot"] if hole["hole"] != "B5"]
    job["fasteners"]["bolt"]["bush_outsides"] = [28.0, 32.0]


def holes_and_fasteners():
    case("rivet-in", "A rivet still stands in the hole: centre poor, diameter unknown.", form("A4", "rivet-in"),
         without=("dia,A4", ), stacks={"B4": undecided("rivet still stands in A4", state="look again")})
    case("tapped", "A tapped hole cannot be reamed through, and the thread leaves a fitted bolt no room.",
         form("A4", "tapped"), stacks={"B4": undecided("A4 of bracket is tapped and cannot be reamed through")})
    case("blind", "A blind hole cannot be reamed through.", form("A4", "blind"),
         stacks={"B4": undecided("A4 of bracket is blind and cannot be reamed through")})
    case("slotted", "A slot guides no tool and cannot be reamed round.", form("A3", "slotted"),
         stacks={"B3": undecided("a slot, which guides no tool", "a slot cannot be reamed round")})
    case("bushed", "A bush too small for its bolt is not opened unless somebody said how far.", form("A3", "bushed"),
         stacks={"B3": undecided("nobody said how far the bush may be opened")})
    case("worn", "A hole worn to 27.5 mm, larger than any bolt at hand: a bush of 32 mm costs less than a plug. 28 mm would take it in "
         "were its place known without doubt.", worn_casting, holes=WORN,
         stacks={"B4": {"method": "bush", "state": "settled", "actions": ["ream", "bush"], "finish": 21.0, "bush_outside": 32.0,
                        "reason": ["Open A4 of bracket to 32.0 mm and press in a bush, bored 21.0 mm with the rest."]}})
    case("bush-refused", "A hole pinned to a bush that its part's edge leaves no room for: 1.2 x 32 = 38.4 mm, and it stands 30.4 from "
         "it.", lambda job: (worn_casting(job), job["hole_groups"][0].update(holes={"B1": {"method": "bush"}})),
         holes=no_fifth(bracket.FOUND, "A5"),
         stacks={"B1": undecided("the long datum edge of bracket is 30.4 mm from the centre, 38.4 mm is the least")})
    case("countersunk", "A countersunk hole of good size is taken as it is.", form("A4", "countersunk"),
         stacks={"B4": {"method": "transfer", "state": "settled"}})
    case("dowel", "A dowel hole of good size is taken as it is.", form("A4", "dowel"),
         stacks={"B4": {"method": "transfer", "state": "settled", "actions": ["ream", "leave"]}})
    case("plugged", "A plugged hole is no hole: drill to the drawing.", form("A4", "plugged"),
         stacks={"B4": {"method": "drill-to-drawing", "state": "settled"}})
    case("packing", "Packing of 6 mm between part and plate lengthens the grip: 12 + 16 + 6 mm.",
         lambda job: job["hole_groups"][0].update(packing=6.0), stacks={name: {"grip": 34.0} for name in bracket.DRAWN})


def places():
    case("heel-fillet", "Heads of 34 mm foul the heel fillet, which ends 16 + 12 mm from the heel; A1 stands at 30.4.",
         lambda job: with_head(job, heel_fillet=12.0),
         stacks={"B1": undecided("heel fillet of bracket is 2.4 mm"), "B4": {"state": "settled"}})
    case("toe-radius", "Heads of 34 mm foul the toe radius, which begins 120 - 20 mm from the heel; A4 stands at 90.6.",
         lambda job: with_head(job, toe_radius=20.0),
         stacks={"B4": undecided("toe radius of bracket is 9.4 mm"), "B1": {"state": "settled"}})
    case("joint-line", "Holes in the weld's keep-out are not drilled.",
         lambda job: job["plates"][0].update(keep_outs=[{"name": "weld", "outline": [[240.0, 0.0], [400.0, 0.0],
                                                                                     [400.0, 250.0], [240.0, 250.0]]}]),
         stacks={"B2": undecided('keep-out "weld"'), "B5": undecided('keep-out "weld"'), "B1": {"state": "settled"}})
    case("new-hole", "The new plate wants a hole where the old part has none.",
         lambda job: (job["patterns"]["foot"].append({"hole": "B6", "x": 98.0, "y": 30.0}),
                      job["joints"][0].update(blank=["B6"])),
         stacks={"B6": {"method": "drill-to-drawing", "state": "settled", "reason": ["No old part has a hole here"]}})
    case("old-hole-too-many", "An old hole that the new plate must not have stays out of it.",
         holes={**bracket.FOUND, "X1": (98.0, 60.0, 14.0)}, stacks=ALL_DECIDED,
         warnings=["old hole X1 is none of the drawing's; it stays out of the new work"])
    case("datum-hole", "The strap's A3 carries location and must not move: the stack stands on it, the bracket gives way.",
         lambda job: strap_behind(job, "A3"),
         stacks={"B3": {"misfits": {"strap": [0.0, 0.0], "bracket": [-0.8, 0.0]}}})
    case("not-reached", "Nobody could reach the hole to measure it.",
         holes={name: place for name, place in bracket.FOUND.items() if name != "A4"},
         stacks={"B4": undecided("Nobody measured B4 of bracket", state="look again")})


def parts():
    case("bowed", "A part still bowed by 4 mm after straightening: the plate follows the holes.",
         holes=shifted(lambda x, y: (x, round(y + 4.0 * (1.0 - (2.0 * x / bracket.LENGTH - 1.0) ** 2) - 1.5, 3))),
         stacks=ALL_DECIDED)
    case("cranked", "A part cranked in the middle, its far end 2.5 mm on: the plate follows the holes.",
         holes=shifted(lambda x, y: (x + (2.5 if x > 100.0 else 0.0), y)), stacks=ALL_DECIDED)
    case("tapered", "A tapered part: its far end 4 % wider, the plate follows the holes.",
         holes=shifted(lambda x, y: (x, round(y * (1.0 + 0.04 * x / bracket.LENGTH), 3))), stacks=ALL_DECIDED)
    case("hands-mixed-up", "The other hand's readings: the foot lies on the plate, its holes mirrored.",
         turn={"measured_from": "faying", "turn_deg": 180.0, "seat": (bracket.SEAT[0] + bracket.LENGTH, bracket.SEAT[1])},
         exit=1, phrases=["the holes fit the pattern's other hand", "check from which side the face was measured"])
    case("two-days", "The same hole measured on two days that agree.",
         more_rows="along,A4,,111.5,0.3,second day\nacross,A4,,90.5,0.3,second day\n", stacks=ALL_DECIDED)
    case("two-days-at-odds", "The same hole measured on two days, 5 mm apart: nobody can say which day is right.",
         more_rows="along,A4,,116.3,0.3,second day\n", stacks={"B4": {"method": "undecided", "state": "look again"}},
         warnings=["bracket, foot: readings of A4 contradict each other and nothing says which is wrong"])
    case("shape-only", "Readings from hole to hole alone: the shape is known, and not where it lies on the foot.",
         without=("along", "across"), more_rows=hole_to_hole(), exit=1, phrases=["E571", "not where they lie on the face"])
    case("tied-to-old-plate", "Part across the joint line of a plate welded after drilling, and no allowance for pull.",
         lambda job: (job["plates"][0].update(joined="after drilling"), job["joints"][0].update(tied_to_old_plate=True)),
         exit=2, phrases=["to the old plate, which is joined after drilling", 'or state the plate\'s "pull"'])


# A strap on two plates: the old one, 12 mm, begins where the new one ends, at x = 400. It stands 50 + 200 mm over them.
STRAP_NEW = {"N3": (40.0, 35.0), "N4": (60.0, 100.0)}
STRAP_OLD = {"R1": (150.0, 30.0), "R2": (205.0, 80.0)}
STRAP_SEAT, OLD_PLATE_X = (300.0, 70.0), 400.0


def strap_job(old_thickness=12.0, packing=0.0, **plate_more):
    job = bracket.job()
    job["plates"][0].update(joint_line={"from": [400.0, 0.0], "to": [400.0, 250.0]}, **plate_more)
    strap = face(job)
    old = {**strap, "name": "web", "thickness": old_thickness, "length": 300.0, "width": 250.0,
           "readings": ["readings/old-plate.csv"]}
    job["parts"] = [{"id": "old plate", "kind": "old plate", "faces": [old]},
                    {"id": "strap", "kind": "bracket", "faces": [{**strap, "length": 250.0, "readings": ["readings/strap.csv"]}]}]
    job["patterns"] = {name: [{"hole": h, "x": x, "y": y} for h, (x, y) in holes.items()]
                       for name, holes in (("new", STRAP_NEW), ("old", STRAP_OLD))}
    x, y = STRAP_SEAT
    job["hole_groups"] = [
        {"name": "new", "on": "plate", "pattern": "new", "at": {"x": x, "y": y}, "fastener": "bolt", "packing": packing},
        {"name": "old", "on": "old plate/web", "pattern": "old", "at": {"x": x - OLD_PLATE_X, "y": y}, "fastener": "bolt"}]
    play = {"along": 2.0, "across": 2.0}
    job["joints"] = [
        {"name": "old plate stays", "part": "old plate", "face": "web", "on": "plate", "side": "marked",
         "seat": {"x": OLD_PLATE_X, "y": 0.0}, "groups": []},
        {"name": "strap on old plate", "part": "strap", "face": "foot", "on": "old plate/web", "side": "marked",
         "seat": {"x": x - OLD_PLATE_X, "y": y}, "play": play, "groups": ["old"]},
        {"name": "strap on plate", "part": "strap", "face": "foot", "on": "plate", "side": "marked",
         "seat": {"x": x, "y": y}, "play": play, "groups": ["new"], "tied_to_old_plate": True}]
    return job


def strap_case(name, says, job, pull=0.0, **expected):
    """The strap's holes in the old plate stand 0.5 mm further along than drawn: the strap goes there, and takes the new
    plate's holes with it."""
    at = lambda holes, dx, dy: bracket.readings(holes={h: (x + dx, y + dy, 21.0) for h, (x, y) in holes.items()})
    x, y = STRAP_SEAT
    files = {"old-plate.csv": at(STRAP_OLD, x - OLD_PLATE_X + 0.5, y), "strap.csv": at({**STRAP_OLD, **STRAP_NEW}, 0.0, 0.0)}
    if expected.get("exit", 0) == 0:
        expected["stacks"] = {h: {"method": "transfer", "x": x + u + 0.5 - pull, "y": y + v} for h, (u, v) in STRAP_NEW.items()}
    CASES[name] = job, files, {"case": says, "exit": 0, **expected}


def across_the_joint_line():
    strap_case("across-the-joint", "A strap across the joint line: the holes of the old plate hold it.", strap_job(),
               no_warnings=["bridges a step", "none of the drawing's"])
    strap_case("two-thicknesses", "The old plate is 2 mm thinner: a step that wants packing.", strap_job(old_thickness=10.0),
               warnings=["strap bridges a step of 2.0 mm between plate plate and old plate/web: pack it"])
    strap_case("welded-after", "The plate is welded on after drilling, which pulls it 1 mm to the old one: its holes are drilled "
               "1 mm nearer its datum.", strap_job(joined="after drilling", pull={"x": 1.0, "sigma": 0.1}), pull=1.0)


def write(folder):
    for name, (job, files, expected) in CASES.items():
        case_folder = folder / f"awkward-{name}"
        (case_folder / "readings").mkdir(parents=True, exist_ok=True)
        (case_folder / "job.json").write_text(json.dumps(job, indent=1) + "\n")
        for file, text in files.items():
            (case_folder / "readings" / file).write_text(text)
        (case_folder / "expected.json").write_text(json.dumps(expected, indent=1) + "\n")


holes_and_fasteners()
places()
parts()
across_the_joint_line()
if __name__ == "__main__":
    write(Path(sys.argv[1]))
