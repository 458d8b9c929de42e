"""
How a set of word sequences is written down, and where it matches: the notation of the phrase table.

    climb now            these words, in this order
    (a | b c)            one of these
    [a | b]              one of these, or nothing
    <name>               another rule, by name: a number, a fix, a setting

There is no repetition and no recursion, so every rule is a finite set of sequences. That is what a recogniser
needs to compile it to an automaton, and what keeps matching quick on any input.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

_PIECE = re.compile(r"\s*(<[a-z_]+>|[a-z]+|[()\[\]|])")


@dataclass(frozen=True, slots=True)
class Word:
    """One word, lower case."""

    text: str


@dataclass(frozen=True, slots=True)
class Rule:
    """Whatever the rule of that name matches."""

    name: str


@dataclass(frozen=True, slots=True)
class Sequence:
    """All parts, in order; without parts it matches nothing said."""

    parts: tuple["Expression", ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """Any one of the options."""

    options: tuple["Expression", ...]


Expression = Word | Rule | Sequence | Choice
Binding = tuple[tuple[str, object], ...]
Ends = tuple[tuple[int, Binding], ...]
"""Each end that was matched to, with what was bound on the way."""
RuleMatcher = Callable[[str, int], Ends]
"""Given a rule's name and a position: where it can match to."""
Matcher = Callable[[tuple[str, ...], int, RuleMatcher], Ends]
"""Given the tokens of a line, a position and the rules: where an expression can match to."""


def expression(pattern: str) -> Expression:
    """The expression that a pattern writes down; ValueError where it is not well formed."""
    pieces: list[str] = []
    position = 0
    text = pattern.rstrip()
    while position < len(text):
        found = _PIECE.match(text, position)
        if found is None:
            raise ValueError(f"pattern {pattern!r}: cannot read {text[position:]!r}")
        pieces.append(found.group(1))
        position = found.end()
    whole, end = _choice(pieces, 0)
    if end != len(pieces):
        raise ValueError(f"pattern {pattern!r}: {pieces[end]!r} is out of place")
    return whole


def _choice(pieces: list[str], start: int) -> tuple[Expression, int]:
    options: list[Expression] = []
    at = start
    while True:
        option, at = _sequence(pieces, at)
        options.append(option)
        if at >= len(pieces) or pieces[at] != "|":
            return (options[0] if len(options) == 1 else Choice(tuple(options))), at
        at += 1


def _sequence(pieces: list[str], start: int) -> tuple[Expression, int]:
    parts: list[Expression] = []
    at = start
    while at < len(pieces) and pieces[at] not in ")]|":
        piece = pieces[at]
        at += 1
        if piece in "([":
            inner, at = _choice(pieces, at)
            closing = ")" if piece == "(" else "]"
            if at >= len(pieces) or pieces[at] != closing:
                raise ValueError(f"pattern {' '.join(pieces)!r}: {closing!r} is missing")
            at += 1
            parts.append(inner if piece == "(" else Choice((Sequence(()), inner)))
        elif piece.startswith("<"):
            parts.append(Rule(piece[1:-1]))
        else:
            parts.append(Word(piece))
    return (parts[0] if len(parts) == 1 else Sequence(tuple(parts))), at


def matcher(what: Expression) -> Matcher:
    """
    A function that finds every end to which `what` matches, each once, in the order of the options.

    Made once for an expression and called for many lines: walking the expression anew for each of them took
    a sixth of a simulated flight.
    """
    match what:
        case Word(text):

            def word(tokens: tuple[str, ...], start: int, _: RuleMatcher) -> Ends:
                return ((start + 1, ()),) if start < len(tokens) and tokens[start] == text else ()

            return word
        case Rule(name):
            return lambda _, start, rule: rule(name, start)
        case Choice(options):
            return _any_of(options)
        case Sequence(parts):
            return _all_of(parts)


def _any_of(options: tuple[Expression, ...]) -> Matcher:
    """Matches by any option; one that begins with other words than the one at the start is not tried."""
    begun = [_begins(option) for option in options]
    made = [matcher(option) for option in options]
    known = frozenset().union(*(words for words in begun if words is not None))
    others = tuple(match for words, match in zip(begun, made, strict=True) if words is None)
    by_word = {
        word: tuple(match for words, match in zip(begun, made, strict=True) if words is None or word in words)
        for word in known
    }

    def choice(tokens: tuple[str, ...], start: int, rule: RuleMatcher) -> Ends:
        able = by_word.get(tokens[start], others) if start < len(tokens) else others
        if len(able) == 1:
            return able[0](tokens, start, rule)
        return tuple(dict.fromkeys([end for match in able for end in match(tokens, start, rule)]))

    return choice


def _all_of(parts: tuple[Expression, ...]) -> Matcher:
    made = tuple(matcher(part) for part in parts)

    def sequence(tokens: tuple[str, ...], start: int, rule: RuleMatcher) -> Ends:
        so_far: Ends = ((start, ()),)
        for match in made:
            if len(so_far) == 1:  # as good as always, and nothing can come twice
                at, bound = so_far[0]
                ends = match(tokens, at, rule)
                so_far = tuple([(end, bound + more) for end, more in ends]) if bound else ends
            else:
                so_far = tuple(
                    dict.fromkeys(
                        [(end, bound + more) for at, bound in so_far for end, more in match(tokens, at, rule)]
                    )
                )
            if not so_far:
                break
        return so_far

    return sequence


def _begins(what: Expression) -> frozenset[str] | None:
    """The words with which `what` must begin; None where a rule may stand there, or nothing at all."""
    match what:
        case Word(text):
            return frozenset((text,))
        case Rule() | Sequence(()):
            return None
        case Sequence(parts):
            return _begins(parts[0])
        case Choice(options):
            begun = [_begins(option) for option in options]
            known = [words for words in begun if words is not None]
            return frozenset().union(*known) if len(known) == len(begun) else None


def can_be_nothing(what: Expression, rules: Mapping[str, Expression]) -> bool:
    """Whether `what` also matches no words at all."""
    match what:
        case Word():
            return False
        case Rule(name):
            return can_be_nothing(rules[name], rules)
        case Choice(options):
            return any(can_be_nothing(option, rules) for option in options)
        case Sequence(parts):
            return all(can_be_nothing(part, rules) for part in parts)


def first_words(what: Expression, rules: Mapping[str, Expression]) -> frozenset[str]:
    """The words with which `what` can begin."""
    match what:
        case Word(text):
            return frozenset((text,))
        case Rule(name):
            return first_words(rules[name], rules)
        case Choice(options):
            return frozenset().union(*(first_words(option, rules) for option in options))
        case Sequence(parts):
            begun: frozenset[str] = frozenset()
            for part in parts:
                begun |= first_words(part, rules)
                if not can_be_nothing(part, rules):
                    break
            return begun


def vocabulary_of(what: Expression, rules: Mapping[str, Expression]) -> frozenset[str]:
    """Every word that can be said by `what`."""
    match what:
        case Word(text):
            return frozenset((text,))
        case Rule(name):
            return vocabulary_of(rules[name], rules)
        case Choice(parts) | Sequence(parts):
            return frozenset().union(*(vocabulary_of(part, rules) for part in parts))
