"""
What was said and may mean two things, settled by what is expected, where only one of them can be meant.

In speech nothing parts "range two four" from "eight hundred": 24 NM and 800 ft, or 2 NM and 4800 ft. Of the
ways to part the numbers the one is taken whose readings lie in the windows, where no other way's do. Digits
that nothing announces are settled likewise (`announced`). The words stay those heard.

Of a report whose end makes no sense the beginning may be asked about (`beginning`).
"""

from assistant.engine.events import EngineInput, NotUnderstood, PositionReport
from assistant.language.announced import announced
from assistant.language.choice import Expectation
from assistant.language.familiar import is_inside, is_supported
from assistant.language.grammar import Names
from assistant.language.hearing import hear
from assistant.language.numbers import DIGITS, SCALES, TEENS, TENS
from assistant.language.transcript import Transcript

_NUMBER_WORDS = frozenset((*DIGITS, *TEENS, *TENS, *SCALES))


def settled(text: str, names: Names, expected: Expectation | None) -> str:
    """The words, with a comma or an announcement where only that gives them a meaning that is expected."""
    if expected is None:
        return text
    said = announced(text, expected)
    if said != text or not any(isinstance(event, NotUnderstood) for event in _meaning(text, names)):
        return said
    words = text.split()
    found: dict[tuple[EngineInput, ...], str] = {}
    for at in range(1, len(words)):
        if words[at - 1] in _NUMBER_WORDS and words[at] in _NUMBER_WORDS:
            parted = f"{' '.join(words[:at])}, {' '.join(words[at:])}"
            events = _meaning(parted, names)
            if is_supported(events, expected) and not any(
                isinstance(event, NotUnderstood) for event in events
            ):
                found.setdefault(events, parted)
    return next(iter(found.values())) if len(found) == 1 else text


FEWEST_MEASURES = 2
"""Of radial, range and altitude, for the beginning of a report to be worth asking about."""


def beginning(text: str, names: Names, expected: Expectation) -> str:
    """
    The longest beginning of words not understood that reports two measures, in the windows; empty for none.

    "Radial two eight three, two zero decimal five DME, flight level one eight zero, level three five niner"
    gives an altitude twice: its end was heard wrong, and what is before it can be asked back.
    """
    words = text.split()
    for end in range(len(words) - 1, 0, -1):
        start = " ".join(words[:end])
        events = _meaning(start, names)
        match events:
            case (PositionReport() as report,) if is_inside(events, expected):
                measures = (report.radial_deg, report.dme_nm, report.indicated_ft)
                if sum(measure is not None for measure in measures) >= FEWEST_MEASURES:
                    return start
    return ""


def _meaning(text: str, names: Names) -> tuple[EngineInput, ...]:
    return hear(Transcript(text=text, started_t_s=0.0, ended_t_s=0.0), names, 0.0)
