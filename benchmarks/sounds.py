"""Noise and sounds that are no speech, made by a seed: mixed in when wanted, never stored."""

import numpy as np
import numpy.typing as npt

RATE_HZ = 16_000
Samples = npt.NDArray[np.float32]
BEFORE_S = 0.6
"""What a talk key's recording keeps from before the press; noise alone."""


def cockpit_noise(length: int, seed: int) -> Samples:
    """
    Engine and air, rms 1: 55 % pink, 25 % brown, 20 % harmonics of an engine at 36 to 44 Hz, by power.

    Band 40 Hz to 8 kHz.
    """
    chance = np.random.default_rng(seed)
    parts = 0.55**0.5 * _coloured(length, 1.0, chance) + 0.25**0.5 * _coloured(length, 2.0, chance)
    time_s = np.arange(length) / RATE_HZ
    first_hz = chance.uniform(36.0, 44.0)
    tones = sum(
        np.sin(2.0 * np.pi * number * first_hz * time_s + chance.uniform(0.0, 6.28)) / number
        for number in range(1, 30)
    )
    noise = parts + 0.2**0.5 * tones / _rms(tones)
    return (noise / _rms(noise)).astype(np.float32)


def in_noise(speech: Samples, snr_db: float | None, seed: int) -> Samples:
    """
    Speech with 0.6 s before it and 0.2 s after, in cockpit noise at a ratio of active speech to noise.

    None: clean, which is a faint hiss 60 dB down.
    """
    padded = np.pad(speech, (int(BEFORE_S * RATE_HZ), int(0.2 * RATE_HZ))).astype(np.float32)
    loud = _active_rms(speech)
    if snr_db is None:
        hiss = np.random.default_rng(seed).standard_normal(len(padded)).astype(np.float32)
        return padded + np.float32(loud * 1e-3) * hiss
    return padded + np.float32(loud * 10.0 ** (-snr_db / 20.0)) * cockpit_noise(len(padded), seed)


def no_speech(seed: int) -> Samples:
    """A cough, clicks, breath, music, hum or noise, 0.5 to 3 s, by turns."""
    chance = np.random.default_rng(seed)
    length = int(RATE_HZ * chance.uniform(0.5, 3.0))
    time_s = np.arange(length) / RATE_HZ
    match seed % 6:
        case 0:  # cough: bursts of noise that ring and die away
            sound = sum(
                np.where(time_s > at, np.exp(-(time_s - at) * 14.0), 0.0) * _coloured(length, 0.5, chance)
                for at in chance.uniform(0.0, length / RATE_HZ * 0.7, 3)
            )
        case 1:  # clicks of switches
            sound = np.zeros(length)
            for at in chance.integers(0, length - 200, 8):
                sound[at : at + 200] += np.exp(-np.arange(200) / 30.0) * chance.standard_normal(200)
        case 2:  # breath on the microphone
            sound = _coloured(length, 1.0, chance) * np.sin(np.pi * time_s / time_s[-1]) ** 2
        case 3:  # music: chords that change
            sound = np.zeros(length)
            for part in range(0, length, RATE_HZ // 3):
                for step in chance.choice(24, 3, replace=False):
                    piece = time_s[part : part + RATE_HZ // 3]
                    tone = 220.0 * 2.0 ** (step / 12.0)
                    sound[part : part + len(piece)] += sum(
                        np.sin(2.0 * np.pi * tone * number * piece) / number for number in (1, 2, 3)
                    )
        case 4:  # warning tone
            sound = np.sign(np.sin(2.0 * np.pi * 800.0 * time_s)) * (np.sin(2.0 * np.pi * 3.0 * time_s) > 0.0)
        case _:
            sound = cockpit_noise(length, seed).astype(np.float64)
    peak = float(np.abs(sound).max()) or 1.0
    return (0.3 * sound / peak).astype(np.float32)


def _coloured(length: int, slope: float, chance: np.random.Generator) -> npt.NDArray[np.float64]:
    """Noise, rms 1, whose power falls with the frequency to a power of `slope`."""
    spectrum = np.fft.rfft(chance.standard_normal(length))
    hertz = np.fft.rfftfreq(length, 1.0 / RATE_HZ)
    shape = np.where(hertz > 40.0, np.maximum(hertz, 40.0) ** (-slope / 2.0), 0.0)
    sound = np.fft.irfft(spectrum * shape, length)
    return sound / _rms(sound)


def _rms(sound: npt.NDArray[np.floating]) -> float:
    return float(np.sqrt(np.mean(np.square(sound, dtype=np.float64)))) or 1.0


def _active_rms(speech: Samples) -> float:
    """The rms of the frames within 30 dB of the loudest."""
    frames = speech[: len(speech) // 320 * 320].reshape(-1, 320)
    power = np.square(frames, dtype=np.float64).mean(axis=1)
    return float(np.sqrt(power[power > power.max() * 1e-3].mean()))
