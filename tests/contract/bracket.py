# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""One lopsided bracket on one plate, described from any side: synthetic truth for the tests of hand and of invariance.

The bracket's foot is 215 x 120 mm. Seen as it lies, from the plate's marked face, its datum corner stands at (80, 50)
of the plate and its holes at FOUND; the drawing wants them at DRAWN. "Other way" readings are those of the same foot
looked at from behind: the long datum edge stays, the datum corner is the one at the other end.
"""

LENGTH, WIDTH = 215.0, 120.0
SEAT = (80.0, 50.0)
PLATE_LENGTH = 400.0
DRAWN = {"B1": (30.0, 30.0), "B2": (165.0, 30.0), "B3": (30.0, 90.0), "B4": (110.0, 90.0), "B5": (170.0, 90.0)}
FOUND = {"A1": (30.9, 30.4, 20.8), "A2": (165.6, 30.9, 20.9), "A3": (30.2, 91.1, 20.7), "A4": (111.3, 90.6, 20.9),
         "A5": (170.9, 91.0, 20.8)}


def readings(from_behind=False, unit="mm", holes=None, order=None):
    """Exact distances, each with its stated sigma."""
    per_unit = 25.4 if unit == "in" else 1.0
    rows = [f"# unit: {unit}", "kind,from,to,reading,sigma,note"]
    places = {name: (LENGTH - x if from_behind else x, y, d) for name, (x, y, d) in (holes or FOUND).items()}
    for name in order or places:
        x, y, d = places[name]
        for kind, value, sigma in (("along", x, 0.3), ("across", y, 0.3), ("dia", d, 0.05)):
            rows.append(f"{kind},{name},,{value / per_unit!r},{sigma / per_unit!r},")
    return "\n".join(rows) + "\n"


def job(measured_from="outer", side="marked", seat=None, turn_deg=0.0):
    x, y = seat or SEAT
    return {
        "format": "fairhole job 1", "title": "Lopsided bracket", "date": "2026-01-05", "units": "mm",
        "plates": [{"name": "plate", "hand": "LEFT", "marked_face": "outer", "thickness": 12.0,
                    "material": "mild steel", "outline": [[0.0, 0.0], [400.0, 0.0], [400.0, 250.0], [0.0, 250.0]],
                    "drilled": "CNC"}],
        "parts": [{"id": "bracket", "kind": "bracket",
                   "faces": [{"name": "foot", "thickness": 16.0, "length": LENGTH, "width": WIDTH,
                              "measured_from": measured_from, "readings": ["readings/foot.csv"]}]}],
        "patterns": {"foot": [{"hole": name, "x": x_, "y": y_} for name, (x_, y_) in DRAWN.items()]},
        "hole_groups": [{"name": "foot", "on": "plate", "pattern": "foot", "at": {"x": SEAT[0], "y": SEAT[1]},
                         "fastener": "bolt"}],
        "joints": [{"name": "bracket on plate", "part": "bracket", "face": "foot", "on": "plate", "side": side,
                    "seat": {"x": x, "y": y, "turn_deg": turn_deg},
                    "play": {"along": 3.0, "across": 3.0, "turn_deg": 0.5}, "groups": ["foot"]}],
        "fasteners": {"bolt": {"kind": "rivet-headed fitted bolt", "diameter": 21.0,
                               "sizes": [21.0, 22.0, 23.0, 24.0, 25.0]}},
        "rules": {"confidence": 0.95},
        "outputs": {"paper": "A4", "mark_to": 0.5},
    }
