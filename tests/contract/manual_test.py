# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
"""manual: the manual page and the completion tell every command and option that --help tells."""
import re
import shutil
import subprocess
import unittest

from support import fairhole

COMMANDS = re.findall(r"^  ([a-z-]+)  ", fairhole("--help").stdout.split("Subcommands:")[1], re.MULTILINE)


class Manual(unittest.TestCase):
    def setUp(self):
        self.page = fairhole("manual").stdout.replace("\\-", "-")

    def options(self, command):
        return re.findall(r"^  (--[a-z0-9-]+)", fairhole(command, "--help").stdout, re.MULTILINE)

    def test_every_command_and_option_is_told(self):
        self.assertIn("run", COMMANDS)
        for command in COMMANDS:
            section = self.page.split(f".SS {command}\n")[1].split(".SS ")[0]
            for option in self.options(command):
                self.assertIn(f"\\fB{option}\\fR", section, command)

    def test_the_shell_completes_commands_and_options(self):
        def completed(*words):
            script = fairhole("manual", "--completion").stdout + (
                f'COMP_WORDS=({" ".join(words)}); COMP_CWORD={len(words) - 1}; _fairhole; printf "%s\\n" "${{COMPREPLY[@]}}"')
            return subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=True).stdout.split()
        self.assertEqual(completed("fairhole", '""'), [*COMMANDS, "--help", "--version"])
        for command in COMMANDS:
            self.assertEqual([w for w in completed("fairhole", command, "--") if w != "--help"], self.options(command), command)

    @unittest.skipUnless(shutil.which("groff"), "groff is not installed")
    def test_the_page_is_sound(self):
        said = subprocess.run(["groff", "-man", "-ww", "-Tutf8", "-z"], input=fairhole("manual").stdout, text=True, capture_output=True)
        self.assertEqual((said.returncode, said.stderr), (0, ""))


if __name__ == "__main__":
    unittest.main()
