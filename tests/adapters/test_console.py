"""The console takes whatever is typed or piped and prints plain lines."""

import asyncio
import io
import os
import threading

import pytest
from rich.console import Console

from assistant.adapters.console import LONGEST_ECHO, LONGEST_LINE, Screen, typed_lines
from assistant.engine.events import Callout, CalloutKind, Priority
from assistant.flight_log import Heard, Spoken
from assistant.language.transcript import Transcript


class StoppedClock:
    def now_s(self):
        return 7.5

    async def sleep_until(self, _t_s):
        raise AssertionError


def lines_of(written, *pieces):
    """What typed_lines yields of bytes written to a pipe, by a thread since a pipe holds only 64 KiB."""
    read_end, write_end = os.pipe()

    def write():
        for piece in (written, *pieces):
            os.write(write_end, piece)
        os.close(write_end)

    async def collect():
        return [line async for line in typed_lines(read_end, StoppedClock())]

    writer = threading.Thread(target=write)
    writer.start()
    try:
        return asyncio.run(collect())
    finally:
        writer.join()
        os.close(read_end)


@pytest.mark.parametrize(
    ("written", "texts"),
    [
        (b"16.4 4800\nestablished\n", ["16.4 4800", "established"]),
        (b"16.4 4800\r\nlast line without its newline", ["16.4 4800", "last line without its newline"]),
        (b"\n\n", ["", ""]),
        (b"", []),
        (b"\xff\x00\x1b[2J\n", ["\ufffd\x00\x1b[2J"]),
    ],
)
def test_lines_come_as_they_were_written(written, texts):
    assert [line.text for line in lines_of(written)] == texts


def test_a_character_split_between_two_reads_is_one_character():
    assert [line.text for line in lines_of(b"x" * 4095 + "°\n".encode())] == ["x" * 4095 + "°"]


def test_each_line_is_stamped_with_its_arrival():
    assert lines_of(b"next\n") == [Transcript(text="next", started_t_s=7.5, ended_t_s=7.5)]


def test_endless_input_without_a_newline_comes_in_pieces():
    texts = [line.text for line in lines_of(b"x" * (2 * LONGEST_LINE + 10))]

    assert "".join(texts) == "x" * (2 * LONGEST_LINE + 10)
    assert max(map(len, texts)) <= LONGEST_LINE


def test_a_closed_descriptor_is_the_end_of_input():
    async def collect():
        return [line async for line in typed_lines(closed, StoppedClock())]

    closed, other = os.pipe()
    os.close(closed)
    os.close(other)

    assert asyncio.run(collect()) == []


def spoken(text, priority=Priority.ACTION):
    callout = Callout(
        t_s=165.0, expires_t_s=170.0, kind=CalloutKind.TURN, priority=priority, cue="lead radial"
    )
    return Spoken(t_s=165.0, text=text, callout=callout)


def printed(*records, terminal=False, environment=None, **options):
    file = io.StringIO()
    console = Console(file=file, force_terminal=terminal, width=40, _environ=environment or {"TERM": "xterm"})
    Screen(console, **options).watch(records)
    return file.getvalue()


def test_a_callout_is_one_line_with_its_time_however_narrow_the_screen():
    words = "Lead radial. Turn left heading two one five."

    assert printed(spoken(words), echo=False) == f"02:45  {words}\n"


def test_the_pilots_line_is_echoed_only_where_it_was_not_seen_being_typed():
    heard = Heard(t_s=3.0, transcript=Transcript(text="16.4 4800", started_t_s=3.0, ended_t_s=3.0))

    assert printed(heard, echo=True) == "00:03  PILOT  16.4 4800\n"
    assert printed(heard, echo=False) == ""


def test_what_was_typed_cannot_act_on_the_terminal_or_flood_it():
    text = "\x1b[2J[red]" + "x" * 10_000
    heard = Heard(t_s=3.0, transcript=Transcript(text=text, started_t_s=3.0, ended_t_s=3.0))

    line = printed(heard, echo=True)

    assert line.startswith("00:03  PILOT  ?[2J[red]xxx")
    assert len(line) < LONGEST_ECHO + 40


def test_colour_is_for_terminals_and_not_where_it_is_unwanted():
    assert "\x1b[" in printed(spoken("Climb.", Priority.SAFETY), terminal=True, echo=False)
    assert "\x1b[" not in printed(spoken("Climb.", Priority.SAFETY), terminal=False, echo=False)
    plain = printed(
        spoken("Climb.", Priority.SAFETY),
        terminal=True,
        environment={"TERM": "xterm", "NO_COLOR": "1"},
        echo=False,
    )
    assert "31m" not in plain


def test_a_glance_follows_what_is_said():
    out = printed(spoken("Lead radial."), echo=False, glance=lambda t_s: f"next: final at {t_s:.0f}")

    assert out == "02:45  Lead radial.\n       next: final at 165\n"
