"""
Practice: the assistant asks instead of telling, marks the answer, and prompts less the more is right.

In place of "Next: lead radial zero five five, two thousand five hundred QNH." it asks "Next event?" or
"Altitude due?", in turn. A right answer is confirmed; a wrong one, or none in time, is followed by what would
have been said. Actions, safety and answers to the pilot's own questions are never touched: who does not know
what is next still hears it when it is due.

Fading, counted in right answers on end: from two, preparations are left to the pilot; from four, all else
that is no action is too. A wrong answer halves the count, so that the prompts come back.
"""

from dataclasses import dataclass, replace
from enum import Enum

from assistant.engine.events import Callout, CalloutKind, Figures, NotUnderstood, PositionReport, Priority
from assistant.engine.plan import Plan
from assistant.language.choice import Expectation
from assistant.language.hearing import Names, hear
from assistant.language.phraseology import words
from assistant.language.tokens import DIGIT_WORDS, tokens_of
from assistant.language.transcript import Transcript

ANSWER_WITHIN_S = 20.0
"""How long an answer is waited for; after that it is given."""

_PREPARED_UP_TO = 2
_PROMPTED_UP_TO = 4
_SHELF_S = 12.0
_SAME_LEVEL_FT = 1.0
_LEADS = ("", "next ", "next event ", "next is ", "next event is ")
"""What a pilot may say before the name of an event, as the phrase table has it."""


class Topic(Enum):
    """What is asked."""

    EVENT = "Next event?"
    ALTITUDE = "Altitude due?"


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What was asked, in place of what, and until when an answer is waited for."""

    topic: Topic
    instead_of: Callout
    until_s: float


class Practice:
    """One flight's questions and marks. Pure: the caller brings the time."""

    def __init__(self) -> None:
        self.right_on_end = 0
        self.question: Question | None = None
        self._last_topic = Topic.ALTITUDE

    def instead_of(self, callout: Callout) -> Callout | None:
        """What is said in place of a callout: itself, a question, or nothing where the pilot should know."""
        if callout.priority is not Priority.PREPARATION or callout.kind is CalloutKind.SAY_POSITION:
            return callout
        if callout.kind is CalloutKind.NEXT and callout.figures.event is not None:
            return self._ask(callout)
        is_preparation = callout.kind is CalloutKind.PREPARE
        fades_at = _PREPARED_UP_TO if is_preparation else _PROMPTED_UP_TO
        return None if self.right_on_end >= fades_at else callout

    def mark(self, transcript: Transcript, names: Names, now_s: float) -> Callout | None:
        """The mark, where the words answer the open question; None where they are something else."""
        question = self.question
        if question is None or not transcript.text.strip():
            return None
        heard = hear(transcript, names, now_s)
        if question.topic is Topic.EVENT:
            if not _names_something(transcript.text, heard):
                return None
            is_right = _is_event(transcript.text, question.instead_of.figures.event or "")
        else:
            altitude = _bare_altitude(heard)
            if altitude is None:
                return None
            is_right = _is_level(altitude, question.instead_of.figures)
        self.question = None
        if is_right:
            self.right_on_end += 1
            return _said("Correct.", now_s)
        return self._correction("No.", question, now_s)

    def lapse(self, now_s: float) -> Callout | None:
        """What was asked and not answered in time, as it would have been said."""
        question = self.question
        if question is None or now_s < question.until_s:
            return None
        self.question = None
        return self._correction("", question, now_s)

    def drop(self) -> None:
        """The flight has come to another stage: what was asked is no longer what is next."""
        self.question = None

    def expectation(self, windows: Expectation, names: Names) -> Expectation:
        """
        What is expected by the reckoning, with what may answer the open question.

        A bare altitude is an answer then, right or wrong, of which the reckoning knows nothing.
        """
        if self.question is None:
            return windows
        if self.question.topic is Topic.ALTITUDE:
            return replace(windows, indicated_ft=None)
        said = (" ".join(tokens_of(event)) for event in names.events)
        return replace(windows, answers=frozenset(f"{lead}{event}" for event in said for lead in _LEADS))

    def _ask(self, callout: Callout) -> Callout:
        can_ask_altitude = callout.figures.indicated_ft is not None
        topic = Topic.ALTITUDE if self._last_topic is Topic.EVENT and can_ask_altitude else Topic.EVENT
        self._last_topic = topic
        self.question = Question(topic=topic, instead_of=callout, until_s=callout.t_s + ANSWER_WITHIN_S)
        return replace(callout, kind=CalloutKind.TEXT, cue="practice", figures=Figures(text=topic.value))

    def _correction(self, mark: str, question: Question, now_s: float) -> Callout:
        self.right_on_end //= 2
        return _said(f"{mark} {words(question.instead_of)}".strip(), now_s)


def event_names(plan: Plan, fixes: tuple[str, ...]) -> tuple[str, ...]:
    """
    What "Next event?" may be answered with, right or wrong: a plan's events, each whole and without its fix.

    Left out is what means something by itself, as the bare name of a fix does.
    """
    whole = [_spoken(stage.event) for stage in plan.stages if stage.event]
    plain = [" ".join(word for word in event.split() if not word.isupper()) for event in whole]
    names = Names(fixes=fixes)
    return tuple(event for event in dict.fromkeys((*whole, *plain)) if event and not _is_report(event, names))


def _spoken(text: str) -> str:
    """With its numbers in words, as a recogniser writes them: "turn on to the one two mile arc"."""
    return " ".join(_digits(word) if word.isdecimal() else word for word in text.split())


def _digits(number: str) -> str:
    return " ".join(DIGIT_WORDS[int(digit)] for digit in number)


def _is_report(text: str, names: Names) -> bool:
    heard = hear(Transcript(text=text, started_t_s=0.0, ended_t_s=0.0), names, 0.0)
    return not any(isinstance(event, NotUnderstood) for event in heard)


def _said(text: str, now_s: float) -> Callout:
    return Callout(
        t_s=now_s,
        expires_t_s=now_s + _SHELF_S,
        kind=CalloutKind.TEXT,
        priority=Priority.ANSWER,
        cue="practice",
        figures=Figures(text=text),
    )


def _names_something(text: str, heard: tuple[object, ...]) -> bool:
    """Whether words are no report and no request: a name that means nothing by itself, or a fix alone."""
    if any(isinstance(event, NotUnderstood) for event in heard):
        return True
    return (
        len(heard) == 1
        and isinstance(heard[0], PositionReport)
        and heard[0].fix is not None
        and len(tokens_of(text)) == len(tokens_of(heard[0].fix))
    )


def _is_event(text: str, event: str) -> bool:
    """Whether an answer names an event: the fix in it, or all its other words."""
    said, wanted = set(tokens_of(_spoken(text))), tokens_of(_spoken(event))
    fixes = {word.lower() for word in event.split() if word.isupper()}
    plain = [word for word in wanted if word not in fixes]
    return bool(said & fixes) or (bool(plain) and said.issuperset(plain))


def _bare_altitude(heard: tuple[object, ...]) -> PositionReport | None:
    """A report of an altitude and nothing else, which is how one is answered."""
    if len(heard) != 1 or not isinstance(heard[0], PositionReport):
        return None
    report = heard[0]
    alone = PositionReport(
        t_s=report.t_s,
        observed_t_s=report.observed_t_s,
        confidence=report.confidence,
        indicated_ft=report.indicated_ft,
        datum=report.datum,
    )
    return report if report.indicated_ft is not None and report == alone else None


def _is_level(report: PositionReport, due: Figures) -> bool:
    if report.indicated_ft is None or due.indicated_ft is None:
        return False
    is_on_datum = report.datum is None or report.datum is due.datum
    return is_on_datum and abs(report.indicated_ft - due.indicated_ft) < _SAME_LEVEL_FT
