"""Headings and settings alone are given to a synthesiser with pauses; all else in its own words."""

import pytest

from assistant.adapters.speech_out.pauses import with_pauses


@pytest.mark.parametrize(
    ("sentence", "written"),
    [
        ("Heading zero niner zero.", "Heading: zero, niner, zero."),
        ("QNH one zero one three.", "QNH: one, zero, one, three."),
        ("Radial two seven zero?", "Radial: two, seven, zero?"),
    ],
)
def test_a_number_alone_is_spoken_digit_by_digit(sentence, written):
    assert with_pauses(sentence) == written


@pytest.mark.parametrize(
    "sentence",
    [
        "Turn left heading two one five.",
        "TARNO in two zero seconds.",
        "Minimum five hundred QNH.",
        "Heading one zero.",
        "Visual?",
        "",
    ],
)
def test_any_other_sentence_is_spoken_as_it_is(sentence):
    assert with_pauses(sentence) == sentence
