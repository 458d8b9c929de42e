"""
A scripted pilot takes from the spoken words what the callout meant, and nothing that it did not say.

Expected values are the figures each callout was made from, or what a reader of the sentence would do.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.language.numbers import spoken_altitude, spoken_bearing, spoken_tenths
from assistant.procedure.model import Datum
from assistant.simulation.understanding import (
    ChangeLevel,
    Noticed,
    SetAltimeter,
    SetCourse,
    SinkAt,
    Steer,
    spoken_number,
    understand,
)


def meanings(text):
    return [understood.meaning for understood in understand(text)]


@given(st.integers(100, 45_000))
def test_an_altitude_said_is_the_altitude_understood(feet):
    assert spoken_number(spoken_altitude(feet)) == feet


@given(st.integers(1, 999))
def test_a_range_said_in_tenths_is_understood(tenths):
    assert spoken_number(spoken_tenths(tenths / 10.0)) == pytest.approx(tenths / 10.0)


@given(st.integers(1, 360))
def test_a_heading_said_is_the_heading_understood(heading):
    (steer,) = meanings(f"Turn left heading {spoken_bearing(heading)}.")

    assert steer == Steer(heading_mag_deg=heading, turn="left")


@pytest.mark.parametrize(
    ("text", "understood"),
    [
        ("Lead radial. Turn right heading two four five.", [Steer(heading_mag_deg=245, turn="right")]),
        (
            "Turn left. Inbound heading zero three five.",
            [Noticed(what="inbound"), Steer(heading_mag_deg=35, turn="left")],
        ),
        ("Heading one zero five.", [Steer(heading_mag_deg=105)]),
        ("Descend two thousand five hundred QNH.", [ChangeLevel(way="descend", indicated_ft=2500)]),
        ("Descend flight level niner zero.", [ChangeLevel(way="descend", indicated_ft=9000)]),
        ("Approaching three thousand QNH.", []),
        ("Check needle.", []),
        ("Set QNH niner eight seven.", [SetAltimeter(datum=Datum.QNH)]),
        (
            "Final approach fix BESKA. Descend six five zero feet per minute. Not below one thousand QNH.",
            [SinkAt(descent_fpm=650, begins=True), ChangeLevel(way="not below", indicated_ft=1000)],
        ),
        (
            "On slope. Seven hundred feet per minute. One six seven zero QNH at five decimal three DME.",
            [SinkAt(descent_fpm=700, begins=False)],
        ),
        (
            "Left of course, five degrees. Heading two six zero, course two four three.",
            [
                Noticed(what="off course"),
                SetCourse(course_mag_deg=243, this_leg=True),
                Steer(heading_mag_deg=260, back_to_course=True),
            ],
        ),
        ("Minimum, five hundred QNH. Visual?", [Noticed(what="visual?")]),
        ("Say again range. Heard one zero decimal two DME?", [Noticed(what="say again", item="range")]),
        # The pilot's own words asked back are no orders.
        ("Say again, heard visual?", [Noticed(what="heard", item="visual")]),
        (
            "Say again, heard turning heading zero niner zero?",
            [Noticed(what="heard", item="turning heading zero niner zero")],
        ),
        ("Report position.", [Noticed(what="report", item="position")]),
    ],
)
def test_what_is_done_about_a_callout(text, understood):
    assert meanings(text) == understood


def test_a_preparation_sets_the_course_and_does_nothing_yet():
    text = "Lead radial in two zero seconds. Then turn right heading two four five, course two four three."

    assert meanings(text) == [SetCourse(course_mag_deg=243)]


def test_the_next_event_names_the_course_of_this_leg():
    text = "Next: course two four three, final approach fix BESKA at six DME, one thousand niner hundred QNH."

    assert SetCourse(course_mag_deg=243, this_leg=True) in meanings(text)
    assert not any(isinstance(meaning, ChangeLevel | Steer) for meaning in meanings(text))


def test_an_instruction_is_heard_only_once_its_sentence_is_over():
    """`Lead radial.` is two words, the turn six more."""
    (understood,) = understand("Lead radial. Turn right heading two four five.")

    assert understood.words == 8
