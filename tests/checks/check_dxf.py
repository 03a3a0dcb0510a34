#!/usr/bin/python3
# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
# Source: written by the project's auditors, apart from the program and knowing nothing of it; kept word for word.
"""check_dxf.py layout.dxf holes.json: strict ezdxf read, auditor clean, mm units, every hole once as a CIRCLE to 1e-6,
named layers used and defined, finite numbers, at least one closed outline."""
import json, math, sys
import ezdxf
doc = ezdxf.readfile(sys.argv[1]); H = json.load(open(sys.argv[2])); bad = []
a = doc.audit()
if a.errors or a.fixes: bad.append(f"auditor: {len(a.errors)} errors, {len(a.fixes)} fixes: {sorted({e.message.split('(')[0] for e in a.errors+a.fixes})[:4]}")
if doc.header.get("$INSUNITS", 0) != 4: bad.append("INSUNITS not 4 (mm)")
ms = list(doc.modelspace()); C = [e for e in ms if e.dxftype() == "CIRCLE"]
for h in H:
    d = [e for e in C if math.hypot(e.dxf.center.x-h["x"], e.dxf.center.y-h["y"]) < 1e-6 and abs(2*e.dxf.radius-h["d"]) < 1e-6]
    if len(d) != 1: bad.append(f"{h['id']}: {len(d)} exact circles")
for e in ms:
    if e.dxf.layer not in doc.layers or e.dxf.layer == "0": bad.append(f"{e.dxftype()} on layer {e.dxf.layer!r}")
    if e.dxftype() == "TEXT" and (not e.dxf.text.strip() or any(ord(c) > 126 for c in e.dxf.text)): bad.append(f"text {e.dxf.text!r}")
    if e.dxftype() == "CIRCLE" and not all(map(math.isfinite, (*e.dxf.center, e.dxf.radius))): bad.append("not finite")
if not any((e.dxftype() == "LWPOLYLINE" and e.closed) or (e.dxftype() == "POLYLINE" and e.is_closed) for e in ms): bad.append("no closed outline")
for b in bad[:20]: print("FAIL", b)
print(f"{int(not bad)} passed, {int(bool(bad))} failed"); sys.exit(bool(bad))
