"""
What kind of sound an utterance is, where the acoustic model knows only one: wide-band speech by people.

Of other kinds the average sounds lie elsewhere, all in the same way: of speech that ends at 4 kHz (a headset
by radio), and of voices made by formants (eSpeak). Where they lie was learned from our own recordings
(`tools/fit_kinds_of_sound`) and is shipped as shifts of the means. An utterance is of the kind whose means
it lies nearest to, by each moment's nearest bell in the first two streams; of the model's own unless another
is clearly nearer.

Whether anything lies above 4 kHz says too little by itself: "one nine" has nothing there. Both must hold.
"""

import zlib
from dataclasses import dataclass
from enum import StrEnum
from importlib import resources
from pathlib import Path

import numpy as np
import numpy.typing as npt

from assistant.adapters.speech_in.acoustic_model import Numbers, acoustic_model, with_slopes
from assistant.adapters.speech_in.audio import RATE_HZ, Samples
from assistant.adapters.speech_in.cepstra import whole_frames

SHIFTS = "kinds_of_sound.npz"


class Kind(StrEnum):
    """`GENERAL`: what the model was made for."""

    GENERAL = "general"
    NARROW = "narrow"
    FORMANT = "formant"


LEAST_NEARER = {Kind.NARROW: 0.0, Kind.FORMANT: 2.8}
"""
By how much the mean logarithm of likelihood a frame must be greater than the model's own.

Formant: development voices of eSpeak had 3.5 to 11 (clean, 15, 8 and 5 dB), all others -3 to 2.0.
"""

_STREAMS = 2
# Of the bells every fourth and of the frames every third tell as well.
_EVERY_BELL = 4
_EVERY = 3
_MOST_FRAMES = 600

_NARROW_DB = -18.0
_HIGH_HZ = (4300.0, 6800.0)
_LOWEST_HZ = 300.0
_WINDOW, _HOP = 512, 160
_LOUD_DB = 25.0
# The third highest share: one click is no fricative.
_RANK = 3

_Bells = tuple[npt.NDArray[np.float32], npt.NDArray[np.float32]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kinds:
    """A model's folder, and what its kinds are known by: the general one alone for another model."""

    folder: Path
    bells: dict[Kind, tuple[_Bells, ...]]

    def of(self, sound: Samples) -> Kind:
        """The kind of a cleaned utterance."""
        others = [kind for kind in self.bells if kind is not Kind.GENERAL]
        if not others:
            return Kind.GENERAL
        heard = (
            with_slopes(whole_frames(sound))[:_STREAMS, :_MOST_FRAMES:_EVERY]
            if len(sound) > _WINDOW
            else None
        )
        if heard is None or not heard.shape[1]:
            return Kind.GENERAL
        own = _nearness(heard, self.bells[Kind.GENERAL])
        nearer = {
            kind: _nearness(heard, self.bells[kind]) - own - LEAST_NEARER[kind]
            for kind in others
            if kind is not Kind.NARROW or _is_narrow(sound)
        }
        best = max(nearer, key=lambda kind: nearer[kind], default=Kind.GENERAL)
        return best if best in nearer and nearer[best] > 0.0 else Kind.GENERAL

    def means(self, kind: Kind) -> Numbers:
        """The means of a kind that was learned: [sound, stream, bell, cepstrum]; worked out anew."""
        return acoustic_model(self.folder).means + _shifts(kind)


def kinds_of_sound(folder: Path) -> Kinds:
    """The kinds that were learned for the model in a folder; none where they were learned for another."""
    model = acoustic_model(folder)
    some = (slice(None), slice(_STREAMS), slice(None, None, _EVERY_BELL))
    means, variances = model.means[some], model.variances[some]
    bells = {Kind.GENERAL: _bells(means, variances)}
    if _shipped("model") == fingerprint(folder):
        bells |= {kind: _bells(means + _shifts(kind)[some], variances) for kind in LEAST_NEARER}
    return Kinds(folder=folder, bells=bells)


def _shifts(kind: Kind) -> Numbers:
    steps = _shipped(f"{kind}_steps").astype(np.float64)
    shifts: Numbers = _shipped(f"{kind}_shifts") * steps[None, :, None, :]
    return shifts


def _shipped(name: str) -> npt.NDArray[np.float32]:
    with (resources.files("assistant.adapters.speech_in") / SHIFTS).open("rb") as file:
        content: npt.NDArray[np.float32] = np.load(file)[name]
    return content


def fingerprint(folder: Path) -> int:
    """What tells this model's means from another's."""
    return zlib.crc32((folder / "means").read_bytes())


def quantised(shifts: Numbers) -> tuple[npt.NDArray[np.int8], npt.NDArray[np.float32]]:
    """Shifts of means as they are shipped: in steps of each stream's and cepstrum's own, at most 127."""
    steps = np.maximum(np.abs(shifts).max(axis=(0, 2)) / 127.0, 1e-9).astype(np.float32)
    return np.rint(shifts / steps[None, :, None, :]).astype(np.int8), steps


def _bells(means: Numbers, variances: Numbers) -> tuple[_Bells, ...]:
    """Of each stream what frames and their squares are multiplied by for each bell, and what is added."""
    found = []
    for stream in range(_STREAMS):
        mean, variance = (each[:, stream].reshape(-1, each.shape[-1]) for each in (means, variances))
        factors = np.concatenate([-0.5 / variance, mean / variance], axis=1).T
        added = -0.5 * (mean**2 / variance + np.log(variance)).sum(axis=1)
        found.append((factors.astype(np.float32), added.astype(np.float32)))
    return tuple(found)


def _nearness(heard: Numbers, bells: tuple[_Bells, ...]) -> float:
    """The mean logarithm of likelihood of the nearest bell, over the frames; streams together."""
    total = 0.0
    for frames, (factors, added) in zip(heard.astype(np.float32), bells, strict=True):
        of_each = np.concatenate([frames**2, frames], axis=1) @ factors + added
        total += float(of_each.max(axis=1).mean())
    return total


def _is_narrow(sound: Samples) -> bool:
    """Whether no loud moment of the sound has a share worth the name above 4.3 kHz."""
    frames = np.lib.stride_tricks.sliding_window_view(sound, _WINDOW)[::_HOP]
    power = np.abs(np.fft.rfft(frames * np.hanning(_WINDOW), axis=1)) ** 2
    hertz = np.fft.rfftfreq(_WINDOW, 1.0 / RATE_HZ)
    whole = power[:, hertz >= _LOWEST_HZ].sum(axis=1)
    high = power[:, (hertz >= _HIGH_HZ[0]) & (hertz <= _HIGH_HZ[1])].sum(axis=1)
    is_loud = whole > whole.max() * 10.0 ** (-_LOUD_DB / 10.0)
    shares = np.sort(high[is_loud] / whole[is_loud])
    return len(shares) >= _RANK and bool(shares[-_RANK] < 10.0 ** (_NARROW_DB / 10.0))
