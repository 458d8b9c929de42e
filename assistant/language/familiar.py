"""
How strange a reading may sound and still be taken for speech to us: limits, as a pure table.

A recogniser tells by how much a row of any speech sounds explains an utterance better than the words it found
(`strangeness`). A foreign accent has some of that, talk to others and coughs more:

    reading                                           most strangeness
    numbers that the windows hold, three words up     any: talk to others is hardly ever just what is expected
    a number, "yes", "no" or a fix's name, alone      little: breath, coughs and clicks become these
    a statement or question of one word, expected     more: "established", "minimum" none of them became
    words, when something is expected                 much
    words, when nothing is                            less

Chosen on development voices (docs/hearing.md), in pocketsphinx's units.
"""

import math

from assistant.engine.events import EngineInput, PositionReport, Request, Said, Statement
from assistant.language.choice import Expectation
from assistant.language.numbers import DIGITS, SCALES, TEENS, TENS
from assistant.language.phrases import FILLERS

EXPECTED_LIMIT = 700.0
UNEXPECTED_LIMIT = 600.0
LONE_WORD_LIMIT = 100.0
FURTHER_WORD_LIMIT = 200.0
"""A word by itself, and each further word of a number."""

LONE_STATEMENT_LIMIT = 450.0
"""
A statement or question of one word, where something is expected: accents had 425, no cough less than 1022.
"""

_WINDOWS = ("dme_nm", "indicated_ft", "radial_deg")
_LIKE_COUGHS = (Said.AFFIRM, Said.NEGATIVE)

_COUGHED = ("yes", "no", "affirm", "confirmed", "correct")
"""Words that coughs become, beside fillers: "two and and no" is no report of three words."""

_SUPPORTED_WORDS = 3
_NUMBERS_AND_UNITS = frozenset(
    (*DIGITS, *TEENS, *TENS, *SCALES, "decimal", "point", "feet", "foot", "dme", "mile", "miles")
)


def strangeness_limit(text: str, events: tuple[EngineInput, ...], expected: Expectation | None) -> float:
    """The most strangeness with which a reading is taken, by the table; infinite where none is too much."""
    words = text.split()
    limit = UNEXPECTED_LIMIT if expected is None else EXPECTED_LIMIT
    carrying = [word for word in words if word not in FILLERS and word not in _COUGHED]
    if len(carrying) >= _SUPPORTED_WORDS and expected is not None and is_supported(events, expected):
        return math.inf
    if len(words) == 1 and expected is not None and _is_lone_statement(events):
        return LONE_STATEMENT_LIMIT
    if len(words) == 1 or all(word in _NUMBERS_AND_UNITS for word in words):
        return min(LONE_WORD_LIMIT + FURTHER_WORD_LIMIT * (len(words) - 1), limit)
    return limit


def _is_lone_statement(events: tuple[EngineInput, ...]) -> bool:
    match events:
        case (Statement(said=said),):
            return said not in _LIKE_COUGHS
        case (Request(),):
            return True
        case _:
            return False


def is_supported(events: tuple[EngineInput, ...], expected: Expectation) -> bool:
    """Whether a number is reported that has a window, and every such number lies in its own."""
    reports = [event for event in events if isinstance(event, PositionReport)]
    return is_inside(events, expected) and any(
        getattr(report, name) is not None and getattr(expected, name) is not None
        for report in reports
        for name in _WINDOWS
    )


def is_inside(events: tuple[EngineInput, ...], expected: Expectation) -> bool:
    """Whether every number reported lies inside its window; a report of none does."""
    return not any(
        outside(getattr(event, name), getattr(expected, name), turns=name == "radial_deg")
        for event in events
        if isinstance(event, PositionReport)
        for name in _WINDOWS
    )


def outside(number: float | None, window: tuple[float, float] | None, *, turns: bool) -> bool:
    """Whether a number lies outside a window; without either it does not. `turns`: 360 more is the same."""
    if number is None or window is None:
        return False
    around = (-360.0, 0.0, 360.0) if turns else (0.0,)
    return not any(window[0] - 1e-6 <= number + turn <= window[1] + 1e-6 for turn in around)
