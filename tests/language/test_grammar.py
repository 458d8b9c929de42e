"""The exported grammar and hearing stay in step, and expressions mean what their notation says."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.engine.events import ConditionsGiven, NotUnderstood, PositionReport, Request, Statement
from assistant.language.expressions import (
    Choice,
    Rule,
    Sequence,
    Word,
    can_be_nothing,
    expression,
    first_words,
    matcher,
)
from assistant.language.hearing import Names, grammar, hear, vocabulary
from assistant.language.phrases import NUMBER_SLOTS, PHRASES, Reading, Setting, Unclear
from assistant.language.transcript import Transcript

NAMES = Names(fixes=("BELIM", "D12X"), frequencies=("Tower",), events=("hold BELIM", "lead radial"))
GRAMMAR = grammar(NAMES)


def heard(text):
    return hear(Transcript(text=text, started_t_s=0, ended_t_s=1), NAMES, 1)


def say(what, draw):
    """Some words that an expression allows."""
    match what:
        case Word(text):
            return (text,)
        case Rule(name):
            return say(GRAMMAR.rules[name], draw)
        case Sequence(parts):
            return tuple(word for part in parts for word in say(part, draw))
        case Choice(options):
            return say(options[draw(st.integers(0, len(options) - 1))], draw)


@pytest.mark.parametrize(("phrase", "what"), GRAMMAR.phrases, ids=[phrase.pattern[:40] for phrase in PHRASES])
@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_each_phrase_of_the_grammar_is_understood(phrase, what, data):
    """
    Or refused for a reason of the table's own.

    Which is: the phrase is there to be refused as unclear; the rule allows a number that the limits do not;
    digits can be parted in two ways ("three twenty one zero": 320 and 10, or 321 and 0).
    """
    said = say(what, data.draw)
    events = heard(" ".join(said))

    if isinstance(phrase.meaning, Unclear):
        assert any(isinstance(event, NotUnderstood) for event in events)
    elif events and isinstance(events[0], NotUnderstood):
        refused_by_limits = "out of limits" in events[0].reason or _has_step(phrase)
        assert refused_by_limits or "two things" in events[0].reason, (said, events[0])
    else:
        assert any(means(event, phrase.meaning) for event in events), (said, events)
    assert set(said) <= vocabulary(NAMES)


def means(event, meaning):
    """Whether an event is of the sort that a meaning gives."""
    match event:
        case Statement():
            return event.said is meaning
        case Request():
            return event.asked is meaning
        case PositionReport():
            return isinstance(meaning, Reading)
        case ConditionsGiven():
            return isinstance(meaning, Setting)
    return False


def _has_step(phrase):
    """A bare altitude must be in whole tens, which the grammar does not say."""
    return any(slot.step and f"<{name}>" in phrase.pattern for name, slot in NUMBER_SLOTS.items())


def test_every_rule_named_in_a_phrase_is_in_the_grammar():
    def named(what):
        match what:
            case Rule(name):
                return {name} | named(GRAMMAR.rules[name])
            case Sequence(parts) | Choice(parts):
                return set().union(*(named(part) for part in parts))
        return set()

    for phrase, what in GRAMMAR.phrases:
        assert named(what) <= set(GRAMMAR.rules), phrase.pattern


def test_no_phrase_can_be_said_without_a_word():
    """Such a phrase would match everywhere, and nowhere could its first word be looked up."""
    for phrase, what in GRAMMAR.phrases:
        assert not can_be_nothing(what, GRAMMAR.rules), phrase.pattern


def test_vocabulary_has_words_only():
    assert {word for word in vocabulary(NAMES) if not word.isalpha()} == {"12"}  # of the fix D12X
    assert {"niner", "decimal", "belim", "tower", "established", "correction"} <= vocabulary(NAMES)


@pytest.mark.parametrize(
    ("pattern", "understood", "refused"),
    [
        ("climb now", ["climb now"], ["climb", "now", "now climb"]),
        ("(a | b c) d", ["a d", "b c d"], ["d", "a", "b d"]),
        ("a [b [c]]", ["a", "a b", "a b c"], ["a c", "b"]),
    ],
)
def test_notation(pattern, understood, refused):
    def is_matched(text):
        tokens = tuple(text.split())
        return any(
            end == len(tokens) for end, _ in matcher(expression(pattern))(tokens, 0, lambda _name, _at: ())
        )

    assert all(is_matched(text) for text in understood)
    assert not any(is_matched(text) for text in refused)


@pytest.mark.parametrize("pattern", ["(a", "a)", "[a", "a ]", "a & b", "<A>", "(a]"])
def test_malformed_pattern_is_refused(pattern):
    with pytest.raises(ValueError, match="pattern"):
        expression(pattern)


def test_first_words_pass_over_what_may_be_left_out():
    assert first_words(expression("[a | b] (c | d)"), {}) == {"a", "b", "c", "d"}
    assert first_words(expression("([a] | b) c"), {}) == {"a", "b", "c"}
