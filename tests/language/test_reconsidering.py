"""The table of `language.reconsidering`, row by row; weights are invented."""

import pytest

from assistant.engine.events import Asked, NotUnderstood, PositionReport, Request
from assistant.language.choice import Candidate, Choice, Decision
from assistant.language.reconsidering import Weighed, is_open, reconsidered

SURE = 2.0


def reading(dme_nm, score=0.0):
    report = PositionReport(t_s=0.0, observed_t_s=0.0, dme_nm=dme_nm)
    return Candidate(text=f"range {dme_nm}", events=(report,), score=score)


def weighed(dme_nm, together, opinion=None, *, fits=True):
    opinion = together if opinion is None else opinion
    return Weighed(reading=reading(dme_nm, together), opinion=opinion, fits=fits)


def first(decision, dme_nm=None):
    return Choice(decision=decision, reading=None if dme_nm is None else reading(dme_nm), why="first")


UNCLEAR = Candidate(
    text="one six eight",
    events=(NotUnderstood(t_s=0.0, text="one six eight", reason="range or altitude?"),),
    score=0.0,
)
QUESTION = Request(t_s=0.0, asked=Asked.NEXT)


@pytest.mark.parametrize(
    ("before", "opinions", "decision", "dme_nm"),
    [
        # accepted, and the likeliest by both: as it was, however small the lead
        (first(Decision.ACCEPT, 16.4), [weighed(16.4, -3.0), weighed(60.4, -3.1)], Decision.ACCEPT, 16.4),
        # accepted, but another is likelier by more than 2: that one
        (first(Decision.ACCEPT, 60.4), [weighed(16.4, -1.0), weighed(60.4, -3.5)], Decision.ACCEPT, 16.4),
        # by less than 2: the pilot is asked
        (first(Decision.ACCEPT, 60.4), [weighed(16.4, -1.0), weighed(60.4, -2.5)], Decision.ASK, 60.4),
        # by more, but not by the opinion alone
        (
            first(Decision.ACCEPT, 60.4),
            [weighed(16.4, -1.0, -6.0), weighed(60.4, -9.0, -5.0)],
            Decision.ASK,
            60.4,
        ),
        # by more, but outside the windows
        (
            first(Decision.ACCEPT, 16.4),
            [weighed(60.4, -1.0, fits=False), weighed(16.4, -9.0)],
            Decision.ASK,
            16.4,
        ),
        # asked: sure and expected is accepted
        (first(Decision.ASK, 16.4), [weighed(16.4, -1.0), weighed(60.4, -9.0)], Decision.ACCEPT, 16.4),
        # not sure: still asked
        (first(Decision.ASK, 16.4), [weighed(16.4, -1.0), weighed(60.4, -2.0)], Decision.ASK, 16.4),
        # sure, and what dead reckoning contradicts: still asked, so that the contradiction counts
        (
            first(Decision.ASK, 60.4),
            [weighed(60.4, -1.0, fits=False), weighed(16.4, -9.0)],
            Decision.ASK,
            60.4,
        ),
        # an opinion that knows nothing changes nothing
        (first(Decision.ACCEPT, 16.4), [], Decision.ACCEPT, 16.4),
    ],
)
def test_decision_and_what_it_is_about(before, opinions, decision, dme_nm):
    after = reconsidered(before, opinions, SURE)

    assert after.decision is decision
    assert (None if after.reading is None else after.reading.events[0].dme_nm) == dme_nm


def test_an_accepted_reading_that_was_overruled_is_named():
    after = reconsidered(first(Decision.ACCEPT, 60.4), [weighed(16.4, -1.0), weighed(60.4, -9.0)], SURE)

    assert "range 60.4" in after.why


def test_two_spellings_of_one_meaning_are_no_rivals():
    other_words = Candidate(text="one six decimal four dme", events=reading(16.4).events, score=-1.1)
    opinions = [weighed(16.4, -1.0), Weighed(reading=other_words, opinion=-1.1, fits=True)]

    assert reconsidered(first(Decision.ASK, 60.4), opinions, SURE).decision is Decision.ACCEPT


@pytest.mark.parametrize(
    "events", [UNCLEAR.events, (), (QUESTION, *reading(16.4).events)], ids=["unclear", "nothing", "jumble"]
)
def test_what_makes_no_sense_is_never_accepted(events):
    opinions = [Weighed(reading=Candidate(text="words", events=events, score=-0.1), opinion=-0.1, fits=True)]

    assert reconsidered(first(Decision.ASK, 16.4), opinions, SURE).decision is Decision.ASK
    assert reconsidered(first(Decision.ACCEPT, 16.4), opinions, SURE).decision is Decision.ASK


def test_a_contradiction_that_was_thought_over_and_accepted_no_longer_counts_as_one():
    before = Choice(decision=Decision.ASK, reading=reading(60.4), why="first", is_contradiction=True)

    assert not reconsidered(before, [weighed(16.4, -1.0)], SURE).is_contradiction
    assert reconsidered(before, [weighed(60.4, -1.0, fits=False)], SURE).is_contradiction


NOTHING = Candidate(text="", events=(), score=0.0)
JUMBLE = Candidate(text="next range 16.4", events=(QUESTION, *reading(16.4).events), score=0.0)


@pytest.mark.parametrize(
    ("before", "heard", "limited", "is_it"),
    [
        (first(Decision.REFUSE), NOTHING, None, False),
        (first(Decision.REFUSE), JUMBLE, None, False),
        (first(Decision.REFUSE), UNCLEAR, None, False),
        (first(Decision.ASK, 16.4), JUMBLE, reading(16.4), False),
        (first(Decision.ASK, 16.4), reading(60.4), reading(16.4), True),
        # nothing was expected that would bear it out
        (first(Decision.ACCEPT, 16.4), reading(16.4), None, True),
        # sound and expectation agree
        (first(Decision.ACCEPT, 16.4), reading(16.4), reading(16.4), False),
    ],
)
def test_only_doubts_are_thought_over(before, heard, limited, is_it):
    assert is_open(before, heard, limited) is is_it
