"""A golden flight's text flown again: the same text where nothing has changed."""

import itertools
import re

from assistant.adapters.transcript_file import read_transcript, transcript_lines
from assistant.conversation import play

_HEADER = re.compile(r"(procedure|setup):")
_EXPECTED = re.compile(r"\S+\s+(STAGE|ASSIST)\b")
_PILOT = re.compile(r"\S+\s+PILOT\b")
_END = re.compile(r"\S+\s+END\b")


def flown(text, name, begin):
    """
    The text with its STAGE and ASSIST lines replaced by what comes out now.

    `begin(procedure, flags)` makes the flight. Comments and blank lines stay where they are, before the line
    that they stand before; times and spacing of PILOT lines stay as they were typed.
    """
    timed = read_transcript(text, name)
    flight = begin(timed.procedure, " ".join(timed.setup))
    outcome = iter(tuple(transcript_lines(play(flight.conversation, timed.heard, timed.until_s))))
    kept = [line for line in text.splitlines() if not _EXPECTED.match(line)]
    lines = []
    waiting = []  # comments, which go with the flown line after them
    for line in kept:
        waiting.append(line)
        if _HEADER.match(line):
            lines.extend(waiting)
        elif _PILOT.match(line):
            lines.extend((*itertools.takewhile(lambda made: not _PILOT.match(made), outcome), *waiting))
        elif _END.match(line):
            lines.extend((*outcome, *waiting))
        else:
            continue
        waiting = []
    return "\n".join([*lines, *outcome, *waiting]) + "\n"
