"""Numbers that run into each other and names are given to a synthesiser with pauses; all else as it is."""

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
        "Not below one thousand QNH.",
        "Six seven zero QNH.",
        "At six DME, one thousand niner hundred QNH.",
        "Wind calm.",
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


@pytest.mark.parametrize(
    ("sentence", "written"),
    [
        ("Set QNH niner eight seven.", "Set, QNH, niner eight seven."),
        ("Set QFE one zero one three.", "Set, QFE, one zero one three."),
        ("QFE niner niner zero.", "QFE, niner niner zero."),
    ],
)
def test_a_setting_is_kept_apart_from_what_it_is_a_setting_of(sentence, written):
    assert with_pauses(sentence) == written


@pytest.mark.parametrize(
    ("sentence", "written"),
    [
        ("Eight niner zero QNH at three DME.", "Eight niner zero, QNH, at three DME."),
        ("One thousand QFE at four decimal five DME.", "One thousand, QFE, at four decimal five DME."),
    ],
)
def test_a_height_due_is_kept_apart_from_its_datum_and_its_range(sentence, written):
    assert with_pauses(sentence) == written


def test_a_winds_speed_is_kept_apart_from_where_it_comes_from():
    assert with_pauses("Wind two four zero degrees three zero knots.") == (
        "Wind two four zero degrees, three zero knots."
    )
