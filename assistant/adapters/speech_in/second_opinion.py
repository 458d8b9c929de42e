"""
A second opinion on what was said: how likely each reading is, by a model that knows speech in general.

Such a model hears people's numbers better than the recogniser does, and writes cockpit phrases worse. So it
does not write freely: it is held to the words of the grammar, and weighs the recogniser's readings beside its
own. The recogniser then scores all of them in turn, each in a grammar of that one row of words, and both
scores together say more than either (docs/hearing.md). What follows is decided in `language.reconsidering`.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.recogniser import Recogniser
from assistant.adapters.speech_in.spoken_grammar import row

RECOGNISER_SHARE = 0.002
"""What a unit of pocketsphinx's score is worth in natural logarithms of probability; measured."""

SURE = 2.0
"""By how much the likeliest meaning must lead the next, in the same logarithms; measured likewise."""

_KEY = "row"
# What the recogniser cannot make of the sound at all is worth this, and not less without end.
_LOWEST = -20_000.0


class SecondOpinion(Protocol):
    """Something that weighs readings by the sound."""

    name: str

    def prepare(self, words: frozenset[str]) -> None:
        """The words that may be said, in place of those before."""

    def weighed(self, sound: Samples, readings: Iterable[str]) -> dict[str, float]:
        """
        The readings given and the opinion's own, each with the natural logarithm of its probability.

        Words of the grammar, without punctuation; empty readings are left out. A cleaned utterance, 16 kHz.
        """


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """A reading, the opinion's logarithm of its probability, and that with the recogniser's share."""

    text: str
    opinion: float
    together: float


def weights(
    opinion: SecondOpinion, recogniser: Recogniser, sound: Samples, readings: Iterable[str]
) -> Iterator[Weight]:
    """Readings of a cleaned utterance, and those that the opinion adds, weighed by both."""
    for text, by_opinion in opinion.weighed(sound, readings).items():
        recogniser.prepare(_KEY, row(text))
        by_recogniser = max(recogniser.decode(_KEY, sound).score, _LOWEST)
        yield Weight(text=text, opinion=by_opinion, together=by_opinion + RECOGNISER_SHARE * by_recogniser)
