"""
Bare digits that only one expected reading fits, with the word that says which: "radial one six four".

Typed or unexpected, "one six four" is refused as unclear: radial, heading or altitude? Where dead reckoning
expects a radial about 164, and neither a range about 16.4 nor 164 ft, the pilot's digits leave one meaning.
The digits are those heard; expectation settles only what they measure. Where two windows fit, nothing does.
"""

from assistant.language.choice import Expectation
from assistant.language.numbers import DIGITS

_FEWEST, _MOST = 3, 5
_TURNS = (-360, 0, 360)


def announced(text: str, expected: Expectation | None) -> str:
    """The words, with what they measure said first where they are bare digits and one window fits them."""
    words = text.split()
    if expected is None or not _FEWEST <= len(words) <= _MOST or any(word not in DIGITS for word in words):
        return text
    readings = fitting(tuple(DIGITS[word] for word in words), expected)
    if len(readings) != 1:
        return text
    match readings[0]:
        case "range":
            return f"range {' '.join(words[:-1])} decimal {words[-1]}"
        case measure:
            return f"{measure} {text}"


def fitting(digits: tuple[int, ...], expected: Expectation) -> tuple[str, ...]:
    """
    What digits without a word can be where they are expected: a radial in degrees, a range with its tenths
    last and its decimal left out, an altitude in feet.
    """
    number = int("".join(map(str, digits)))
    found = []
    radial, dme, indicated = expected.radial_deg, expected.dme_nm, expected.indicated_ft
    is_bearing = len(digits) == 3 and number <= 360
    if is_bearing and radial is not None and any(radial[0] <= number + turn <= radial[1] for turn in _TURNS):
        found.append("radial")
    # In whole tenths: 16.4 - 0.7 must not fall to the rounding of binary fractions.
    if digits[0] != 0 and dme is not None and round(10 * dme[0], 6) <= number <= round(10 * dme[1], 6):
        found.append("range")
    if digits[0] != 0 and indicated is not None and indicated[0] <= number <= indicated[1]:
        found.append("altitude")
    return tuple(found)
