"""
What is said, decoded as soon as the pilot has gone quiet, while the switch is still held.

Most let go a moment after their last word. What was decoded by then is what would be decoded at the release,
since the quiet after speech makes no difference (`end_of_speech`). Who goes on after a pause is heard anew,
whole: what was made of the first part is dropped.
"""

import asyncio
from collections.abc import Callable, Coroutine
from typing import TYPE_CHECKING, Any

from assistant.adapters.speech_in.audio import RATE_HZ, Samples
from assistant.adapters.speech_in.end_of_speech import EndOfSpeech

if TYPE_CHECKING:
    from assistant.adapters.speech_in.listener import Hearing
    from assistant.adapters.speech_in.microphone import Microphone

_LOOKED_EVERY_S = 0.02

Understand = Callable[[Samples, float], "Coroutine[Any, Any, Hearing | None]"]
"""Decides about an utterance of which so many seconds are from before the press."""


class EarlyHearing:
    """One press: `start` and `first` are where its sound begins, and where the switch was pressed."""

    def __init__(self, microphone: "Microphone", start: int, first: int, understand: Understand) -> None:
        self._microphone = microphone
        self._start = self._taken = start
        self._before_s = (first - start) / RATE_HZ
        self._end = EndOfSpeech(self._before_s)
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
                self._hearing = asyncio.create_task(self._understand(sound, self._before_s))
            await asyncio.sleep(_LOOKED_EVERY_S)

    def until(self, last: int) -> "asyncio.Task[Hearing | None] | None":
        """What is being made of it, where that is all that was said up to a position; None otherwise."""
        self._take(last)
        return self._hearing if self._decoded is not None and self._decoded == self._end.at else None

    def _take(self, position: int) -> None:
        if position > self._taken:
            self._end.take(self._microphone.between(self._taken, position))
            self._taken = position
