"""
By how much each part of a noisy spectrum is turned down: a Wiener filter in bands as wide as the ear's.

Noise that is the same on the average is not so from one moment and frequency to the next, and a filter that
looks at each frequency by itself follows these chances and makes sounds of them. So speech and noise are
compared in bands of the mel scale, as the recogniser hears, and over three moments. What is left of the noise
lies a fixed distance below the speech, however loud it was: the recogniser then has one kind of noise to cope
with.

Measured: docs/hearing.md.
"""

from functools import cache

import numpy as np
import numpy.typing as npt

from assistant.adapters.speech_in.audio import RATE_HZ

Spectra = npt.NDArray[np.float32]

_BANDS = 25
_LOWEST_HZ = 100.0
# Decision-directed smoothing (Ephraim and Malah 1984): share of the frame before in the estimate.
_SMOOTHING = 0.7
# The power in a band is taken for noise up to this multiple of the noise's mean.
_CHANCE = 1.2
# How far below the speech what is left of the noise lies, dB, and the least gain.
_LEFT_DB = 28.0
_LEAST_GAIN = 0.05


class NoiseFilter:
    """
    Follows one sound: gains of amplitude, [frame, frequency], for its power.

    noise: the mean power of what is to be turned down. `snr_db`: how far the speech stands above it. A gain
    depends on what was before and on the frame after it, on nothing later: so it comes one frame late.
    """

    def __init__(self, noise: Spectra, snr_db: float) -> None:
        self._within, self._spread = _bands(noise.shape[0])
        self._noise = noise @ self._within.T
        self._least = np.float32(np.clip(10.0 ** ((snr_db - _LEFT_DB) / 20.0), _LEAST_GAIN, 1.0))
        self._prior = np.zeros(len(self._noise), dtype=np.float32)
        # The ratios of the last two frames; the first stands on before itself, the last after itself.
        self._last: Spectra = np.zeros((0, len(self._noise)), dtype=np.float32)

    def take(self, power: Spectra) -> Spectra:
        """The gains that are ready with the next frames, each frame's after the one after it came."""
        if not len(power):
            return power
        ratio = ((power @ self._within.T) / self._noise).astype(np.float32)
        known = np.concatenate([self._last if len(self._last) else ratio[:1], ratio])
        self._last = known[-2:]
        return self._gains(((known[:-2] + known[1:-1] + known[2:]) / 3.0).astype(np.float32))

    def rest(self) -> Spectra:
        """The last frame's."""
        before, last = self._last
        return self._gains(((before + last + last) / 3.0).astype(np.float32)[None])

    def _gains(self, ratio: Spectra) -> Spectra:
        found = np.empty_like(ratio)
        for frame, posterior in enumerate(ratio):
            prior = _SMOOTHING * self._prior + (1.0 - _SMOOTHING) * np.maximum(posterior - _CHANCE, 0.0)
            gain = np.maximum(prior / (1.0 + prior), self._least)
            self._prior = gain * gain * posterior
            found[frame] = gain
        of_each: Spectra = (found @ self._spread).astype(np.float32)
        return of_each


def gains(power: Spectra, noise: Spectra, snr_db: float) -> Spectra:
    """Those of a whole sound, [frame, frequency]."""
    follower = NoiseFilter(noise, snr_db)
    return np.concatenate([follower.take(power), follower.rest()])


@cache
def _bands(frequencies: int) -> tuple[Spectra, Spectra]:
    """Triangles on the mel scale, [band, frequency]: a mean for each band, and shares for each frequency."""
    hertz = np.linspace(0.0, RATE_HZ / 2.0, frequencies)
    highest_mel, lowest_mel = _mel(RATE_HZ / 2.0), _mel(_LOWEST_HZ)
    edges = np.linspace(lowest_mel, highest_mel, _BANDS + 2)
    below, middle, above = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    mel = _mel(hertz)
    shape = np.clip(np.minimum((mel - below) / (middle - below), (above - mel) / (above - middle)), 0.0, None)
    spread = shape.copy()
    spread[0, mel < middle[0, 0]] = 1.0
    spread[-1, mel > middle[-1, 0]] = 1.0
    within = shape / shape.sum(axis=1, keepdims=True)
    return within.astype(np.float32), (spread / spread.sum(axis=0)).astype(np.float32)


def _mel(hertz: npt.NDArray[np.float64] | float) -> npt.NDArray[np.float64]:
    return np.asarray(2595.0 * np.log10(1.0 + np.asarray(hertz) / 700.0), dtype=np.float64)
