"""
An utterance that was not accepted, decoded once more as one statement that fits now.

A pilot who says "leaving the hold" and only ever hears "say again" stays in the hold. A human would, when one
thing makes sense now, ask whether that was it. By how strange the statement sounds (`familiar`) and how far
its score lies behind the open reading's:

    the statement                                               decision
    none, or stranger than the limit of its kind                as it was
    familiar and as close as a tie                              accept: both were heard, one makes sense
    awaited now, or the same for the second time running        ask: "say again, heard leaving the hold?"
    any other                                                   as it was, and remembered

Only what was heard by sound is accepted; what the moment alone speaks for is asked about, and taken in when
the pilot affirms it (`confirming`). Limits were chosen on development voices and on sounds that are no speech
(docs/hearing.md), in pocketsphinx's units.
"""

from dataclasses import dataclass

from assistant.engine.events import Said, Statement
from assistant.language.choice import Candidate, Choice, Decision, Expectation, Thresholds

FAMILIAR = 450.0
"""The most strangeness with which a lone statement is accepted."""

ASKABLE = 700.0
"""The most strangeness with which it is asked about."""

ANSWERS = frozenset((Said.AFFIRM, Said.NEGATIVE))
"""What coughs become: listened for alone only where a question is open."""


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
    """The statements that an unclear utterance may be: those that fit, answers where one is awaited."""
    fitting = frozenset(Said) if expected.statements is None else expected.statements
    return (fitting - ANSWERS - {Said.DISREGARD}) | expected.awaited


def clarified(
    first: Choice,
    heard: Candidate,
    lone: Lone,
    expected: Expectation,
    thresholds: Thresholds,
    before: Said | None,
) -> Choice:
    """
    The decision after the utterance was heard as a lone statement, by the table above.

    `before`: the lone statement of the utterance before, where that was not accepted either.
    """
    if lone.said is None:
        return first
    behind = heard.score - lone.reading.score
    if lone.strangeness <= FAMILIAR and behind <= thresholds.tie:
        return Choice(decision=Decision.ACCEPT, reading=lone.reading, why="heard alike, and expected")
    if behind <= thresholds.ask and (lone.said in expected.awaited or lone.said is before):
        return Choice(decision=Decision.ASK, reading=lone.reading, why="not heard clearly, but it fits now")
    return first
