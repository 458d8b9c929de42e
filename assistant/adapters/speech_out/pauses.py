"""
How a sentence is written for a synthesiser, where that makes it better understood than its own words do.

The digits of a bearing run into each other and into the word before them. With a pause there and between
them, by the marks that every synthesiser takes for one, a general recogniser took half as many words wrongly
(docs/voice.md). It costs 0.9 s, so other numbers are spoken as they are, but for flight levels, which are
seldom said; settings of the altimeter gained nothing from it. A fix's name runs into "in" likewise.
"""

import re

_DIGIT = "(?:zero|one|two|three|four|five|six|seven|eight|niner)"
_BEARING = re.compile(rf"\b(heading|course|radial) ({_DIGIT} {_DIGIT} {_DIGIT})\b", re.IGNORECASE)
_LEVEL = re.compile(rf"\b(flight level) ({_DIGIT}(?: {_DIGIT})+)\b", re.IGNORECASE)
_NAME_IN = re.compile(r"\b([A-Z]{3,5}) in\b")


def with_pauses(sentence: str) -> str:
    """A sentence with pauses in its bearings and levels, and behind a name; one without them as it is."""
    for numbers in (_BEARING, _LEVEL):
        sentence = numbers.sub(lambda found: f"{found[1]}: {found[2].replace(' ', ', ')}", sentence)
    return _NAME_IN.sub(r"\1, in", sentence)
