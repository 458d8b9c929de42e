"""
Words as they are being spoken, for the screen alone: a recogniser of its own, in a process of its own.

It takes the sound as it comes and hardly looks ahead, so it hears less well than the listener, which has it
cleaned. Nothing of it reaches the dialogue, and it stops where the pilot does: the answer
does not wait for it.
"""

import asyncio
import multiprocessing
import os
import signal
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from typing import TYPE_CHECKING

from assistant.adapters.speech_in.address import address_words, addressed
from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.cepstra import Cepstra
from assistant.adapters.speech_in.running_mean import RunningMean
from assistant.adapters.speech_in.spoken_grammar import spoken_grammar
from assistant.language.grammar import Names, grammar

if TYPE_CHECKING:
    from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser

_EVERYTHING = "everything"

_AHEAD_S = 0.3
"""For how much of what comes after it a sound waits: as long as the screen may be behind."""

_NICE = 10
"""Of 0 to 19: at this a busy core gives a tenth of its time. The piece in hand at a release delays nobody."""


class PartialWords:
    """
    A decoder that is made at once, and is ready some seconds later; until then there are no words.

    names: a procedure's. address: words with which a report must begin, empty for none.
    """

    def __init__(self, names: Names, address: str = "") -> None:
        # See `ListenerProcess` for why it is begun so.
        self._pool = ProcessPoolExecutor(
            max_workers=1,
            mp_context=multiprocessing.get_context("spawn"),
            initializer=_give_way,
        )
        self._making = self._pool.submit(_make, names, address)

    async def after(self, sound: Samples, *, is_first: bool) -> str:
        """The words up to the end of this piece of sound; empty where there are none, or no decoder."""
        if not self._making.done() or self._making.exception() is not None:
            return ""
        with suppress(BrokenProcessPool):
            return await asyncio.wrap_future(self._pool.submit(_after, sound, is_first))
        return ""

    def close(self) -> None:
        """End the process, without waiting for what it does."""
        self._pool.shutdown(wait=False, cancel_futures=True)


_made: "list[PocketsphinxRecogniser]" = []
"""In the decoding process: its one recogniser."""

_heard: list[tuple[Cepstra, RunningMean]] = []
"""There: the sound of the utterance."""


def _give_way() -> None:
    """Leave interrupts to the flight, and the processor to whoever decides what was said."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):  # not on Windows
        os.nice(_NICE)


def _make(names: Names, address: str) -> None:
    from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser  # noqa: PLC0415  # an extra

    recogniser = PocketsphinxRecogniser()
    everything = spoken_grammar(grammar(names))
    if address:
        everything = addressed(everything, address_words(address))
    recogniser.prepare(_EVERYTHING, everything)
    _made.append(recogniser)


def _after(sound: Samples, is_first: bool) -> str:
    if is_first:
        _heard[:] = [(Cepstra(), RunningMean(_AHEAD_S))]
        _made[0].begin(_EVERYTHING)
    cepstra, mean = _heard[-1]
    _made[0].go_on(mean.take(cepstra.take(sound)))
    return _made[0].words()
