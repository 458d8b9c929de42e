"""
How a sentence is written for a synthesiser, where that makes it better understood than its own words do.

A heading or a setting alone ("Heading zero niner zero.") is over before a listener has caught on. With pauses
in it, by the commas that every synthesiser takes for them, a general recogniser took half as many words of it
wrongly (docs/voice.md).
"""

_DIGITS = frozenset({"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "niner"})
_LEAST, _MOST = 3, 4
"""Digits that are a bearing or a setting of the altimeter."""


def with_pauses(sentence: str) -> str:
    """A word and a number after it, with a pause behind each word; anything else as it is."""
    words = sentence.rstrip(".?!")
    name, *digits = words.split() or ("",)
    if not (_LEAST <= len(digits) <= _MOST and _DIGITS.issuperset(digits)):
        return sentence
    return f"{name}: {', '.join(digits)}{sentence[len(words) :]}"
