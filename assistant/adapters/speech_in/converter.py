"""
A live microphone's blocks, of any rate and number of channels, at 16 kHz and one channel.

Why not the converter that recordings go through (soxr): its stream hands out nothing for up to 40 ms and then
all of that at once (measured with the default quality at 44.1 and 48 kHz), and an answer waits for the
last of it. This one is 2.3 ms behind, always.
"""

import math

import numpy as np
import numpy.typing as npt

from assistant.adapters.speech_in.audio import RATE_HZ, Samples

_HALF = 36
"""
Samples of the slower rate on either side: with _BETA, 60 dB of attenuation above half that rate and a band
that reaches to nine tenths of it (Kaiser's formulas: Oppenheim and Schafer, Discrete-Time Signal Processing).
"""

_BETA = 5.65
_BAND = 0.95
"""Where the filter has fallen by half, as a share of half the slower rate."""


class Converter:
    """Blocks in, blocks out, without seams: a windowed sinc, laid anew for each sample that goes out."""

    def __init__(self, rate_hz: float) -> None:
        rate = round(rate_hz)
        common = math.gcd(rate, RATE_HZ)
        self._up, self._down = RATE_HZ // common, rate // common
        self._kernels = _kernels(self._up, self._down)
        taps = self._kernels.shape[1]
        # Silence before the first sample, so that the first to go out lies on it.
        self._held: Samples = np.zeros(taps // 2 - 1, dtype=np.float32)
        self._ahead = 0
        """Where the next sample to go out lies, in steps of 1 / up of a sample from the first one held."""

    def converted(self, block: Samples) -> Samples:
        """The next block: of frames by channels, or of frames."""
        one = block if block.ndim == 1 else block.mean(axis=1, dtype=np.float32)
        if self._up == self._down:
            return np.ascontiguousarray(one, dtype=np.float32)
        held = np.concatenate([self._held, one.astype(np.float32, copy=False)])
        taps = self._kernels.shape[1]
        last = (len(held) - taps + 1) * self._up - 1
        places = np.arange(self._ahead, last + 1, self._down)
        self._ahead += len(places) * self._down
        if not len(places):
            self._held = held
            return np.zeros(0, dtype=np.float32)
        whole, part = np.divmod(places, self._up)
        windows = np.lib.stride_tricks.sliding_window_view(held, taps)[whole]
        out: Samples = np.einsum("nt,nt->n", windows, self._kernels[part])
        done = min(self._ahead // self._up, len(held))
        self._ahead -= done * self._up
        self._held = held[done:]
        return out


def _kernels(up: int, down: int) -> npt.NDArray[np.float32]:
    """For each place between two samples, the weights of the samples around it."""
    slower = min(1.0, up / down)  # of the rate that comes in
    half = math.ceil(_HALF / slower)
    places = np.arange(up)[:, np.newaxis] / up
    away = np.arange(1 - half, half + 1)[np.newaxis, :] - places
    window = np.i0(_BETA * np.sqrt(np.maximum(1.0 - np.square(away / half), 0.0))) / np.i0(_BETA)
    weights = np.sinc(_BAND * slower * away) * window
    # What is constant stays as it is, at every place.
    kernels: npt.NDArray[np.float32] = (weights / weights.sum(axis=1, keepdims=True)).astype(np.float32)
    return kernels
