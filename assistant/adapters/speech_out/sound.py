"""
Sounds as they are kept and played: one channel of floats from -1 to 1, evened out in loudness, never clipped.

Loudness is that of ITU-R BS.1770 (in LUFS), which weighs frequencies as ears do; two voices evened to the
same value sound equally loud, where equal peaks would not.
"""

import io
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from assistant.adapters.speech_out.errors import INSTALL, VoiceUnavailable

Samples = npt.NDArray[np.float32]

LOUDNESS_LUFS: Final = -20.0
"""
What every sentence is evened to. Plain synthetic speech reaches it with its peaks below `PEAK`, so that
evening never means limiting; broadcasts (EBU R 128: -23) are a little softer.
"""

PEAK: Final = 0.89
"""-1 dB of full scale: the highest sample that any sound may have, so that no converter overshoots."""

_SILENCE = 0.003
"""Softer than this (-50 dB) at either end is silence, and is cut: it would only make the voice late."""

_KEPT_S = 0.015
_PAUSE_S = 0.12
"""Between two sentences of one callout; a breath, so that numbers do not run together."""

_SHORTEST_MEASURED_S = 0.4
"""The block of BS.1770; a shorter sound is measured as if it went on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sound:
    """Samples of one channel, from -1 to 1, and how many a second."""

    samples: Samples
    rate_hz: int

    @property
    def duration_s(self) -> float:
        """How long it sounds, s."""
        return len(self.samples) / self.rate_hz


def loudness_lufs(sound: Sound) -> float:
    """Integrated loudness (ITU-R BS.1770), LUFS; -inf for silence."""
    try:
        import pyloudnorm  # noqa: PLC0415  # heavy, and needed only where something is rendered
    except ImportError:
        raise VoiceUnavailable(f"The voice needs packages that are not there: {INSTALL}.") from None
    samples = sound.samples.astype(np.float64)
    if not np.any(samples):
        return -math.inf
    wanted = math.ceil(_SHORTEST_MEASURED_S * sound.rate_hz) + 1
    if len(samples) < wanted:
        samples = np.tile(samples, math.ceil(wanted / len(samples)))
    return float(pyloudnorm.Meter(sound.rate_hz).integrated_loudness(samples))


def evened(sound: Sound) -> Sound:
    """The sound without silence at its ends, at the common loudness; softer only where it would clip."""
    trimmed = _trimmed(sound)
    lufs = loudness_lufs(trimmed)
    if not math.isfinite(lufs):
        return trimmed
    gain = min(10.0 ** ((LOUDNESS_LUFS - lufs) / 20.0), PEAK / float(np.max(np.abs(trimmed.samples))))
    return Sound(samples=(trimmed.samples * gain).astype(np.float32), rate_hz=sound.rate_hz)


def _trimmed(sound: Sound) -> Sound:
    heard = np.flatnonzero(np.abs(sound.samples) > _SILENCE)
    if not len(heard):
        return sound
    kept = int(_KEPT_S * sound.rate_hz)
    first, last = max(int(heard[0]) - kept, 0), int(heard[-1]) + 1 + kept
    return Sound(samples=sound.samples[first:last], rate_hz=sound.rate_hz)


def joined(sounds: tuple[Sound, ...]) -> Sound:
    """Sentences one after another, with a breath between; all at one rate. ValueError for none."""
    rate_hz = sounds[0].rate_hz
    pause = np.zeros(int(_PAUSE_S * rate_hz), dtype=np.float32)
    parts: list[Samples] = []
    for sound in sounds:
        parts += [pause, sound.samples] if parts else [sound.samples]
    return Sound(samples=np.concatenate(parts), rate_hz=rate_hz)


def resampled(sound: Sound, rate_hz: int) -> Sound:
    """The same sound at another rate."""
    if sound.rate_hz == rate_hz:
        return sound
    import soxr  # noqa: PLC0415  # an extra; a device at the voice's own rate needs none

    samples = soxr.resample(sound.samples, sound.rate_hz, rate_hz).astype(np.float32)
    return Sound(samples=samples, rate_hz=rate_hz)


def cue_tone(rate_hz: int) -> Sound:
    """A short soft tone that says a callout is coming: 90 ms of 880 Hz, its ends rounded, and a gap."""
    length = int(0.09 * rate_hz)
    shape = np.sin(np.linspace(0.0, math.pi, length)) ** 2
    tone = 0.12 * shape * np.sin(2.0 * math.pi * 880.0 / rate_hz * np.arange(length))
    return Sound(
        samples=np.concatenate([tone, np.zeros(int(0.05 * rate_hz))]).astype(np.float32), rate_hz=rate_hz
    )


def from_file(path_or_bytes: str | bytes) -> Sound:
    """A sound file of any common form (WAV, AIFF, FLAC), its channels mixed; OSError where it is none."""
    soundfile = _soundfile()
    source = io.BytesIO(path_or_bytes) if isinstance(path_or_bytes, bytes) else path_or_bytes
    try:
        samples, rate_hz = soundfile.read(source, dtype="float32", always_2d=True)
    except soundfile.LibsndfileError as error:
        raise OSError(f"not a sound: {error}") from None
    return Sound(samples=samples.mean(axis=1, dtype=np.float32), rate_hz=int(rate_hz))


def as_flac(sound: Sound) -> bytes:
    """The sound as the bytes of a FLAC file, 16 bits a sample."""
    buffer = io.BytesIO()
    _soundfile().write(buffer, sound.samples, sound.rate_hz, format="FLAC", subtype="PCM_16")
    return buffer.getvalue()


def write_wav(sound: Sound, path: Path) -> None:
    """Write a WAV file; OSError where that is not possible."""
    with path.open("wb") as file:
        _soundfile().write(file, sound.samples, sound.rate_hz, format="WAV", subtype="PCM_16")


def _soundfile() -> Any:  # noqa: ANN401  # a module without types
    try:
        import soundfile  # noqa: PLC0415  # an extra
    except (ImportError, OSError):
        raise VoiceUnavailable(f"The voice needs packages that are not there: {INSTALL}.") from None
    return soundfile
