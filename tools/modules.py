# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""Which module uses which, read off the CMakeLists.txt: the one place that says so."""
import pathlib
import re

ROOT = pathlib.Path(__file__).resolve().parent.parent


def uses():
    """{module: what it names itself, in the order of the top CMakeLists.txt}"""
    order = re.search(r"^set\(modules (.*?)\)", (ROOT / "CMakeLists.txt").read_text(), re.MULTILINE)[1].split()
    found = {}
    for name in order:
        text = re.sub(r"#.*", "", (ROOT / "src" / name / "CMakeLists.txt").read_text())
        depends = re.search(r"\bDEPENDS ([^)]*?)(?=\s[A-Z_]+ |\))", text)
        links = depends[1] if depends else " ".join(re.findall(r"target_link_libraries\(fairhole_program ([^)]*)\)", text))
        found[name] = [m for m in re.findall(r"fairhole::(\w+)", links) if m in order]
    return found


def closure(found, name):
    """All that it uses, by itself or through others."""
    seen, todo = set(), list(found[name])
    while todo:
        one = todo.pop()
        if one not in seen:
            seen.add(one)
            todo += found[one]
    return seen
