"""
The asyncio shell around a conversation: who is heard, when time is passed, what is being said.

All that decides is in the dialogue. Here one queue takes what happens (a transcript, a timer, the end of a
speech, the end of a source), in the order of arrival, and after each the dialogue is asked what is to be said
and when it wants waking.

Records go to `watch` as they arise. The log is a watcher and the screen is another; neither is a stage on the
way.
"""

import asyncio
from collections.abc import AsyncIterator, Callable, Coroutine, Sequence
from dataclasses import dataclass
from typing import Protocol

from assistant.conversation import CUT_BY_PILOT, CUT_BY_URGENT, VOICE_TOO_LATE, Conversation
from assistant.dialogue import Utterance
from assistant.engine.events import Priority
from assistant.flight_log import Heard, Record
from assistant.language.transcript import Transcript


@dataclass(frozen=True, slots=True, kw_only=True)
class Talking:
    """
    The pilot began to talk, or ended: the key, or a voice in an open microphone.

    In between only safety is spoken. A source that says a beginning must say the end too.
    """

    is_talking: bool


Source = AsyncIterator[Transcript | Talking]
"""Where transcripts come from: the keyboard, a microphone. Ends when nothing more can come."""

Watch = Callable[[tuple[Record, ...]], None]
"""Is given the records of each moment, in order, as they arise; must not wait for anything but a disk."""


class VoiceLost(Exception):  # noqa: N818  # named for what happened; the flight goes on
    """The voice cannot speak now, and may never again; the message is one sentence for the pilot."""


class VoiceLate(Exception):  # noqa: N818  # named for what happened; nothing is wrong with the voice
    """The voice could not begin in time and has not begun."""


class Voice(Protocol):
    """Something that says words aloud; an adapter satisfies it by shape."""

    async def say(self, words: str, *, within_s: float) -> None:
        """
        Say the words and return when they have been said; stop at once, mid-word, when cancelled.

        VoiceLate where it cannot begin within that time. VoiceLost, at once, where it cannot speak.
        """


class Clock(Protocol):
    """The seconds of a session; tests run on one of their own."""

    def now_s(self) -> float:
        """Seconds since the session began."""

    async def sleep_until(self, t_s: float) -> None:
        """Return at that moment, or at once when it has passed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Due:
    """The moment came at which the dialogue wanted to be woken."""

    t_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ended:
    """A source has no more to give, the voice came to the end of its words, or either failed."""

    task: "asyncio.Task[None]"


_Happening = Transcript | Talking | _Due | _Ended


class Session:
    """
    One flight, from the first transcript to the end of all sources.

    voice None: text alone, where everything due is said at once. A voice that is lost is told of once by
    `tell`, and the flight goes on so until it speaks again, which is told once too. More urgent words cut
    less urgent ones short, and so does the pilot who begins to talk, except those of safety.
    """

    def __init__(
        self,
        conversation: Conversation,
        *,
        sources: Sequence[Source],
        clock: Clock,
        watch: Watch,
        voice: Voice | None = None,
        tell: Callable[[str], None] = lambda _sentence: None,
    ) -> None:
        self._conversation = conversation
        self._sources = sources
        self._clock = clock
        self._watch = watch
        self._voice = voice
        self._tell = tell
        self._is_voice_lost = False
        self._pilot_talks = False
        self._happenings: asyncio.Queue[_Happening] = asyncio.Queue()
        self._timer: asyncio.Task[None] | None = None
        self._speech: asyncio.Task[None] | None = None
        self._being_said: Utterance | None = None

    async def run(self) -> None:
        """Fly until every source has ended and the last words are said; raise what a source raises."""
        feeds = [self._begin(self._feed(source)) for source in self._sources]
        try:
            await self._follow(set(feeds))
        finally:
            for task in (*feeds, self._timer, self._speech):
                if task is not None:
                    task.cancel()

    async def _feed(self, source: Source) -> None:
        async for transcript in source:
            self._happenings.put_nowait(transcript)
            # One at a time: input that comes faster than it is handled must wait where it is, not in memory.
            await self._happenings.join()

    def _begin(self, work: Coroutine[None, None, None]) -> "asyncio.Task[None]":
        """Start a task whose end is a happening like any other, so that its failure is raised by run()."""
        task = asyncio.create_task(work)
        task.add_done_callback(lambda ended: self._happenings.put_nowait(_Ended(task=ended)))
        return task

    async def _follow(self, feeds: "set[asyncio.Task[None]]") -> None:
        self._arm()
        while feeds or self._speech is not None:
            happening = await self._happenings.get()
            now_s = self._clock.now_s()
            match happening:
                case Transcript():
                    self._pass_time(now_s)
                    self._watch((Heard(t_s=now_s, transcript=happening),))
                    self._decided(self._conversation.hear(happening, now_s), now_s)
                    self._speak(now_s)
                case Talking(is_talking=is_talking):
                    self._pilot_talks = is_talking
                    said = self._being_said
                    if is_talking and said is not None and said.callout.priority is not Priority.SAFETY:
                        self._break_off(now_s, CUT_BY_PILOT)
                    self._speak(now_s)
                case _Due(t_s=due_s):
                    # A sleep may end a hair early; the moment that was waited for has come all the same.
                    self._pass_time(max(now_s, due_s))
                case _Ended(task=task) if task is self._speech:
                    self._speech_ended(task, now_s)
                    self._speak(now_s)
                case _Ended(task=task) if task in feeds:
                    feeds.remove(task)
                    task.result()
                case _Ended():
                    pass  # a speech that was cut short
            self._arm()
            self._happenings.task_done()

    def _pass_time(self, now_s: float) -> None:
        wake_at_s = self._conversation.wake_at_s
        if wake_at_s is not None and wake_at_s <= now_s:
            self._decided(self._conversation.pass_time(now_s), now_s)
            self._speak(now_s)

    def _decided(self, records: tuple[Record, ...], now_s: float) -> None:
        self._watch(records)
        said = self._being_said
        if said is not None and self._conversation.is_waiting_above(said.callout.priority, now_s):
            self._break_off(now_s, CUT_BY_URGENT)

    def _speak(self, now_s: float) -> None:
        while self._speech is None:
            if self._pilot_talks and not self._conversation.is_waiting_above(Priority.ACTION, now_s):
                return  # only safety is above an action
            utterance, records = self._conversation.next_words(now_s)
            self._watch(records)
            if utterance is None:
                return
            if self._voice is not None:
                self._being_said = utterance
                within_s = utterance.callout.expires_t_s - now_s
                self._speech = self._begin(self._voice.say(utterance.text, within_s=within_s))

    def _break_off(self, now_s: float, reason: str) -> None:
        """Stop what is being said."""
        said, speech = self._being_said, self._speech
        self._being_said = self._speech = None
        if speech is not None:
            speech.cancel()
        if said is not None:
            self._watch(self._conversation.broken_off(said.callout, now_s, reason))

    def _speech_ended(self, speech: "asyncio.Task[None]", now_s: float) -> None:
        """The voice came to an end, in one way or another."""
        try:
            speech.result()
        except VoiceLate:
            self._break_off(now_s, VOICE_TOO_LATE)
        except VoiceLost as lost:
            # The words were shown when they were given to the voice, so nothing is lost with it.
            if not self._is_voice_lost:
                self._tell(str(lost))
            self._is_voice_lost = True
        else:
            if self._is_voice_lost:
                self._tell("The voice is back.")
            self._is_voice_lost = False
        self._speech = self._being_said = None

    def _arm(self) -> None:
        """Set the timer for the dialogue's next moment, in place of the one before."""
        if self._timer is not None:
            self._timer.cancel()
        wake_at_s = self._conversation.wake_at_s
        self._timer = None if wake_at_s is None else asyncio.create_task(self._wait(wake_at_s))

    async def _wait(self, t_s: float) -> None:
        await self._clock.sleep_until(t_s)
        self._happenings.put_nowait(_Due(t_s=t_s))
