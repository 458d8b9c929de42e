"""
The mean of an utterance taken off its cepstra, while it is still being spoken.

A microphone and a voice shift every cepstrum by about the same, all the time; the model was trained on speech
without that mean. A whole utterance gives it best, and is there too late. So a frame waits for those of the
next `AHEAD_S`: the mean of all that came up to then is taken off it, of a short utterance thus of the whole.
Where the pilot pauses, all that was said has the mean of all that was said, so that nothing is left to do.
"""

import numpy as np

from assistant.adapters.speech_in.acoustic_model import CEPSTRA
from assistant.adapters.speech_in.cepstra import FRAMES_PER_S, Frames

AHEAD_S = 1.2


class RunningMean:
    """Follows one utterance; ahead_s: for how much of what comes after it a frame waits."""

    def __init__(self, ahead_s: float = AHEAD_S) -> None:
        self._ahead = round(ahead_s * FRAMES_PER_S)
        self._waiting: Frames = np.zeros((0, CEPSTRA))
        self._sum = np.zeros(CEPSTRA)
        self._count = 0

    def take(self, frames: Frames) -> Frames:
        """The next frames in; those out that have waited long enough."""
        if not len(frames):
            return frames
        # One after the other, so that pieces of any length come to the same to the bit.
        sums = np.cumsum(np.concatenate([self._sum[None], frames]), axis=0)[1:]
        counts = np.arange(self._count + 1, self._count + 1 + len(frames))
        self._sum, self._count = sums[-1], self._count + len(frames)
        self._waiting = np.concatenate([self._waiting, frames])
        ready = max(len(self._waiting) - self._ahead, 0)
        first = len(frames) - ready
        means = sums[first:] / counts[first:, None]
        out, self._waiting = self._waiting[:ready] - means, self._waiting[ready:]
        return out

    def rest(self) -> Frames:
        """All that waits, by the mean of all so far; who goes on after it just goes on."""
        out = self._waiting - self._sum / max(self._count, 1)
        self._waiting = np.zeros((0, CEPSTRA))
        return out
