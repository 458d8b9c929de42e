"""
What `front_end` does to a whole utterance, done while it is being spoken, where enough was kept from before
the press to know the noise by.

The noise filter hardly looks ahead. What else is measured there over the whole utterance is measured here
over its first `LEVEL_S` from a margin before the speech: how far it stands above the noise, and its level, by
which all of it is scaled and a faint noise laid under it. What comes before an earlier pause is measured by
itself, if that is 0.8 s at least.
"""

import numpy as np
import numpy.typing as npt

from assistant.adapters.speech_in.audio import RATE_HZ, Samples
from assistant.adapters.speech_in.front_end import (
    HANN,
    HOP,
    WINDOW,
    noise_under,
    not_too_little,
    snr_over,
    speech_rms,
    speech_start,
)
from assistant.adapters.speech_in.noise_filter import NoiseFilter, Spectra

LEVEL_S = 1.2
_LEAST_LEVEL_S = 0.8

Spectrum = npt.NDArray[np.complex64]

_RMS = 0.1
_LEAST_RMS = 1e-5


class Cleaning:
    """Follows one utterance; before: its beginning, of noise alone, a quarter of a second at least."""

    def __init__(self, before: Samples) -> None:
        self._mean = np.float32(before.mean())
        self._noise = np.square(np.abs(_spectra(before - self._mean))).mean(axis=0)
        # The sample from which it is heard.
        self._start: int | None = None
        self._waiting = np.zeros(WINDOW, dtype=np.float32)
        # Frames without gains yet, and all power so far.
        self._spectra: list[Spectrum] = []
        self._powers: list[Spectra] = []
        self._count = 0
        self._filter: NoiseFilter | None = None
        self._overlap = np.zeros(WINDOW, dtype=np.float32)
        self._filtered_to = -WINDOW
        self._scale = np.float32(0.0)
        self._given = 0

    def take(self, sound: Samples) -> Samples:
        """What is ready with the next piece, of any length."""
        self._waiting = np.concatenate([self._waiting, sound - self._mean])
        spectra = _spectra(self._waiting)
        self._waiting = self._waiting[len(spectra) * HOP :]
        power = np.square(np.abs(spectra))
        self._spectra.append(spectra)
        self._powers.append(power)
        self._count += len(spectra)
        if self._filter is not None:
            return self._under(self._filtered(self._filter.take(power)))
        if self._start is None:
            self._start = self._found_start()
        if self._start is None or self._count * HOP < self._start + LEVEL_S * RATE_HZ:
            return np.zeros(0, dtype=np.float32)
        return self._begun()

    def paused(self) -> Samples:
        """What is ready because of a pause."""
        is_short = self._start is None or self._count * HOP < self._start + _LEAST_LEVEL_S * RATE_HZ
        return np.zeros(0, dtype=np.float32) if is_short or self._filter is not None else self._begun()

    def rest(self) -> Samples:
        """The rest of it, once all has been taken."""
        ended = [self.take(np.full(2 * WINDOW, self._mean, dtype=np.float32))]
        if self._filter is None:
            self._start = self._start or 0
            ended.append(self._begun())
        if self._filter is not None:
            ended.append(self._under(self._filtered(self._filter.rest())))
        return np.concatenate(ended)

    @property
    def snr_db(self) -> float:
        """How far the speech has stood above the noise so far."""
        power = np.concatenate(self._powers)
        return snr_over(power, not_too_little(self._noise, power))

    def _found_start(self) -> int | None:
        """A margin before the first that stands above the noise; None while nothing has."""
        power = np.concatenate(self._powers)
        return speech_start(power, not_too_little(self._noise, power))

    def _begun(self) -> Samples:
        """The first of it, by which all of it is measured."""
        power = np.concatenate(self._powers)
        noise = not_too_little(self._noise, power)
        self._filter = NoiseFilter(noise, snr_over(power, noise))
        first = self._filtered(self._filter.take(power))
        level = speech_rms(first) if len(first) else 0.0
        self._scale = np.float32(_RMS / max(level, _LEAST_RMS))
        return self._under(first)

    def _filtered(self, gains: Spectra) -> Samples:
        """What is complete with the frames that have these gains."""
        spectra = np.concatenate(self._spectra)
        self._spectra = [spectra[len(gains) :]]
        pieces = [np.zeros(0, dtype=np.float32)]
        for frame in np.fft.irfft(spectra[: len(gains)] * gains, WINDOW, axis=1).astype(np.float32) * HANN:
            self._overlap += frame
            # Four overlapping windows, squared, add up to two.
            pieces.append(self._overlap[:HOP] / np.float32(2.0))
            self._overlap = np.concatenate([self._overlap[HOP:], np.zeros(HOP, dtype=np.float32)])
        out = np.concatenate(pieces)
        ahead = max((self._start or 0) - self._filtered_to, 0)
        self._filtered_to += len(out)
        return out[ahead:]

    def _under(self, sound: Samples) -> Samples:
        out: Samples = sound * self._scale + noise_under(self._given, len(sound), _RMS)
        self._given += len(out)
        return out


def _spectra(sound: Samples) -> Spectrum:
    """Of the frames that are complete."""
    if len(sound) < WINDOW:
        return np.zeros((0, WINDOW // 2 + 1), dtype=np.complex64)
    frames = np.lib.stride_tricks.sliding_window_view(sound, WINDOW)[::HOP]
    return np.fft.rfft(frames * HANN, axis=1).astype(np.complex64)
