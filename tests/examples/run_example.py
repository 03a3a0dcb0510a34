# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""run_example.py EXPECTED PROGRAM [ARGUMENT...]: does the example end with 0 and print what docs/reference/library.md says?"""
import pathlib
import subprocess
import sys

expected = pathlib.Path(sys.argv[1]).read_text()
done = subprocess.run(sys.argv[2:], capture_output=True, text=True)
if (done.returncode, done.stdout) != (0, expected):
    sys.exit(f"exit status {done.returncode}, printed:\n{done.stdout}{done.stderr}\nexpected:\n{expected}")
