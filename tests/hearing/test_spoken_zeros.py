"""A zero may be said "oh", but nobody goes on with "oh" from a "zero": drawn out, it would end in one."""

import pytest

from assistant.adapters.speech_in.spoken_zeros import zeros_apart

TWO_DIGITS = [
    (0, 1, "four"),
    (0, 1, "zero"),
    (1, 2, "four"),
    (1, 2, "zero"),
    (2, 3, ""),
]
ANY_NUMBER = [(0, 0, "zero"), (0, 0, "four"), (0, 1, "")]


def accepts(arcs, text, final):
    """Follow the arcs by hand; there are no loops of empty ones here."""
    states = {0}
    for word in [*text.split(), ""]:
        states = {end for start, end, said in arcs if start in states and said == word}
    return final in states


@pytest.mark.parametrize(
    ("text", "may_be_said"),
    [
        ("four zero", True),
        ("four oh", True),
        ("zero four", True),
        ("oh four", True),
        ("zero zero", True),
        ("oh oh", True),
        ("oh zero", True),
        ("zero oh", False),
        ("oh", False),
    ],
)
def test_zeros_in_a_number_of_two_digits(text, may_be_said):
    assert accepts(list(zeros_apart(TWO_DIGITS)), text, 3) == may_be_said


@pytest.mark.parametrize(
    ("text", "may_be_said"),
    [("four oh oh four zero zero four oh", True), ("zero zero oh", False), ("zero four oh", True)],
)
def test_zeros_in_a_loop_of_digits(text, may_be_said):
    assert accepts(list(zeros_apart(ANY_NUMBER)), text, 1) == may_be_said


def test_a_grammar_without_zeros_stays_as_it_is():
    arcs = [(0, 1, "going"), (1, 2, "around"), (2, 0, "")]

    assert list(zeros_apart(arcs)) == arcs
