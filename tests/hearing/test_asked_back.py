"""A number that was heard and doubted is asked back with the number, and counts once it is affirmed."""

import pytest
from command_line import TACAN
from driver import Flight

from assistant.conversation import hear_and_speak
from assistant.engine.events import HEARD_SURELY, NotUnderstood, ReportRefused
from assistant.flight_log import Spoken
from assistant.language.transcript import Transcript


@pytest.fixture
def flight():
    """Twenty seconds after a report that was typed."""
    flight = Flight(TACAN)
    flight.pilot("radial 232, 29.7 DME, 3680")
    flight.wait_s(20)
    return flight


def badly_heard(flight, text):
    """What comes of words that were heard badly: the records."""
    transcript = Transcript(
        text=text, started_t_s=flight.now_s, ended_t_s=flight.now_s, confidence=HEARD_SURELY - 0.1
    )
    return tuple(hear_and_speak(flight.conversation, transcript, flight.now_s))


def said(records):
    return " ".join(record.text.lower() for record in records if isinstance(record, Spoken))


def place(flight):
    return flight.conversation.dialogue.engine.state.place(flight.now_s)


def test_a_doubted_range_is_asked_back_with_the_range_and_changes_nothing(flight):
    before = place(flight)
    records = badly_heard(flight, "range two eight decimal eight")

    assert "heard two eight decimal eight" in said(records).replace("range ", "").replace(" dme", "")
    assert any(isinstance(record, ReportRefused) for record in records)
    assert place(flight) == before


def test_affirm_takes_in_what_was_asked_back(flight):
    badly_heard(flight, "range two eight decimal eight")
    flight.wait_s(4)
    flight.pilot("affirm")

    # At some 180 kt the aircraft is on 0.2 NM since, toward the station.
    assert place(flight).dme_nm == pytest.approx(28.8, abs=0.3)


def test_negative_drops_what_was_asked_back(flight):
    reckoned_nm = place(flight).dme_nm
    badly_heard(flight, "range two eight decimal three")
    flight.pilot("negative")
    flight.pilot("affirm")

    assert place(flight).dme_nm == pytest.approx(reckoned_nm, abs=0.05)


def test_a_doubted_range_said_again_is_believed(flight):
    badly_heard(flight, "range two eight decimal eight")
    records = badly_heard(flight, "range two eight decimal eight")

    assert not any(isinstance(record, ReportRefused) for record in records)


def test_all_numbers_of_a_doubted_report_are_read_back(flight):
    words = said(badly_heard(flight, "range two eight decimal eight three thousand five hundred"))

    assert "two eight decimal eight" in words
    assert "three thousand five hundred" in words


@pytest.mark.parametrize("text", ["established", "qnh one zero one three", "heading zero four five", "", "!"])
def test_what_has_no_number_to_ask_back_is_to_be_said_again(flight, text):
    records = badly_heard(flight, text)

    assert any(isinstance(record, NotUnderstood) for record in records)
    assert "say again" in said(records)
