"""
The search for the phrases of one line: dynamic programming over its tokens.

Every token must belong to a phrase or be a filler. Of all ways to read a line those with the fewest phrases
count, then those with the fewest fillers; two that mean different things refuse it. Time is bounded by the
square of the tokens.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any

from assistant.engine.events import Said
from assistant.language.expressions import Binding, Ends, Matcher, expression, matcher
from assistant.language.grammar import NUMERAL_KEY, Names, phrases_by_first_word, word_slots
from assistant.language.numbers import DIGITS, NUMBER_RULES, SCALES, TEENS, TENS, value
from assistant.language.phrases import (
    AWAITS_NUMBER,
    FILLERS,
    NUMBER_SLOTS,
    Meaning,
    NumberSlot,
    Phrase,
    Setting,
    Unclear,
)
from assistant.language.tokens import DASH, SEPARATOR, is_numeral

_MOST_READINGS = 8
_NUMBER_WORDS = frozenset((*DIGITS, *TEENS, *TENS, *SCALES, "decimal", "point", "half"))
_SLOT_FIELDS = {"datum": "datum", "fix": "fix", "frequency": "name"}


@dataclass(frozen=True, slots=True)
class Item:
    """One phrase found: its meaning, with what its slots and words give."""

    meaning: Meaning
    fields: tuple[tuple[str, Any], ...]


@lru_cache(maxsize=4096)
def items_of(tokens: tuple[str, ...], names: Names) -> tuple[Item, ...] | str:
    """The phrases of a line in order, or the reason why it cannot be understood."""
    return _Parse(tokens, names).items()


@cache
def _numbers() -> Mapping[str, Matcher]:
    """What matches each rule of numbers."""
    return {name: matcher(expression(pattern)) for name, pattern in NUMBER_RULES.items()}


@cache
def _phrase(pattern: str) -> Matcher:
    return matcher(expression(pattern))


@lru_cache(maxsize=8)
def _by_first_word(names: Names) -> Mapping[str, tuple[tuple[Phrase, Matcher], ...]]:
    """The phrases that can begin with a word, or with a numeral, each with what matches it."""
    return {
        word: tuple((phrase, _phrase(phrase.pattern)) for phrase, _ in entries)
        for word, entries in phrases_by_first_word(names).items()
    }


class _Parse:
    """The search for the phrases of one line."""

    def __init__(self, tokens: tuple[str, ...], names: Names) -> None:
        self._tokens = tokens
        self._by_first = _by_first_word(names)
        self._word_slots = word_slots(names)
        self._spans: dict[tuple[str, int], Ends] = {}
        self._reason: str | None = None

    def items(self) -> tuple[Item, ...] | str:
        """What was found, or the reason why nothing was."""
        size = len(self._tokens)
        best: list[dict[tuple[Item, ...], None]] = [{} for _ in range(size + 1)]
        costs = [(size + 1, 0)] * (size + 1)
        best[0], costs[0] = {(): None}, (0, 0)
        reached = 0
        for at in range(size):
            if not best[at]:
                continue
            reached = at
            for end, cost, found in self._steps(at):
                total = (costs[at][0] + cost[0], costs[at][1] + cost[1])
                if total > costs[end]:
                    continue
                if total < costs[end]:
                    best[end], costs[end] = {}, total
                best[end] |= dict.fromkeys(before + found for before in best[at])
                if len(best[end]) > _MOST_READINGS:
                    return "could mean many things"
        if not best[size]:
            return self._reason or f"no phrase for {self._tokens[reached]!r}"
        return _only_reading(tuple(best[size]))

    def _steps(self, at: int) -> list[tuple[int, tuple[int, int], tuple[Item, ...]]]:
        """What can stand at a position: where it ends, its cost in phrases and fillers, what it means."""
        token = self._tokens[at]
        if token in (SEPARATOR, DASH):
            return [(at + 1, (0, 0), ())]
        steps: list[tuple[int, tuple[int, int], tuple[Item, ...]]] = []
        if token in FILLERS:
            steps.append((at + 1, (0, 1), ()))
        if at == 0:  # "Tower, range five": whom the pilot thinks to address tells us nothing
            steps += [
                (len(name), (0, 1), ())
                for name, _ in self._word_slots["frequency"]
                if self._tokens[: len(name)] == name
            ]
        # A numeral is wanted as such, or is part of a fix's name.
        typed = self._by_first[NUMERAL_KEY] if is_numeral(token) else ()
        for phrase, match in typed + self._by_first.get(token, ()):
            if phrase.stands_apart and not self._may_stand(phrase, at):
                continue
            for end, bound in match(self._tokens, at, self._rule):
                if phrase.meaning in AWAITS_NUMBER and not bound and self._number_follows(end):
                    self._reason = self._reason or f"{self._tokens[at]!r} with a number that does not fit"
                    continue
                steps.append((end, (1, 0), (Item(phrase.meaning, phrase.fields + bound),)))
        return steps

    def _may_stand(self, phrase: Phrase, at: int) -> bool:
        """Whether a bare number or name may stand here; only a typed number may follow a number directly."""
        if at == 0:
            return True
        token, last = self._tokens[at], at - 1
        while last > 0 and self._tokens[last] in FILLERS and phrase.pattern != "<fix>":
            last -= 1  # "sixteen thousand and eighteen" is no better than without "and"
        before = self._tokens[last]
        is_after_number = is_numeral(before) or before in _NUMBER_WORDS
        if phrase.pattern == "<fix>":
            return is_after_number or before in FILLERS or before in (SEPARATOR, DASH)
        return is_numeral(token) or not is_after_number

    def _number_follows(self, at: int) -> bool:
        while at < len(self._tokens) and self._tokens[at] in FILLERS:
            at += 1
        return at < len(self._tokens) and (is_numeral(self._tokens[at]) or self._tokens[at] in _NUMBER_WORDS)

    def _rule(self, name: str, start: int) -> Ends:
        """Where the rule of that name can end, and the field it fills."""
        key = (name, start)
        if key not in self._spans:
            self._spans[key] = self._find(name, start)
        return self._spans[key]

    def _find(self, name: str, start: int) -> Ends:
        if name in NUMBER_RULES:
            return _numbers()[name](self._tokens, start, self._rule)
        # A stop may stand before a number or name ("wind 250/15", "range: 16.4"), nowhere else inside a
        # phrase.
        if start > 0 and start < len(self._tokens) and self._tokens[start] == SEPARATOR:
            start += 1
        if start >= len(self._tokens):
            return ()
        if name in NUMBER_SLOTS:
            return self._number(NUMBER_SLOTS[name], start)
        field = _SLOT_FIELDS.get(name)
        found: list[tuple[int, Binding]] = []
        for tokens, meant in self._word_slots[name]:
            end = start + len(tokens)
            if (
                tokens
                and self._tokens[start:end] == tokens
                and not (name == "datum" and self._number_follows(end))
            ):
                found.append((end, ((field, meant),) if field else ()))
        return tuple(found)

    def _number(self, slot: NumberSlot, start: int) -> Ends:
        found: dict[tuple[int, Binding], None] = {}
        for end, number in self._said_or_typed(slot, start):
            if not slot.lowest <= number <= slot.highest:
                self._reason = f"{' '.join(self._tokens[start:end])!r} is out of limits"
            elif slot.step is None or number % slot.step == 0:
                found[(end, _filled(slot, number))] = None
        return tuple(found)

    def _said_or_typed(self, slot: NumberSlot, start: int) -> list[tuple[int, float]]:
        tokens = self._tokens
        is_signed = tokens[start] in ("minus", "plus") and slot.lowest < 0
        at = start + 1 if is_signed else start
        if at < len(tokens) and is_numeral(tokens[at]):
            if not re.fullmatch(slot.typed, tokens[at]):
                return []
            sign = -1.0 if is_signed and tokens[start] == "minus" else 1.0
            typed = float(tokens[at])
            # "2992" and "29.92" are the same setting in inches.
            return [(at + 1, sign * (typed / 100.0 if slot.rule == "inches" and typed >= 100 else typed))]
        said = []
        for end, _ in self._rule(slot.rule, start):
            number = value(tokens[start:end])
            said.append((end, number / 100.0 if slot.rule == "inches" and number >= 100 else number))
        return said


def _filled(slot: NumberSlot, number: float) -> Binding:
    if slot.field is None:
        return ()
    if slot.rule.startswith("bearing") and number == 0:
        return ((slot.field, 360.0),)
    scaled = number * slot.factor
    # A setting converted from inches is good to a tenth of a hectopascal at best.
    return ((slot.field, round(scaled, 1) if slot.rule == "inches" else scaled),)


def _only_reading(readings: tuple[tuple[Item, ...], ...]) -> tuple[Item, ...] | str:
    """The one reading left when those that contradict themselves are dropped, or why there is none."""
    refusals = [_contradiction(reading) for reading in readings]
    left = [reading for reading, refusal in zip(readings, refusals, strict=True) if refusal is None]
    if not left:
        return next(refusal for refusal in refusals if refusal)
    if any(_merged(one) != _merged(other) for one, other in pairwise(left)):
        return "could mean two things"
    unclear = [item.meaning.reason for item in left[0] if isinstance(item.meaning, Unclear)]
    return unclear[0] if unclear else left[0]


def _merged(items: tuple[Item, ...]) -> tuple[frozenset[Meaning], frozenset[tuple[str, Any]]]:
    return frozenset(item.meaning for item in items), frozenset(
        field for item in items for field in item.fields
    )


def _contradiction(items: tuple[Item, ...]) -> str | None:
    """Why the phrases of one line cannot all be meant; None when they can."""
    given: dict[tuple[bool, str], Any] = {}
    for item in items:
        for name, said in item.fields:
            key = (isinstance(item.meaning, Setting), name)
            if given.setdefault(key, said) != said:
                return f"{name} given twice"
    dme_nm, indicated_ft = given.get((False, "dme_nm")), given.get((False, "indicated_ft"))
    # Slant range cannot be less than the height above the station. 10,000 ft allows for the highest stations.
    if dme_nm and indicated_ft and (indicated_ft - 10_000.0) / 6076.1 > dme_nm:
        return f"{dme_nm:g} NM is not possible at {indicated_ft:g} ft"
    said_all = {item.meaning for item in items if isinstance(item.meaning, Said)}
    if Said.NEGATIVE in said_all and said_all - {Said.NEGATIVE, Said.NOT_VISUAL, Said.GOING_AROUND}:
        return "negative, or that statement?"
    if {Said.VISUAL, Said.NOT_VISUAL} <= said_all or {Said.AFFIRM, Said.NEGATIVE} <= said_all:
        return "two statements that contradict each other"
    return None
