"""
What a sound is to the embedded recogniser's model: thirteen cepstra every ten milliseconds, piece by piece.

The library makes the same of sound by itself, but takes the mean off as it pleases: off a whole utterance the
mean of it, off one that is still spoken the mean of others. Made here, that is ours to choose
(`RunningMean`), and searches in two processes need it done only once.

The analysis is that of the model's own feature file: 25 triangles in mel between 130 and 6800 Hz, of equal
area and with their corners on the spectrum's lines, in Hamming windows of 25.6 ms; logarithm, cosine
transform, a sine lifter of 22 (Davis and Mermelstein 1980; Young and others, The HTK Book, 5.3 to 5.6).
"""

import numpy as np
import numpy.typing as npt

from assistant.adapters.speech_in.acoustic_model import CEPSTRA
from assistant.adapters.speech_in.audio import RATE_HZ, Samples

Frames = npt.NDArray[np.float64]
"""By (frame, cepstrum)."""

FRAMES_PER_S = 100

_HOP = RATE_HZ // FRAMES_PER_S
_WINDOW = 410
_FFT = 512
_LOW_HZ, _HIGH_HZ, _BANDS = 130.0, 6800.0, 25
_LIFTER = 22
_PREEMPHASIS = 0.97
# Samples are counted as 16-bit numbers, and so is the least power of a band.
_FULL_SCALE = 32767.0
_LEAST_POWER = 1e-4


class Cepstra:
    """Follows one utterance."""

    def __init__(self) -> None:
        self._waiting = np.zeros(0)
        self._last = 0.0

    def take(self, sound: Samples) -> Frames:
        """The frames that are complete with the next piece, of any length."""
        scaled = sound * _FULL_SCALE
        before = np.concatenate([[self._last], scaled[:-1]])
        self._waiting = np.concatenate([self._waiting, scaled - _PREEMPHASIS * before[: len(scaled)]])
        if len(scaled):
            self._last = float(scaled[-1])
        count = max((len(self._waiting) - _WINDOW) // _HOP + 1, 0)
        frames = _cepstra(self._waiting, count)
        self._waiting = self._waiting[count * _HOP :]
        return frames

    def rest(self) -> Frames:
        """The last frame, of what is left and silence after it."""
        if not len(self._waiting):
            return np.zeros((0, CEPSTRA))
        return _cepstra(np.pad(self._waiting, (0, max(_WINDOW - len(self._waiting), 0))), 1)


def cepstra(sound: Samples) -> Frames:
    """Those of a whole utterance."""
    follower = Cepstra()
    return np.concatenate([follower.take(sound), follower.rest()])


def whole_frames(sound: Samples) -> Frames:
    """Those of a whole utterance with its mean taken off."""
    found = cepstra(sound)
    return found - found.mean(axis=0) if len(found) else found


def _cepstra(emphasised: npt.NDArray[np.float64], count: int) -> Frames:
    if not count:
        return np.zeros((0, CEPSTRA))
    frames = np.lib.stride_tricks.sliding_window_view(emphasised, _WINDOW)[: count * _HOP : _HOP]
    power = np.square(np.abs(np.fft.rfft(frames * _HAMMING, _FFT, axis=1)))
    found: Frames = np.log(power @ _TRIANGLES + _LEAST_POWER) @ _COSINES
    return found


def _triangles() -> npt.NDArray[np.float64]:
    """By (line of the spectrum, band)."""
    line_hz = RATE_HZ / _FFT
    at_hz = np.arange(_FFT // 2 + 1)[:, None] * line_hz
    corners_mel = np.linspace(_mel(_LOW_HZ), _mel(_HIGH_HZ), _BANDS + 2)
    corners_hz = np.floor(700.0 * (10.0 ** (corners_mel / 2595.0) - 1.0) / line_hz + 0.5) * line_hz
    low_hz, middle_hz, high_hz = corners_hz[:-2], corners_hz[1:-1], corners_hz[2:]
    rising = (at_hz - low_hz) / (middle_hz - low_hz)
    falling = (high_hz - at_hz) / (high_hz - middle_hz)
    triangles: npt.NDArray[np.float64] = np.maximum(np.minimum(rising, falling), 0.0)
    return triangles * 2.0 / (high_hz - low_hz)


def _mel(hertz: float) -> float:
    return float(2595.0 * np.log10(1.0 + hertz / 700.0))


def _cosines() -> npt.NDArray[np.float64]:
    """By (band, cepstrum)."""
    number = np.arange(CEPSTRA)
    cosines = np.cos(np.pi / _BANDS * np.outer(np.arange(_BANDS) + 0.5, number))
    size = np.sqrt(np.where(number == 0, 1.0, 2.0) / _BANDS)
    lifter = 1.0 + _LIFTER / 2.0 * np.sin(np.pi * number / _LIFTER)
    lifted: npt.NDArray[np.float64] = cosines * size * lifter
    return lifted


_HAMMING = np.hamming(_WINDOW)
_TRIANGLES = _triangles()
_COSINES = _cosines()
