"""
Radiotelephony numbers both ways: said as the trade says them, and the grammar of how pilots say them.

Speaking follows ICAO (Annex 10 Volume II, 5.2.1.4; Doc 9432): digits one by one, except altitudes of whole
hundreds and thousands. Where the standards differ the difference is data (`Dialect`), and ICAO is the
default. Nine is written "niner" (Annex 10's NIN-er) so that screen and voice show the same word; other digits
keep their plain spelling, since how "three" sounds is the voice's matter.

Hearing is a set of finite rules in the notation of `expressions`, and `value`, which adds up any words those
rules let through. A spoken range has exactly one decimal: sets show tenths, and without that limit "one six
decimal four four eight hundred" could be 16.44 and eight hundred. To, too and for are no numbers here; a
recogniser held to this grammar never returns them, and typed they are words.
"""

from dataclasses import dataclass

_SPOKEN = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "niner")

DIGITS = {
    **{word: number for number, word in enumerate(_SPOKEN)},
    "nine": 9,
    "oh": 0,
    "nought": 0,
    "wun": 1,
    "tree": 3,
    "fower": 4,
    "fife": 5,
    "ait": 8,
}
TEENS = {
    word: number
    for number, word in enumerate(
        (
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ),
        start=10,
    )
}
TENS = {
    word: 10 * number
    for number, word in enumerate(
        ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"), start=2
    )
}
SCALES = {"hundred": 100, "thousand": 1000, "tousand": 1000}


def _either(*numbers: int) -> str:
    """A choice of all the words for these digits."""
    return "(" + " | ".join(word for word, number in DIGITS.items() if number in numbers) + ")"


_UP_TO_FIFTY_NINE = "(twenty | thirty | forty | fifty)"

NUMBER_RULES: dict[str, str] = {
    "digit": _either(*range(10)),
    "nonzero": _either(*range(1, 10)),
    "zero": _either(0),
    "teen": "(" + " | ".join(TEENS) + ")",
    "tens": "(" + " | ".join(TENS) + ")",
    "cardinal": "(<teen> | <tens> [<nonzero>])",
    "decimal": "(decimal | point)",
    "thousand": "(thousand | tousand)",
    # Ranges in NM: to 199.9 by digits, to 99.9 as "sixteen point four", and halves.
    "whole": "(<nonzero> [<digit>] | <cardinal>)",
    "tenths": "((<whole> | <zero>) <decimal> <digit> | <whole> and a half)",
    "hundred_and_tenths": f"{_either(1)} <digit> <digit> <decimal> <digit>",
    "range": "(<whole> | <tenths> | <decimal> <digit> | <one_hundred_and_more> | <hundred_and_tenths>)",
    # Bearings: 000 to 360, as three digits or as "two fifty", "oh ninety", "ninety".
    "bearing_in_full": (
        f"({_either(0, 1, 2)} <digit> <digit> | {_either(3)} {_either(*range(6))} <digit>"
        f" | {_either(3)} {_either(6)} <zero> | {_either(0, 1, 2)} <cardinal> | {_either(3)} <teen>"
        f" | {_either(3)} {_UP_TO_FIFTY_NINE} [<nonzero>] | {_either(3)} sixty)"
    ),
    "bearing_in_short": "<tens> [<nonzero>]",
    "bearing": "(<bearing_in_full> | <bearing_in_short>)",
    "bearing_from_zero": "<zero> <digit> <digit>",
    "bearing_or_not": (
        f"({_either(1, 2)} <digit> <digit> | {_either(3)} {_either(*range(6))} <digit>"
        f" | {_either(3)} {_either(6)} <zero>)"
    ),
    # Altitudes in ft: "four thousand eight hundred", "four eight hundred", "forty eight hundred and twenty".
    "thousands": (
        f"(<nonzero> | {_either(*range(1, 6))} <digit> | <teen> | {_UP_TO_FIFTY_NINE} [<nonzero>]) <thousand>"
    ),
    "odd_feet": "[[and] <cardinal> | <nonzero> <zero>]",
    "hundreds": "(<nonzero> [<digit>] | <cardinal>) hundred <odd_feet>",
    "altitude_words": "(<hundreds> | <thousands> [<nonzero> hundred <odd_feet> | and <cardinal>])",
    "altitude_past_bare": "(thirty | forty | fifty) [<nonzero>] <thousand> [<nonzero> hundred]",
    "altitude_digits": (
        f"(<nonzero> <digit> <digit> [<digit>] | {_either(*range(1, 6))} <digit> <digit> <digit> <digit>)"
    ),
    "altitude": "(<altitude_words> | <altitude_digits> | (<nonzero> | <cardinal>) <cardinal>)",
    # Flight levels: 10 to 599.
    "level": (
        f"(<nonzero> <digit> | <zero> <nonzero> <digit> | {_either(*range(1, 6))} (<digit> <digit> | hundred"
        " | <cardinal>) | <cardinal>)"
    ),
    # Settings: hectopascals 500 to 1099, inches of mercury 25.00 to 31.99.
    "hectopascals": (
        f"({_either(*range(5, 10))} (<digit> <digit> | <cardinal>) | {_either(1)} <zero> <digit> <digit>"
        f" | ten (<cardinal> | <zero> <digit>) | {_either(1)} <thousand>)"
    ),
    "high_hectopascals": (
        f"({_either(8, 9)} (<digit> <digit> | <cardinal>) | {_either(1)} <zero> <digit> <digit>"
        f" | ten (<cardinal> | <zero> <digit>) | {_either(1)} <thousand>)"
    ),
    "inches": (
        f"(({_either(2)} {_either(*range(5, 10))} | {_either(3)} {_either(0, 1)}) [<decimal>] <digit> <digit>"
        f" | (twenty {_either(*range(5, 10))} | thirty [one]) (<cardinal> | <zero> <digit>))"
    ),
    "speed": "(<nonzero> <digit> [<digit>] | <cardinal> | <nonzero> <cardinal>)",
    "wind_speed": "([<zero>] <nonzero> | <nonzero> <digit> | <one_hundred_and_more> | <cardinal> | <zero>)",
    "one_hundred_and_more": f"{_either(1)} <digit> <digit>",
    "celsius": f"[minus | plus] (<zero> | [<zero>] <nonzero> | {_either(*range(1, 6))} <digit> | <teen>"
    f" | {_UP_TO_FIFTY_NINE} [<nonzero>])",
}
"""
How numbers are said, by rule. What each is a number *of*, its limits and its typed form are the slots'
matter.
"""


def value(words: tuple[str, ...]) -> float:
    """
    The number that some words say; ValueError for a word that is no part of a number.

    Digits join ("one six" 16), ties take a unit ("forty eight" 48), pairs join by hundreds ("two fifty" 250),
    hundred and thousand scale what stands before them. Whether the words make sense in that order is for
    `NUMBER_RULES` to say.
    """
    total = group = 0
    tie_open = is_negative = has_half = False
    decimals: str | None = None
    for word in words:
        if word in DIGITS and decimals is not None:
            decimals += str(DIGITS[word])
        elif word in DIGITS:
            group = group + DIGITS[word] if tie_open and DIGITS[word] else group * 10 + DIGITS[word]
        elif word in TEENS or word in TENS:
            group = group * 100 + (TEENS[word] if word in TEENS else TENS[word])
        elif word in SCALES:
            total, group = total + group * SCALES[word], 0
        elif word in ("decimal", "point"):
            decimals = ""
        elif word == "half":
            has_half = True
        elif word == "minus":
            is_negative = True
        elif word not in ("and", "a", "plus"):
            raise ValueError(f"{word!r} is no part of a number")
        tie_open = word in TENS
    # Through text, so that "one six decimal four" is the same float as a typed 16.4.
    number = float(f"{total + group}.{'5' if has_half else decimals or '0'}")
    return -number if is_negative else number


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """
    Where the standards' spoken numbers differ.

    decimal: ICAO "decimal", FAA "point". has_hundred_levels: UK (CAP 413) and later ICAO text say "flight
    level one hundred", Annex 10's older text, and the FAA, "one zero zero". has_minima_by_digits: FAA JO
    7110.65 says a minimum descent altitude digit by digit, ICAO like any altitude.
    """

    decimal: str = "decimal"
    has_hundred_levels: bool = False
    has_minima_by_digits: bool = False


ICAO = Dialect()
UK = Dialect(has_hundred_levels=True)
FAA = Dialect(decimal="point", has_minima_by_digits=True)


def spoken_digits(text: str, dialect: Dialect = ICAO) -> str:
    """Each character of a number as a word: "16.4" is "one six decimal four"; ValueError for a letter."""
    words = {".": dialect.decimal, "-": "minus"}
    return " ".join(words.get(character) or _SPOKEN[int(character)] for character in text)


def spoken_tenths(number: float, dialect: Dialect = ICAO) -> str:
    """A range in NM (or any number read to tenths) digit by digit; a whole number without its ".0"."""
    return spoken_digits(f"{number:.1f}".removesuffix(".0"), dialect)


def spoken_whole(number: float, dialect: Dialect = ICAO) -> str:
    """A number to the nearest whole, digit by digit: settings in hPa, wind in kt, degrees Celsius."""
    return spoken_digits(
        f"{number:.0f}".replace("-0", "0") if round(number) == 0 else f"{number:.0f}", dialect
    )


def spoken_bearing(bearing_deg: float) -> str:
    """A heading, course or radial in three digits; north is "three six zero" (FAA AIM 4-2-10)."""
    return spoken_digits(f"{round(bearing_deg) % 360 or 360:03d}")


def spoken_altitude(altitude_ft: float, dialect: Dialect = ICAO) -> str:
    """
    An altitude or height in ft, to the nearest foot (Annex 10 Volume II, 5.2.1.4).

    Whole hundreds and thousands as such, the thousands digit by digit: "one two thousand five hundred".
    Anything finer digit by digit: "one four eight zero".
    """
    feet = round(altitude_ft)
    if feet % 100 or feet < 100:
        return spoken_digits(str(feet), dialect)
    thousands, hundreds = divmod(feet // 100, 10)
    words = [f"{spoken_digits(str(thousands))} thousand"] if thousands else []
    if hundreds:
        words.append(f"{_SPOKEN[hundreds]} hundred")
    return " ".join(words)


def spoken_minimum(altitude_ft: float, dialect: Dialect = ICAO) -> str:
    """A minimum descent altitude or height in ft, in the dialect's way."""
    if dialect.has_minima_by_digits:
        return spoken_digits(str(round(altitude_ft)), dialect)
    return spoken_altitude(altitude_ft, dialect)


def spoken_flight_level(level: float, dialect: Dialect = ICAO) -> str:
    """A flight level, in hundreds of ft: "flight level eight zero"."""
    whole = round(level)
    if dialect.has_hundred_levels and whole % 100 == 0:
        return f"flight level {_SPOKEN[whole // 100]} hundred"
    return f"flight level {spoken_digits(str(whole))}"


def spoken_frequency(frequency_mhz: float, dialect: Dialect = ICAO) -> str:
    """A frequency in MHz, digit by digit, trailing noughts left out: "one two two decimal one"."""
    written = f"{frequency_mhz:.3f}".rstrip("0")
    return spoken_digits(written + "0" if written.endswith(".") else written, dialect)


def spoken_time(time_s: float) -> str:
    """A time to the nearest second: "two zero seconds", "one minute", "one minute three zero seconds"."""
    minutes, seconds = divmod(round(time_s), 60)
    words = []
    if minutes:
        words.append(f"{spoken_digits(str(minutes))} minute{'' if minutes == 1 else 's'}")
    if seconds or not minutes:
        words.append(f"{spoken_digits(str(seconds))} second{'' if seconds == 1 else 's'}")
    return " ".join(words)
