"""
Engine, hearing, phraseology and speech queue as one pure object: what a shell drives with words and time.

Words come in with `receive`, time with `tick`; both return what was understood and decided, for the log. What
is to be said waits in the queue, ordered by tier and arrival; `next_words` hands it out when its turn has
come and drops what has waited too long. The pilot's prompting drops tiers here, so that the engine always
decides the same.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from assistant.engine.core import Engine, Glance
from assistant.engine.events import (
    HEARD_SURELY,
    Asked,
    Callout,
    CalloutKind,
    CueDropped,
    EngineInput,
    EngineOutput,
    Figures,
    NotUnderstood,
    PositionReport,
    Priority,
    Request,
    StageEntered,
    Statement,
    Tick,
)
from assistant.engine.plan import Plan
from assistant.expecting import expectation
from assistant.language.choice import Expectation
from assistant.language.confirming import ANSWER_WITHIN_S, Question, doubted
from assistant.language.hearing import Names, hear
from assistant.language.phraseology import short, words
from assistant.language.transcript import Transcript
from assistant.practice import Practice, event_names


class Prompting(StrEnum):
    """How much the pilot wants to hear, or to be asked (`practice`). Safety is never left out."""

    FULL = "full"
    NORMAL = "normal"
    ACTIONS = "actions"
    SILENT = "silent"
    PRACTICE = "practice"


# What is still said when the pilot wants silence unless something is wrong.
_WRONG = frozenset(
    {
        CalloutKind.BELOW_FLOOR,
        CalloutKind.CHALLENGE,
        CalloutKind.CHECK_ALTIMETER,
        CalloutKind.NOT_YET,
        CalloutKind.MAINTAIN,
        CalloutKind.ARC_OFFSET,
        CalloutKind.COURSE_OFFSET,
        CalloutKind.SAY_POSITION,
        CalloutKind.SAY_AGAIN,
        CalloutKind.GO_AROUND,
    }
)


_LEG_BEGINS = frozenset(
    {
        CalloutKind.TURN,
        CalloutKind.HOLD_ENTRY,
        CalloutKind.OUTBOUND,
        CalloutKind.INBOUND_TURN,
        CalloutKind.GO_AROUND,
        CalloutKind.CLIMB,
    }
)
_LEG_BEFORE = frozenset({CalloutKind.HEADING, CalloutKind.ARC_OFFSET, CalloutKind.COURSE_OFFSET})
_NEAR_MINIMUM = frozenset({CalloutKind.NEAR_MINIMUM, CalloutKind.ALTITUDE_DUE, CalloutKind.HEIGHT_CHECK})
_NOT_UNDERSTOOD = frozenset({CalloutKind.SAY_AGAIN})
# What is called now, what of the waiting it makes wrong or worthless, and why that is not said.
_OVERTAKES = (
    (_LEG_BEGINS, _LEG_BEFORE, "overtaken by a turn"),
    (frozenset({CalloutKind.MINIMUM, CalloutKind.GO_AROUND}), _NEAR_MINIMUM, "overtaken by the minimum"),
    # Cut short by the pilot's "visual", it would be said again after the answer to it.
    (frozenset({CalloutKind.LAND, CalloutKind.GO_AROUND}), frozenset({CalloutKind.MINIMUM}), "decided since"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Utterance:
    """Words to say now: `text` for voice and screen, `short` for a glance."""

    t_s: float
    text: str
    short: str
    callout: Callout


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsaid:
    """A callout that was not spoken, and why."""

    t_s: float
    callout: Callout
    reason: str


Happening = EngineInput | EngineOutput


def _callable_names(names: tuple[str, ...]) -> tuple[str, ...]:
    """Names as charted, and the last word of each ("tower") where no other ends in it."""
    lasts = [name.split()[-1] for name in names]
    return (*names, *(last for last in lasts if lasts.count(last) == 1 and last not in names))


def _can_be_asked_back(events: tuple[EngineInput, ...]) -> bool:
    """Whether all that was heard, and not surely, is numbers of a place: the rest is better said again."""
    if len(events) != 1 or not isinstance(events[0], PositionReport):
        return False
    report = events[0]
    return (report.dme_nm, report.radial_deg, report.indicated_ft) != (None, None, None)


class Dialogue:
    """One flight's conversation. Pure: the caller brings the time, and it never goes back."""

    def __init__(self, plan: Plan, prompting: Prompting = Prompting.FULL) -> None:
        self.prompting = prompting
        self._engine = Engine(plan)
        self._practice = Practice() if prompting is Prompting.PRACTICE else None
        procedure = plan.procedure
        fixes = tuple(fix.ident for fix in procedure.fixes)
        self._names = Names(
            fixes=fixes,
            frequencies=_callable_names(tuple(entry.name for entry in procedure.frequencies)),
            events=() if self._practice is None else event_names(plan, fixes),
        )
        self._waiting: list[tuple[Priority, int, Callout]] = []
        self._arrivals = 0
        self._unsaid: list[Unsaid] = []
        self._last_said: str | None = None
        self._question: Question | None = None

    @property
    def engine(self) -> Engine:
        """The engine, for its state and glance."""
        return self._engine

    @property
    def names(self) -> Names:
        """The names that may be said, for a recogniser's grammar."""
        return self._names

    def expectation(self, now_s: float) -> Expectation:
        """What a report at that time should say: for a recogniser, to hear by and to doubt by."""
        windows = expectation(self._engine.state, now_s)
        if self._question is not None and now_s <= self._question.until_s:
            windows = replace(windows, awaited=windows.awaited | self._question.answers)
        return windows if self._practice is None else self._practice.expectation(windows, self._names)

    @property
    def wake_at_s(self) -> float | None:
        """When to call `tick` next; None while only the pilot can bring something."""
        asked = None if self._practice is None else self._practice.question
        moments_s = (self._engine.wake_at_s, None if asked is None else asked.until_s)
        return min((moment_s for moment_s in moments_s if moment_s is not None), default=None)

    def glance(self, now_s: float) -> Glance:
        """The flight at a glance, for a screen."""
        return self._engine.glance(now_s)

    def receive(self, transcript: Transcript, now_s: float) -> tuple[Happening, ...]:
        """Take in words heard or typed; what was understood and what the engine decided, in order."""
        now_s = max(now_s, self._engine.state.reached_s)
        is_sure = transcript.confidence >= HEARD_SURELY
        marked = None
        if self._practice is not None and is_sure:
            marked = self._practice.mark(transcript, self._names, now_s)
        if marked is not None:
            return (*self.tick(now_s), *self._take((marked,)))
        events, is_sure = self._meaning(transcript, now_s)
        if not is_sure and (statement := doubted(events)) is not None:
            return self._ask_back(statement, transcript.text, now_s)
        if not is_sure and not _can_be_asked_back(events):
            events = (NotUnderstood(t_s=now_s, text=transcript.text, reason="it was not heard surely"),)
        happened: list[Happening] = []
        for event in events:
            if not isinstance(event, NotUnderstood):
                self._drop(_NOT_UNDERSTOOD, now_s, "the pilot has said it since")
            happened.append(event)
            if isinstance(event, Request) and event.asked is Asked.SAY_AGAIN:
                happened.extend(self._take(self._engine.handle(Tick(t_s=now_s))))
                happened.extend(self._take((self._repeat(now_s),)))
            else:
                unsaid = frozenset(callout.cue for _, _, callout in self._waiting)
                happened.extend(self._take(self._engine.handle(event, unsaid)))
        return tuple(happened)

    def _meaning(self, transcript: Transcript, now_s: float) -> tuple[tuple[EngineInput, ...], bool]:
        """What words mean, as an answer where a question is open, and whether that is sure."""
        is_sure = transcript.confidence >= HEARD_SURELY
        events = hear(transcript, self._names, now_s)
        if not events and not transcript.text.strip():
            events = (NotUnderstood(t_s=now_s, text=transcript.text, reason="nothing was said"),)
        if self._question is None:
            return events, is_sure
        meant = self._question.answered_by(events, now_s, is_sure=is_sure)
        if meant is not None or not self._question.is_open_after(events):
            self._question = None
        return (events, is_sure) if meant is None else (meant, True)

    def tick(self, now_s: float) -> tuple[Happening, ...]:
        """Let time pass; what came due."""
        given = None if self._practice is None else self._practice.lapse(now_s)
        happened = self._take((given,)) if given is not None else ()
        if now_s <= self._engine.state.reached_s:
            return happened
        return (*happened, *self._take(self._engine.handle(Tick(t_s=now_s))))

    def next_words(self, now_s: float) -> Utterance | None:
        """The most urgent words whose moment has not passed; None when there is nothing to say."""
        while self._waiting:
            self._waiting.sort(key=lambda entry: entry[:2])
            _, _, callout = self._waiting.pop(0)
            if now_s > callout.expires_t_s:
                self._unsaid.append(Unsaid(t_s=now_s, callout=callout, reason="its moment had passed"))
                continue
            text = words(callout)
            if callout.kind is not CalloutKind.REPEAT:
                self._last_said = text
            return Utterance(t_s=now_s, text=text, short=short(callout), callout=callout)
        return None

    def is_waiting_above(self, priority: Priority, now_s: float) -> bool:
        """Whether something more urgent than `priority` waits and may still be said: then it comes before."""
        return any(
            waiting < priority and now_s <= callout.expires_t_s for waiting, _, callout in self._waiting
        )

    def put_back(self, callout: Callout) -> None:
        """
        Let a callout that was cut short wait for its turn again, before others of its tier.

        One that is overtaken by what cut it short does not.
        """
        for _, _, newer in self._waiting:
            if any(newer.kind in news and callout.kind in old for news, old, _ in _OVERTAKES):
                return
        self._waiting.append((callout.priority, -1, callout))

    def take_unsaid(self) -> tuple[Unsaid, ...]:
        """What was not said since the last call, for the log."""
        unsaid, self._unsaid = tuple(self._unsaid), []
        return unsaid

    def _ask_back(self, statement: Statement, text: str, now_s: float) -> tuple[Happening, ...]:
        """Ask whether a statement was meant that was not heard surely; it changes nothing until then."""
        self._question = Question(statement=statement, until_s=now_s + ANSWER_WITHIN_S)
        self._drop(_NOT_UNDERSTOOD, now_s, "the pilot has said it since")
        asked = Callout(
            t_s=now_s,
            expires_t_s=now_s + 12.0,
            kind=CalloutKind.SAY_AGAIN,
            priority=Priority.ANSWER,
            cue="not heard surely",
            figures=Figures(text=text),
        )
        unsure = NotUnderstood(t_s=now_s, text=text, reason="it was not heard surely")
        return (unsure, *self.tick(now_s), *self._take((asked,)))

    def _repeat(self, now_s: float) -> Callout:
        known = self._last_said is not None
        return Callout(
            t_s=now_s,
            expires_t_s=now_s + 12.0,
            kind=CalloutKind.REPEAT if known else CalloutKind.UNKNOWN,
            priority=Priority.ANSWER,
            cue="say again",
            figures=Figures(text=self._last_said, item=None if known else "last call"),
        )

    def _take(self, outputs: tuple[EngineOutput, ...]) -> tuple[Happening, ...]:
        for output in outputs if self._practice is None else self._as_practised(self._practice, outputs):
            if isinstance(output, CueDropped):
                # What is not called is not said either, where it was called before and still waits.
                self._drop_cue(output)
            if not isinstance(output, Callout):
                continue
            self._overtake(output)
            if self._is_wanted(output):
                self._waiting.append((output.priority, self._arrivals, output))
                self._arrivals += 1
            else:
                reason = f"prompting is {self.prompting.value}"
                self._unsaid.append(Unsaid(t_s=output.t_s, callout=output, reason=reason))
        return outputs

    def _overtake(self, newer: Callout) -> None:
        """Drop what still waits and would contradict, or trail behind, what is called now."""
        for news, old, reason in _OVERTAKES:
            if newer.kind in news:
                self._drop(old, newer.t_s, reason)

    def _drop_cue(self, dropped: CueDropped) -> None:
        stale = [entry for entry in self._waiting if entry[2].cue == dropped.cue]
        self._forget(stale, dropped.t_s, dropped.reason)

    def _drop(self, kinds: frozenset[CalloutKind], t_s: float, reason: str) -> None:
        self._forget([entry for entry in self._waiting if entry[2].kind in kinds], t_s, reason)

    def _forget(self, stale: list[tuple[Priority, int, Callout]], t_s: float, reason: str) -> None:
        self._waiting = [entry for entry in self._waiting if entry not in stale]
        self._unsaid.extend(Unsaid(t_s=t_s, callout=callout, reason=reason) for _, _, callout in stale)

    def _as_practised(self, practice: Practice, outputs: tuple[EngineOutput, ...]) -> Iterator[EngineOutput]:
        """What is put in the queue of what was decided: some of it as a question, some not at all."""
        for output in outputs:
            if isinstance(output, StageEntered):
                practice.drop()
            said = practice.instead_of(output) if isinstance(output, Callout) else output
            if said is not None:
                yield said
            elif isinstance(output, Callout):
                reason = "practice: left to the pilot"
                self._unsaid.append(Unsaid(t_s=output.t_s, callout=output, reason=reason))

    def _is_wanted(self, callout: Callout) -> bool:
        if callout.priority is Priority.SAFETY:
            return True
        match self.prompting:
            case Prompting.FULL | Prompting.PRACTICE:
                return True
            case Prompting.NORMAL:
                return callout.priority is not Priority.CONFIRMATION
            case Prompting.ACTIONS:
                return callout.priority in (Priority.ACTION, Priority.ANSWER)
            case Prompting.SILENT:
                # An answer was asked for; a height that is off the slope is wrong.
                off_slope = callout.kind is CalloutKind.HEIGHT_CHECK and callout.figures.difference_ft != 0.0
                asked = callout.priority is Priority.ANSWER and callout.kind is not CalloutKind.HEIGHT_CHECK
                return callout.kind in _WRONG or off_slope or asked
