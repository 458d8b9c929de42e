"""How loud a microphone is, and what is wrong with that: for a pilot who sets it up."""

from dataclasses import dataclass

import numpy as np

from assistant.adapters.speech_in.audio import RATE_HZ, Samples

_CLIPPED = 0.99
_BLOCK = RATE_HZ // 50
_FAINT_DB = -45.0
_CLOSE_DB = 15.0
_MUTED_DB = -90.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """
    Levels in dB of full scale: the loudest sample, the noise, the speech.

    noise_db: what a tenth of the blocks of 20 ms stay below; speech_db: what a tenth are above.
    clipped: how many samples are at the end of the scale.
    """

    peak_db: float
    noise_db: float
    speech_db: float
    clipped: int

    @property
    def advice(self) -> str:
        """One sentence on what to change, or that nothing is wrong."""
        if self.peak_db < _MUTED_DB:
            return "Nothing is heard: the microphone is muted, or another one is in use."
        if self.clipped:
            return "Clipped: turn the microphone down, or move it away."
        if self.speech_db < _FAINT_DB:
            return "Faint: turn the microphone up, or move it closer."
        if self.speech_db - self.noise_db < _CLOSE_DB:
            return "The noise is nearly as loud as the speech: move the microphone closer."
        return "Good."


def level(sound: Samples) -> Level:
    """The level of a piece of sound of at least 20 ms."""
    blocks = sound[: len(sound) // _BLOCK * _BLOCK].reshape(-1, _BLOCK)
    power = np.square(blocks, dtype=np.float64).mean(axis=1)
    peaks = np.abs(sound)
    return Level(
        peak_db=_db(float(peaks.max()) ** 2),
        noise_db=_db(float(np.quantile(power, 0.1))),
        speech_db=_db(float(np.quantile(power, 0.9))),
        clipped=int((peaks >= _CLIPPED).sum()),
    )


def _db(power: float) -> float:
    return 10.0 * float(np.log10(max(power, 1e-10)))
