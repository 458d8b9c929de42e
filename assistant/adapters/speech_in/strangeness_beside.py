"""
Strangeness worked out in a second process, beside the decode: on two cores it then costs no wait.

The recogniser shares nothing between two searches and holds the interpreter's lock, so only a process of its
own can follow the row of any sounds meanwhile. Every new sound is given to it at once, whether strangeness
will be asked or not. Where it has died, strangeness is worked out here, as without it.
"""

import multiprocessing
import signal
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection

from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.recogniser import Decoded, Recogniser
from assistant.adapters.speech_in.spoken_grammar import SpokenGrammar

Make = Callable[[], Recogniser]
"""Makes a recogniser; can be sent to a process."""


class StrangenessBeside:
    """A recogniser that decodes here and tells strangeness by its twin in another process."""

    def __init__(self, make: Make, beside: Make | None = None) -> None:
        """`beside`: makes the twin, of which nothing but strangeness is asked; None: as `make` does."""
        # Spawned: the process that listens may have threads. It is begun first, so that both load at once.
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        self._beside: Connection | None = ours
        self._process = context.Process(target=_tell_strangeness, args=(beside or make, theirs), daemon=True)
        self._process.start()
        theirs.close()
        self._given: Samples | None = None
        self._number = 0
        self._of_nothing: float | None = None
        self._here = make()
        self.name = self._here.name

    def prepare(self, key: str, grammar: SpokenGrammar) -> None:
        """See `Recogniser.prepare`."""
        self._here.prepare(key, grammar)

    def decode(self, key: str, sound: Samples) -> Decoded:
        """See `Recogniser.decode`; the other process begins with what it has not been given yet."""
        self._give(sound)
        return self._here.decode(key, sound)

    def strangeness(self, sound: Samples, score: float) -> float:
        """See `Recogniser.strangeness`."""
        self._give(sound)
        if self._of_nothing is None:
            self._of_nothing = self._answer()
        if self._of_nothing is None:
            return self._here.strangeness(sound, score)
        return self._of_nothing - score

    def close(self) -> None:
        """End the other process."""
        self._beside = None
        self._process.kill()
        self._process.join()

    def _answer(self) -> float | None:
        """Of the last sound, beside a score of nought; None where the other process is gone."""
        beside = self._beside
        if beside is None:
            return None
        try:
            while True:
                number, strangeness = beside.recv()
                # Sounds of which it was not asked come first.
                if number == self._number:
                    return float(strangeness)
        except (OSError, EOFError):
            self._beside = None
            return None

    def _give(self, sound: Samples) -> None:
        if self._beside is None or sound is self._given:
            return
        self._given, self._of_nothing = sound, None
        self._number += 1
        try:
            self._beside.send((self._number, sound))
        except OSError:
            self._beside = None


def _tell_strangeness(make: Make, pipe: Connection) -> None:
    """The other process: each sound's strangeness beside a score of nought, until nobody asks."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    recogniser = make()
    with suppress(OSError, EOFError):
        while True:
            number, sound = pipe.recv()
            pipe.send((number, recogniser.strangeness(sound, 0.0)))
