"""
The phrase table with a procedure's names in it, as data: what `hear` searches and what recognisers compile.

Every rule is a finite set of word sequences (`expressions`), so that it can become an automaton. Typed
numerals are not in it: they are the keyboard's way of writing the same slots.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from assistant.language.expressions import (
    Choice,
    Expression,
    Rule,
    Sequence,
    Word,
    expression,
    first_words,
    vocabulary_of,
)
from assistant.language.numbers import NUMBER_RULES
from assistant.language.phrases import FILLERS, NUMBER_SLOTS, PHRASES, WORD_SLOTS, Phrase
from assistant.language.tokens import SEPARATOR, tokens_of

NUMERAL_KEY = "#"
"""Stands for any typed numeral in `phrases_by_first_word`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """
    The names a procedure adds to the table: identifiers of fixes, and what its frequencies are called.

    `events` are added where they are asked for (`practice`): none of them is a phrase otherwise.
    """

    fixes: tuple[str, ...] = ()
    frequencies: tuple[str, ...] = ()
    events: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Grammar:
    """
    The phrase table as finite rules: an utterance is a row of `phrases`, with `fillers` between them.

    `rules` holds every rule named in a phrase. Numbers are words only; what a slot's limits refuse is refused
    by `hear`.
    """

    rules: Mapping[str, Expression]
    phrases: tuple[tuple[Phrase, Expression], ...]
    fillers: frozenset[str]


@lru_cache(maxsize=8)
def grammar(names: Names) -> Grammar:
    """The whole table with a procedure's names in it."""
    rules = {name: expression(pattern) for name, pattern in NUMBER_RULES.items()}
    rules |= {name: Rule(slot.rule) for name, slot in NUMBER_SLOTS.items()}
    for slot, entries in word_slots(names).items():
        rules[slot] = Choice(tuple(Sequence(tuple(map(Word, tokens))) for tokens, _ in entries))
    phrases = tuple((phrase, expression(phrase.pattern)) for phrase in PHRASES)
    return Grammar(rules=rules, phrases=phrases, fillers=FILLERS)


def vocabulary(names: Names) -> frozenset[str]:
    """Every word that can occur in something understood."""
    table = grammar(names)
    said = (vocabulary_of(what, table.rules) for _, what in table.phrases)
    return table.fillers.union({"correction", "disregard"}, *said)


@lru_cache(maxsize=8)
def word_slots(names: Names) -> Mapping[str, tuple[tuple[tuple[str, ...], object], ...]]:
    """Slots that take words, each as token sequences with what they stand for."""
    fixes = tuple((_name_tokens(fix), fix) for fix in names.fixes)
    slots: dict[str, tuple[tuple[tuple[str, ...], object], ...]] = {
        "fix": fixes,
        "passed_fix": fixes,
        "frequency": tuple((_name_tokens(name), name) for name in names.frequencies),
        "event": tuple((_name_tokens(name), name) for name in names.events),
    }
    for slot, entries in WORD_SLOTS.items():
        slots[slot] = tuple((_name_tokens(words), meant) for words, meant in entries)
    return slots


def _name_tokens(name: str) -> tuple[str, ...]:
    return tuple(token for token in tokens_of(name) if token != SEPARATOR)


@lru_cache(maxsize=8)
def phrases_by_first_word(names: Names) -> Mapping[str, tuple[tuple[Phrase, Expression], ...]]:
    """Which phrases can begin with a word, or with a numeral; looking only there keeps hearing quick."""
    table = grammar(names)
    rules = {
        name: Choice((rule, Word(NUMERAL_KEY))) if name in NUMBER_SLOTS else rule
        for name, rule in table.rules.items()
    }
    index: dict[str, list[tuple[Phrase, Expression]]] = {}
    for phrase, what in table.phrases:
        for word in first_words(what, rules):
            index.setdefault(word, []).append((phrase, what))
    return {word: tuple(entries) for word, entries in index.items()}
