#!/usr/bin/python3
# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""docs/errors.md and the headers list the same codes, each number once and in its range."""
import pathlib
import re
import sys

CODE = re.compile(r"constexpr\s+Code\s+(k\w+)\s*\{\s*(\d+)\s*\}")
LITERAL = re.compile(r"\bCode\s*\{\s*\d")
ROW = re.compile(r"^\| E(\d{3}) \| ([^|]+) \| ([^|]+) \| ([^|]+) \|$")


def declared(root):
    """(number, name, file) of every constant."""
    headers = sorted((root / "include" / "fairhole").rglob("*.h")) + sorted((root / "src").rglob("*.h"))
    for header in headers:
        for name, number in CODE.findall(header.read_text(encoding="utf-8")):
            yield int(number), name, header.relative_to(root)


def tabled(root):
    for line in (root / "docs" / "errors.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("| E"):
            row = ROW.match(line)
            yield (int(row[1]) if row and all(cell.strip() for cell in row.groups()) else None), line


def hidden(root):
    """Codes written as bare numbers in the program's own code."""
    for source in sorted((root / "src").rglob("*.cc")):
        if not source.stem.endswith(("_test", "_bench")) and LITERAL.search(source.read_text(encoding="utf-8")):
            yield source.relative_to(root)


def main():
    root = pathlib.Path(sys.argv[1])
    faults, in_headers, in_table = [], {}, set()
    for number, name, header in declared(root):
        if number in in_headers:
            faults.append(f"{number} is both {in_headers[number]} and {name} ({header})")
        in_headers[number] = name
        if not (100 <= number <= 499 or 500 <= number <= 899):
            faults.append(f"{name} ({header}) is {number}, outside 100..499 and 500..899")
    for number, line in tabled(root):
        if number is None:
            faults.append(f"docs/errors.md: a row that is no row of four filled cells: {line}")
        elif number in in_table:
            faults.append(f"docs/errors.md: E{number} stands twice")
        in_table.add(number)
    in_table.discard(None)
    faults += [f"docs/errors.md lacks E{n} ({in_headers[n]})" for n in sorted(in_headers.keys() - in_table)]
    faults += [f"docs/errors.md has E{n}, no header does" for n in sorted(in_table - in_headers.keys())]
    faults += [f"{source}: a code as a bare number; make it a constant in a header" for source in hidden(root)]
    if not in_headers:
        faults.append("no codes found")
    print("\n".join(faults) if faults else f"{len(in_headers)} codes")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
