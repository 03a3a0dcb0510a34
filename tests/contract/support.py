# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""What the contract's tests share: the program under test, scratch folders, edited copies of the worked example."""
import hashlib
import json
import os
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

PROGRAM = os.environ.get("FAIRHOLE_PROGRAM", "")
CHECKS = Path(__file__).resolve().parents[1] / "checks"
JOBS = Path(__file__).resolve().parents[2] / "fixtures" / "jobs"


def fairhole(*words, env=None, cwd=None):
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, check=False, cwd=cwd,
                          env={**os.environ, **(env or {})})


def audit(script, *words):
    return subprocess.run([sys.executable, str(CHECKS / script), *map(str, words)], capture_output=True, text=True,
                          check=False)


def hashes(folder):
    return {str(p.relative_to(folder)): hashlib.sha256(p.read_bytes()).hexdigest()
            for p in sorted(Path(folder).rglob("*")) if p.is_file()}


class JobCase(unittest.TestCase):
    """Every test has a scratch folder and, when it wants, the worked example in it, edited."""

    def setUp(self):
        scratch = tempfile.TemporaryDirectory(prefix="fairhole-contract-")
        self.addCleanup(scratch.cleanup)
        self.scratch = Path(scratch.name)
        self.job = self.scratch / "job"
        self.out = self.scratch / "out"

    def example(self, edit=None):
        made = fairhole("new", self.job)
        self.assertEqual(made.returncode, 0, made.stderr)
        if edit:
            self.edit(edit)

    def edit(self, change):
        path = self.job / "job.json"
        job = json.loads(path.read_text())
        change(job)
        path.write_text(json.dumps(job, indent=1))

    def write_job(self, job, readings):
        (self.job / "readings").mkdir(parents=True, exist_ok=True)
        (self.job / "job.json").write_text(json.dumps(job, indent=1))
        for name, text in readings.items():
            (self.job / "readings" / name).write_text(text)

    def run_job(self, *options, **keywords):
        return fairhole("run", self.job, "--out", self.out, *options, **keywords)

    def plan(self):
        return json.loads((self.out / "plan.json").read_text())

    def assert_done(self, result):
        self.assertEqual(result.returncode, 0, result.stderr)

    def assert_refused(self, result, *phrases):
        """Exit 2, every phrase on stderr, nothing on stdout and nothing written."""
        self.assertEqual(result.returncode, 2, result.stdout + result.stderr)
        self.assertEqual(result.stdout, "")
        for phrase in phrases:
            self.assertIn(phrase, result.stderr)
        self.assertFalse(self.out.exists(), "a refused job wrote results")
