"""
A listener in a process of its own: while it decodes, callouts keep to their moments.

The recogniser holds the interpreter's lock as long as it decodes, 0.1 s and more; in the flight's own process
nothing could be said in that time. What it makes of an utterance comes back as it is.
"""

import asyncio
import multiprocessing
import signal
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.errors import HearingError
from assistant.language.choice import Expectation
from assistant.language.grammar import Names

if TYPE_CHECKING:
    from assistant.adapters.speech_in.listener import Hearing, Listener


@dataclass(frozen=True, slots=True, kw_only=True)
class ListenerChoice:
    """
    Which listener: the recogniser's name, its model's folder, a procedure's names.

    second_opinion: the folder of a general model. address: words with which a report must begin, empty for
    none. own_voice: the file of the pilot's voice. is_live: somebody waits for what it makes of an utterance.
    """

    recogniser: str
    model: Path | None
    names: Names
    second_opinion: Path | None = None
    address: str = ""
    own_voice: Path | None = None
    is_live: bool = False


Make = Callable[[ListenerChoice], "tuple[Listener, tuple[str, ...]]"]
"""Makes a listener, with sentences for the pilot; HearingError where it cannot. A module's own function."""


class ListenerProcess:
    """
    A listener that is made at once; `started` waits for it.

    One utterance at a time; a window made ready and the utterance after it are taken in that order.
    """

    def __init__(self, make: Make, choice: ListenerChoice) -> None:
        self._make = make
        self._choice = replace(choice, is_live=True)
        self._begin()

    def _begin(self) -> None:
        # A process of its own from the beginning: a fork of one that has threads and sound open may hang. An
        # interrupt from the terminal reaches every process; what it ends is for the flight to say.
        self._pool = ProcessPoolExecutor(
            max_workers=1,
            mp_context=multiprocessing.get_context("spawn"),
            initializer=signal.signal,
            initargs=(signal.SIGINT, signal.SIG_IGN),
        )
        self._making = self._pool.submit(_make, self._make, self._choice)

    def started(self) -> tuple[str, ...]:
        """Wait until it is ready: its sentences for the pilot; HearingError where it could not be made."""
        try:
            return self._making.result()
        except BrokenProcessPool:
            raise HearingError("The recogniser could not be started.") from None

    def wait(self) -> None:
        """Wait until it is ready, or cannot be; `started` tells which."""
        self._making.exception()

    async def expect(self, expectation: Expectation | None) -> None:
        """Make a window ready; see `Listener.expect`. A process that has died is told of by `understand`."""
        with suppress(BrokenProcessPool):
            await asyncio.wrap_future(self._pool.submit(_expect, expectation))

    async def follow(self, number: int, at: int, sound: Samples, before_s: float) -> None:
        """See `Listener.follow`. A process that has died is told of by `understand`."""
        with suppress(BrokenProcessPool):
            await asyncio.wrap_future(self._pool.submit(_follow, number, at, sound, before_s))

    async def understand(self, sound: Samples, before_s: float, number: int | None = None) -> "Hearing":
        """See `Listener.understand`; HearingError where the process has died, which begins anew."""
        try:
            return await asyncio.wrap_future(self._pool.submit(_understand, sound, before_s, number))
        except BrokenProcessPool:
            self._pool.shutdown(wait=False)
            self._begin()
            raise HearingError(
                "The recogniser ended unexpectedly and is started anew; say that again."
            ) from None

    def close(self) -> None:
        """End the process, without waiting for what it does."""
        self._pool.shutdown(wait=False, cancel_futures=True)


_made: "list[Listener]" = []
"""In the listening process: its one listener."""


def _make(make: Make, choice: ListenerChoice) -> tuple[str, ...]:
    listener, sentences = make(choice)
    _made.append(listener)
    return sentences


def _expect(expectation: Expectation | None) -> None:
    _made[0].expect(expectation)


def _follow(number: int, at: int, sound: Samples, before_s: float) -> None:
    _made[0].follow(number, at, sound, before_s)


def _understand(sound: Samples, before_s: float, number: int | None) -> "Hearing":
    return _made[0].understand(sound, before_s, number)
