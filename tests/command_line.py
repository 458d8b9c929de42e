"""`leadradial` for tests: in this process where that is fast, as a program of its own where it must be."""

import os
import subprocess
import sys
from dataclasses import dataclass

from driver import ROOT

from assistant.cli import app

TACAN = str(ROOT / "procedures" / "skarrow-tacan-24.yaml")
PROGRAM = [sys.executable, "-c", "from assistant.cli.app import main; main()"]


@dataclass(frozen=True)
class Outcome:
    status: int
    out: str
    err: str


class CommandLine:
    """Runs commands for one test, with a home of its own."""

    def __init__(self, home, monkeypatch, capsys):
        self.home = home
        self._monkeypatch = monkeypatch
        self._capsys = capsys
        self._environment = {
            "HOME": str(home),
            "XDG_CONFIG_HOME": str(home / "config"),
            "XDG_DATA_HOME": str(home / "data"),
        }
        for name, value in self._environment.items():
            monkeypatch.setenv(name, value)

    def run(self, *arguments):
        """Run a command in this process; it has no standard input."""
        self._monkeypatch.setattr(sys, "argv", ["leadradial", *map(str, arguments)])
        status = 0
        try:
            app.main()
        except SystemExit as stop:
            status = stop.code or 0
        captured = self._capsys.readouterr()
        return Outcome(status, captured.out, captured.err)

    def python(self, program):
        """Run some Python in a process of its own."""
        made = subprocess.run(
            [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, timeout=60, check=True
        )
        return Outcome(made.returncode, made.stdout, made.stderr)

    def start(self, *arguments, **options):
        """Start a command as a program of its own, with pipes for its streams."""
        return subprocess.Popen(
            [*PROGRAM, *map(str, arguments)],
            cwd=ROOT,
            env=os.environ | self._environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            **options,
        )

    def pipe(self, typed, *arguments):
        """Run a command as a program of its own with typed lines piped in."""
        with self.start(*arguments) as program:
            out, err = program.communicate(typed.encode(), timeout=60)
        return Outcome(program.returncode, out.decode(), err.decode())
