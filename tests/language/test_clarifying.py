"""When an utterance that is no report is taken for a lone statement, and when it is asked about."""

import pytest

from assistant.engine.events import Asked, NotUnderstood, PositionReport, Request, Said, Statement
from assistant.language.choice import Candidate, Choice, Decision, Expectation
from assistant.language.clarifying import (
    ASKABLE,
    DOUBT,
    FAMILIAR,
    FAMILIAR_ANSWER,
    NEAR,
    Lone,
    clarified,
    is_worth_a_look,
    listened_for,
)

TIE = 40.0
IN_A_HOLD = Expectation(
    statements=frozenset((Said.LEAVING, Said.ONE_MORE, Said.ESTABLISHED, Said.AFFIRM, Said.DISREGARD)),
    awaited=frozenset((Said.LEAVING,)),
)
HEARD = Candidate(text="wind calm", events=(NotUnderstood(t_s=0.0, text="", reason="any"),), score=0.0)
REFUSED = Choice(decision=Decision.REFUSE, reading=None, why="not a report or a question")


def statement(said, text="some words", score=0.0):
    return Candidate(text=text, events=(Statement(t_s=0.0, said=said),), score=score)


def accepted(*events):
    reading = Candidate(text="some words", events=events, score=0.0)
    return Choice(decision=Decision.ACCEPT, reading=reading, why="heard")


def decided(
    said,
    strangeness,
    behind,
    *,
    before=None,
    text="some words",
    first=REFUSED,
    heard=HEARD,
    expected=IN_A_HOLD,
):
    alone = Lone(reading=statement(said, text, -behind), strangeness=strangeness)
    choice = clarified(first, heard, alone, expected, TIE, before)
    return choice.decision, None if choice.reading is None else choice.reading.events[0].said


ACCEPT, ASK, REFUSE = Decision.ACCEPT, Decision.ASK, Decision.REFUSE


@pytest.mark.parametrize(
    ("said", "strangeness", "behind", "decision"),
    [
        # Heard as well as anything: accepted where it is awaited, else asked about.
        (Said.LEAVING, FAMILIAR, TIE, ACCEPT),
        (Said.ESTABLISHED, FAMILIAR, TIE, ASK),
        # Stranger, or farther behind: the one that the hold waits for is asked about, another is not.
        (Said.LEAVING, FAMILIAR + 1.0, TIE, ASK),
        (Said.LEAVING, FAMILIAR, TIE + 1.0, ASK),
        (Said.LEAVING, ASKABLE, NEAR, ASK),
        (Said.ESTABLISHED, FAMILIAR + 1.0, TIE, REFUSE),
        (Said.ESTABLISHED, FAMILIAR, TIE + 1.0, REFUSE),
        # Not even that one where the sound speaks against it.
        (Said.LEAVING, ASKABLE + 1.0, -100.0, REFUSE),
        (Said.LEAVING, FAMILIAR, NEAR + 1.0, REFUSE),
    ],
)
def test_a_refused_utterance_is_accepted_by_its_sound_and_asked_about_where_it_is_awaited(
    said, strangeness, behind, decision
):
    assert decided(said, strangeness, behind) == (decision, None if decision is REFUSE else said)


def test_what_is_not_awaited_is_asked_about_when_it_is_said_again():
    assert decided(Said.ONE_MORE, ASKABLE, NEAR, before=Said.ESTABLISHED) == (REFUSE, None)
    assert decided(Said.ONE_MORE, ASKABLE, NEAR, before=Said.ONE_MORE) == (ASK, Said.ONE_MORE)
    assert decided(Said.ONE_MORE, ASKABLE + 1.0, NEAR, before=Said.ONE_MORE) == (REFUSE, None)


@pytest.mark.parametrize(
    ("text", "most"), [("yes", FAMILIAR_ANSWER), ("no", FAMILIAR_ANSWER), ("affirm", FAMILIAR)]
)
def test_a_cough_is_no_answer(text, most):
    asked = Expectation(awaited=frozenset((Said.AFFIRM,)))

    assert decided(Said.AFFIRM, most, 0.0, text=text, expected=asked) == (ACCEPT, Said.AFFIRM)
    # An answer is never asked about.
    assert decided(Said.AFFIRM, most + 1.0, 0.0, text=text, expected=asked) == (REFUSE, None)


def test_statements_accepted_give_way_to_one_that_sounds_better_and_are_doubted_for_one_near_it():
    going = statement(Said.GOING_AROUND)
    first = accepted(*statement(Said.TURNING).events, *going.events)
    heard = first.reading

    def taken(behind, strangeness):
        return decided(Said.ESTABLISHED, strangeness, behind, first=first, heard=heard)

    assert taken(0.0, FAMILIAR) == (ACCEPT, Said.ESTABLISHED)
    # Either may be meant: asked about.
    assert taken(1.0, FAMILIAR) == (ASK, Said.ESTABLISHED)
    assert taken(DOUBT, ASKABLE) == (ASK, Said.ESTABLISHED)
    assert taken(DOUBT + 1.0, FAMILIAR) == (ACCEPT, Said.TURNING)
    assert taken(0.0, ASKABLE + 1.0) == (ACCEPT, Said.TURNING)


def report(**readings):
    return PositionReport(t_s=0.0, observed_t_s=0.0, **readings)


LEAVING = Statement(t_s=0.0, said=Said.LEAVING)


@pytest.mark.parametrize(
    ("first", "expected"),
    [
        (REFUSED, True),
        (accepted(LEAVING), True),
        # "Leaving TARNO" may be "leaving the hold".
        (accepted(report(fix="TARNO"), LEAVING), True),
        # "Wind" may be "landed".
        (accepted(Request(t_s=0.0, asked=Asked.WIND)), True),
        (accepted(report(dme_nm=12.0), LEAVING), False),
        (accepted(report(heading_mag_deg=12.0)), False),
    ],
)
def test_reports_with_numbers_are_left_alone(first, expected):
    assert is_worth_a_look(first) is expected


def test_listened_for_are_statements_that_fit_and_answers_only_where_one_is_awaited():
    assert listened_for(IN_A_HOLD) == {Said.LEAVING, Said.ONE_MORE, Said.ESTABLISHED}
    asked = Expectation(statements=IN_A_HOLD.statements, awaited=frozenset((Said.AFFIRM, Said.NEGATIVE)))
    assert listened_for(asked) - listened_for(IN_A_HOLD) == {Said.AFFIRM, Said.NEGATIVE}
