"""Recordings and blocks of sound as the recognisers want them: one channel, 16 kHz, floats from -1 to 1."""

from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from assistant.adapters.speech_in.errors import HearingError

RATE_HZ = 16_000
Samples = npt.NDArray[np.float32]
_LONGEST_S = 600.0


def read_audio(path: Path) -> Samples:
    """A recording (WAV, FLAC, Ogg …) at 16 kHz, one channel; HearingError with one sentence otherwise."""
    soundfile = _soundfile()
    try:
        with soundfile.SoundFile(str(path)) as file:
            if file.frames > _LONGEST_S * file.samplerate:
                raise HearingError(
                    f"{path}: longer than {_LONGEST_S / 60:.0f} minutes; cut it into utterances."
                )
            sound: Samples = file.read(dtype="float32", always_2d=True)
            rate_hz = int(file.samplerate)
    except soundfile.LibsndfileError:
        found = "no recording that can be read; give a WAV, FLAC or Ogg file"
        reason = found if path.exists() else "no such file; check the name"
        raise HearingError(f"{path}: {reason}.") from None
    if not np.isfinite(sound).all():
        raise HearingError(f"{path}: holds samples that are no numbers; record it again.")
    return resampled(sound.mean(axis=1, dtype=np.float32), rate_hz)


def write_audio(path: Path, sound: Samples) -> None:
    """Write a new file of 16-bit FLAC; OSError where it exists or the disk does not take it."""
    soundfile = _soundfile()
    with path.open("xb") as file:
        try:
            soundfile.write(file, sound, RATE_HZ, format="FLAC", subtype="PCM_16")
        except soundfile.LibsndfileError as error:
            raise OSError(0, str(error), str(path)) from None


def resampled(sound: Samples, rate_hz: int) -> Samples:
    """Sound at any rate, at 16 kHz."""
    if rate_hz == RATE_HZ or not len(sound):
        return sound
    import soxr  # noqa: PLC0415  # an extra; most sound is at 16 kHz already

    converted: Samples = soxr.resample(sound, rate_hz, RATE_HZ).astype(np.float32)
    return converted


def pcm16(sound: Samples) -> bytes:
    """Samples as 16-bit little-endian; what is louder than full scale is cut."""
    return (np.clip(sound, -1.0, 1.0) * 32767.0).astype("<i2").tobytes()


def _soundfile() -> Any:  # noqa: ANN401  # a module without types
    try:
        import soundfile  # noqa: PLC0415  # an extra, asked for only when a recording is read
    except (ImportError, OSError):
        raise HearingError(
            'Recordings need the extra "hearing": python -m pip install "leadradial[hearing]".'
        ) from None
    return soundfile
