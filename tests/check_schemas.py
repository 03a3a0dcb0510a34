#!/usr/bin/python3
# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""The schemas of docs/formats against the program: what one takes or refuses, the other does too."""
import copy
import json
import pathlib
import re
import subprocess
import sys
import tempfile

from jsonschema import Draft202012Validator

STRANGER = "q" * 50  # so far from any key that the program lists all it knows instead of suggesting one
ITEM_KINDS = ["hole", "row", "grid", "staggered", "circle"]

# The worked example's parts with every key a job may have, each at least once.
ROW = {"first": 1, "x": 10, "y": 10, "direction_deg": 0, "pitch": 50, "count": 2, "note": 1}
FULL = {
    "plates": {"hand": "LEFT", "joint_line": {"from": [390, 0], "to": [390, 250], "note": ""},
               "joined": "after drilling", "pull": {"x": 0.5, "y": 0, "sigma": 0.5}, "material": "steel", "note": "",
               "drill_program": {"fixture": "stops at the datum edges", "work_offset": "G54", "safe_height": 60, "clear_height": "1/8 in",
                                 "through": 3, "note": ""}},
    "faces": {"heel_fillet": 10, "toe_radius": "1/4 in", "no_edge": ["far end"], "datum_end": "toe", "may_be_opened": True,
              "holes": {"A1": {"form": "through", "fixed": False, "may_be_opened": True, "largest": 30, "note": ""},
                        "A2": {"form": "tapped", "thread": "M20", "thread_depth": 30, "thread_in": "cast iron"}}, "pins": {},
              "photos": [{"files": ["photos/1.jpg"], "boards": ["photos/a4-0.json"], "check": {"A4-0": [179.6, "269.5 mm"]},
                          "lift": {"A4-0": -3.2}, "frame": "A4-0", "expect": [20.7], "focal_px": 3000, "shows": "bores",
                          "seen_from": "other side", "edges": ["datum end"], "note": "",
                          "by_hand": [{"x": 40, "y": "1 in", "is": "hole", "name": "A3", "note": ""}, {"x": 9, "y": 9, "is": "no hole"}],
                          "at": {"x": 10, "y": "-1 in", "turn_deg": 90, "sigma": 5, "turn_sigma_deg": 2, "note": ""}},
                         {"files": ["photos/scan.png"], "dpi": 300, "shows": "rubbing", "at": {"x": 0, "y": 0}}]},
    "hole_groups": {"hand": "as drawn", "prefix": "", "packing": 0, "diameter": 20, "holes": {
        "B1": {"method": "open-out", "finish": "1 in", "note": ""}}},
    "joints": {"blank": [], "pins": {"B1": "A1"}, "tied_to_old_plate": False,
               "pinned_seat": {"along": 1, "across": "-1/16 in", "turn_deg": 0.1, "note": ""},
               "play": {"along": [-3, 3], "across": 3, "turn_deg": [-0.5, 0.5], "note": ""}},
    "fasteners": {"clearance": 0, "head_diameter": 32, "bush_outsides": ["1 1/4 in", 36], "fit": "H7/k6", "bush_fit": "H7/r6", "thread": "BSW", "head": "pan", "closing_head": "snap",
                  "head_height": 14, "head_side": "other", "flat": 14, "washer": 4, "washer_under_head": True, "lock_nut": False},
    "patterns": [{"hole": "H", "x": 10, "y": 30, "diameter": 20}, {"row": "R", **ROW},
                 {"grid": "G", **ROW, "gauge": 40, "rows": 2, "stagger": 0, "y": 200},
                 {"staggered": "S", **ROW, "gauge": 40, "rows": 2, "stagger": "1/2 in", "y": 400},
                 {"circle": "C", "first": 1, "x": 500, "y": 500, "radius": 50, "count": 4, "start_deg": 0, "step_deg": 90}],
    "rules": {"confidence": 0.95, "edge_distance_diameters": 1.5, "pitch_diameters": 3, "tilt_sigma_deg": 0.5, "draws": 1000,
              "least_edge_distance_diameters": 1.2, "least_pitch_diameters": 2.4, "setting_sigma": 0.25, "contact_slack": 0.5, "least_bush_wall": 2.5,
              "thickness_within": 0.5, "turning_within": "0.01 mm"},
    "costs": {"plug": 100, "bush": 40, "odd_size": 10, "oversize": 3, "metal_per_cm3": 1},
    "outputs": {"paper": "A3", "mark_to": 0.5, "inches": False, "template_check_x": 99.5, "template_check_y": "99.8 mm",
                "single_sheet": False, "mirrored_template": False, "dxf": "R12", "dxf_pilots": True},
}


def full_job(example):
    job = copy.deepcopy(example)
    job["plates"][0].update(copy.deepcopy(FULL["plates"]))
    faces = job["parts"][0]["faces"]
    faces.append({**copy.deepcopy(faces[0]), "name": "top",
                  "opposite": {"face": faces[0]["name"], "x": "other way", "note": ""}})
    faces[0].update(copy.deepcopy(FULL["faces"]))
    for key in ("hole_groups", "joints"):
        job[key][0].update(copy.deepcopy(FULL[key]))
    next(iter(job["fasteners"].values())).update(FULL["fasteners"])
    job["patterns"]["all kinds"] = copy.deepcopy(FULL["patterns"])
    job["patterns"]["by file"] = {"file": "pattern.json", "note": ""}
    job["catalogues"] = ["drills.csv"]
    for key in ("rules", "costs", "outputs"):
        job[key] = copy.deepcopy(FULL[key])
    return job


def at(job, place):
    for step in place:
        job = job[step]
    return job


# What both must refuse: where, and the value put there (None: the key is taken away).
MUTATIONS = [
    (["format"], "fairhole job 2"), (["title"], None), (["title"], ""), (["title"], 7), (["date"], "5.1.2026"),
    (["date"], "2026-13-01"), (["units"], "cm"), (["plates"], {}), (["plates", 0, "name"], "../x"),
    (["plates", 0, "hand"], "left"), (["plates", 0, "marked_face"], None), (["plates", 0, "thickness"], 0),
    (["plates", 0, "thickness"], "-1/2 in"), (["plates", 0, "thickness"], "thick"), (["plates", 0, "thickness"], [12]),
    (["plates", 0, "outline"], [[0, 0], [1, 0]]), (["plates", 0, "outline", 0], [0, 0, 0]), (["plates", 0, "joined"], "later"),
    (["plates", 0, "joint_line", "to"], None), (["plates", 0, "pull", "sigma"], None), (["plates", 0, "drilled"], "by eye"),
    (["plates", 0, "drill_program", "fixture"], None), (["plates", 0, "drill_program", "work_offset"], "G53"),
    (["plates", 0, "drill_program", "safe_height"], 0), (["plates", 0, "keep_outs", 0, "name"], None), (["parts"], None), (["parts", 0, "id"], None), (["parts", 0, "kind"], None),
    (["parts", 0, "faces", 0, "length"], None), (["parts", 0, "faces", 0, "outline"], [[0, 0], [9, 0], [9, 9]]),
    (["parts", 0, "faces", 0, "measured_from"], None), (["parts", 0, "faces", 0, "readings"], []),
    (["parts", 0, "faces", 0, "photos", 0, "files"], []), (["parts", 0, "faces", 0, "photos", 0, "boards"], None),
    (["parts", 0, "faces", 0, "photos", 1, "dpi"], 49), (["parts", 0, "faces", 0, "photos", 1, "boards"], ["b.json"]),
    (["parts", 0, "faces", 0, "photos", 0, "at"], None), (["parts", 0, "faces", 0, "photos", 0, "at", "x"], None),
    (["parts", 0, "faces", 0, "photos", 0, "at", "sigma"], 0), (["parts", 0, "faces", 0, "photos", 0, "seen_from"], "back"),
    (["parts", 0, "faces", 0, "photos", 0, "edges"], ["far end"]), (["parts", 0, "faces", 0, "photos", 0, "check", "A4-0"], 180),
    (["parts", 0, "faces", 0, "photos", 0, "shows"], "holes"), (["parts", 0, "faces", 0, "photos"], {}),
    (["parts", 0, "faces", 0, "photos", 0, "focal_px"], 0), (["parts", 0, "faces", 0, "photos", 0, "expect"], [0]),
    (["parts", 0, "faces", 0, "no_edge"], ["left"]), (["parts", 0, "faces", 0, "holes", "A1", "form"], "square"),
    (["parts", 0, "faces", 0, "holes", "A1", "fixed"], "yes"), (["joints", 0, "pins", "B1"], 3),
    (["joints", 0, "pins"], ["B1"]), (["parts", 0, "faces", 0, "pins"], "A1"), (["patterns", "all kinds", 0, "x"], None),
    (["patterns", "by file", "file"], None), (["patterns", "by file", "file"], ""), (["patterns", "by file"], "pattern.json"),
    (["patterns", "all kinds", 0, "hole"], None), (["patterns", "all kinds", 1, "pitch"], 0),
    (["patterns", "all kinds", 1, "count"], 0), (["patterns", "all kinds", 1, "count"], 2.5),
    (["patterns", "all kinds", 1, "gauge"], 10), (["patterns", "all kinds", 2, "rows"], None),
    (["patterns", "all kinds", 4, "radius"], -1), (["hole_groups", 0, "on"], None),
    (["hole_groups", 0, "hand"], "mirrored"), (["hole_groups", 0, "packing"], -1), (["hole_groups", 0, "fastener"], None),
    (["hole_groups", 0, "at", "x"], None), (["hole_groups", 0, "holes", "B1", "method"], "undecided"), (["joints", 0, "side"], None),
    (["joints", 0, "seat"], None), (["joints", 0, "groups"], "all"), (["joints", 0, "play", "along"], [1, 2, 3]),
    (["joints", 0, "play", "turn_deg"], 11), (["fasteners", "bracket bolt", "kind"], "screw"),
    (["fasteners", "bracket bolt", "sizes"], []), (["fasteners", "bracket bolt", "diameter"], None),
    (["fasteners", "bracket bolt", "fit"], "k6"), (["fasteners", "bracket bolt", "bush_fit"], "p6"),
    (["catalogues"], "drills.csv"), (["catalogues"], [7]), (["parts", 0, "faces", 0, "holes", "A2", "thread_depth"], 0),
    (["parts", 0, "faces", 0, "holes", "A2", "thread_in"], "brass"),
    (["fasteners", "bracket bolt", "head_side"], "near"), (["fasteners", "bracket bolt", "head_height"], 0),
    (["fasteners", "bracket bolt", "flat"], -1), (["fasteners", "bracket bolt", "lock_nut"], "yes"),
    (["rules", "turning_within"], 0), (["rules", "thickness_within"], -1),
    (["rules", "confidence"], 0.4), (["rules", "confidence"], "95"), (["rules", "pitch_diameters"], 0.1), (["rules", "draws"], 99),
    (["rules", "tilt_sigma_deg"], 11), (["rules", "least_bush_wall"], 0), (["fasteners", "bracket bolt", "bush_outsides"], 30), (["rules", "contact_slack"], -1),
    (["parts", 0, "faces", 1, "opposite", "face"], None), (["parts", 0, "faces", 1, "opposite", "x"], None),
    (["parts", 0, "faces", 1, "opposite", "x"], "left"), (["joints", 0, "pinned_seat"], [1, 0]),
    (["joints", 0, "pinned_seat", "turn_deg"], 11), (["joints", 0, "pinned_seat", "along"], "far"), (["costs", "plug"], -1),
    (["outputs", "paper"], "A5"), (["outputs", "inches"], 1), (["outputs", "dxf"], "R14"), (["outputs", "mark_to"], 0),
]


def mutated(job, place, value):
    job = copy.deepcopy(job)
    holder = at(job, place[:-1])
    if value is None:
        del holder[place[-1]]
    else:
        holder[place[-1]] = value
    return job


class Check:
    def __init__(self, root, program):
        self.program, self.faults = program, []
        self.formats = root / "docs" / "formats"
        self.example = root / "src" / "job" / "example"
        self.jobs = [self.example / "job.json"] + sorted((root / "fixtures" / "jobs").glob("*/job.json"))
        self.schemas = {}
        for name in ("job", "plan", "survey"):
            schema = json.loads((self.formats / f"{name}.schema.json").read_text(encoding="utf-8"))
            Draft202012Validator.check_schema(schema)
            self.schemas[name] = Draft202012Validator(schema)

    def fault(self, text):
        self.faults.append(text)

    def fits(self, name, value):
        return [f"{e.json_path}: {e.message[:160]}" for e in self.schemas[name].iter_errors(value)]

    def run(self, *arguments):
        done = subprocess.run([self.program, *map(str, arguments)], capture_output=True, text=True, check=False)
        return done.returncode, done.stdout, done.stderr

    def run_job(self, job):
        """Exit status and messages of a job beside the example's readings and a pattern file."""
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder)
            (path / "job").mkdir()
            (path / "job" / "job.json").write_text(json.dumps(job), encoding="utf-8")
            (path / "job" / "pattern.json").write_text('{"holes": [{"id": "P1", "x": 10, "y": 20}]}', encoding="utf-8")
            (path / "job" / "drills.csv").write_text("drill,prov,source\n18.9,user,reground\n", encoding="utf-8")
            (path / "job" / "readings").symlink_to(self.example / "readings")
            status, _, messages = self.run("run", path / "job", "--out", path / "out")
            return status, messages

    def jobs_fit(self):
        for path in self.jobs:
            for text in self.fits("job", json.loads(path.read_text(encoding="utf-8"))):
                self.fault(f"{path}: {text}")

    def results_fit(self):
        with tempfile.TemporaryDirectory() as folder:
            status, _, messages = self.run("run", self.example, "--out", folder)
            if status != 0:
                return self.fault(f"the worked example: exit status {status}\n{messages}")
            plan = json.loads((pathlib.Path(folder) / "plan.json").read_text(encoding="utf-8"))
            for text in self.fits("plan", plan):
                self.fault(f"plan.json: {text}")
            for page, name in (("fasteners", "fasteners"), ("fasteners", "turning-list"), ("fasteners", "buying-list")):
                header = (pathlib.Path(folder) / f"{name}.csv").read_text(encoding="utf-8").splitlines()[0].split(",")
                text = (self.formats / f"{page}.md").read_text(encoding="utf-8")
                lacking = sorted(set(header) - set(re.findall(r"`(\w+)`", text)))
                if lacking:
                    self.fault(f"{page}.md does not name {lacking} of {name}.csv")
            header = (pathlib.Path(folder) / "holes.csv").read_text(encoding="utf-8").splitlines()[0]
            columns = re.findall(r"^\| `(\w+)` \|", (self.formats / "holes.md").read_text(encoding="utf-8"), re.M)
            if header.split(",") != columns:
                self.fault(f"holes.md has the columns {columns}, holes.csv {header}")
            self.every_object_is_closed("plan", plan)
        for readings in sorted((self.example / "readings").glob("*.csv")):
            status, output, messages = self.run("survey", readings, "--json")
            if status != 0:
                return self.fault(f"{readings}: exit status {status}\n{messages}")
            for text in self.fits("survey", json.loads(output)):
                self.fault(f"survey of {readings.name}: {text}")
            self.every_object_is_closed("survey", json.loads(output))

    def objects(self, value, place=()):
        if isinstance(value, dict):
            yield list(place)
        if isinstance(value, (dict, list)):
            for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
                yield from self.objects(inner, (*place, key))

    def every_object_is_closed(self, name, value):
        for place in self.objects(value):
            if not self.fits(name, mutated(value, [*place, STRANGER], 1)):
                self.fault(f"{name}: the schema takes an unknown key at {place}")

    def plan_md_names_every_key(self):
        """The page for people and the schema name the same keys of plan.json."""
        def keys(schema):
            for key, value in schema.get("properties", {}).items():
                yield key
                yield from keys(value)
            for part in ("items", "additionalProperties"):
                if isinstance(schema.get(part), dict):
                    yield from keys(schema[part])
            for value in schema.get("$defs", {}).values():
                yield from keys(value)
        text = (self.formats / "plan.md").read_text(encoding="utf-8")
        missing = sorted(set(keys(self.schemas["plan"].schema)) - set(re.findall(r"`(\w+)`", text)))
        if missing:
            self.fault(f"plan.md does not name {missing}")

    def keys_are_the_loaders(self):
        """One stranger in every object: the program answers each with the keys it knows there."""
        job = full_job(json.loads((self.example / "job.json").read_text(encoding="utf-8")))
        for text in self.fits("job", job):
            self.fault(f"a job with every key: {text}")
        open_objects = [["patterns"], ["fasteners"], ["hole_groups", 0, "holes"], ["parts", 0, "faces", 0, "holes"],
                        ["parts", 0, "faces", 0, "pins"], ["joints", 0, "pins"],
                        *(["parts", 0, "faces", 0, "photos", 0, key] for key in ("check", "lift"))]
        places = [p for p in self.objects(job) if p not in open_objects]
        strange = copy.deepcopy(job)
        for place in places:
            at(strange, place)[STRANGER] = 1
            if not self.fits("job", mutated(job, [*place, STRANGER], 1)):
                self.fault(f"job: the schema takes an unknown key at {place}")
        status, messages = self.run_job(strange)
        answers = re.findall(r"^(?:fairhole: )?E127 [^\n]*known here: ([^\n]*)$", messages, re.M)
        others = [line for line in messages.splitlines() if re.search(r"\bE\d{3}\b", line) and "E127" not in line]
        if status != 2 or others or len(answers) != len(places):
            self.fault(f"{len(places)} unknown keys, {len(answers)} refused, exit status {status}\n{messages}")
        known = sorted(self.own_keys(set(answer.split(", "))) for answer in answers)
        stated = sorted(self.own_keys(set(self.schema_keys(at(job, place), place))) for place in places)
        for keys in [k for k in known if k not in stated]:
            self.fault(f"the program knows an object of {keys}, the schema none")
        for keys in [k for k in stated if k not in known]:
            self.fault(f"the schema has an object of {keys}, the program none")

    @staticmethod
    def own_keys(keys):
        """The program has asked an item for the other kinds before; "note" is known everywhere."""
        kinds = [kind for kind in ITEM_KINDS if kind in keys and "y" in keys]
        return sorted(keys - {"note"} - set(kinds[:-1]))

    def schema_keys(self, value, place):
        """Properties of the one closed object schema that takes `value`, found from the root along `place`."""
        schema = self.schemas["job"].schema
        for step in place:
            schema = self.resolve(schema)
            if isinstance(step, int):
                lists = [s for s in schema.get("oneOf", [schema]) if "items" in s]
                schema = lists[0]["items"]
            else:
                schema = schema["properties"].get(step, schema["additionalProperties"])
        schema = self.resolve(schema)
        if "properties" in schema:
            return schema["properties"]
        whole = {"$defs": self.schemas["job"].schema["$defs"]}
        taking = [s for s in schema["oneOf"] if Draft202012Validator({**whole, **s}).is_valid(value)]
        return taking[0]["properties"]

    def resolve(self, schema):
        while "$ref" in schema:
            schema = self.schemas["job"].schema["$defs"][schema["$ref"].rsplit("/", 1)[1]]
        return schema

    @staticmethod
    def only_files_missing(messages):
        """The photographs named are not there, which the program sees after all keys are understood."""
        return set(re.findall(r"\bE\d{3}\b", messages)) == {"E121"}

    def mutations_are_refused(self):
        job = full_job(json.loads((self.example / "job.json").read_text(encoding="utf-8")))
        del job["plates"][0]["joined"]
        status, messages = self.run_job(job)
        if status == 2 and not self.only_files_missing(messages):
            return self.fault(f"a job with every key is refused\n{messages}")
        for place, value in MUTATIONS:
            wrong = mutated(job, place, value)
            by_schema = bool(self.fits("job", wrong))
            status, messages = self.run_job(wrong)
            by_program = status == 2 and not self.only_files_missing(messages)
            if not (by_schema and by_program):
                self.fault(f"{place} = {value!r}: refused by the schema {by_schema}, by the program {by_program}")


def main():
    check = Check(pathlib.Path(sys.argv[1]).resolve(), sys.argv[2])
    check.jobs_fit()
    check.results_fit()
    check.plan_md_names_every_key()
    check.keys_are_the_loaders()
    check.mutations_are_refused()
    print("\n".join(check.faults) if check.faults else f"{len(check.jobs)} jobs, {len(MUTATIONS)} mutations")
    return 1 if check.faults else 0


if __name__ == "__main__":
    sys.exit(main())
