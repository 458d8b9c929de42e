"""
How a sentence is written for a synthesiser, where that makes it better understood than its own words do.

The digits of a bearing run into each other and into the word before them. With a pause there and between
them, by the marks that every synthesiser takes for one, a general recogniser took half as many words wrongly
(docs/voice.md). It costs 0.9 s, so other numbers are spoken as they are; settings of the altimeter gained
nothing from it.
"""

import re

_DIGIT = "(?:zero|one|two|three|four|five|six|seven|eight|niner)"
_BEARING = re.compile(rf"\b(heading|course|radial) ({_DIGIT} {_DIGIT} {_DIGIT})\b", re.IGNORECASE)


def with_pauses(sentence: str) -> str:
    """A sentence with pauses in its bearings; one without them as it is."""
    return _BEARING.sub(lambda bearing: f"{bearing[1]}: {bearing[2].replace(' ', ', ')}", sentence)
