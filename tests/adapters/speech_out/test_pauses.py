"""Bearings, levels and names are given to a synthesiser with pauses; all else in its own words."""

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
        ("Descend flight level niner zero.", "Descend flight level: niner, zero."),
        ("Next: flight level one four zero.", "Next: flight level: one, four, zero."),
    ],
)
def test_the_digits_of_a_bearing_or_a_level_are_spoken_one_by_one(sentence, written):
    assert with_pauses(sentence) == written


@pytest.mark.parametrize(
    "sentence",
    [
        "QNH one zero one three.",
        "One two six zero QNH at five DME.",
        "Radial two seven decimal five.",
        "Inbound turn in two zero seconds.",
        "Visual?",
        "",
    ],
)
def test_any_other_sentence_is_spoken_as_it_is(sentence):
    assert with_pauses(sentence) == sentence


def test_a_name_is_kept_apart_from_when_it_comes():
    assert with_pauses("Final approach fix JULOM in two five seconds.") == (
        "Final approach fix JULOM, in two five seconds."
    )
