"""
How loud a microphone is: level, peak, the room's noise and what stands above it, and what to do about it.

All levels are in decibels below full scale (dBFS): 0 is the most that a sample can be.
"""

from collections import deque
from dataclasses import dataclass

import numpy as np

from assistant.adapters.speech_in.audio import RATE_HZ, Samples

FRAME = RATE_HZ // 50
"""Samples that one level is taken over, 20 ms: a syllable is some ten of them."""

SILENCE_DB = -100.0
"""What digital silence is called; nothing is lower."""

QUIET_DB = -45.0
"""Speech below this is too quiet: with 16 bits and a gain that is wrong, its weak sounds are rounded away."""

FAINT_ABOVE_NOISE_DB = 15.0
"""Speech less than this above the noise is heard worse: docs/hearing.md has the figures at 15 and 5 dB."""

CLIPPED = 0.99
"""A sample that high is at the end of the scale, whatever a driver makes of it."""

_KEPT_FRAMES = 50 * 30
# A microphone that is switched off gives zeros or the last bit; the quietest room gives more.
_DEAD_DB = -90.0
_NOBODY_SPOKE_DB = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """
    How loud it is.

    now_db: the last 20 ms. peak_db: the highest sample since the beginning. noise_db, speech_db: what a tenth
    and what nine tenths of the last half minute were below. is_clipped: whether samples were at full scale.
    """

    now_db: float
    peak_db: float
    noise_db: float
    speech_db: float
    is_clipped: bool


class LevelMeter:
    """Blocks of sound in, levels out."""

    def __init__(self) -> None:
        self._rest = np.zeros(0, dtype=np.float32)
        self._levels_db: deque[float] = deque(maxlen=_KEPT_FRAMES)
        self._peak = 0.0

    def take(self, block: Samples) -> None:
        """The next block, of any length."""
        if not len(block):
            return
        self._peak = max(self._peak, float(np.abs(block).max()))
        sound = np.concatenate([self._rest, block])
        whole = len(sound) // FRAME * FRAME
        self._rest = sound[whole:]
        power = np.square(sound[:whole].reshape(-1, FRAME), dtype=np.float64).mean(axis=1)
        self._levels_db += [decibels(float(each)) for each in power]

    @property
    def level(self) -> Level:
        """How loud it is now."""
        levels_db = np.array(self._levels_db or [SILENCE_DB])
        noise_db, speech_db = np.quantile(levels_db, [0.1, 0.9])
        return Level(
            now_db=float(levels_db[-1]),
            peak_db=decibels(self._peak**2),
            noise_db=float(noise_db),
            speech_db=float(speech_db),
            is_clipped=self._peak >= CLIPPED,
        )


def decibels(power: float) -> float:
    """A mean square, 1 at full scale, in dBFS; not below SILENCE_DB."""
    return max(10.0 * float(np.log10(max(power, 1e-12))), SILENCE_DB)


def fault(level: Level) -> str:
    """One sentence on what no recogniser can put right; empty where there is nothing."""
    if level.peak_db < _DEAD_DB:
        return "The microphone gives silence: it is muted, or this program may not use it."
    if level.is_clipped:
        return "Too loud: turn the microphone down until the peak stays below -3 dB."
    if level.speech_db < QUIET_DB and level.speech_db - level.noise_db >= FAINT_ABOVE_NOISE_DB:
        return "Too quiet: turn the microphone up, or bring it nearer."
    return ""


def advice(level: Level) -> str:
    """One sentence on how well speech at this level can be heard; the microphone was spoken into for it."""
    above_db = level.speech_db - level.noise_db
    if found := fault(level):
        return found
    if above_db < _NOBODY_SPOKE_DB:
        return "Nothing stands out of the noise: speak while it measures, or bring the microphone nearer."
    if above_db < FAINT_ABOVE_NOISE_DB:
        return f"Speech stands only {above_db:.0f} dB above the noise: bring the microphone nearer."
    return f"Good: speech stands {above_db:.0f} dB above the noise."


class Faults:
    """What is wrong with the level of utterances, each said once."""

    def __init__(self) -> None:
        self._said = {""}

    def new(self, utterance: Samples) -> str:
        """A sentence on this utterance that was not said before; empty for none."""
        meter = LevelMeter()
        meter.take(utterance)
        found = fault(meter.level)
        if found in self._said:
            return ""
        self._said.add(found)
        return found
