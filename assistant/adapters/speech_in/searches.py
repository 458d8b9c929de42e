"""
Several grammars followed in one process, each by a recogniser of its own: one is in one only.

The first is followed at once. The others may fall behind where much comes at once, as at a pause, so that the
first is not kept waiting for what may not be asked; they catch up a little with every piece, or when asked.
"""

from collections.abc import Callable, Iterable

import numpy as np

from assistant.adapters.speech_in.acoustic_model import CEPSTRA
from assistant.adapters.speech_in.cepstra import Frames
from assistant.adapters.speech_in.kinds_of_sound import Kind
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.adapters.speech_in.spoken_grammar import SpokenGrammar

Make = Callable[[Kind], PocketsphinxRecogniser]
"""Makes a recogniser for a kind of sound; can be sent to a process."""

_AT_A_TIME = 24
"""Frames, some 10 ms of work; two come with every piece of 20 ms."""


class Searches:
    """keys: the grammars that may be followed, the first first; those are that have been prepared."""

    def __init__(self, make: Make, keys: Iterable[str]) -> None:
        self._make = make
        self._recognisers = {key: make(Kind.GENERAL) for key in keys}
        self._grammars: dict[str, SpokenGrammar] = {}
        self._behind: dict[str, Frames] = {}
        self._found: dict[str, Decoded] = {}

    def __getitem__(self, key: str) -> PocketsphinxRecogniser:
        """The recogniser of a grammar."""
        return self._recognisers[key]

    def prepare(self, key: str, grammar: SpokenGrammar) -> None:
        """See `Recogniser.prepare`; not followed in an utterance that has begun."""
        self._behind.pop(key, None)
        self._recognisers[key].prepare(key, grammar)
        self._grammars[key] = grammar

    def suit(self, kind: Kind) -> None:
        """Follow sound of a kind from now on."""
        self._behind = {}
        for key in tuple(self._recognisers):
            # One goes before the next is made, for the sake of memory; they stay in their order.
            del self._recognisers[key]
            self._recognisers[key] = self._make(kind)
            if key in self._grammars:
                self._recognisers[key].prepare(key, self._grammars[key])

    def begin(self) -> None:
        """Begin an utterance, in all that is prepared."""
        self._found = {}
        self._behind = {
            key: np.zeros((0, CEPSTRA)) for key, each in self._recognisers.items() if each.is_prepared(key)
        }
        for key in self._behind:
            self._recognisers[key].begin(key)

    def go_on(self, frames: Frames) -> None:
        """Its next frames."""
        for number, key in enumerate(self._recognisers):
            if key in self._behind:
                self._behind[key] = np.concatenate([self._behind[key], frames])
                self._catch_up(key, None if number == 0 else _AT_A_TIME)

    def catch_up(self) -> bool:
        """Do a little of what is left to do; whether there was any."""
        key = next((each for each, frames in self._behind.items() if len(frames)), None)
        if key is not None:
            self._catch_up(key, _AT_A_TIME)
        return key is not None

    def decoded(self, key: str) -> Decoded | None:
        """What it was in a grammar, now that it is over; None where that was not followed."""
        if key in self._behind:
            self._catch_up(key, None)
            del self._behind[key]
            self._found[key] = self._recognisers[key].decoded()
        return self._found.get(key)

    def _catch_up(self, key: str, most: int | None) -> None:
        frames = self._behind[key]
        self._recognisers[key].go_on(frames[:most])
        self._behind[key] = frames[len(frames[:most]) :]
