"""
An address word: with an open microphone, only what begins with it is for us.

The recogniser is given the grammar with the words before every phrase, so what lacks them is refused by the
same means as any other talk. What is handed on is without them.
"""

from dataclasses import replace

from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.recogniser import Decoded, FollowingRecogniser, Recogniser
from assistant.adapters.speech_in.spoken_grammar import SpokenGrammar

_MOST_WORDS = 3


def address_words(text: str) -> tuple[str, ...]:
    """The words of an address as a recogniser knows them; HearingError where it is none."""
    words = tuple(text.casefold().split())
    if not 1 <= len(words) <= _MOST_WORDS or not all(word.isascii() and word.isalpha() for word in words):
        raise HearingError(f"--address {text!r}: give one to three words of letters.")
    return words


def addressed(grammar: SpokenGrammar, words: tuple[str, ...]) -> SpokenGrammar:
    """The grammar with these words before all of it."""
    shift = len(words)
    before = [(number, number + 1, word) for number, word in enumerate(words)]
    after = [(start + shift, end + shift, word) for start, end, word in grammar.arcs]
    return replace(
        grammar,
        arcs=(*before, *after),
        final=grammar.final + shift,
        hubs=frozenset(hub + shift for hub in grammar.hubs),
    )


class AddressedRecogniser:
    """A recogniser that hears only what begins with the address, and leaves that out."""

    def __init__(self, recogniser: Recogniser, words: tuple[str, ...]) -> None:
        self.name = recogniser.name
        self._recogniser = recogniser
        self._words = words

    def prepare(self, key: str, grammar: SpokenGrammar) -> None:
        """See `Recogniser.prepare`."""
        self._recogniser.prepare(key, addressed(grammar, self._words))

    def decode(self, key: str, sound: Samples) -> Decoded:
        """See `Recogniser.decode`; without the address, nothing was heard."""
        decoded = self._recogniser.decode(key, sound)
        words = decoded.text.split()
        is_addressed = tuple(words[: len(self._words)]) == self._words
        return replace(decoded, text=" ".join(words[len(self._words) :]) if is_addressed else "")

    def strangeness(self, sound: Samples, score: float) -> float:
        """See `Recogniser.strangeness`."""
        return self._recogniser.strangeness(sound, score)


class AddressedFollowing(AddressedRecogniser):
    """The same for a recogniser that follows an utterance (`FollowingRecogniser`)."""

    def __init__(self, recogniser: FollowingRecogniser, words: tuple[str, ...]) -> None:
        super().__init__(recogniser, words)
        self.begins, self.follow_anew, self.follow, self.followed = (
            recogniser.begins,
            recogniser.follow_anew,
            recogniser.follow,
            recogniser.followed,
        )


def addressed_recogniser(recogniser: Recogniser, words: tuple[str, ...]) -> AddressedRecogniser:
    """A recogniser that hears only what begins with these words."""
    if isinstance(recogniser, FollowingRecogniser):
        return AddressedFollowing(recogniser, words)
    return AddressedRecogniser(recogniser, words)
