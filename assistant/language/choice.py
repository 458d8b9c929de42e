"""
Which of two readings of one utterance to believe, if any: the sound by itself, against what is expected.

An utterance is decoded twice: in the open grammar, and in the same grammar with the numbers limited to what
dead reckoning expects. Where both come to the same, sound and expectation agree. Where they differ, the
scores say how much of the sound the expected reading leaves unexplained, and this table decides:

    open reading        limited reading            decision
    nothing             understood                 ask for the limited
    nothing             nothing, not understood    refuse: "say again"
    a jumble            none, or far               refuse: "say again"
    an answer           the same                   accept
    question
    not understood      nothing, not understood    refuse: "say again"
    understood          none, for want of windows  accept
    understood          means the same             accept
    understood, hasty   none, or means the same    ask
    anything            as close as a tie          accept the limited: both were heard, one makes sense
    anything            close                      ask for the limited: "range one six decimal four?"
    a statement out of  none, or far               ask for the open
    place
    understood          far, or nothing            contradiction: ask for the open
    understood          far, for the third time    accept the open: then the reckoning is wrong
    understood          close, the reckoning       ask for the open: what it speaks for is no likelier now
                        being doubted

A jumble is what talk that is not for us becomes in a grammar: a question and a report and a setting in one
breath. Pilots say such things one by one. "DME two eight two zero" can become one too, with a QFE in it.

A reading is hasty where a number that no window supports has a word said faster than anybody says one: most
such words stand for nothing but the joint between their neighbours.

A tie is a difference in score so small that repeating the same word would make a greater one. Against what
makes no sense it may be greater by the price of a word of a number: "DME floor zero four zero" is no report,
and has one such word fewer than "DME four zero four zero". The limited reading is never accepted on
expectation alone: outside a tie it is only asked for. Thresholds are in the recogniser's own units and were
measured (docs/hearing.md).
"""

from dataclasses import dataclass
from enum import StrEnum

from assistant.engine.events import (
    ConditionsGiven,
    EngineInput,
    NotUnderstood,
    PositionReport,
    Request,
    Said,
    Statement,
)
from assistant.language.phrases import FILLERS

ANSWERS = frozenset((Said.AFFIRM, Said.NEGATIVE))

DOUBTS_BEFORE_RECKONING = 2
"""Clear contradictions after which our own dead reckoning is doubted, and no longer the pilot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expectation:
    """
    What a report now should lie between, lowest and highest, and the statements that make sense now.

    None where nothing is expected. `indicated_ft` is what the altimeter shows. A radial window may pass
    through north: 350 to 370. `statements` None: any. `awaited`: those of them that the flight waits for.
    `answers`: words that would answer what we asked, and mean nothing otherwise.
    """

    dme_nm: tuple[float, float] | None = None
    indicated_ft: tuple[float, float] | None = None
    radial_deg: tuple[float, float] | None = None
    statements: frozenset[Said] | None = None
    awaited: frozenset[Said] = frozenset()
    answers: frozenset[str] = frozenset()

    @property
    def is_limiting(self) -> bool:
        """Whether any number is limited, so that a second decode makes sense."""
        return not (self.dme_nm is None and self.indicated_ft is None and self.radial_deg is None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """
    One reading of an utterance.

    `events` is what `hear` makes of the text. An empty text is nothing heard, or sounds that are no phrase.
    `score`: a logarithm; only differences between candidates for one utterance mean anything. `is_hasty`: it
    has a number that nothing supports, with a word too short to be one.
    """

    text: str
    events: tuple[EngineInput, ...]
    score: float
    is_hasty: bool = False

    @property
    def is_understood(self) -> bool:
        """Whether it means something, and all of it."""
        return bool(self.events) and not any(isinstance(event, NotUnderstood) for event in self.events)


class Decision(StrEnum):
    """What becomes of an utterance."""

    ACCEPT = "accept"
    ASK = "ask"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """
    The decision, the reading that it is about (none where refused), and why.

    `is_contradiction`: the sound clearly said what was not expected; the caller counts these.
    """

    decision: Decision
    reading: Candidate | None
    why: str
    is_contradiction: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """
    How much better the open reading's score may be: for a tie, and for asking. In the scores' units.

    `nonsense`: for a tie with one that makes no sense.
    """

    tie: float
    nonsense: float
    ask: float


def choose(
    heard: Candidate,
    limited: Candidate | None,
    expectation: Expectation | None,
    thresholds: Thresholds,
    contradictions: int = 0,
) -> Choice:
    """
    Decide by the table above.

    `limited` is None where no window was compiled; `contradictions` is how many utterances before this one
    contradicted the expectation, one after the other.
    """
    makes_sense = limited is not None and limited.is_understood and not is_jumble(limited.events)
    if not heard.text:
        return Choice(
            decision=Decision.ASK if makes_sense else Decision.REFUSE,
            reading=limited if makes_sense else None,
            why="no phrase was heard",
        )
    if limited is None:
        return _by_itself(heard, expectation)
    if makes_sense and limited.events == heard.events:
        return _by_itself(heard, expectation, "heard as expected")
    behind = heard.score - limited.score
    if makes_sense and behind <= (thresholds.tie if is_sensible(heard, expectation) else thresholds.nonsense):
        return Choice(decision=Decision.ACCEPT, reading=limited, why="heard alike, and expected")
    is_reckoning_doubted = contradictions >= DOUBTS_BEFORE_RECKONING and not heard.is_hasty
    if makes_sense and behind <= thresholds.ask:
        if is_reckoning_doubted and is_sensible(heard, expectation):
            return Choice(
                decision=Decision.ASK,
                reading=heard,
                why="not expected, but the reckoning is doubted",
                is_contradiction=True,
            )
        return Choice(decision=Decision.ASK, reading=limited, why="expected, but heard less clearly")
    if not is_sensible(heard, expectation):
        return _by_itself(heard, expectation)
    if is_reckoning_doubted:
        return Choice(
            decision=Decision.ACCEPT,
            reading=heard,
            why="said repeatedly: the reckoning is doubted",
            is_contradiction=True,
        )
    return Choice(
        decision=Decision.ASK, reading=heard, why="clearly heard, but not expected", is_contradiction=True
    )


def is_answer(text: str, expectation: Expectation) -> bool:
    """Whether words answer what we asked: "and now hold TARNO" does where "hold tarno" would."""
    said = _without_fillers(text)
    return any(said == _without_fillers(answer) for answer in expectation.answers)


def _without_fillers(text: str) -> tuple[str, ...]:
    return tuple(word for word in text.split() if word not in FILLERS)


def is_jumble(events: tuple[EngineInput, ...]) -> bool:
    """
    Whether more is said at once than pilots say.

    A question or setting and more, three statements, or yes or no beside a report: "passing" was heard for
    "yes and", which answered "Visual?".
    """
    questions, settings, statements, reports = (
        sum(isinstance(event, kind) for event in events)
        for kind in (Request, ConditionsGiven, Statement, PositionReport)
    )
    answers = sum(isinstance(event, Statement) and event.said in ANSWERS for event in events)
    is_too_much = questions > 0 or settings > 0 or statements > 2 or (answers > 0 and reports > 0)
    return len(events) > 1 and is_too_much


def is_sensible(heard: Candidate, expectation: Expectation | None) -> bool:
    """Whether it is what a pilot may say now, numbers apart."""
    is_odd = expectation is not None and unexpected(heard, expectation) is not None
    return heard.is_understood and not is_jumble(heard.events) and not is_odd


def _by_itself(heard: Candidate, expectation: Expectation | None, why: str = "heard") -> Choice:
    if expectation is not None and (odd := unexpected(heard, expectation)) is not None:
        return Choice(
            decision=Decision.ASK, reading=heard, why=f"{odd.value.replace('_', ' ')} makes no sense now"
        )
    if expectation is not None and is_answer(heard.text, expectation):
        return Choice(decision=Decision.ACCEPT, reading=heard, why="an answer")
    if is_jumble(heard.events):
        return Choice(decision=Decision.REFUSE, reading=None, why="too many things at once")
    if heard.is_understood and heard.is_hasty:
        return Choice(
            decision=Decision.ASK, reading=heard, why="part of a number was too short to be sure of"
        )
    if heard.is_understood:
        return Choice(decision=Decision.ACCEPT, reading=heard, why=why)
    reasons = [event.reason for event in heard.events if isinstance(event, NotUnderstood)]
    return Choice(decision=Decision.REFUSE, reading=None, why=reasons[0] if reasons else "it says nothing")


def unexpected(heard: Candidate, expectation: Expectation) -> Said | None:
    """A statement that makes no sense now; None where all do."""
    if expectation.statements is None:
        return None
    said = (event.said for event in heard.events if isinstance(event, Statement))
    return next((statement for statement in said if statement not in expectation.statements), None)


DME_SLACK_NM = 0.7
INDICATED_SLACK_FT = 300.0
RADIAL_SLACK_DEG = 8.0
"""Half widths of windows about a value: about three standard deviations of dead reckoning a minute old."""


def expectation_around(
    *, dme_nm: float | None = None, indicated_ft: float | None = None, radial_deg: float | None = None
) -> Expectation:
    """Windows of the usual width about values expected."""

    def around(number: float | None, slack: float) -> tuple[float, float] | None:
        return None if number is None else (number - slack, number + slack)

    return Expectation(
        dme_nm=around(dme_nm, DME_SLACK_NM),
        indicated_ft=around(indicated_ft, INDICATED_SLACK_FT),
        radial_deg=around(radial_deg, RADIAL_SLACK_DEG),
    )
