"""Automata accept what the expressions mean, and nothing else; they are minimal."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.speech_in.automaton import Compiler
from assistant.language.expressions import expression

RULES = {"digit": expression("(one | two | three)"), "pair": expression("<digit> <digit>")}


def compiled(pattern, respelled=None):
    return Compiler(RULES, respelled or {}).compile(expression(pattern))


@pytest.mark.parametrize(
    ("pattern", "accepted", "refused"),
    [
        ("climb now", ["climb now"], ["climb", "now", "climb now now", ""]),
        ("(a | b c)", ["a", "b c"], ["b", "c", "a b c"]),
        ("climb [right] now", ["climb now", "climb right now"], ["climb right right now", "right"]),
        ("<pair> [decimal <digit>]", ["one two", "one two decimal three"], ["one", "one two decimal"]),
    ],
)
def test_an_automaton_accepts_what_the_pattern_says(pattern, accepted, refused):
    automaton = compiled(pattern)

    assert all(automaton.label_of(words.split()) for words in accepted)
    assert not any(automaton.label_of(words.split()) for words in refused)


def test_states_that_no_words_tell_apart_are_one():
    """(a | b) (a | b) needs three states: the beginning, after one word, the end."""
    assert len(compiled("(a | b) (a | b)").arcs) == 3


def test_a_respelled_word_is_accepted_in_its_spoken_form_only():
    automaton = compiled("niner", {"niner": "nine"})

    assert automaton.label_of(["nine"])
    assert not automaton.label_of(["niner"])


def test_a_word_that_is_never_spoken_takes_its_way_with_it():
    automaton = compiled("(radial | r) one", {"r": None})

    assert automaton.label_of(["radial", "one"])
    assert not automaton.label_of(["r", "one"])
    assert not automaton.label_of(["one"])


@given(st.lists(st.sampled_from(["one", "two", "three"]), max_size=5))
def test_two_digits_and_an_option_are_counted_right(words):
    """The rule of thumb by another method: between two and three of the words."""
    automaton = compiled("<pair> [<digit>]")

    assert (automaton.label_of(words) is not None) == (2 <= len(words) <= 3)
