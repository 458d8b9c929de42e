"""
Where speech ended, told while it is being recorded: so that it can be decoded before the switch is let go.

An utterance is heard up to a margin after its last sound, however long the switch is held after that. What is
cut off is quiet; what lies before the cut does not depend on it, so that what was decoded early is what would
have been decoded at the release, to the bit.
"""

import numpy as np

from assistant.adapters.speech_in.audio import RATE_HZ, Samples

MARGINS = ((1000.0, 0.1), (50.0, 0.15), (0.0, 0.25))
"""
How long is kept after the last sound that stands above the noise, s, where the loudest stands above it by
more than a ratio of power: the more noise, the more of an ending is below it.
"""

_FRAME = 512
HOP = 256
LEAST_BEFORE_S = 0.25
# Above 300 Hz, where speech is and engines are less.
_FIRST_BAND = 10
# A ratio of power, over four frames (64 ms): noise by itself varies by less.
_LOUD = 1.6
_SMOOTHED = 4
# The quietest fifth of such means is a tenth below the mean of noise.
_QUIET_SHARE = 0.2
_QUIET_FACTOR = 1.1
# Never less than -60 dB of the loudest so far: after exact silence the rounding of a recording would be loud.
_LEAST_NOISE = 1e-6
_HANN = np.hanning(_FRAME).astype(np.float32)


class EndOfSpeech:
    """
    Follows one utterance. before_s: how much of its beginning is from before the press, and so is noise.

    `at` is the sample up to which the utterance is to be heard, `sounded` that up to which there was sound;
    None while nothing has stood above the noise, or where too little came before the press to know it by.
    """

    def __init__(self, before_s: float) -> None:
        self._before = round(before_s * RATE_HZ)
        self._waiting = np.zeros(0, dtype=np.float32)
        self._heard = 0
        self._mean = np.float32(0.0)
        self._noise: float | None = None
        self._recent: list[float] = []
        self._loudest = 0.0
        self.at: int | None = None
        self.sounded: int | None = None

    def take(self, sound: Samples) -> None:
        """Go on with the next piece, of any length."""
        if self._before < LEAST_BEFORE_S * RATE_HZ:
            return
        self._waiting = np.concatenate([self._waiting, sound])
        if self._noise is None:
            if len(self._waiting) < self._before:
                return
            before = self._waiting[: self._before]
            self._mean = np.float32(before.mean())
            # Of the quieter part: some begin to speak before their finger is down.
            levels = np.convolve(self._powers(before), np.full(_SMOOTHED, 1.0 / _SMOOTHED), mode="valid")
            self._noise = _QUIET_FACTOR * float(np.quantile(levels, _QUIET_SHARE))
        for power in self._powers(self._waiting):
            self._follow(float(power))
        done = max((len(self._waiting) - _FRAME) // HOP + 1, 0) * HOP
        self._waiting = self._waiting[done:]

    def has_passed(self, position: int) -> bool:
        """Whether speech has ended and everything to be heard of it lies before a position."""
        return self.at is not None and self.at <= position

    def _powers(self, sound: Samples) -> "np.ndarray[tuple[int, ...], np.dtype[np.float32]]":
        if len(sound) < _FRAME:
            return np.zeros(0, dtype=np.float32)
        frames = np.lib.stride_tricks.sliding_window_view(sound - self._mean, _FRAME)[::HOP]
        spectra = np.fft.rfft(frames * _HANN, axis=1)[:, _FIRST_BAND:]
        powers: np.ndarray[tuple[int, ...], np.dtype[np.float32]] = np.square(np.abs(spectra)).sum(axis=1)
        return powers

    def _follow(self, power: float) -> None:
        self._recent = [*self._recent[1 - _SMOOTHED :], power]
        self._loudest = max(self._loudest, power)
        level = sum(self._recent) / len(self._recent)
        noise = max(self._noise or 0.0, _LEAST_NOISE * self._loudest, 1e-12)
        is_before = self._heard + _FRAME <= self._before
        self._heard += HOP
        if not is_before and level > _LOUD * noise:
            margin_s = next(kept_s for ratio, kept_s in MARGINS if self._loudest > ratio * noise)
            self.sounded = self._heard - HOP + _FRAME
            self.at = self.sounded + round(margin_s * RATE_HZ)


def heard_part(sound: Samples, before_s: float) -> Samples:
    """An utterance without the quiet after it."""
    end = EndOfSpeech(before_s)
    end.take(sound)
    return sound[: end.at]
