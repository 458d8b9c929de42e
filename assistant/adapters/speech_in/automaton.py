"""
Finite rules as a minimal deterministic automaton over words: the form in which a recogniser takes a grammar.

Theory. An `Expression` becomes a nondeterministic automaton (Thompson's construction), its subsets a
deterministic one, and Moore's partition refinement merges what cannot be told apart. A recogniser then
follows each distinct beginning once: the same grammar with empty arcs in it decodes many times slower.

Acceptance carries a label, so that "ended in a number" and "ended in a word" stay apart through minimising.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from assistant.language.expressions import Choice, Expression, Rule, Sequence, Word

EMPTY = ""
"""The label of an arc that consumes no word, in automata under construction."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Automaton:
    """
    A deterministic automaton that begins in state 0.

    `arcs[state]` maps a word to the next state; `labels[state]` is None where nothing may end.
    """

    arcs: tuple[Mapping[str, int], ...]
    labels: tuple[str | None, ...]

    def label_of(self, words: Iterable[str]) -> str | None:
        """The label with which a row of words is accepted; None where it is not."""
        state = 0
        for word in words:
            following = self.arcs[state].get(word)
            if following is None:
                return None
            state = following
        return self.labels[state]

    @property
    def words(self) -> frozenset[str]:
        """Every word on an arc."""
        return frozenset(word for arcs in self.arcs for word in arcs)


class Draft:
    """A nondeterministic automaton while it is being put together. State 0 is its beginning."""

    def __init__(self) -> None:
        self._arcs: list[list[tuple[str, int]]] = [[]]
        self._labels: dict[int, str] = {}

    def state(self) -> int:
        """A new state."""
        self._arcs.append([])
        return len(self._arcs) - 1

    def arc(self, start: int, word: str, end: int) -> None:
        """An arc for a word, or for nothing (`EMPTY`)."""
        self._arcs[start].append((word, end))

    def accept(self, state: int, label: str) -> None:
        """Let what comes to a state end there; of two labels the first in the alphabet stands."""
        self._labels[state] = min(label, self._labels.get(state, label))

    def insert(self, other: Automaton, start: int) -> dict[str, list[int]]:
        """Copy an automaton in, beginning at `start`; the copies of its accepting states by label."""
        copies = [start] + [self.state() for _ in other.arcs[1:]]
        # The beginning may be come back to by no arc of ours, or what follows could begin it again.
        ends: dict[str, list[int]] = {}
        for state, (arcs, label) in enumerate(zip(other.arcs, other.labels, strict=True)):
            for word, end in arcs.items():
                self.arc(copies[state], word, copies[end])
            if label is not None:
                ends.setdefault(label, []).append(copies[state])
        return ends

    def minimal(self) -> Automaton:
        """The smallest deterministic automaton that accepts the same with the same labels."""
        return _minimised(*self._determined())

    def _closure(self, states: Iterable[int]) -> frozenset[int]:
        seen = set(states)
        waiting = list(seen)
        while waiting:
            for word, end in self._arcs[waiting.pop()]:
                if word == EMPTY and end not in seen:
                    seen.add(end)
                    waiting.append(end)
        return frozenset(seen)

    def _determined(self) -> tuple[list[dict[str, int]], list[str | None]]:
        first = self._closure((0,))
        numbers = {first: 0}
        waiting = [first]
        arcs: list[dict[str, int]] = []
        labels: list[str | None] = []
        for subset in waiting:  # grows as subsets are found
            reached: dict[str, set[int]] = {}
            for state in subset:
                for word, end in self._arcs[state]:
                    if word != EMPTY:
                        reached.setdefault(word, set()).add(end)
            out: dict[str, int] = {}
            for word in sorted(reached):
                target = self._closure(reached[word])
                if target not in numbers:
                    numbers[target] = len(numbers)
                    waiting.append(target)
                out[word] = numbers[target]
            arcs.append(out)
            given = [self._labels[state] for state in subset if state in self._labels]
            labels.append(min(given) if given else None)
        return arcs, labels


def _minimised(arcs: list[dict[str, int]], labels: list[str | None]) -> Automaton:
    """Merge states that no words can tell apart; states that lead nowhere go."""
    alive = _alive(arcs, labels)
    arcs = [{word: end for word, end in out.items() if end in alive} for out in arcs]
    blocks = _numbered([label or EMPTY for label in labels])
    count = 0
    while len(set(blocks)) != count:
        count = len(set(blocks))
        blocks = _numbered(
            [
                (blocks[state], tuple((word, blocks[end]) for word, end in out.items()))
                for state, out in enumerate(arcs)
            ]
        )
    merged: list[dict[str, int] | None] = [None] * count
    merged_labels: list[str | None] = [None] * count
    for state, block in enumerate(blocks):
        if merged[block] is None:
            merged[block] = {word: blocks[end] for word, end in arcs[state].items()}
            merged_labels[block] = labels[state]
    return Automaton(arcs=tuple(out or {} for out in merged), labels=tuple(merged_labels))


def _alive(arcs: list[dict[str, int]], labels: list[str | None]) -> set[int]:
    """States from which something can end, and the beginning."""
    into: list[list[int]] = [[] for _ in arcs]
    for state, out in enumerate(arcs):
        for end in out.values():
            into[end].append(state)
    waiting = [state for state, label in enumerate(labels) if label is not None]
    alive = set(waiting)
    while waiting:
        for state in into[waiting.pop()]:
            if state not in alive:
                alive.add(state)
                waiting.append(state)
    return alive | {0}


def _numbered(keys: Iterable[object]) -> list[int]:
    """Keys as numbers in the order of their first appearance, so that the beginning stays 0."""
    numbers: dict[object, int] = {}
    return [numbers.setdefault(key, len(numbers)) for key in keys]


class Compiler:
    """Expressions to minimal automata, each rule once; `respelled`: a word's spoken form, None for none."""

    def __init__(self, rules: Mapping[str, Expression], respelled: Mapping[str, str | None]) -> None:
        self._rules = rules
        self._respelled = respelled
        self._compiled: dict[str, Automaton] = {}

    def compile(self, what: Expression) -> Automaton:
        """The minimal automaton of an expression; it accepts with the label "end"."""
        draft = Draft()
        end = draft.state()
        draft.accept(end, "end")
        self.draw(draft, what, 0, end)
        return draft.minimal()

    def draw(self, draft: Draft, what: Expression, start: int, end: int) -> None:
        """Draw an expression into a draft between two states."""
        match what:
            case Word(text):
                spoken = self._respelled.get(text, text)
                if spoken is not None:
                    draft.arc(start, spoken, end)
            case Rule(name):
                if name not in self._compiled:
                    self._compiled[name] = self.compile(self._rules[name])
                begin = draft.state()
                draft.arc(start, EMPTY, begin)
                for last in draft.insert(self._compiled[name], begin).get("end", []):
                    draft.arc(last, EMPTY, end)
            case Choice(options):
                for option in options:
                    self.draw(draft, option, start, end)
            case Sequence(parts):
                at = start
                for part in parts:
                    following = draft.state()
                    self.draw(draft, part, at, following)
                    at = following
                draft.arc(at, EMPTY, end)
