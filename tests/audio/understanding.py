"""
A recogniser that had no part in speaking: pocketsphinx's general English model, made for human speakers.

It does not understand this synthetic voice freely. It is held to the callouts of all golden flights, some
hundreds of which many differ by one number, and has to choose the right one by its sound.
"""

import numpy as np
import soxr
from pocketsphinx import Decoder

from assistant.adapters.speech_in.pronunciation import guessed, pronunciations

RATE_HZ = 16_000
_TRADE = {"niner": ("N AY N ER",), "papi": ("P AE P IY",), "vasi": ("V AE Z IY",)}


def words_of(text):
    return [word for word in "".join(c if c.isalpha() else " " for c in text.lower()).split() if word]


class Understander:
    """Chooses among some texts, by sound alone; it has no other knowledge of them."""

    def __init__(self, texts):
        # Wide beams: what speaks is no human, so the right words may look unlikely for a while.
        beams = {"beam": 1e-60, "pbeam": 1e-60, "wbeam": 1e-40, "maxhmmpf": 3000}
        self._decoder = Decoder(loglevel="FATAL", lm=None, bestpath=False, topn=8, wip=0.2, lw=1.0, **beams)
        rows = sorted({tuple(words_of(text)) for text in texts})
        self._learn({word for row in rows for word in row})
        end = 1
        states, arcs = {(): 0}, []  # a tree of beginnings: texts that begin alike share their first states
        for row in rows:
            for length in range(1, len(row) + 1):
                if row[:length] not in states:
                    states[row[:length]] = len(states) + 1
                    arcs.append((states[row[: length - 1]], states[row[:length]], 1.0, row[length - 1]))
            arcs.append((states[row], end, 1.0))
        self._decoder.add_fsg("callouts", self._decoder.create_fsg("callouts", 0, end, arcs))
        self._decoder.activate_search("callouts")

    def _learn(self, vocabulary):
        for word in sorted(vocabulary):
            is_known = self._decoder.lookup_word(word) is not None
            said = _TRADE.get(word) or pronunciations(word) or (() if is_known else guessed(word))
            for number, sounds in enumerate(said, start=1):
                name = word if number == 1 else f"{word}({number})"
                if self._decoder.lookup_word(name) is None:
                    self._decoder.add_word(name, sounds, False)
        self._decoder.add_word("a_last_word", "SIL", True)  # only now the search takes in all of them

    def words(self, samples, rate_hz):
        """The words of the text it takes a sound for."""
        sound = soxr.resample(np.asarray(samples, dtype=np.float32), rate_hz, RATE_HZ)
        pcm = (sound * 32_767.0).astype("<i2").tobytes()
        self._decoder.start_utt()
        self._decoder.process_raw(pcm, full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return [] if found is None else [word.split("(")[0] for word in found.hypstr.split()]
