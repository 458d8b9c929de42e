"""
What an expectation lets be said in the second decode: reports with numbers in the windows, and statements
that fit now.

Every way of saying a number by a rule is enumerated once, with its value; a window then picks those inside
it. That takes a tenth of a second or less, and is done before the pilot speaks. Questions and settings are
left out: they stand alone, and no window could speak for them.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from itertools import product

from assistant.engine.events import Asked, Said
from assistant.language.announced import fitting
from assistant.language.choice import Expectation
from assistant.language.expressions import Choice, Expression, Rule, Sequence, Word, expression
from assistant.language.grammar import Grammar
from assistant.language.numbers import DIGITS, NUMBER_RULES, value
from assistant.language.phrases import NUMBER_SLOTS, Meaning, Reading, Setting, Unclear

_FIXES = ("fix", "passed_fix")


def expectable(table: Grammar, expected: Expectation) -> Grammar:
    """The table as a report may be said now."""
    phrases = tuple((phrase, what) for phrase, what in table.phrases if _fits(phrase.meaning, expected))
    return replace(table, rules=narrowed(table.rules, expected), phrases=phrases)


def lone_statements(table: Grammar, statements: frozenset[Said]) -> Grammar:
    """
    Of the table, these statements alone.

    Without the names of fixes: "leaving the hold" was heard for leaving this one or that.
    """
    phrases = tuple(each for each in table.phrases if each[0].meaning in statements)
    return replace(table, rules={**table.rules, **dict.fromkeys(_FIXES, Choice(()))}, phrases=phrases)


def _fits(meaning: Meaning, expected: Expectation) -> bool:
    match meaning:
        case Said.AFFIRM | Said.NEGATIVE:
            # An answer is no part of a report.
            return False
        case Said():
            return expected.statements is None or meaning in expected.statements
        case Asked() | Setting():
            return False
        case Reading() | Unclear():
            return True


def narrowed(rules: Mapping[str, Expression], expected: Expectation) -> dict[str, Expression]:
    """The rules with each slot of a limited field cut down to what lies inside its window."""
    windows = {
        "dme_nm": expected.dme_nm,
        "indicated_ft": expected.indicated_ft,
        "radial_deg": expected.radial_deg,
    }
    cut = dict(rules)
    for name, slot in NUMBER_SLOTS.items():
        window = windows.get(slot.field or "")
        if window is not None:
            low, high = window[0] / slot.factor, window[1] / slot.factor
            cut[name] = within(slot.rule, low, high, is_bearing=slot.field == "radial_deg")
    cut["bare_unclear"] = _fitting(expected)
    return cut


def _fitting(expected: Expectation) -> Expression:
    """Three digits with nothing that announces them, where something expected settles what they are."""
    return Choice(
        tuple(
            Sequence(tuple(Word(_PLAIN[digit]) for digit in digits))
            for digits in product(range(1, 10), range(10), range(10))
            if fitting(digits, expected)
        )
    )


def within(rule: str, low: float, high: float, *, is_bearing: bool = False) -> Expression:
    """All ways to say a number between two values by a rule; a choice of none where there is none."""
    values, said = _ways(rule)
    spans = [(low, high)]
    if is_bearing:  # 355 to 005 is 355 to 360 and 000 to 005
        spans = [(low + turn, high + turn) for turn in (-360.0, 0.0, 360.0)]
    # A window's edge must not fall to the rounding of the sums.
    slack = 1e-6
    found = [
        words
        for least, most in spans
        for words in said[bisect_left(values, least - slack) : bisect_right(values, most + slack)]
    ]
    return Choice(tuple(Sequence(tuple(map(Word, words))) for words in dict.fromkeys(found)))


_FOR_WINDOWS = {
    # One spelling of each digit: the others are pronunciations of it to a recogniser.
    "digit": "(zero | one | two | three | four | five | six | seven | eight | nine)",
    "nonzero": "(one | two | three | four | five | six | seven | eight | nine)",
    "zero": "(zero)",
    "thousand": "(thousand)",
    # Altitudes to whole tens: altimeters are marked every 20 ft.
    "odd_feet": "[[and] <whole_tens> | <nonzero> <zero>]",
    "whole_tens": "(ten | <tens>)",
    "altitude_words": "(<hundreds> | <thousands> [<nonzero> hundred <odd_feet> | and <whole_tens>])",
    "altitude_digits": "(<nonzero> [<digit>] <digit> <zero>"
    " | <ten_thousands> <digit> <digit> <digit> <zero>)",
    "ten_thousands": "(one | two | three | four | five)",
    "altitude": "(<altitude_words> | <altitude_digits> | (<nonzero> | <cardinal>) <whole_tens>)",
}
_OTHER_SPELLINGS = frozenset(("niner", "oh", "nought", "wun", "tree", "fower", "fife", "ait", "tousand"))
_PLAIN = {number: word for word, number in DIGITS.items() if word not in _OTHER_SPELLINGS}


@cache
def _ways(rule: str) -> tuple[list[float], list[tuple[str, ...]]]:
    """Every row of words of a rule, in the plain spelling of digits, in the order of its value."""
    rules = {name: expression(pattern) for name, pattern in {**NUMBER_RULES, **_FOR_WINDOWS}.items()}
    pairs = sorted({(value(words), words) for words in _rows(rules[rule], rules)})
    return [number for number, _ in pairs], [words for _, words in pairs]


def _rows(what: Expression, rules: Mapping[str, Expression]) -> Iterator[tuple[str, ...]]:
    match what:
        case Word(text):
            if text not in _OTHER_SPELLINGS:
                yield (text,)
        case Rule(name):
            yield from _rows(rules[name], rules)
        case Choice(options):
            for option in options:
                yield from _rows(option, rules)
        case Sequence(parts):
            for rows in product(*(tuple(_rows(part, rules)) for part in parts)):
                yield tuple(word for row in rows for word in row)
