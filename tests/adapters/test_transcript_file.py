"""Timed transcripts are read line by line, and whatever is wrong with one is told with its line."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.transcript_file import (
    TranscriptError,
    clock_text,
    parse_clock,
    read_transcript,
    transcript_lines,
)
from assistant.engine.events import Callout, CalloutKind, Priority, StageEntered, Tick
from assistant.flight_log import Heard, Spoken
from assistant.language.transcript import Transcript


def said(text, t_s):
    return Transcript(text=text, started_t_s=t_s, ended_t_s=t_s)


def test_pilot_lines_are_heard_at_their_times_and_expected_lines_are_passed_over():
    timed = read_transcript(
        "procedure: procedures/zzzz.yaml\n"
        "setup: --wind 250/15\n"
        "setup: --speed 'final=140' --lights-out\n"
        "# to the arc\n"
        "\n"
        "00:00 PILOT  radial 030, 10.1\r\n"
        "00:00 STAGE  arc\n"
        "00:00 ASSIST action   On the arc.\n"
        "1:24.5 PILOT established: nine miles\n"
        "1:02:03 END\n",
        "flight.txt",
    )

    assert timed.procedure == "procedures/zzzz.yaml"
    assert timed.setup == ("--wind", "250/15", "--speed", "final=140", "--lights-out")
    assert timed.heard == (said("radial 030, 10.1", 0.0), said("established: nine miles", 84.5))
    assert timed.until_s == 3723.0


@pytest.mark.parametrize(
    ("line", "phrase"),
    [
        ("0:61 PILOT next", "'0:61' is no time"),
        ("soon PILOT next", "'soon' is no time"),
        ("00:05 pilot next", "'pilot' is no kind of line"),
        ("00:05", "'' is no kind of line"),
        ("00:05 PILOT", "PILOT without words"),
        ("00:01 PILOT next", "time runs back to 00:01"),
        ("setup: --speed 'final", "a quotation in setup is not closed"),
    ],
)
def test_each_bad_line_is_told_with_file_and_line(line, phrase):
    with pytest.raises(TranscriptError) as refused:
        read_transcript(f"00:02 PILOT next\n{line}\n00:09 END\n", "flight.txt")

    assert len(refused.value.findings) == 1
    assert str(refused.value).startswith(f"flight.txt:2: {phrase}")


def test_all_bad_lines_are_told_at_once():
    with pytest.raises(TranscriptError) as refused:
        read_transcript("x\n00:01 END\n00:02 PILOT next\ny\n", "flight.txt")

    assert [finding.line for finding in refused.value.findings] == [1, 3, 4]


@given(st.text(max_size=300))
def test_no_text_raises_anything_but_findings(text):
    with contextlib.suppress(TranscriptError):
        read_transcript(text, "flight.txt")


@pytest.mark.parametrize(
    ("text", "t_s"),
    [
        ("00:00", 0.0),
        ("2:45", 165.0),
        ("02:45.5", 165.5),
        ("61:00", 3660.0),
        ("1:01:00", 3660.0),
        ("1:61:00", None),
    ],
)
def test_a_clock_is_minutes_and_seconds_or_hours_before_them(text, t_s):
    assert parse_clock(text) == t_s


@given(st.integers(min_value=0, max_value=100_000))
def test_whole_seconds_survive_being_shown(t_s):
    assert parse_clock(clock_text(float(t_s))) == t_s


def test_a_clock_shows_a_second_only_when_it_has_come():
    assert clock_text(59.9) == "00:59"
    assert clock_text(59.99999999) == "01:00"


def test_a_flight_is_written_in_the_form_that_is_read():
    callout = Callout(
        t_s=5.0, expires_t_s=9.0, kind=CalloutKind.NEXT, priority=Priority.PREPARATION, cue="next"
    )

    lines = tuple(
        transcript_lines(
            (
                Heard(t_s=5.0, transcript=said("next", 5.0)),
                Tick(t_s=5.0),
                StageEntered(t_s=5.0, stage="arc", predicted=True),
                callout,
                Spoken(t_s=5.0, text="Next: lead radial.", callout=callout),
            )
        )
    )

    assert lines == (
        "00:05 PILOT  next",
        "00:05 STAGE  arc (predicted)",
        "00:05 ASSIST prepare  Next: lead radial.",
    )
    assert read_transcript("\n".join(lines), "flight.txt").heard == (said("next", 5.0),)
