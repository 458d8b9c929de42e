"""
Where utterances begin and end in a stream of sound, by level alone: for a recording as microphone.

An utterance begins where the level has stood well above the noise for a moment, and ends after a pause. The
noise is the quietest that the last seconds were. What was before the beginning is kept, as a talk key's
recording would: the front end estimates the noise from it.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from assistant.adapters.speech_in.audio import RATE_HZ, Samples

BEFORE_S = 0.6
PAUSE_S = 0.7
LONGEST_S = 15.0
_BLOCK = RATE_HZ // 50
_NOISE_BLOCKS = 200
# Power above the noise (9 dB) and blocks of it (60 ms): a click is no utterance.
_ABOVE = 8.0
_AT_LEAST = 3
_SILENCE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Utterance:
    """A piece of sound: speech from `begun_s` to `ended_s`, and `before_s` of noise before it."""

    sound: Samples
    begun_s: float
    ended_s: float
    before_s: float


def utterances(sound: Samples) -> Iterator[Utterance]:
    """The utterances of a recording, in order."""
    blocks = sound[: len(sound) // _BLOCK * _BLOCK].reshape(-1, _BLOCK)
    power = np.square(blocks, dtype=np.float64).mean(axis=1)
    most = round(LONGEST_S * RATE_HZ / _BLOCK)
    pause = round(PAUSE_S * RATE_HZ / _BLOCK)
    at = free = 0
    while at < len(power):
        nearby = power[max(at - _NOISE_BLOCKS, 0) : max(at, _NOISE_BLOCKS)]
        limit = max(_ABOVE * float(np.quantile(nearby, 0.1)), _SILENCE)
        if not (power[at : at + _AT_LEAST] > limit).all():
            at += 1
            continue
        loud = np.flatnonzero(power[at : at + most] > limit)
        gaps = np.flatnonzero(np.diff(loud) > pause)
        last = at + int(loud[gaps[0]] if len(gaps) else loud[-1])
        first = max(at - round(BEFORE_S * RATE_HZ / _BLOCK), free)
        free = min(last + round(0.2 * RATE_HZ / _BLOCK), len(power))
        yield Utterance(
            sound=sound[first * _BLOCK : free * _BLOCK],
            begun_s=at * _BLOCK / RATE_HZ,
            ended_s=(last + 1) * _BLOCK / RATE_HZ,
            before_s=(at - first) * _BLOCK / RATE_HZ,
        )
        at = free
