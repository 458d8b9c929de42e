"""
What the pilot says into a live microphone, as transcripts: by a talk switch, or whenever somebody speaks.

By switch: what lies between press and release, with 0.6 s from before, decoded while it is spoken and decided
at the release, or as soon as the pilot has gone quiet before it (`early_hearing`). Open: what the detector
takes for speech, decoded at the first pause and final if that lasts. Either way the window of what is
expected is made ready while the pilot still speaks, and the pilot's words are given before it is said that
they have stopped talking, so that nothing less urgent than the answer is begun in between.
"""

import asyncio
from collections.abc import AsyncIterator, Callable, Coroutine, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from assistant.adapters.speech_in.audio import RATE_HZ
from assistant.adapters.speech_in.early_hearing import EarlyHearing
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.level_meter import Faults
from assistant.adapters.speech_in.listening_process import ListenerProcess
from assistant.adapters.speech_in.microphone import Microphone, MicrophoneState
from assistant.adapters.speech_in.partial_words import PartialWords
from assistant.adapters.speech_in.speech_detector import (
    Begun,
    Change,
    Over,
    Paused,
    Resumed,
    SpeechDetector,
    SpeechShare,
)
from assistant.adapters.speech_in.talk_switch import TalkSwitch
from assistant.language.choice import Decision, Expectation
from assistant.session import Clock, Talking

if TYPE_CHECKING:
    from assistant.adapters.speech_in.audio import Samples
    from assistant.adapters.speech_in.listener import Hearing
    from assistant.language.transcript import Transcript

BEFORE_S = 0.6
"""Kept from before the press: pilots begin to speak before their finger is down, and noise is told by it."""

SHORTEST_S = 0.25
"""A press shorter than this was a slip of the finger."""

LONGEST_S = 20.0
"""A press longer than this is a switch that hangs."""

_ECHO_S = 0.3
"""How long our own voice goes on sounding in a room and a driver after its last sample."""

_MARGIN_S = 0.2
"""Kept after the last sound that the detector took for speech: weak endings are often not."""

_JOINS_WITHIN_S = 0.35
"""How soon after its end an utterance that is no report may go on: with the pause of its end, 0.8 s."""

_JOINED_S = 10.0
"""An utterance longer than this is not waited for to go on."""

_LOST_SEEN_WITHIN_S = 0.5

_WORDS_EVERY_S = 0.25
_WIDEST_WORDS = 48

Expected = Callable[[float], Expectation]
Tell = Callable[[str], None]


class EarState:
    """What the screen shows of the microphone, in a word or two."""

    def __init__(self, microphone: Microphone, at_rest: str) -> None:
        self._microphone = microphone
        self._at_rest = at_rest
        self._doing = ""
        self.words = ""

    def doing(self, what: str) -> None:
        """Something other than waiting: "talking", "deciding"; empty for waiting, without words."""
        self._doing = what
        if not what:
            self.words = ""

    def __str__(self) -> str:
        if self._microphone.state is MicrophoneState.LOST:
            return "lost"
        bars = round(min(max((self._microphone.level_db + 60.0) / 6.0, 0.0), 10.0))
        return f"{self._doing or self._at_rest:9} {'|' * bars:10} {self.words[-_WIDEST_WORDS:]}".rstrip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Ears:
    """
    The parts of hearing: a microphone, a listener, the session's clock, what is expected.

    words: decodes while the pilot speaks, for the screen; None for none. faults: what was told of the
    microphone's level already.
    """

    microphone: Microphone
    listener: ListenerProcess
    clock: Clock
    expected: Expected
    state: EarState
    tell: Tell
    words: PartialWords | None = None
    faults: Faults = field(default_factory=Faults)


async def pressed_speech(ears: Ears, switches: Sequence[TalkSwitch]) -> "AsyncIterator[Transcript | Talking]":
    """What is said while a switch is held, or from one press to the next; ends only when it is closed."""
    loop = asyncio.get_running_loop()
    moves: asyncio.Queue[tuple[bool, int]] = asyncio.Queue()

    def on_change(is_talking: bool) -> None:  # TalkSwitch's
        at = ears.microphone.position
        loop.call_soon_threadsafe(moves.put_nowait, (is_talking, at))

    for switch in switches:
        try:
            switch.start(on_change)
        except HearingError as error:
            ears.tell(f"{error} Going on without it.")
    try:
        while True:
            is_talking, first = await moves.get()
            if not is_talking:
                continue  # the end of what was ended already
            yield Talking(is_talking=True)
            begun_s = ears.clock.now_s()
            ears.state.doing("talking")
            expecting = asyncio.create_task(ears.listener.expect(ears.expected(begun_s)))
            early = _early(ears, first, expecting)
            with _words_shown(ears, first), _meanwhile(early.follow()):
                last = await _released(ears, moves)
            ended_s = ears.clock.now_s()
            ears.state.doing("deciding")
            await expecting
            if last - first >= SHORTEST_S * RATE_HZ:
                till = last + round(ears.microphone.held_s * RATE_HZ)
                hearing = await (early.until(last) or _understood(ears, first, till, early.number))
                if hearing is not None:
                    yield hearing.transcript(begun_s, ended_s)
            ears.state.doing("")
            yield Talking(is_talking=False)
    finally:
        for switch in switches:
            switch.close()


@contextmanager
def _words_shown(ears: Ears, first: int) -> Iterator[None]:
    """Meanwhile the words spoken since a position are on the screen."""
    if ears.words is None:
        yield
        return
    with _meanwhile(_show_words(ears, ears.words, max(first - round(BEFORE_S * RATE_HZ), 0))):
        yield


@contextmanager
def _meanwhile(work: Coroutine[Any, Any, None]) -> Iterator[None]:
    """Something is done for as long as this lasts."""
    task = asyncio.create_task(work)
    try:
        yield
    finally:
        task.cancel()


async def _show_words(ears: Ears, words: PartialWords, start: int) -> None:
    is_first = True
    while True:
        end = ears.microphone.position
        ears.state.words = await words.after(ears.microphone.between(start, end), is_first=is_first)
        start, is_first = end, False
        await asyncio.sleep(_WORDS_EVERY_S)


async def _released(ears: Ears, moves: "asyncio.Queue[tuple[bool, int]]") -> int:
    """Wait for the release; the position of it."""
    try:
        async with asyncio.timeout(LONGEST_S):
            while True:
                is_talking, at = await moves.get()
                if not is_talking:
                    return at
    except TimeoutError:
        ears.tell(f"The talk switch was held for {LONGEST_S:.0f} seconds; release it and say that again.")
        return ears.microphone.position


def _early(ears: Ears, first: int, expecting: "asyncio.Task[None]") -> EarlyHearing:
    """What is said from a position on, followed once what is expected is ready."""

    async def follow(number: int, at: int, sound: "Samples", before_s: float) -> None:
        # Who stops following it does not stop the other.
        await asyncio.shield(expecting)
        await ears.listener.follow(number, at, sound, before_s)

    async def understand(number: int, sound: "Samples", before_s: float) -> "Hearing | None":
        await expecting
        return await _decoded(ears, sound, before_s, number)

    start = max(first - round(BEFORE_S * RATE_HZ), 0)
    return EarlyHearing(ears.microphone, start, first, follow, understand)


async def _understood(ears: Ears, first: int, last: int, number: int | None = None) -> "Hearing | None":
    """Decode what lies between two positions; None where nothing decodes any more, which is told."""
    for _ in range(100):  # 0.2 s at most: a lost microphone never gets there
        if ears.microphone.position >= last:
            break
        await asyncio.sleep(0.002)
    start = max(first - round(BEFORE_S * RATE_HZ), 0)
    sound = ears.microphone.between(start, last)
    return await _decoded(ears, sound, (first - start) / RATE_HZ, number)


async def _decoded(ears: Ears, sound: "Samples", before_s: float, number: int | None) -> "Hearing | None":
    if ears.microphone.state is MicrophoneState.LISTENING and (fault := ears.faults.new(sound)):
        ears.tell(fault)
    try:
        return await ears.listener.understand(sound, before_s, number)
    except HearingError as error:
        ears.tell(str(error))
        return None


async def open_speech(
    ears: Ears, share: SpeechShare, *, is_sounding: Callable[[], bool]
) -> "AsyncIterator[Transcript | Talking]":
    """
    What is said whenever somebody speaks. is_sounding: whether our own voice does, which is not listened to.

    What is no report is passed over in silence: others talk too.
    """
    loop = asyncio.get_running_loop()
    changes: asyncio.Queue[Change] = asyncio.Queue()
    detector = SpeechDetector(share)
    sounded_at = -round(_ECHO_S * RATE_HZ)

    def on_block(block: "Samples", position: int) -> None:
        nonlocal sounded_at
        if is_sounding():
            sounded_at = position
        is_muted = position - sounded_at < _ECHO_S * RATE_HZ
        for change in detector.take(block, is_muted=is_muted):
            loop.call_soon_threadsafe(changes.put_nowait, change)

    offset = ears.microphone.position
    ears.microphone.follow(on_block)
    try:
        while True:
            begun = await changes.get()
            if not isinstance(begun, Begun):
                continue
            yield Talking(is_talking=True)
            begun_s = ears.clock.now_s()
            with _words_shown(ears, offset + begun.first):
                hearing = await _spoken(ears, changes, offset, ears.expected(begun_s))
            if hearing is not None and hearing.choice.decision is not Decision.REFUSE:
                yield hearing.transcript(begun_s, ears.clock.now_s())
            ears.state.doing("")
            yield Talking(is_talking=False)
    finally:
        ears.microphone.follow(None)


async def _spoken(
    ears: Ears, changes: "asyncio.Queue[Change]", offset: int, expected: Expectation
) -> "Hearing | None":
    """
    One utterance that has begun, decoded at its first pause; `offset`: where the detector began.

    What is no report by itself is heard again with what soon follows it: people pause inside a report for
    longer than an answer may wait. None where the microphone is lost meanwhile.
    """
    ears.state.doing("talking")
    expecting = asyncio.create_task(ears.listener.expect(expected))
    decoding: asyncio.Task[Hearing | None] | None = None
    start: int | None = None
    margin = round(_MARGIN_S * RATE_HZ)
    while True:
        match await _next_change(ears, changes):
            case Paused(first=first, last=last):
                await expecting
                start = first if start is None else start
                ears.state.doing("deciding")
                decoding = asyncio.create_task(_understood(ears, offset + start, offset + last + margin))
            case Resumed():
                ears.state.doing("talking")
                decoding = None
            case Over(first=first, last=last):
                await expecting
                start = first if start is None else start
                hearing = await (decoding or _understood(ears, offset + start, offset + last))
                if start < first and not _is_accepted(hearing):
                    alone = await _understood(ears, offset + first, offset + last + margin)
                    hearing = alone if _is_accepted(alone) else hearing
                is_long = last - start > _JOINED_S * RATE_HZ
                if _is_accepted(hearing) or is_long or not await _goes_on(changes):
                    return hearing
                ears.state.doing("talking")
                decoding = None
            case Begun():
                pass  # cannot be, inside one
            case None:
                return None


async def _next_change(ears: Ears, changes: "asyncio.Queue[Change]") -> Change | None:
    """What the detector says next; None once the microphone is lost, since it then says nothing more."""
    while True:
        try:
            async with asyncio.timeout(_LOST_SEEN_WITHIN_S):
                return await changes.get()
        except TimeoutError:
            if ears.microphone.state is MicrophoneState.LOST:
                return None


async def _goes_on(changes: "asyncio.Queue[Change]") -> bool:
    """Whether somebody speaks again at once."""
    try:
        async with asyncio.timeout(_JOINS_WITHIN_S):
            return isinstance(await changes.get(), Begun)
    except TimeoutError:
        return False


def _is_accepted(hearing: "Hearing | None") -> bool:
    return hearing is not None and hearing.choice.decision is Decision.ACCEPT
