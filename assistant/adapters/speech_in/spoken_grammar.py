"""
The phrase table as it can be spoken: one automaton for the whole of what `language.hearing` understands.

An utterance is a row of phrases with fillers between them, so the automaton is a loop over the phrases. What
may follow a number directly is narrower (no bare number and no bare name may), so the loop has two turning
points, "after a number" and "after a word". The table says what is a phrase; `hear` has the last word on what
a row of them means.

An utterance that is all fillers is in it too; it means nothing, and `hear` makes nothing of it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from assistant.adapters.speech_in.automaton import EMPTY, Automaton, Compiler, Draft
from assistant.adapters.speech_in.windows import expectable, lone_statements, narrowed
from assistant.engine.events import Said
from assistant.language.choice import Expectation
from assistant.language.expressions import Expression, expression
from assistant.language.grammar import Grammar
from assistant.language.numbers import DIGITS, SCALES, TEENS, TENS

SAID_ALIKE: Mapping[str, str] = {
    "niner": "nine",
    "tree": "three",
    "fife": "five",
    "fower": "four",
    "wun": "one",
    "ait": "eight",
    "tousand": "thousand",
    "oh": "zero",
    "nought": "zero",
    "ok": "okay",
    "centring": "centering",
    "levelled": "leveled",
}
"""Words that mean the same and differ in sound or spelling only: to a recogniser, pronunciations of one."""

ONLY_WRITTEN = frozenset(
    ("d", "r", "c", "nm", "nmi", "hdg", "alt", "gs", "fl", "ft", "kt", "kts", "hpa", "temp", "rad")
)
"""Abbreviations of the keyboard, which nobody says; as sounds they would only catch noise."""

ONLY_CONFUSED = frozenset(("due", "oat"))
"""
Words that a recogniser takes for "two" and "oh eight" and the reverse; what they ask and say has other words
("altitude at four miles", "temperature").
"""

SPOKEN_FILLERS = frozenset(("and", "now", "roger", "okay"))
"""
Fillers that a recogniser listens for between phrases. The short ones ("a", "the", "my") fit any noise, and
measured, did more harm than good; within phrases they are where the table has them.
"""

NUMBER_WORDS = frozenset((*DIGITS, *TEENS, *TENS, *SCALES, "decimal", "point", "half"))
_RESPELLED: dict[str, str | None] = {**SAID_ALIKE, **dict.fromkeys(ONLY_WRITTEN | ONLY_CONFUSED)}
_AFTER_NUMBER, _AFTER_WORD = "number", "word"
_DISREGARD = "disregard [that | [my | the] (last | previous) [report | transmission]]"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpokenGrammar:
    """
    What may be said: arcs of (from, to, word), an empty word for none; state 0 begins, `final` ends.

    Only what leads from the end of a phrase back to the beginning of one is empty, so that a recogniser has
    hundreds of empty arcs to follow and not tens of thousands. `fillers` are the words that carry nothing;
    `hubs` the states from which another phrase can begin.
    """

    arcs: tuple[tuple[int, int, str], ...]
    final: int
    fillers: frozenset[str]
    hubs: frozenset[int] = frozenset()

    @property
    def words(self) -> frozenset[str]:
        """Every word on an arc."""
        return frozenset(word for _, _, word in self.arcs if word)


def spoken_grammar(table: Grammar, expected: Expectation | None = None) -> SpokenGrammar:
    """The table as it may be said; with an expectation, a report as it is expected (`windows`)."""
    if expected is not None:
        table = expectable(table, expected)
    compiler = Compiler(table.rules, _RESPELLED)
    fillers = table.fillers & SPOKEN_FILLERS
    said = [(what, phrase.stands_apart) for phrase, what in table.phrases]
    said.append((expression(_DISREGARD), False))
    beside = _any_of(compiler, [what for what, stands_apart in said if not stands_apart])
    apart = _any_of(compiler, [what for what, stands_apart in said if stands_apart])
    # States: the beginning, "after a word", "after a number", those of each automaton, the end.
    after = {_AFTER_WORD: 1, _AFTER_NUMBER: 2}
    first_apart = 3 + len(beside.arcs)
    final = 3 + len(beside.arcs) + len(apart.arcs)
    arcs: list[tuple[int, int, str]] = [(0, 1, EMPTY), (1, 3, EMPTY), (1, first_apart, EMPTY), (2, 3, EMPTY)]
    for automaton, at in ((beside, 3), (apart, first_apart)):
        for state, (out, label) in enumerate(zip(automaton.arcs, automaton.labels, strict=True)):
            arcs.extend((at + state, at + end, word) for word, end in out.items())
            if label is not None:
                arcs += [(at + state, after[label], EMPTY), (at + state, final, EMPTY)]
    for hub in after.values():
        arcs.extend((hub, hub, word) for word in sorted(fillers))
        arcs.append((hub, 1, "correction"))
    return SpokenGrammar(arcs=tuple(arcs), final=final, fillers=fillers, hubs=frozenset(after.values()))


def lone(statements: frozenset[Said], table: Grammar) -> SpokenGrammar:
    """One of the statements by itself, as an utterance."""
    table = lone_statements(table, statements)
    return _as_utterance(_any_of(Compiler(table.rules, _RESPELLED), [what for _, what in table.phrases]))


def only(rule: str, table: Grammar, expected: Expectation | None = None) -> SpokenGrammar:
    """One rule by itself, as an utterance: a number spoken without anything that announces it."""
    rules = table.rules if expected is None else narrowed(table.rules, expected)
    return _as_utterance(Compiler(rules, _RESPELLED).compile(rules[rule]))


def _as_utterance(automaton: Automaton) -> SpokenGrammar:
    final = len(automaton.arcs)
    arcs = [(state, end, word) for state, out in enumerate(automaton.arcs) for word, end in out.items()]
    arcs += [(state, final, EMPTY) for state, label in enumerate(automaton.labels) if label is not None]
    return SpokenGrammar(arcs=tuple(arcs), final=final, fillers=frozenset())


def row(text: str) -> SpokenGrammar:
    """These words and no others."""
    words = text.split()
    arcs = tuple((at, at + 1, word) for at, word in enumerate(words))
    return SpokenGrammar(
        arcs=(*arcs, (len(words), len(words) + 1, EMPTY)), final=len(words) + 1, fillers=frozenset()
    )


def _any_of(compiler: Compiler, phrases: Iterable[Expression]) -> Automaton:
    """The phrases as one automaton, whose ends say whether a number stands last."""
    draft = Draft()
    end = draft.state()
    draft.accept(end, "end")
    for what in phrases:
        compiler.draw(draft, what, 0, end)
    return _labelled(draft.minimal())


def _labelled(phrases: Automaton) -> Automaton:
    """Split each state by whether a number word led to it, and label ends by that."""
    draft = Draft()
    copies = {(0, False): 0}
    waiting = [(0, False)]
    while waiting:
        state, is_number = waiting.pop()
        for word, end in phrases.arcs[state].items():
            target = (end, word in NUMBER_WORDS)
            if target not in copies:
                copies[target] = draft.state()
                waiting.append(target)
            draft.arc(copies[(state, is_number)], word, copies[target])
    for (state, is_number), copy in copies.items():
        if phrases.labels[state] is not None:
            draft.accept(copy, _AFTER_NUMBER if is_number else _AFTER_WORD)
    return draft.minimal()
