"""
By what linear map the model's average sounds become one speaker's.

One map for all sounds, a matrix and an offset in each stream, so that a minute of speech is enough: what it
learns of a voice holds for words that were never read. The method: C. J. Leggetter and P. C. Woodland,
"Maximum likelihood linear regression for speaker adaptation of continuous density hidden Markov models",
Computer Speech and Language 9 (1995), for one class and diagonal variances.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from assistant.adapters.speech_in.acoustic_model import CEPSTRA, STREAMS, AcousticModel, Numbers

_ROUNDS = 2
# How much "as the model has it" weighs beside the speech: enough for what little speech leaves open.
_HOLD = 0.02
_LEAST_SHARE = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """A sound and its frames, the last included."""

    sound: str
    first: int
    last: int


@dataclass(frozen=True, slots=True, kw_only=True)
class VoiceMap:
    """A mean becomes `matrices` times it plus `offsets`: [stream, row, column] and [stream, row]."""

    matrices: Numbers
    offsets: Numbers


def unchanged() -> VoiceMap:
    """The map that leaves the model as it is."""
    return VoiceMap(matrices=np.stack([np.eye(CEPSTRA)] * STREAMS), offsets=np.zeros((STREAMS, CEPSTRA)))


def fitted(model: AcousticModel, speech: Iterable[tuple[Numbers, tuple[Timed, ...]]]) -> VoiceMap:
    """The map that fits utterances best, each given as features and the sounds that were said in it."""
    utterances = list(speech)
    found = unchanged()
    for _ in range(_ROUNDS):
        found = _better(model, utterances, found)
    return found


def _better(
    model: AcousticModel, utterances: list[tuple[Numbers, tuple[Timed, ...]]], present: VoiceMap
) -> VoiceMap:
    number = {sound: at for at, sound in enumerate(model.sounds)}
    squares = np.zeros((STREAMS, CEPSTRA, CEPSTRA + 1, CEPSTRA + 1))
    products = np.zeros((STREAMS, CEPSTRA, CEPSTRA + 1))
    for features, sounds in utterances:
        for timed in sounds:
            sound = number[timed.sound]
            for stream in range(STREAMS):
                heard = features[stream, timed.first : timed.last + 1]
                means, variances = model.means[sound, stream], model.variances[sound, stream]
                moved = means @ present.matrices[stream].T + present.offsets[stream]
                share = shares(heard, moved, variances)
                extended = np.concatenate([np.ones((len(means), 1)), means], axis=1)
                weight = share.sum(axis=0)[:, None] / variances
                squares[stream] += np.einsum("nd,ni,nj->dij", weight, extended, extended)
                products[stream] += np.einsum("nd,ni->di", (share.T @ heard) / variances, extended)
    solved = np.stack(
        [
            [_row(squares[stream, row], products[stream, row], row) for row in range(CEPSTRA)]
            for stream in range(STREAMS)
        ]
    )
    return VoiceMap(matrices=solved[:, :, 1:], offsets=solved[:, :, 0])


def shares(heard: Numbers, means: Numbers, variances: Numbers) -> Numbers:
    """How much of each frame is each bell's: [frame, bell], summing to one in a frame."""
    distance = (
        (heard**2) @ (1.0 / variances).T
        - 2.0 * heard @ (means / variances).T
        + (means**2 / variances + np.log(variances)).sum(axis=1)
    )
    shares = np.exp(-0.5 * (distance - distance.min(axis=1, keepdims=True)))
    shares /= shares.sum(axis=1, keepdims=True)
    return np.where(shares < _LEAST_SHARE, 0.0, shares)


def _row(squares: Numbers, products: Numbers, row: int) -> Numbers:
    """One row of the map, offset first; where there is little speech it stays near the model's own."""
    hold = _HOLD * squares[0, 0]
    own = np.zeros(CEPSTRA + 1)
    own[row + 1] = 1.0
    return np.linalg.solve(squares + hold * np.eye(CEPSTRA + 1), products + hold * own)
