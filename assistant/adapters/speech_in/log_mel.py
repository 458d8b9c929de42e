"""
Sound as a general speech model wants it: logarithms of energies in mel bands, every 10 ms.

The bands, window and scaling are those with which such models were trained (Radford and others 2022,
section 2.2): 25 ms Hann windows, bands of equal area on Slaney's mel scale up to 8 kHz, 8 decades below the
loudest at most.
"""

from functools import cache

import numpy as np
import numpy.typing as npt

from assistant.adapters.speech_in.audio import RATE_HZ, Samples

HOP = RATE_HZ // 100
_WINDOW = RATE_HZ // 40
_DECADES = 8.0
# Slaney's mel scale: linear to 1000 Hz, 200/3 Hz a mel, then 27 mels for a factor of 6.4.
_HZ_PER_MEL, _BEND_HZ, _MELS_PER_LOG = 200.0 / 3.0, 1000.0, 27.0 / np.log(6.4)
_BEND_MEL = _BEND_HZ / _HZ_PER_MEL


def log_mel(sound: Samples, bands: int) -> npt.NDArray[np.float32]:
    """Energies by (band, frame), scaled to about -1 to 1; a frame for every 10 ms of the sound."""
    around = np.pad(sound, _WINDOW // 2, mode="reflect")
    frames = np.lib.stride_tricks.sliding_window_view(around, _WINDOW)[::HOP][: len(sound) // HOP]
    hann = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(_WINDOW) / _WINDOW)
    power = np.abs(np.fft.rfft(frames * hann, axis=1)) ** 2
    logs = np.log10(np.maximum(_filters(bands) @ power.T, 1e-10))
    logs = np.maximum(logs, logs.max() - _DECADES)
    scaled: npt.NDArray[np.float32] = ((logs + 4.0) / 4.0).astype(np.float32)
    return scaled


@cache
def _filters(bands: int) -> npt.NDArray[np.float64]:
    """Triangles over the frequencies of a window's spectrum, by (band, frequency)."""
    at_hz = np.linspace(0.0, RATE_HZ / 2, _WINDOW // 2 + 1)
    edges_hz = _hz(np.linspace(0.0, _mel(RATE_HZ / 2), bands + 2))
    rising = (at_hz - edges_hz[:-2, None]) / np.diff(edges_hz)[:-1, None]
    falling = (edges_hz[2:, None] - at_hz) / np.diff(edges_hz)[1:, None]
    triangles: npt.NDArray[np.float64] = np.maximum(0.0, np.minimum(rising, falling))
    areas_hz = (edges_hz[2:] - edges_hz[:-2]) / 2.0
    return triangles / areas_hz[:, None]


def _mel(hz: float) -> float:
    return hz / _HZ_PER_MEL if hz < _BEND_HZ else float(_BEND_MEL + np.log(hz / _BEND_HZ) * _MELS_PER_LOG)


def _hz(mels: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    bent: npt.NDArray[np.float64] = np.where(
        mels < _BEND_MEL, mels * _HZ_PER_MEL, _BEND_HZ * np.exp((mels - _BEND_MEL) / _MELS_PER_LOG)
    )
    return bent
