"""
A decision thought over, when a second opinion has weighed the readings.

`choice` decides by the recogniser alone. A general speech model then weighs the same readings and its own;
its weights and the recogniser's are added up. By the sums one meaning is the likeliest and leads the next by
some margin, and this table decides:

    first decision        likeliest meaning            decision
    accepted              the same                     as it was
    accepted              another, sensible and sure   accept that one
    accepted              another                      ask for the one accepted
    asked                 sensible and sure            accept it
    asked                 anything else                as it was

Sensible is what is understood, is no jumble, lies inside the windows and fits now: the opinion never brings
in by itself a number that dead reckoning contradicts. Sure is a lead of more than `sure` by the sums (the
natural logarithm of a ratio of probabilities, measured: docs/hearing.md), and any lead by the opinion alone.

Not everything is thought over. What was refused stays refused: talk that is not for us has a likeliest
reading too, and measured, it was taken for a report. And what recogniser and expectation agree on stays
accepted, without the wait.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from assistant.language.choice import Candidate, Choice, Decision, is_jumble


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """
    A reading whose `score` is the sum of both weights, and the opinion's alone.

    `fits`: what it says is expected, as far as anything is.
    """

    reading: Candidate
    opinion: float
    fits: bool


def is_open(first: Choice, heard: Candidate, limited: Candidate | None) -> bool:
    """Whether a decision about these two readings may be thought over; `limited` None: nothing expected."""
    match first.decision:
        case Decision.REFUSE:
            return False
        case Decision.ASK:
            return not is_jumble(heard.events)
        case Decision.ACCEPT:
            return limited is None


def reconsidered(first: Choice, weighed: Iterable[Weighed], sure: float) -> Choice:
    """The decision after the second opinion, by the table above, about a decision that is open."""
    ranked = sorted(weighed, key=lambda each: -each.reading.score)
    if not ranked:
        return first
    best = ranked[0]
    accepted = first.reading if first.decision is Decision.ACCEPT else None
    if accepted is not None and best.reading.events == accepted.events:
        return first
    others = [each for each in ranked if each.reading.events != best.reading.events]
    is_sure = all(
        best.reading.score - other.reading.score > sure and best.opinion > other.opinion for other in others
    )
    if is_sure and best.fits and best.reading.is_understood and not is_jumble(best.reading.events):
        why = "by the second opinion" + (f", not {accepted.text}" if accepted is not None else "")
        return Choice(decision=Decision.ACCEPT, reading=best.reading, why=why)
    if accepted is not None:
        return replace(first, decision=Decision.ASK, why="the second opinion heard it otherwise")
    return first
