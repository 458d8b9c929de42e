"""The table of `language.choice`, row by row."""

from dataclasses import replace

import pytest

from assistant.engine.events import Asked, NotUnderstood, PositionReport, Request, Said, Statement
from assistant.language.choice import (
    Candidate,
    Decision,
    Expectation,
    Thresholds,
    choose,
    expectation_around,
    is_jumble,
)

EXPECTED = Expectation(dme_nm=(15.7, 17.1))
THRESHOLDS = Thresholds(tie=50.0, nonsense=90.0, ask=200.0)


def reading(dme_nm, score=0.0):
    report = PositionReport(t_s=0.0, observed_t_s=0.0, dme_nm=dme_nm)
    return Candidate(text=f"range {dme_nm}", events=(report,), score=score)


def nonsense(score=0.0):
    unclear = NotUnderstood(t_s=0.0, text="one six eight", reason="range or altitude?")
    return Candidate(text="one six eight", events=(unclear,), score=score)


NOTHING = Candidate(text="", events=(), score=0.0)
FAR, NEAR = reading(61.4), reading(16.4)


@pytest.mark.parametrize(
    ("heard", "limited", "decision", "dme_nm"),
    [
        # nothing is refused, and asked about where what is expected was heard in it
        (NOTHING, None, Decision.REFUSE, None),
        (NOTHING, NOTHING, Decision.REFUSE, None),
        (NOTHING, NEAR, Decision.ASK, 16.4),
        # without windows the sound stands by itself
        (NEAR, None, Decision.ACCEPT, 16.4),
        (nonsense(), None, Decision.REFUSE, None),
        # both alike
        (NEAR, reading(16.4, -30.0), Decision.ACCEPT, 16.4),
        # a tie: both were heard, one makes sense
        (FAR, reading(16.4, -50.0), Decision.ACCEPT, 16.4),
        (nonsense(), reading(16.4, -90.0), Decision.ACCEPT, 16.4),
        (nonsense(), reading(16.4, -91.0), Decision.ASK, 16.4),
        # close: the expected one is asked for, never taken
        (FAR, reading(16.4, -51.0), Decision.ASK, 16.4),
        (nonsense(), reading(16.4, -200.0), Decision.ASK, 16.4),
        # far: what was heard contradicts what was expected
        (FAR, reading(16.4, -201.0), Decision.ASK, 61.4),
        (FAR, NOTHING, Decision.ASK, 61.4),
        (FAR, nonsense(-10.0), Decision.ASK, 61.4),
        (nonsense(), reading(16.4, -201.0), Decision.REFUSE, None),
        (nonsense(), NOTHING, Decision.REFUSE, None),
    ],
)
def test_the_table(heard, limited, decision, dme_nm):
    choice = choose(heard, limited, EXPECTED, THRESHOLDS)

    assert choice.decision is decision
    assert (choice.reading.events[0].dme_nm if choice.reading else None) == dme_nm
    assert choice.why


def test_a_number_said_too_fast_is_asked_for_where_nothing_supports_it():
    hasty = replace(NEAR, is_hasty=True)

    assert choose(hasty, None, None, THRESHOLDS).decision is Decision.ASK
    assert choose(hasty, hasty, EXPECTED, THRESHOLDS).decision is Decision.ASK
    # Nor does it ever make us doubt the reckoning.
    assert choose(replace(FAR, is_hasty=True), NOTHING, EXPECTED, THRESHOLDS, 2).decision is Decision.ASK


def test_a_jumble_is_talk_that_was_not_for_us():
    report, wind = NEAR.events[0], Request(t_s=0.0, asked=Asked.WIND)
    leaving, level = (Statement(t_s=0.0, said=said) for said in (Said.LEAVING, Said.LEVEL))
    jumble = Candidate(text="range 16.4 wind check", events=(report, wind), score=0.0)

    assert choose(jumble, None, None, THRESHOLDS).decision is Decision.REFUSE
    assert not is_jumble((wind,))
    assert not is_jumble((report, leaving, level))


@pytest.mark.parametrize("said", [Said.AFFIRM, Said.NEGATIVE])
def test_an_answer_beside_a_report_is_no_answer(said):
    """What was said: "Range 2.6 passing 820". "Range 2.6, yes, 820" was heard, and answered "Visual?"."""
    report, answer = NEAR.events[0], Statement(t_s=0.0, said=said)
    both = Candidate(text="range 16.4 yes and", events=(report, answer), score=0.0)

    assert choose(both, None, None, THRESHOLDS).decision is Decision.REFUSE
    # As close as a tie with what makes no sense, the report by itself is taken.
    assert choose(both, reading(16.4, -90.0), EXPECTED, THRESHOLDS).reading.events == (report,)
    assert not is_jumble((answer,))


def test_after_two_clear_contradictions_the_reckoning_is_doubted_and_not_the_pilot():
    decisions = [choose(FAR, NOTHING, EXPECTED, THRESHOLDS, count).decision for count in (0, 1, 2)]

    assert decisions == [Decision.ASK, Decision.ASK, Decision.ACCEPT]


def test_a_doubted_reckoning_speaks_for_no_other_number_than_was_heard():
    """An altitude misheard at first was asked for, whatever the pilot said since, as what was close to it."""
    close = reading(16.4, -120.0)
    asked = [choose(FAR, close, EXPECTED, THRESHOLDS, count) for count in (0, 1, 2, 3)]

    assert [choice.decision for choice in asked] == [Decision.ASK] * 4
    assert [choice.reading.events[0].dme_nm for choice in asked] == [16.4, 16.4, 61.4, 61.4]
    assert [choice.is_contradiction for choice in asked] == [False, False, True, True]
    # What makes no sense by itself, or has a word too short, is no ground for doubt.
    assert choose(nonsense(), close, EXPECTED, THRESHOLDS, 2).reading == close
    assert choose(replace(FAR, is_hasty=True), close, EXPECTED, THRESHOLDS, 2).reading == close


@pytest.mark.parametrize("behind", [51.0, 120.0, 200.0, 201.0, 5000.0])
@pytest.mark.parametrize("contradictions", [0, 1, 2, 3])
def test_what_only_the_expectation_supports_is_never_accepted(behind, contradictions):
    choice = choose(FAR, reading(16.4, -behind), EXPECTED, THRESHOLDS, contradictions)

    assert not (choice.decision is Decision.ACCEPT and choice.reading.events[0].dme_nm == 16.4)


def test_a_statement_that_makes_no_sense_now_is_asked_about():
    landed = Candidate(text="landed", events=(Statement(t_s=0.0, said=Said.LANDED),), score=0.0)
    in_the_hold = Expectation(statements=frozenset({Said.LEAVING}))

    assert choose(landed, None, in_the_hold, THRESHOLDS).decision is Decision.ASK
    assert choose(landed, None, Expectation(), THRESHOLDS).decision is Decision.ACCEPT


def test_windows_are_of_the_usual_width_about_a_value():
    expected = expectation_around(dme_nm=16.0, radial_deg=2.0)

    assert expected.dme_nm == pytest.approx((15.3, 16.7))
    assert expected.radial_deg == (-6.0, 10.0)
    assert expected.indicated_ft is None


ASKED = Expectation(dme_nm=(15.7, 17.1), answers=frozenset({"lead radial"}))


def named(text):
    unclear = NotUnderstood(t_s=0.0, text=text, reason="nothing was asked")
    return Candidate(text=text, events=(unclear,), score=0.0)


@pytest.mark.parametrize("text", ["lead radial", "and now lead radial", "the lead radial"])
def test_the_name_of_an_event_is_taken_where_it_was_asked_for(text):
    answer = named(text)

    assert choose(answer, answer, ASKED, THRESHOLDS).decision is Decision.ACCEPT
    assert choose(answer, None, ASKED, THRESHOLDS).decision is Decision.ACCEPT


@pytest.mark.parametrize("text", ["inbound turn", "radial", "lead lead radial"])
def test_what_is_no_answer_is_refused_though_something_was_asked(text):
    assert choose(named(text), named(text), ASKED, THRESHOLDS).decision is Decision.REFUSE


def test_an_answer_that_nobody_asked_for_is_refused():
    assert choose(named("lead radial"), None, EXPECTED, THRESHOLDS).decision is Decision.REFUSE
    assert choose(named("lead radial"), None, None, THRESHOLDS).decision is Decision.REFUSE
