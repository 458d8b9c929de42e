"""
The second opinion by a Whisper model in a folder that the pilot names, run through CTranslate2 on the CPU.

Three things make it fit for a cockpit; each was measured (docs/hearing.md):

- Only the tokens of the grammar's words can be written, so that its errors are words that somebody might say.
- A prompt of sentences as pilots say them makes it spell numbers as words; without it the probability of one
  reading is spread over "16.4", "sixteen point four" and a dozen other spellings.
- Only as much sound is encoded as there is, and not the half minute for which the model was made: 0.02 to
  0.06 s instead of 0.8 to 1.2 s for one report of 2 s.
"""

import json
import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np

from assistant.adapters.speech_in.audio import RATE_HZ, Samples
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.log_mel import HOP, log_mel

_PROMPT = (
    " range one six decimal four. altitude four thousand eight hundred. radial two two five."
    " two thirty nine. oh three zero seven. passing twelve thousand feet."
)
_FILES = ("model.bin", "config.json", "tokenizer.json")
# As every measurement had it.
_SILENCE_AFTER_S = 1.0
_LONGEST_S = 30.0
_MOST_TOKENS = 40
_OWN_READINGS = 4
# The end of a reading is its full stop: the model's own mark of an end cannot be weighed.
_STOP = "."
# What the grammar has as one word and a person's writing as several: each is weighed, the likeliest counts.
_SPELLED_TOO = (("zero", "oh"),)
_SAID_ALIKE = {"oh": "zero", "niner": "nine", "ok": "okay"}


class GeneralModel:
    """One model, for one utterance at a time."""

    name = "whisper"

    def __init__(self, folder: Path) -> None:
        """Load it; HearingError with one sentence where it cannot be."""
        try:
            import ctranslate2  # noqa: PLC0415  # an extra, loaded when it is wanted
            import tokenizers  # noqa: PLC0415  # the same
        except (ImportError, OSError):
            raise HearingError(
                'A second opinion needs the extra "opinion": python -m pip install "leadradial[opinion]".'
            ) from None
        self._arrays = ctranslate2.StorageView.from_array
        self._folder = _checked(folder)
        try:
            self._tokens = tokenizers.Tokenizer.from_file(str(folder / "tokenizer.json"))
            # One thread, as measured: two cores have the flight and its voice to serve as well.
            self._model = ctranslate2.models.Whisper(
                str(folder), device="cpu", compute_type="int8", inter_threads=1, intra_threads=1
            )
        # The libraries raise Exception itself for a damaged file of tokens, RuntimeError for the rest.
        except Exception as error:
            raise HearingError(
                f"{folder}: this model cannot be read ({error}); unpack the model again."
            ) from error
        before = [self._token("<|startofprev|>"), *self._ids(_PROMPT)]
        start = [self._token("<|startoftranscript|>")]
        if self._model.is_multilingual:
            start += [self._token("<|en|>"), self._token("<|transcribe|>")]
        self._start = before + start
        self._words: frozenset[str] = frozenset()
        self._forbidden: list[int] = []

    def prepare(self, words: frozenset[str]) -> None:
        """The words that may be said, in place of those before."""
        self._words = words
        allowed = {self._token("<|endoftext|>"), *self._ids(_STOP)}
        for word in words | set(_SAID_ALIKE):
            allowed.update(self._ids(" " + word))
        self._forbidden = [token for token in range(self._tokens.get_vocab_size()) if token not in allowed]

    def weighed(self, sound: Samples, readings: Iterable[str]) -> dict[str, float]:
        """The readings given and the model's own, each with the natural logarithm of its probability."""
        length = min(len(sound) + int(_SILENCE_AFTER_S * RATE_HZ), int(_LONGEST_S * RATE_HZ))
        heard = np.zeros(length // (2 * HOP) * 2 * HOP, dtype=np.float32)
        heard[: len(sound)] = sound[: len(heard)]
        bands = log_mel(heard, self._model.n_mels)
        encoded = np.array(self._model.encode(self._arrays(bands[None]), to_cpu=True))
        own = self._own_readings(encoded)
        return self._weighed(encoded, bands.shape[1], tuple(dict.fromkeys(filter(None, (*readings, *own)))))

    def _own_readings(self, encoded: Any) -> list[str]:  # noqa: ANN401  # an array of a library without types
        prompt = [*self._start, self._token("<|notimestamps|>")]
        (result,) = self._model.generate(
            self._arrays(encoded),
            [prompt],
            beam_size=_OWN_READINGS,
            num_hypotheses=_OWN_READINGS,
            length_penalty=0.0,
            max_length=len(prompt) + _MOST_TOKENS,
            suppress_blank=False,
            suppress_tokens=self._forbidden,
        )
        written = (self._tokens.decode(ids).partition(_STOP)[0].split() for ids in result.sequences_ids)
        rows = ([_SAID_ALIKE.get(word, word) for word in words] for words in written)
        # Pieces of words are allowed, so that words no one has may come of them.
        return [" ".join(words) for words in rows if self._words.issuperset(words)]

    def _weighed(self, encoded: Any, frames: int, readings: tuple[str, ...]) -> dict[str, float]:  # noqa: ANN401  # as above
        spelled = [(reading, spelling) for reading in readings for spelling in _spellings(reading)]
        if not spelled:
            return {}
        repeated = self._arrays(np.repeat(encoded, len(spelled), axis=0))
        texts = [self._ids(f" {spelling}{_STOP}") for _, spelling in spelled]
        weighed = dict.fromkeys(readings, -math.inf)
        for (reading, _), result in zip(
            spelled, self._model.align(repeated, self._start, texts, frames), strict=True
        ):
            score = sum(math.log(max(share, 1e-9)) for share in result.text_token_probs)
            weighed[reading] = max(weighed[reading], score)
        return weighed

    def _ids(self, text: str) -> list[int]:
        ids: list[int] = self._tokens.encode(text, add_special_tokens=False).ids
        return ids

    def _token(self, name: str) -> int:
        token: int | None = self._tokens.token_to_id(name)
        if token is None:
            raise HearingError(f"{self._folder}: its tokenizer.json is of another kind of model.")
        return token


def _spellings(reading: str) -> tuple[str, ...]:
    other = reading
    for word, written in _SPELLED_TOO:
        other = " ".join(written if said == word else said for said in other.split())
    return tuple(dict.fromkeys((reading, other)))


def _checked(folder: Path) -> Path:
    """The folder, where it holds such a model; HearingError otherwise."""
    if not folder.is_dir():
        raise HearingError(f"{folder}: no such folder; name one that holds a Whisper model for CTranslate2.")
    missing = [name for name in _FILES if not (folder / name).is_file()]
    if missing:
        raise HearingError(f"{folder}: holds no Whisper model for CTranslate2 ({missing[0]} is missing).")
    try:
        json.loads((folder / "config.json").read_bytes())
    except (OSError, ValueError):
        raise HearingError(f"{folder}: its config.json cannot be read; unpack the model again.") from None
    return folder
