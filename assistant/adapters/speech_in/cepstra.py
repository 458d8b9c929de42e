"""
An utterance in the terms of the acoustic model: cepstra, worked out as pocketsphinx does by feat.params.

The decoder keeps its own to itself. A test holds these to those that it writes down when told to.
"""

from functools import cache

import numpy as np

from assistant.adapters.speech_in.acoustic_model import CEPSTRA, Numbers
from assistant.adapters.speech_in.audio import RATE_HZ, Samples, pcm16

_FRAME = 410
_SHIFT = 160
_FFT = 512
_PREEMPHASIS = 0.97
# feat.params: -lowerf, -upperf, -nfilt, -lifter.
_LOWEST_HZ, _HIGHEST_HZ = 130.0, 6800.0
_FILTERS = 25
_LIFTER = 22
_LEAST = 1e-4


def cepstra(sound: Samples) -> Numbers:
    """Cepstra [frame, cepstrum], ten milliseconds a frame, the utterance's mean taken off; maybe no frame."""
    samples = np.frombuffer(pcm16(sound), "<i2").astype(np.float64)
    if len(samples) < _FRAME:
        return np.zeros((0, CEPSTRA))
    emphasised = samples - _PREEMPHASIS * np.concatenate([[0.0], samples[:-1]])
    frames = np.lib.stride_tricks.sliding_window_view(emphasised, _FRAME)[::_SHIFT]
    power = np.abs(np.fft.rfft(frames * np.hamming(_FRAME), _FFT, axis=1)) ** 2
    found: Numbers = np.log(power @ _filters().T + _LEAST) @ _cosines().T
    counted = found[found[:, 0] >= 0.0]
    mean: Numbers = (counted if len(counted) else found).mean(axis=0)
    return found - mean


@cache
def _filters() -> Numbers:
    """Triangles of unit area whose corners lie on frequencies of the transform: [filter, frequency]."""
    mel = np.linspace(_mel(_LOWEST_HZ), _mel(_HIGHEST_HZ), _FILTERS + 2)
    step_hz = RATE_HZ / _FFT
    corners = np.floor(700.0 * (10.0 ** (mel / 2595.0) - 1.0) / step_hz + 0.5) * step_hz
    hertz = np.arange(_FFT // 2 + 1) * step_hz
    below, middle, above = corners[:-2, None], corners[1:-1, None], corners[2:, None]
    shape = np.minimum((hertz - below) / (middle - below), (above - hertz) / (above - middle))
    area: Numbers = np.maximum(shape, 0.0) * 2.0 / (above - below)
    return area


@cache
def _cosines() -> Numbers:
    """From logarithms of the filters to cepstra, liftered: [cepstrum, filter]."""
    order = np.arange(CEPSTRA)[:, None]
    cosines = np.cos(np.pi * order * (np.arange(_FILTERS) + 0.5) / _FILTERS)
    lift = 1.0 + _LIFTER / 2.0 * np.sin(np.pi * order / _LIFTER)
    scaled: Numbers = lift * cosines * np.where(order == 0, 1.0, 2.0**0.5) / _FILTERS**0.5
    return scaled


def _mel(hertz: float) -> float:
    return float(2595.0 * np.log10(1.0 + hertz / 700.0))
