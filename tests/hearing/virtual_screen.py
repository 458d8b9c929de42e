"""A screen that needs no hardware, and a program that presses keys on it."""

import shutil
import subprocess
from contextlib import contextmanager

import pytest


@contextmanager
def screen():
    """A screen that nobody sees, and its name."""
    program = shutil.which("Xvfb")
    if program is None or shutil.which("xdotool") is None:
        pytest.skip("needs Xvfb and xdotool (Debian: xvfb, xdotool): no screen without hardware")
    with subprocess.Popen(
        [program, "-displayfd", "1", "-screen", "0", "320x240x8", "-nolisten", "tcp"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as running:
        yield running, f":{running.stdout.readline().strip()}"
        running.terminate()
