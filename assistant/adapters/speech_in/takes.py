"""Whether a recording just made is fit to keep: its levels, and what is wrong with it."""

from dataclasses import dataclass

import numpy as np

from assistant.adapters.speech_in.audio import RATE_HZ, Samples

_BLOCK = RATE_HZ // 50
_SHORTEST_S = 0.5
# At full scale for three samples in all: one may be chance, more is a top cut off.
_FULL, _CUT_SAMPLES = 0.99, 3
_QUIET_DB = -45.0
_LITTLE_DB = 10.0
_NOTHING_DB = -120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """
    Levels below full scale, dB: of the loudest sample, of the speech, of the noise between; and a fault.

    `fault` says in words what to do, and is empty where nothing is wrong.
    """

    peak_db: float
    speech_db: float
    noise_db: float
    fault: str


def weighed(sound: Samples) -> Take:
    """A recording weighed: the noise is what its quietest tenth is, the speech its loudest twentieth."""
    blocks = sound[: len(sound) // _BLOCK * _BLOCK].reshape(-1, _BLOCK)
    power = np.square(blocks, dtype=np.float64).mean(axis=1) if len(blocks) else np.zeros(1)
    peak = float(np.abs(sound).max(initial=0.0))
    levels = {
        "peak_db": _db(peak**2),
        "speech_db": _db(float(np.quantile(power, 0.95))),
        "noise_db": _db(float(np.quantile(power, 0.1))),
    }
    above_db = levels["speech_db"] - levels["noise_db"]
    if len(sound) < _SHORTEST_S * RATE_HZ:
        fault = "too short: press Enter, speak, then press Enter again"
    elif peak == 0.0:
        fault = "nothing arrived from the microphone: is it muted?"
    elif int((np.abs(sound) >= _FULL).sum()) >= _CUT_SAMPLES:
        fault = "too loud: turn the microphone down, or speak past it"
    elif levels["speech_db"] < _QUIET_DB:
        fault = "very quiet: turn the microphone up, or come closer"
    elif above_db < _LITTLE_DB:
        fault = "hardly above the noise: come closer to the microphone"
    else:
        fault = ""
    return Take(**levels, fault=fault)


def _db(power: float) -> float:
    return max(10.0 * float(np.log10(power)), _NOTHING_DB) if power > 0.0 else _NOTHING_DB
