"""
One utterance from its sound to what the recogniser takes, while it is being spoken: pure bookkeeping.

Sound goes in as it comes, in pieces of any length, with the noise from before the press first. Frames come
out as soon as they are final, each once and in order. They depend on the sound alone, and not on the pieces:
who speaks is decoded while speaking, and a recording of the same all at once, to the same words and scores.

What comes out ends a margin after the last sound (`end_of_speech`). In a pause everything is final that was
said before it, whatever follows: so that at the release hardly anything is left to do.
"""

from copy import deepcopy

import numpy as np

from assistant.adapters.speech_in.acoustic_model import CEPSTRA
from assistant.adapters.speech_in.audio import RATE_HZ, Samples
from assistant.adapters.speech_in.cepstra import Cepstra, Frames
from assistant.adapters.speech_in.cleaning import Cleaning
from assistant.adapters.speech_in.end_of_speech import HOP, LEAST_BEFORE_S, EndOfSpeech
from assistant.adapters.speech_in.front_end import Cleaned
from assistant.adapters.speech_in.running_mean import AHEAD_S, RunningMean

# By then a mean over 64 ms was no longer above the noise (`end_of_speech`): longer than between most sounds.
_PAUSE = HOP


def can_grow(before_s: float) -> bool:
    """Whether enough is kept from before the press to know the noise by."""
    return before_s >= LEAST_BEFORE_S


class GrowingUtterance:
    """
    before_s: how much of its beginning is from before the press (`can_grow`).

    ahead_s: see `RunningMean`.
    """

    def __init__(self, before_s: float, ahead_s: float = AHEAD_S) -> None:
        self._before = round(before_s * RATE_HZ)
        self._sound = np.zeros(0, dtype=np.float32)
        self._end = EndOfSpeech(before_s)
        self._looked = 0
        self._given = 0
        self._stopped = 0
        self._cleaning: Cleaning | None = None
        self._clean: list[Samples] = []
        self._cepstra = Cepstra()
        self._mean = RunningMean(ahead_s)

    @property
    def taken(self) -> int:
        """How many samples it has been given."""
        return len(self._sound)

    @property
    def has_begun(self) -> bool:
        """Whether anything has stood above the noise."""
        return self._end.at is not None

    def take(self, sound: Samples) -> Frames:
        """The frames that are final with the next piece."""
        self._sound = np.concatenate([self._sound, sound])
        out = []
        while self._looked + HOP <= len(self._sound):
            self._end.take(self._sound[self._looked : self._looked + HOP])
            self._looked += HOP
            out += self._frames(self._looked)
        return _joined(out)

    def over(self) -> tuple[Frames, Cleaned]:
        """The last frames, if this was all, and all of it as sound; it may go on all the same."""
        return deepcopy(self)._rest()  # noqa: SLF001  # its own copy

    def _rest(self) -> tuple[Frames, Cleaned]:
        self._end.take(self._sound[self._looked :])
        out = self._frames(len(self._sound))
        snr_db = 0.0
        if self._cleaning is not None:
            out += [self._made_of(self._cleaning.rest()), self._mean.take(self._cepstra.rest())]
            snr_db = self._cleaning.snr_db
        sound = np.concatenate([np.zeros(0, dtype=np.float32), *self._clean])
        return _joined([*out, self._mean.rest()]), Cleaned(sound=sound, snr_db=snr_db)

    def _frames(self, position: int) -> list[Frames]:
        """Up to a position, or up to where it is to be heard."""
        end, sounded = self._end.at, self._end.sounded
        if end is None or sounded is None:
            return []
        if self._cleaning is None:
            self._cleaning = Cleaning(self._sound[: self._before])
        until = min(position, end)
        out = []
        if until > self._given:
            out.append(self._made_of(self._cleaning.take(self._sound[self._given : until])))
            self._given = until
        # Most of it is made final a moment into the quiet, what is left at its end.
        for stop in (min(sounded + _PAUSE, end), end):
            if self._stopped < stop <= position:
                self._stopped = stop
                out += [self._made_of(self._cleaning.paused()), self._mean.rest()]
        return out

    def _made_of(self, clean: Samples) -> Frames:
        self._clean.append(clean)
        return self._mean.take(self._cepstra.take(clean))


def _joined(frames: list[Frames]) -> Frames:
    return np.concatenate([_NONE, *frames])


_NONE: Frames = np.zeros((0, CEPSTRA))
