"""
An utterance that is no report, decoded once more as one statement that fits now.

A pilot who says "leaving the hold" and only ever hears "say again" stays in the hold. In a grammar of single
statements a statement scores better than in that of all that can be said (the wider the grammar, the more is
pruned), and what else was said scores far worse. And a human would, when one thing makes sense now, ask
whether that was it. By how strange the statement sounds (`familiar`) and how far its score lies behind the
open reading's:

    the statement                                     open reading      decision
    none, too strange or far behind                   any               as it was
    familiar, and ahead                               without a number  accept it in its place
    as close as a doubt                               without a number  ask about it: either may be meant
    familiar, as close as a tie, awaited now          not accepted      accept: both were heard, one fits
    familiar, as close as a tie                       not accepted      ask: "heard leaving the hold?"
    awaited now, or the same the second time running  not accepted      ask
    any other                                         any               as it was, and remembered

Only what was heard by sound is accepted; what the moment alone speaks for is asked about, and taken in when
the pilot affirms it (`confirming`). Limits were chosen on development voices and on sounds that are no speech
(docs/hearing.md), in pocketsphinx's units.
"""

from dataclasses import dataclass

from assistant.engine.events import EngineInput, PositionReport, Said, Statement
from assistant.language.choice import ANSWERS, Candidate, Choice, Decision, Expectation

FAMILIAR = 450.0
"""The most strangeness with which a lone statement is accepted."""

FAMILIAR_ANSWER = 100.0
"""The same for "yes" and "no", which coughs become."""

ASKABLE = 700.0
"""The most strangeness with which it is asked about."""

NEAR = 300.0
"""
How far behind the open reading it may lie to be asked about: nearly all statements that were said are ahead,
other words 430 behind.
"""

DOUBT = 100.0
"""
How far behind an accepted reading without a number another statement throws doubt on it. "Going around" was
heard for "landed" by 44; what was meant and heard right had no other within 265.
"""

_SHORT_ANSWERS = ("yes", "no")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lone:
    """The utterance as one statement that fits now, and how strange it sounds as that."""

    reading: Candidate
    strangeness: float

    @property
    def said(self) -> Said | None:
        """The statement; None where it is none by itself, or sounds too strange to ask about."""
        match self.reading.events:
            case (Statement(said=said),) if self.strangeness <= ASKABLE:
                return said
            case _:
                return None


def listened_for(expected: Expectation) -> frozenset[Said]:
    """
    The statements that an unclear utterance may be.

    Those that fit; answers, which coughs become, only where one is awaited.
    """
    fitting = frozenset(Said) if expected.statements is None else expected.statements
    return (fitting - ANSWERS - {Said.DISREGARD}) | expected.awaited


def is_worth_a_look(first: Choice) -> bool:
    """Whether an utterance may be a lone statement after all: not accepted, or as what reports no number."""
    if first.decision is not Decision.ACCEPT or first.reading is None:
        return True
    return not any(_has_numbers(event) for event in first.reading.events)


def _has_numbers(event: EngineInput) -> bool:
    """Whether it reports more than a fix: "leaving TARNO" does not."""
    match event:
        case PositionReport(
            dme_nm=None, radial_deg=None, indicated_ft=None, heading_mag_deg=None, groundspeed_kt=None
        ):
            return False
        case _:
            return isinstance(event, PositionReport)


def clarified(
    first: Choice, heard: Candidate, lone: Lone, expected: Expectation, tie: float, before: Said | None
) -> Choice:
    """
    The decision after the utterance was heard as a lone statement, by the table above.

    `before`: the lone statement of the utterance before, where that was not accepted either.
    """
    if lone.said is None:
        return first
    is_accepted = first.decision is Decision.ACCEPT
    if is_accepted and lone.reading.events == heard.events:
        return first
    behind = heard.score - lone.reading.score
    is_familiar = lone.strangeness <= (FAMILIAR_ANSWER if lone.reading.text in _SHORT_ANSWERS else FAMILIAR)
    is_awaited = lone.said in expected.awaited
    if is_familiar and (behind <= 0.0 if is_accepted else is_awaited and behind <= tie):
        return Choice(decision=Decision.ACCEPT, reading=lone.reading, why="one statement, and expected")
    if is_accepted:
        is_asked_about = behind <= DOUBT
    else:
        is_likely = is_awaited or lone.said is before
        is_asked_about = behind <= NEAR if is_likely else is_familiar and behind <= tie
    if is_asked_about and lone.said not in ANSWERS:
        return Choice(decision=Decision.ASK, reading=lone.reading, why="not heard clearly, but it fits now")
    return first
