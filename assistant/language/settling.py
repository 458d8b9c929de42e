"""
What was said and may mean two things, settled by what is expected, where only one of them can be meant.

In speech nothing parts "range two four" from "eight hundred": 24 NM and 800 ft, or 2 NM and 4800 ft. Of the
ways to part the numbers the one is taken whose readings lie in the windows, where no other way's do. Digits
that nothing announces are settled likewise (`announced`). The words stay those heard.
"""

from assistant.engine.events import EngineInput, NotUnderstood
from assistant.language.announced import announced
from assistant.language.choice import Expectation
from assistant.language.familiar import is_supported
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


def _meaning(text: str, names: Names) -> tuple[EngineInput, ...]:
    return hear(Transcript(text=text, started_t_s=0.0, ended_t_s=0.0), names, 0.0)
