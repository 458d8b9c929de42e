"""
One flight's dialogue as the sequence of records that its log holds.

Everything that flies a dialogue, live, from a file or from a log, does it through here, so that all of them
hear, tick and speak in the same order and a replay cannot differ from the flight.
"""

from collections.abc import Iterable, Iterator, Sequence

from assistant.dialogue import Dialogue, Utterance
from assistant.engine.events import Callout, Priority, Tick
from assistant.flight_log import Heard, NotSpoken, Record, Spoken
from assistant.language.transcript import Transcript

CUT_BY_URGENT = "cut short by something more urgent"
CUT_BY_PILOT = "cut short by the pilot, who began to talk"
VOICE_TOO_LATE = "the voice came to it too late"
"""Why words given to the voice were not said to their end: what only the shell can know."""

_BY_SHELL = frozenset({CUT_BY_URGENT, CUT_BY_PILOT, VOICE_TOO_LATE})


class Conversation:
    """A dialogue that says what it did: every call returns the records of what came of it, in order."""

    def __init__(self, dialogue: Dialogue) -> None:
        self.dialogue = dialogue

    @property
    def wake_at_s(self) -> float | None:
        """When time is to be passed next, None while nothing waits for it."""
        return self.dialogue.wake_at_s

    def hear(self, transcript: Transcript, now_s: float) -> tuple[Record, ...]:
        """What was made of a transcript that arrived now; the caller has recorded it as `Heard` already."""
        return (*self.dialogue.receive(transcript, now_s), *self._unspoken())

    def pass_time(self, now_s: float) -> tuple[Record, ...]:
        """What time alone brought about; begins with the `Tick`, by which a log can be flown again."""
        return (Tick(t_s=now_s), *self.dialogue.tick(now_s), *self._unspoken())

    def is_waiting_above(self, priority: Priority, now_s: float) -> bool:
        """Whether something more urgent waits than what is being said, which is then cut short."""
        return self.dialogue.is_waiting_above(priority, now_s)

    def next_words(self, now_s: float) -> tuple[Utterance | None, tuple[Record, ...]]:
        """What is to be said now, if anything, and the records of that."""
        utterance = self.dialogue.next_words(now_s)
        unspoken = self._unspoken()
        if utterance is None:
            return None, unspoken
        return utterance, (*unspoken, Spoken(t_s=now_s, text=utterance.text, callout=utterance.callout))

    def broken_off(self, callout: Callout, now_s: float, reason: str) -> tuple[Record, ...]:
        """
        The voice did not get to the end of a callout.

        An action that was cut short waits to be said again, as long as its moment lasts: the turn is due all
        the same.
        """
        if callout.priority is Priority.ACTION and reason != VOICE_TOO_LATE:
            self.dialogue.put_back(callout)
        return (NotSpoken(t_s=now_s, callout=callout, reason=reason),)

    def _unspoken(self) -> tuple[Record, ...]:
        return tuple(
            NotSpoken(t_s=unsaid.t_s, callout=unsaid.callout, reason=unsaid.reason)
            for unsaid in self.dialogue.take_unsaid()
        )


def play(
    conversation: Conversation, transcripts: Iterable[Transcript], until_s: float | None = None
) -> Iterator[Record]:
    """
    Fly a dialogue through timed transcripts in no time, speaking at once whatever is due.

    A tick due at the moment of a transcript comes before it. `until_s` lets time run on after the last one.
    """
    for transcript in transcripts:
        now_s = transcript.ended_t_s
        yield from run_until(conversation, now_s)
        yield from hear_and_speak(conversation, transcript, now_s)
    if until_s is not None:
        yield from run_until(conversation, until_s)


def replay(conversation: Conversation, records: Iterable[Record]) -> Iterator[Record]:
    """
    Fly a dialogue again by a log: the same transcripts and ticks, and the voice free at the same moments.

    What the log says came of them is not looked at; compare it with what is yielded. What waited for the
    voice when the log ends is said at its last moment.
    """
    given: list[Record] = []  # of what the log says was (not) spoken, the part that was yielded ahead of it
    last_s: float | None = None
    for record in records:
        last_s = record.t_s
        match record:
            case Heard(t_s=now_s, transcript=transcript):
                yield record
                made: tuple[Record, ...] = conversation.hear(transcript, now_s)
            case Tick(t_s=now_s):
                made = conversation.pass_time(now_s)
            case NotSpoken(t_s=now_s, callout=callout, reason=reason) if reason in _BY_SHELL:
                made = conversation.broken_off(callout, now_s, reason)
                yield from made
                continue
            case Spoken(t_s=now_s) | NotSpoken(t_s=now_s):
                if given:
                    given.pop(0)
                    continue
                _, made = conversation.next_words(now_s)
                yield from made
                given.extend(made[1:])
                continue
            case _:
                continue
        yield from made
        given.extend(each for each in made if isinstance(each, NotSpoken))
    if last_s is not None:
        yield from speak_all(conversation, last_s)


def first_difference(logged: Sequence[Record], replayed: Sequence[Record]) -> int | None:
    """
    Position at which a replay first differs from the log, None where it agrees as far as the log goes.

    A log may end early, since its program may have been killed between a report and what came of it; and it
    says when the flight was resumed, which a replay does not know: give `logged` without that.
    """
    for position, record in enumerate(logged):
        if position >= len(replayed) or replayed[position] != record:
            return position
    return None


def run_until(conversation: Conversation, until_s: float) -> Iterator[Record]:
    """Pass time up to a moment, waking whenever the dialogue wants to."""
    while (wake_at_s := conversation.wake_at_s) is not None and wake_at_s <= until_s:
        yield from tick_and_speak(conversation, wake_at_s)


def hear_and_speak(conversation: Conversation, transcript: Transcript, now_s: float) -> Iterator[Record]:
    """Hear one transcript and say at once what is due."""
    yield Heard(t_s=now_s, transcript=transcript)
    yield from conversation.hear(transcript, now_s)
    yield from speak_all(conversation, now_s)


def tick_and_speak(conversation: Conversation, now_s: float) -> Iterator[Record]:
    """Pass time to one moment and say at once what is due."""
    yield from conversation.pass_time(now_s)
    yield from speak_all(conversation, now_s)


def speak_all(conversation: Conversation, now_s: float) -> Iterator[Record]:
    """Say all that is due, as a voice that takes no time does."""
    utterance: Utterance | None
    while True:
        utterance, records = conversation.next_words(now_s)
        yield from records
        if utterance is None:
            return
