"""Bearings are given to a synthesiser with pauses; all else in its own words."""

import pytest

from assistant.adapters.speech_out.pauses import with_pauses


@pytest.mark.parametrize(
    ("sentence", "written"),
    [
        ("Heading zero niner zero.", "Heading: zero, niner, zero."),
        ("Turn left heading two one five.", "Turn left heading: two, one, five."),
        ("Say again radial. Heard radial zero one two?", "Say again radial. Heard radial: zero, one, two?"),
        (
            "Then course one two three, radial four five six.",
            "Then course: one, two, three, radial: four, five, six.",
        ),
    ],
)
def test_the_digits_of_a_bearing_are_spoken_one_by_one(sentence, written):
    assert with_pauses(sentence) == written


@pytest.mark.parametrize(
    "sentence",
    [
        "QNH one zero one three.",
        "One two six zero QNH at five DME.",
        "Radial two seven decimal five.",
        "TARNO in two zero seconds.",
        "Visual?",
        "",
    ],
)
def test_any_other_sentence_is_spoken_as_it_is(sentence):
    assert with_pauses(sentence) == sentence
