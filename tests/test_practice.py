"""In practice the assistant asks, marks, and prompts less the more is right; what is due it always says."""

import pytest
from driver import Flight

from assistant.dialogue import Prompting
from assistant.engine.events import Callout, CalloutKind, Datum, Figures, Priority
from assistant.language.hearing import Names
from assistant.language.transcript import Transcript
from assistant.practice import Practice

NAMES = Names(fixes=("TARNO", "BESKA"))


def upcoming(event="lead radial", indicated_ft=2500.0, t_s=100.0, kind=CalloutKind.NEXT):
    return Callout(
        t_s=t_s,
        expires_t_s=t_s + 8.0,
        kind=kind,
        priority=Priority.PREPARATION,
        cue="next event",
        figures=Figures(event=event, radial_deg=55.0, indicated_ft=indicated_ft, datum=Datum.QNH),
    )


def said(callout):
    return None if callout is None else callout.figures.text


def answer(practice, text, t_s=105.0):
    return said(practice.mark(Transcript(text=text, started_t_s=t_s, ended_t_s=t_s), NAMES, t_s))


def asked_for_altitude():
    practice = Practice()
    practice.instead_of(upcoming())
    practice.drop()
    assert said(practice.instead_of(upcoming())) == "Altitude due?"
    return practice


def test_it_asks_for_the_event_and_for_the_altitude_in_turn():
    practice = Practice()

    questions = [said(practice.instead_of(upcoming(t_s=t_s))) for t_s in (0.0, 200.0, 400.0)]

    assert questions == ["Next event?", "Altitude due?", "Next event?"]


@pytest.mark.parametrize(
    ("event", "text"),
    [
        ("lead radial", "lead radial"),
        ("lead radial", "the lead radial"),
        ("final approach fix BESKA", "BESKA"),
        ("final approach fix BESKA", "final approach fix"),
        ("hold TARNO", "tarno"),
        ("inbound turn", "the turn inbound"),
        ("turn on to the 12 mile arc", "turn on to the 12 mile arc"),
        ("turn on to the 12 mile arc", "turn on to the one two mile arc"),
    ],
)
def test_an_event_is_known_by_its_fix_or_by_its_words(event, text):
    practice = Practice()
    practice.instead_of(upcoming(event=event))

    assert answer(practice, text) == "Correct."


def test_a_wrong_event_is_marked_and_told():
    practice = Practice()
    practice.instead_of(upcoming())

    mark = answer(practice, "missed approach point")

    assert mark == "No. Next: lead radial zero five five, two thousand five hundred QNH."


@pytest.mark.parametrize(
    "text", ["two thousand five hundred", "2500", "2500 QNH", "2500 feet", "twenty five hundred"]
)
def test_the_altitude_due_is_known_by_its_number(text):
    assert answer(asked_for_altitude(), text) == "Correct."


@pytest.mark.parametrize("text", ["two thousand", "2500 QFE", "FL25"])
def test_a_wrong_altitude_or_datum_is_marked_and_told(text):
    assert answer(asked_for_altitude(), text).startswith("No. Next: lead radial")


@pytest.mark.parametrize(
    "text", ["15.3 2600", "radial 042", "passing 4000, range 12", "established", "say again"]
)
def test_a_report_or_a_request_is_none_the_less_one(text):
    practice = asked_for_altitude()

    assert answer(practice, text) is None
    assert practice.question is not None


def test_a_passed_fix_is_a_report_and_its_bare_name_an_answer():
    practice = Practice()
    practice.instead_of(upcoming(event="final approach fix BESKA"))

    assert answer(practice, "passing BESKA") is None
    assert answer(practice, "BESKA") == "Correct."


def test_without_an_answer_in_twenty_seconds_it_is_given():
    practice = Practice()
    practice.instead_of(upcoming(t_s=100.0))

    assert practice.lapse(119.9) is None
    assert said(practice.lapse(120.0)) == "Next: lead radial zero five five, two thousand five hundred QNH."
    assert practice.question is None


def test_prompts_fade_with_right_answers_and_come_back_with_a_wrong_one():
    practice = Practice()
    preparation = upcoming(kind=CalloutKind.PREPARE)
    other = upcoming(kind=CalloutKind.LEVEL_OFF)

    def after(text):
        practice.drop()
        practice.instead_of(upcoming(t_s=0.0))
        right = {"Next event?": "lead radial", "Altitude due?": "2500"}[practice.question.topic.value]
        answer(practice, right if text == "right" else "1000" if right == "2500" else "touchdown zone")
        return practice.instead_of(preparation) is not None, practice.instead_of(other) is not None

    assert [after(mark) for mark in ("right", "right", "right", "right", "wrong", "wrong")] == [
        (True, True),
        (False, True),
        (False, True),
        (False, False),
        (False, True),
        (True, True),
    ]


@pytest.mark.parametrize("priority", [Priority.SAFETY, Priority.ACTION, Priority.ANSWER])
def test_what_is_due_or_asked_for_is_always_said(priority):
    practice = Practice()
    practice.right_on_end = 100
    callout = Callout(
        t_s=0.0, expires_t_s=8.0, kind=CalloutKind.TURN, priority=priority, cue="x", figures=Figures()
    )

    assert practice.instead_of(callout) is callout


def test_a_flight_in_practice_asks_marks_and_still_calls_what_is_due():
    flight = Flight("procedures/skarrow-tacan-24.yaml", prompting=Prompting.PRACTICE)
    flight.pilot("radial 338, 26.6 DME, 4400, heading 145")
    flight.wait_s(10)
    assert flight.last == "Next event?"

    assert flight.pilot("hold TARNO") == ("Correct.",)
    flight.wait_s(130)
    flight.pilot("radial 344, 18.1 DME, 4000, heading 151")
    flight.wait_s(40)

    assert any("Turn right heading" in text for text in flight.heard)
    assert not any(text.startswith("Next:") for text in flight.heard[:2])


def test_a_question_nobody_answers_is_answered_by_time_alone():
    flight = Flight("procedures/skarrow-tacan-24.yaml", prompting=Prompting.PRACTICE)
    flight.pilot("radial 338, 26.6 DME, 4400, heading 145")

    flight.wait_s(40)

    assert flight.heard[0] == "Next event?"
    assert flight.heard[1].startswith("Next: hold TARNO")


def practised():
    return Flight("procedures/skarrow-tacan-24.yaml", prompting=Prompting.PRACTICE)


def first_question():
    flight = practised()
    flight.pilot("radial 338, 26.6 DME, 4400, heading 145")
    flight.wait_s(10)
    assert flight.last == "Next event?"
    return flight


def test_answers_are_expected_while_the_question_is_open_and_only_then():
    flight = first_question()
    dialogue = flight.conversation.dialogue

    open_to = dialogue.expectation(flight.now_s)
    flight.pilot("hold TARNO")

    assert {"hold tarno", "lead radial", "next is final approach fix", "inbound turn"} <= open_to.answers
    assert dialogue.expectation(flight.now_s).answers == frozenset()


def test_names_of_events_are_phrases_in_practice_only():
    assert "lead radial" in practised().conversation.dialogue.names.events
    assert Flight("procedures/skarrow-tacan-24.yaml").conversation.dialogue.names.events == ()


def test_no_event_is_listed_that_would_be_a_report_by_itself():
    """The bare name of a fix is taken for an answer as a report is; listed twice it would mean two things."""
    names = practised().conversation.dialogue.names

    assert not set(names.fixes) & set(names.events)


def test_an_altitude_that_is_asked_for_is_not_judged_by_the_reckoning():
    flight = first_question()
    dialogue = flight.conversation.dialogue
    limited = dialogue.expectation(flight.now_s)
    flight.pilot("hold TARNO")
    flight.wait_s(130)
    flight.pilot("radial 344, 18.1 DME, 4000, heading 151")
    while flight.last != "Altitude due?":
        flight.wait_s(5)

    asked = dialogue.expectation(flight.now_s)

    assert limited.indicated_ft is not None
    assert asked.indicated_ft is None
    assert asked.statements is not None


def test_the_name_of_an_event_that_nobody_asked_for_changes_nothing():
    flight = practised()
    flight.pilot("radial 338, 26.6 DME, 4400, heading 145")
    before = flight.conversation.dialogue.engine.state

    assert flight.pilot("hold TARNO") == ("Say again.",)
    assert flight.conversation.dialogue.engine.state.stage_name == before.stage_name
