"""A number or a statement that was heard and doubted is asked back, and counts once it is affirmed."""

import pytest
from command_line import TACAN
from driver import Flight

from assistant.conversation import hear_and_speak
from assistant.engine.events import HEARD_SURELY, NotUnderstood, ReportRefused, Said, Statement
from assistant.flight_log import Spoken
from assistant.language.confirming import ANSWER_WITHIN_S
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
    return heard(flight, text, HEARD_SURELY - 0.1)


def heard(flight, text, confidence=1.0):
    transcript = Transcript(
        text=text, started_t_s=flight.now_s, ended_t_s=flight.now_s, confidence=confidence
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


def stated(records):
    return [record.said for record in records if isinstance(record, Statement)]


def test_a_doubted_statement_is_asked_back_with_its_words_and_changes_nothing(flight):
    before = flight.conversation.dialogue.engine.state.stage_name
    records = badly_heard(flight, "going around")

    assert said(records) == "say again, heard going around?"
    assert not stated(records)
    assert flight.conversation.dialogue.engine.state.stage_name == before


def test_affirm_takes_in_the_statement_that_was_asked_back(flight):
    badly_heard(flight, "leaving the hold")
    flight.wait_s(4)

    assert stated(heard(flight, "affirm")) == [Said.LEAVING]
    # It is answered: a second one says yes to nothing.
    assert stated(heard(flight, "affirm")) == [Said.AFFIRM]


def test_a_doubted_statement_said_again_is_believed_in_whatever_words(flight):
    badly_heard(flight, "leaving the hold")

    assert stated(badly_heard(flight, "leaving")) == [Said.LEAVING]


def test_negative_drops_the_statement_that_was_asked_back(flight):
    badly_heard(flight, "leaving the hold")

    assert stated(heard(flight, "negative")) == []
    assert stated(heard(flight, "affirm")) == [Said.AFFIRM]


def test_another_statement_heard_badly_is_asked_back_in_its_place(flight):
    badly_heard(flight, "leaving the hold")

    assert said(badly_heard(flight, "established")) == "say again, heard established?"
    assert stated(heard(flight, "affirm")) == [Said.ESTABLISHED]


def test_an_answer_that_is_not_understood_leaves_the_question_open(flight):
    badly_heard(flight, "leaving the hold")
    badly_heard(flight, "")

    assert stated(heard(flight, "affirm")) == [Said.LEAVING]


def test_a_report_in_place_of_an_answer_ends_the_question(flight):
    badly_heard(flight, "leaving the hold")
    flight.pilot("range 28.9")

    assert stated(heard(flight, "affirm")) == [Said.AFFIRM]


def test_an_answer_that_comes_too_late_answers_nothing(flight):
    badly_heard(flight, "leaving the hold")
    flight.wait_s(ANSWER_WITHIN_S + 1.0)

    assert stated(heard(flight, "affirm")) == [Said.AFFIRM]


def test_an_answer_heard_badly_is_no_answer(flight):
    badly_heard(flight, "leaving the hold")

    assert stated(badly_heard(flight, "affirm")) == []


def test_an_open_question_makes_its_answers_awaited(flight):
    awaited = flight.conversation.dialogue.expectation(flight.now_s).awaited
    assert Said.AFFIRM not in awaited
    badly_heard(flight, "one more")

    awaited = flight.conversation.dialogue.expectation(flight.now_s).awaited
    assert {Said.AFFIRM, Said.NEGATIVE, Said.ONE_MORE} <= awaited


@pytest.mark.parametrize("text", ["affirm", "qnh one zero one three", "heading zero four five", "", "!"])
def test_what_has_no_number_and_no_statement_to_ask_back_is_to_be_said_again(flight, text):
    records = badly_heard(flight, text)

    assert any(isinstance(record, NotUnderstood) for record in records)
    assert "say again" in said(records)
