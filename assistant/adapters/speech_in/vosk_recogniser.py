"""
vosk with a model folder of the pilot's own: another recogniser behind the same protocol.

Its grammar is a list of word rows, from which it makes a model of pairs: rows outside the table can come out,
and `hear` refuses them. What is no phrase comes out as "[unk]", where the model has that word. A word that
the model does not know is left out of the grammar and told of once.

A model is never fetched unasked (`vosk_folders`, `published_models`).
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from assistant.adapters.speech_in.audio import RATE_HZ, Samples, pcm16
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.adapters.speech_in.spoken_grammar import SpokenGrammar

UNKNOWN = "[unk]"
_BLOCK_S = 0.1
# Below this level not even errors are written to the terminal; what went wrong is told by our own sentences.
_SILENT = -10


class VoskRecogniser:
    """One model. `tell` is given each sentence that the pilot should read, once."""

    name = "vosk"

    def __init__(self, folder: Path, tell: Callable[[str], None]) -> None:
        vosk = _vosk()
        vosk.SetLogLevel(_SILENT)
        try:
            self._model = vosk.Model(str(folder))
        except Exception:  # noqa: BLE001  # the package raises bare Exception for a model it cannot read
            raise HearingError(f"{folder}: vosk cannot read this model; unpack it again.") from None
        self._vosk = vosk
        self._tell = tell
        self._told: set[str] = set()
        self._recognisers: dict[str, Any] = {}
        self._has_unknown = self._model.vosk_model_find_word(UNKNOWN) >= 0
        if not self._has_unknown:
            tell(f"The vosk model has no {UNKNOWN}: it will take other talk for reports.")

    def prepare(self, key: str, grammar: SpokenGrammar) -> None:
        """Make a grammar ready under a name; words that the model lacks are told of once and left out."""
        lacking = {word for word in grammar.words if self._model.vosk_model_find_word(word) < 0}
        if lacking == grammar.words:
            raise HearingError("The vosk model knows none of the words of reports; is it an English one?")
        if lacking - self._told:
            words = ", ".join(sorted(lacking - self._told))
            self._tell(f"The vosk model does not know, and will not hear: {words}.")
            self._told |= lacking
        rows = sorted(row for row in word_rows(grammar) if not lacking.intersection(row.split()))
        listened_for = [*rows, UNKNOWN] if self._has_unknown else rows
        # Its reader of JSON knows no escapes: words beyond ASCII would be other words.
        self._recognisers[key] = self._vosk.KaldiRecognizer(
            self._model, RATE_HZ, json.dumps(listened_for, ensure_ascii=False)
        )
        self._recognisers[key].SetWords(True)

    def decode(self, key: str, sound: Samples) -> Decoded:
        """What a cleaned utterance is in a prepared grammar."""
        recogniser = self._recognisers[key]
        recogniser.Reset()
        data = pcm16(sound)
        block = int(_BLOCK_S * RATE_HZ) * 2
        for start in range(0, len(data), block):
            recogniser.AcceptWaveform(data[start : start + block])
        found = json.loads(recogniser.FinalResult())
        words = [entry["word"] for entry in found.get("result", [])]
        # Sure of every word is a likelihood of 1: no comparison between utterances is meant.
        score = sum(entry["conf"] - 1.0 for entry in found.get("result", []))
        return Decoded(text="" if UNKNOWN in words else str(found.get("text", "")), score=score)

    def strangeness(self, sound: Samples, score: float) -> float:  # noqa: ARG002  # the protocol's
        """Not told apart from decoding: what is no phrase comes out as the model's word for that."""
        return 0.0


def word_rows(grammar: SpokenGrammar) -> frozenset[str]:
    """Every word of a grammar, and every two that can follow one another inside a phrase."""
    into: dict[int, set[str]] = {}
    for _, end, word in grammar.arcs:
        if word:
            into.setdefault(end, set()).add(word)
    pairs = (f"{before} {word}" for start, _, word in grammar.arcs if word for before in into.get(start, ()))
    return frozenset((*grammar.words, *pairs))


def _vosk() -> Any:  # noqa: ANN401  # a module without types
    try:
        import vosk  # noqa: PLC0415  # an extra, loaded when it is wanted
    except (ImportError, OSError):
        raise HearingError('vosk needs its extra: python -m pip install "leadradial[vosk]".') from None
    return vosk
