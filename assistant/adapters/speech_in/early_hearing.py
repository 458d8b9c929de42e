"""
What is said, decoded while it is being said, and decided as soon as the pilot has gone quiet.

Every piece of sound goes to the listener as it comes. Most let go a moment after their last word: what was
decided by then is what would be decided at the release, since the quiet after speech makes no difference
(`end_of_speech`). Who goes on after a pause is decided about anew.
"""

import asyncio
from collections.abc import Callable, Coroutine
from itertools import count
from typing import TYPE_CHECKING, Any

from assistant.adapters.speech_in.audio import RATE_HZ, Samples
from assistant.adapters.speech_in.end_of_speech import EndOfSpeech

if TYPE_CHECKING:
    from assistant.adapters.speech_in.listener import Hearing
    from assistant.adapters.speech_in.microphone import Microphone

_LOOKED_EVERY_S = 0.02

Follow = Callable[[int, int, Samples, float], "Coroutine[Any, Any, None]"]
"""
Takes a piece of a press: the number of the press, from which of its samples on, the sound, and how many
seconds of all its sound are from before it.
"""

Understand = Callable[[int, Samples, float], "Coroutine[Any, Any, Hearing | None]"]
"""Decides about all of it so far, likewise."""

_numbers = count(1)


class EarlyHearing:
    """One press: `start` and `first` are where its sound begins, and where the switch was pressed."""

    def __init__(
        self, microphone: "Microphone", start: int, first: int, follow: Follow, understand: Understand
    ) -> None:
        self.number = next(_numbers)
        self._microphone = microphone
        self._start = self._taken = self._given = start
        self._before_s = (first - start) / RATE_HZ
        self._end = EndOfSpeech(self._before_s)
        self._follow = follow
        self._understand = understand
        self._decoded: int | None = None
        self._hearing: asyncio.Task[Hearing | None] | None = None

    async def follow(self) -> None:
        """Listen until cancelled."""
        while True:
            self._take(self._microphone.position)
            end = self._end.at
            if end is not None and end != self._decoded and self._end.has_passed(self._taken - self._start):
                self._decoded = end
                sound = self._microphone.between(self._start, self._start + end)
                self._given = self._start + end
                self._hearing = asyncio.create_task(self._understand(self.number, sound, self._before_s))
            elif self._taken > self._given:
                piece = self._microphone.between(self._given, self._taken)
                at, self._given = self._given - self._start, self._taken
                await self._follow(self.number, at, piece, self._before_s)
            await asyncio.sleep(_LOOKED_EVERY_S)

    def until(self, last: int) -> "asyncio.Task[Hearing | None] | None":
        """What is being made of it, where that is all that was said up to a position; None otherwise."""
        self._take(last)
        return self._hearing if self._decoded is not None and self._decoded == self._end.at else None

    def _take(self, position: int) -> None:
        if position > self._taken:
            self._end.take(self._microphone.between(self._taken, position))
            self._taken = position
