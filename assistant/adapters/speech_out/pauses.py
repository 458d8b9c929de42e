"""
How a sentence is written for a synthesiser, where that makes it better understood than its own words do.

Words and digits of a synthesiser run into each other. Where a pause mends that, by the marks that every
synthesiser takes for one, it is put in: what two general recognisers understood of each kind, as it is and
with pauses in several places, and what each pause costs, stands in docs/voice.md. The digits of bearings and
flight levels are set apart (0.9 s); heights come every mile and get a pause before and behind their datum
alone (0.5 s); settings of the altimeter and winds one or two (0.3 s). A fix's name runs into "in" likewise.
"""

import re

_DIGIT = "(?:zero|one|two|three|four|five|six|seven|eight|niner)"
_BEARING = re.compile(rf"\b(heading|course|radial) ({_DIGIT} {_DIGIT} {_DIGIT})\b", re.IGNORECASE)
_LEVEL = re.compile(rf"\b(flight level) ({_DIGIT}(?: {_DIGIT})+)\b", re.IGNORECASE)
_SET = re.compile(r"^Set (?=Q(?:NH|FE)\b)")
_SETTING = re.compile(rf"\b(Q(?:NH|FE)) (?={_DIGIT} {_DIGIT} {_DIGIT}\b)")
_HEIGHT_AT = re.compile(r" (Q(?:NH|FE)) at (?=.*\bDME\b)")
_WIND = re.compile(rf"\b(wind {_DIGIT} {_DIGIT} {_DIGIT} degrees?) ", re.IGNORECASE)
_NAME_IN = re.compile(r"\b([A-Z]{3,5}) in\b")


def with_pauses(sentence: str) -> str:
    """A sentence with pauses where they help its numbers or its name; one without either as it is."""
    for numbers in (_BEARING, _LEVEL):
        sentence = numbers.sub(lambda found: f"{found[1]}: {found[2].replace(' ', ', ')}", sentence)
    sentence = _SETTING.sub(r"\1, ", _SET.sub("Set, ", sentence))
    sentence = _WIND.sub(r"\1, ", _HEIGHT_AT.sub(r", \1, at ", sentence))
    return _NAME_IN.sub(r"\1, in", sentence)
