"""Keys become lines as on any terminal, and a drawn screen can be flown on."""

import os
import select
import subprocess
import sys
import time

import pytest
from command_line import PROGRAM, TACAN
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.keys import LONGEST, Line


def typed(*blocks):
    line = Line()
    return [text for block in blocks for text in line.take(block)], line


@pytest.mark.parametrize(
    ("keys", "lines", "left"),
    [
        ("16.4 4800\r", ["16.4 4800"], ""),
        ("next\nfloor\n", ["next", "floor"], ""),
        ("nexx\x7ft\r", ["next"], ""),
        ("rubbish\x15next\r", ["next"], ""),
        ("16\x1b[A\x1b[3~.4", [], "16.4"),
        ("\x7f\x7f\r", [""], ""),
        ("fünf\x07\r", ["fünf"], ""),
    ],
)
def test_keys_make_lines(keys, lines, left):
    made, line = typed(keys)

    assert made == lines
    assert line.text == left


def test_ctrl_d_ends_only_on_an_empty_line():
    assert not typed("next\x04")[1].has_ended
    assert typed("next\r\x04")[1].has_ended


@given(st.lists(st.text(max_size=50), max_size=10))
def test_no_keys_do_harm_and_no_line_grows_without_end(blocks):
    made, line = typed(*blocks, "x" * 1000)

    assert len(line.text) <= LONGEST
    assert all(text.isprintable() for text in made)


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX terminals")
def test_a_flight_on_a_terminal_is_drawn_typed_into_and_leaves_the_terminal_as_it_was(command, tmp_path):
    termios = pytest.importorskip("termios")
    ours, theirs = os.openpty()
    termios.tcsetwinsize(theirs, (24, 80))
    before = termios.tcgetattr(theirs)
    program = subprocess.Popen(
        [*PROGRAM, "fly", TACAN, "--speaker", "no such", "--log", str(tmp_path / "f.jsonl")],
        stdin=theirs,
        stdout=theirs,
        stderr=subprocess.STDOUT,
        env=os.environ | command._environment | {"TERM": "xterm", "NO_COLOR": "1"},
    )
    try:
        seen = read_until(ours, b"> _")
        assert b"No voice: " in seen
        os.write(ours, b"minn\x7fimum\r")
        read_until(ours, b"Minimum five hundred QNH.")
        os.write(ours, b"\x04")
        read_until(ours, b"Ended.")
        assert program.wait(timeout=20) == 0
        assert termios.tcgetattr(theirs) == before
    finally:
        program.kill()
        program.wait()
        os.close(ours)
        os.close(theirs)


def read_until(descriptor, phrase, within_s=30.0):
    seen, until_s = b"", time.monotonic() + within_s
    while phrase not in seen:
        assert time.monotonic() < until_s, seen[-2000:]
        if select.select([descriptor], [], [], 0.5)[0]:
            seen += os.read(descriptor, 65_536)
    return seen
