"""
An utterance decoded while it is being spoken, in two processes: at its end little is left to do.

A decoder shares nothing between two searches, so every grammar has its own; and it holds the interpreter's
lock, so that half of them are in a process of their own: what is expected, and the row of any sounds that
tells strangeness. All are followed, whether they will be asked or not. Where the other process has died, its
part is worked out here, once the utterance is over.
"""

import multiprocessing
import signal
from contextlib import suppress
from multiprocessing.connection import Connection

from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.cepstra import Frames
from assistant.adapters.speech_in.kinds_of_sound import Kind, Kinds
from assistant.adapters.speech_in.pocketsphinx_recogniser import SOUNDS
from assistant.adapters.speech_in.recogniser import LIMITED, LONE, OPEN, Decoded
from assistant.adapters.speech_in.searches import Make, Searches
from assistant.adapters.speech_in.spoken_grammar import SpokenGrammar

_HERE, _BESIDE = (OPEN, LONE), (SOUNDS, LIMITED)

_Told = tuple[str, SpokenGrammar] | Kind | Frames | str | None
"""To the other process: a grammar, a kind of sound, frames, the key of what is asked, or that they begin."""


class LiveRecogniser:
    """
    A recogniser for one utterance at a time.

    kinds: what kinds of sound are known by, None where all is of one. The pilot's are taken to be of the kind
    that the last two utterances were of: an utterance is followed before its own can be known.
    """

    def __init__(self, make: Make, kinds: Kinds | None) -> None:
        # Spawned: the process that listens may have threads. It is begun first, so that both load at once.
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        self._beside: Connection | None = ours
        self._process = context.Process(target=_follow_beside, args=(make, theirs), daemon=True)
        self._process.start()
        theirs.close()
        self._here = Searches(make, _HERE)
        self._kinds = kinds
        self._kind = self._met = Kind.GENERAL
        self._grammars: dict[str, SpokenGrammar] = {}
        self._sound: Samples | None = None
        self.name = self._here[OPEN].name

    def prepare(self, key: str, grammar: SpokenGrammar) -> None:
        """See `Recogniser.prepare`."""
        self._grammars[key] = grammar
        if key in _BESIDE:
            self._tell((key, grammar))
        elif key in _HERE:
            self._here.prepare(key, grammar)

    def begins(self) -> None:
        """See `FollowingRecogniser.begins`; what suits the pilot's sound is made then, in 0.3 s."""
        if self._kinds is None or self._sound is None:
            return
        before, self._met = self._met, self._kinds.of(self._sound)
        self._sound = None
        if self._met is before and self._met is not self._kind:
            self._kind = self._met
            self._tell(self._kind)
            self._here.suit(self._kind)

    def follow_anew(self) -> None:
        """See `FollowingRecogniser.follow_anew`."""
        self._sound = None
        self._tell(None)
        self._here[OPEN].follow_anew()
        self._here.begin()

    def follow(self, frames: Frames) -> None:
        """See `FollowingRecogniser.follow`; the other process begins first."""
        self._tell(frames)
        self._here[OPEN].follow(frames)
        self._here.go_on(frames)

    def followed(self, sound: Samples) -> None:
        """See `FollowingRecogniser.followed`."""
        self._here[OPEN].followed(sound)
        self._here.decoded(OPEN)
        self._sound = sound

    def decode(self, key: str, sound: Samples) -> Decoded:
        """See `Recogniser.decode`."""
        if sound is self._sound:
            found = self._asked(key) if key in _BESIDE else self._here.decoded(key)
            if found is not None:
                return found
        # What is not followed, or was not this time, is left to the one that keeps the frames.
        spare = self._here[OPEN]
        if key not in (OPEN, SOUNDS):
            spare.prepare(key, self._grammars[key])
        return spare.decode(key, sound)

    def strangeness(self, sound: Samples, score: float) -> float:
        """See `Recogniser.strangeness`."""
        return self.decode(SOUNDS, sound).score - score

    def close(self) -> None:
        """End the other process."""
        self._beside = None
        self._process.kill()
        self._process.join()

    def _asked(self, key: str) -> Decoded | None:
        """What the other process found in the last utterance; None where it did not follow, or is gone."""
        self._tell(key)
        if self._beside is None:
            return None
        try:
            found: Decoded | None = self._beside.recv()
        except (OSError, EOFError):
            self._beside = found = None
        return found

    def _tell(self, what: _Told) -> None:
        if self._beside is None:
            return
        try:
            self._beside.send(what)
        except OSError:
            self._beside = None


def _follow_beside(make: Make, pipe: Connection) -> None:
    """The other process, until nobody asks."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    searches = Searches(make, _BESIDE)
    with suppress(OSError, EOFError):
        while True:
            while not pipe.poll() and searches.catch_up():
                pass
            match pipe.recv():
                case None:
                    searches.begin()
                case Kind() as kind:
                    searches.suit(kind)
                case str(key):
                    pipe.send(searches.decoded(key))
                case (str(key), grammar):
                    searches.prepare(key, grammar)
                case frames:
                    searches.go_on(frames)
