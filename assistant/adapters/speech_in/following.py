"""
An utterance on its way to a recogniser, as it comes or all at once: which of the two makes no difference.

What came before the press tells the noise, so that the sound can be cleaned and decoded while it is spoken
(`GrowingUtterance`). Where too little came before, or nothing stood above it, it is cleaned whole
(`front_end`), once it is over.
"""

import numpy as np

from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.cepstra import Frames, whole_frames
from assistant.adapters.speech_in.end_of_speech import heard_part
from assistant.adapters.speech_in.front_end import Cleaned, cleaned
from assistant.adapters.speech_in.growing_utterance import GrowingUtterance, can_grow
from assistant.adapters.speech_in.recogniser import FollowingRecogniser, Recogniser


class Follower:
    """Gives a recogniser one utterance after the other."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self._growing: GrowingUtterance | None = None
        self._number: int | None = None
        self._frames: list[Frames] = []
        # Whether the recogniser follows it, and what it last took for the whole of it.
        self._is_followed = False
        self._clean: Cleaned | None = None

    def take(self, number: int, at: int, sound: Samples, before_s: float) -> None:
        """
        A piece of an utterance that is being spoken, from its sample `at` on.

        number: every press has its own. before_s: how much of its beginning is from before the press.
        What was taken before is not taken again; after a gap nothing is, until it is over.
        """
        if isinstance(self._recogniser, FollowingRecogniser) and can_grow(before_s):
            growing = self._one(self._recogniser, number, before_s)
            if at <= growing.taken:
                frames = growing.take(sound[growing.taken - at :])
                # Also without frames, in a pause: there is time to catch up then.
                if len(frames) or self._is_followed:
                    self._go_on(self._recogniser, frames)

    def over(self, number: int | None, sound: Samples, before_s: float) -> Cleaned:
        """
        All of an utterance, of which none, a part or all was taken before: as the recogniser now knows it.

        It may go on all the same. number: None where nothing was taken.
        """
        recogniser = self._recogniser
        if not isinstance(recogniser, FollowingRecogniser):
            return cleaned(heard_part(sound, before_s), before_s)
        if can_grow(before_s):
            growing = self._one(recogniser, number, before_s)
            frames = growing.take(sound[growing.taken :])
            if len(frames):
                self._go_on(recogniser, frames)
            frames, clean = growing.over()
            if self._clean is not None and np.array_equal(clean.sound, self._clean.sound):
                return self._clean
        if not can_grow(before_s) or not growing.has_begun:
            clean = cleaned(sound, before_s)
            frames = whole_frames(clean.sound)
            self._frames = []
            self._is_followed = False
        self._go_on(recogniser, frames)
        # What goes on after it has those last frames otherwise.
        self._frames.pop()
        self._is_followed = False
        self._clean = clean
        recogniser.followed(clean.sound)
        return clean

    def _one(self, recogniser: FollowingRecogniser, number: int | None, before_s: float) -> GrowingUtterance:
        """That of a number, which may be a new one."""
        if self._growing is None or number is None or number != self._number:
            recogniser.begins()
            self._growing, self._number = GrowingUtterance(before_s), number
            self._frames, self._is_followed, self._clean = [], False, None
        return self._growing

    def _go_on(self, recogniser: FollowingRecogniser, frames: Frames) -> None:
        if not self._is_followed:
            # A new one, or one that goes on after it was thought to be over.
            recogniser.follow_anew()
            for earlier in self._frames:
                recogniser.follow(earlier)
            self._is_followed, self._clean = True, None
        recogniser.follow(frames)
        self._frames.append(frames)
