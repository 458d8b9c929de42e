"""
What every recogniser does: sound in, one best row of words out, with its score, or nothing that it knows.

A recogniser is held to a grammar; what a row of words means, and whether to believe it, is decided behind it
(`listener`, `language.choice`). Recognisers satisfy the protocol by shape.
"""

import math
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.cepstra import Frames
from assistant.adapters.speech_in.spoken_grammar import SpokenGrammar

OPEN, LIMITED, LONE = "open", "limited", "lone statement"
"""
Names of the grammars of every utterance: all that may be said, the same within what is expected, and the one
statement that fits now.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Decoded:
    """
    The best row of words for an utterance, in one grammar.

    `text` is empty where nothing was heard, or no phrase. `score` is a logarithm of its likelihood, in the
    recogniser's units: scores compare only within one utterance and one recogniser. `shortest_number_s`: how
    long the shortest word of a number took, where the recogniser tells.
    """

    text: str
    score: float
    shortest_number_s: float = math.inf


class Recogniser(Protocol):
    """Something that writes down what it hears of a grammar."""

    name: str

    def prepare(self, key: str, grammar: SpokenGrammar) -> None:
        """Make a grammar ready under a name, in place of one that had it; HearingError where it cannot."""

    def decode(self, key: str, sound: Samples) -> Decoded:
        """What a cleaned utterance is in a prepared grammar."""

    def strangeness(self, sound: Samples, score: float) -> float:
        """
        By how much a row of any speech sounds explains it better than a reading of that score, in its units.

        Foreign accents have some of it, other talk and noise more; a recogniser that does not tell says 0.
        """


@runtime_checkable
class FollowingRecogniser(Recogniser, Protocol):
    """A recogniser that takes an utterance as frames (`GrowingUtterance`), also while it is being spoken."""

    def begins(self) -> None:
        """An utterance begins, of which nothing has been said: there is time for whatever takes some."""

    def follow_anew(self) -> None:
        """The next frames are those of a new utterance, in the grammars that are ready now."""

    def follow(self, frames: Frames) -> None:
        """The next frames of it."""

    def followed(self, sound: Samples) -> None:
        """
        All of it was followed: `sound`, the very object, is from now on what it is asked by.

        It may go on all the same, and be ended again.
        """
