"""
The embedded recogniser: pocketsphinx with its bundled English model, held to a grammar of ours.

Settings were measured (docs/hearing.md). Two of its traps are worth knowing here: the model's own
feature file overrides settings given as arguments, so a copy of ours is passed; and one word missing from the
dictionary makes a whole grammar fail, so every word is checked and given a pronunciation first.

Whether it was speech for us at all is asked of a second grammar, any row of speech sounds, each at a price:
by how much that explains the sound better than the words do. As a branch inside the grammar, tried first, it
cost time on every report and refused every foreign accent, since the beam leaves it no price to choose.
"""

import math
import re
import tempfile
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np

from assistant.adapters.speech_in.acoustic_model import CEPSTRA, Numbers, bells_file
from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.automaton import EMPTY
from assistant.adapters.speech_in.cepstra import FRAMES_PER_S, Frames, whole_frames
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.library_words import library_pronunciations
from assistant.adapters.speech_in.own_voices import decoder_text
from assistant.adapters.speech_in.pronunciation import british, guessed, pronunciations
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.adapters.speech_in.spoken_grammar import NUMBER_WORDS, SpokenGrammar, row
from assistant.adapters.speech_in.spoken_zeros import OH, ZERO, zeros_apart
from assistant.adapters.speech_in.voice_fitting import Timed, VoiceMap

PHONES = (
    *("AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"),
    *("B", "CH", "D", "DH", "F", "G", "HH", "JH", "K", "L", "M", "N", "NG", "P", "R", "S", "SH"),
    *("T", "TH", "V", "W", "Y", "Z", "ZH"),
)
"""The sounds of the CMU dictionary, which the model knows."""
_SOUND_MARK = "+"
SOUNDS, _KNOWN = "any sounds", "known words"
# The price of each sound, and of a word that carries nothing.
SOUND_PROBABILITY = 1e-3
FILLER_PROBABILITY = 1e-3
PHRASE_PROBABILITY = 0.05
# The price of each word of a number: without one, a short "eight" or "two" fits between any two of them.
NUMBER_PROBABILITY = 1e-3
_PRICES = dict.fromkeys((*NUMBER_WORDS, OH), NUMBER_PROBABILITY)
_NO_FRAMES: Frames = np.zeros((0, CEPSTRA))
HELD_BACK = 3
SETTINGS: dict[str, Any] = {
    "bestpath": False,
    # Beams, models and sounds a frame: a third less work than with wider limits, and as many right.
    "beam": 1e-50,
    "pbeam": 1e-50,
    "wbeam": 1e-35,
    "maxhmmpf": 2000,
    "topn": 4,
    # Scores are relative to the best sound computed in a frame: only where all are do two grammars compare.
    "compallsen": True,
    "wip": 0.2,
    "lw": 1.0,
    "logfn": "/dev/null",
    "loglevel": "FATAL",
}


class PocketsphinxRecogniser:
    """One decoder, for one utterance at a time."""

    name = "pocketsphinx"

    def __init__(self, own_voice: VoiceMap | None = None, means: Numbers | None = None) -> None:
        """`own_voice`: the map of the model to a pilot's voice. `means`: in place of the model's own."""
        try:
            import pocketsphinx  # noqa: PLC0415  # an extra, loaded when it is wanted
        except (ImportError, OSError):
            raise HearingError(
                'Hearing needs the extra "hearing": python -m pip install "leadradial[hearing]".'
            ) from None
        features = resources.files("assistant.adapters.speech_in") / "feat.params"
        with resources.as_file(features) as path, tempfile.TemporaryDirectory() as folder:
            # No words to begin with: those of a grammar are added to it (`library_words`).
            settings = {**SETTINGS, "dict": str(Path(folder, "words"))}
            Path(folder, "words").write_text(f"{_SOUND_MARK}SIL SIL\n", encoding="ascii")
            if own_voice is not None:
                # Read once, by the decoder when it is made.
                settings["mllr"] = str(Path(folder, "voice"))
                Path(folder, "voice").write_text(decoder_text(own_voice), encoding="ascii")
            if means is not None:
                settings["mean"] = str(Path(folder, "means"))
                Path(folder, "means").write_bytes(bells_file(means))
            self._decoder = pocketsphinx.Decoder(lm=None, featparams=str(path), **settings)
        self._known: set[str] = set()
        self._prepared = {SOUNDS}
        self._is_open, self._last = False, _NO_FRAMES
        self._following: list[Frames] = []
        self._followed: tuple[Samples, Frames] | None = None
        for phone in PHONES:
            self._decoder.add_word(_SOUND_MARK + phone, phone, phone == PHONES[-1])
        sounds = [(start, 1, SOUND_PROBABILITY, _SOUND_MARK + phone) for start in (0, 1) for phone in PHONES]
        self._decoder.add_fsg(SOUNDS, self._decoder.create_fsg(SOUNDS, 0, 2, [*sounds, (1, 2, 1.0)]))

    def prepare(self, key: str, grammar: SpokenGrammar) -> None:
        """Make a grammar ready under a name."""
        self._end()
        if key in self._prepared:
            # Gone before the next is made: 30 MB less than with both for a moment. The current one cannot go.
            self._decoder.activate_search(SOUNDS)
            self._decoder.remove_search(key)
        self._prepared.add(key)
        self._learn(grammar.words | {OH})
        arcs: list[tuple[int, int, float] | tuple[int, int, float, str]] = []
        for start, end, word in zeros_apart(grammar.arcs):
            if word == EMPTY:
                is_another = end in grammar.hubs
                arcs.append((start, end, PHRASE_PROBABILITY if is_another else 1.0))
            else:
                is_filler = start == end and word in grammar.fillers
                arcs.append((start, end, FILLER_PROBABILITY if is_filler else _PRICES.get(word, 1.0), word))
        fsg = self._decoder.create_fsg(key, 0, grammar.final, arcs)
        self._decoder.add_fsg(key, fsg)

    def is_prepared(self, key: str) -> bool:
        """Whether there is a grammar of that name; any sounds (`SOUNDS`) are one."""
        return key in self._prepared

    def decode(self, key: str, sound: Samples) -> Decoded:
        """What a cleaned utterance is in a prepared grammar."""
        self.begin(key)
        self.go_on(self._frames(sound))
        return self.decoded()

    def strangeness(self, sound: Samples, score: float) -> float:
        """By how much a row of any sounds scores better; minus infinity for what is no row of sounds."""
        return self.decode(SOUNDS, sound).score - score

    def begins(self) -> None:
        """See `FollowingRecogniser.begins`."""

    def follow_anew(self) -> None:
        """See `FollowingRecogniser.follow_anew`."""
        self._following = []

    def follow(self, frames: Frames) -> None:
        """See `FollowingRecogniser.follow`."""
        self._following.append(frames)

    def followed(self, sound: Samples) -> None:
        """See `FollowingRecogniser.followed`."""
        self._followed = sound, np.concatenate([_NO_FRAMES, *self._following])

    def begin(self, key: str) -> None:
        """Begin to decode an utterance that is still being spoken, in a prepared grammar or any sounds."""
        self._end()
        self._decoder.activate_search(key)
        self._decoder.start_utt()
        self._is_open, self._last = True, _NO_FRAMES

    def go_on(self, frames: Frames) -> None:
        """Decode the next frames of it."""
        # One by one: of pieces of some sizes, after larger ones, the library drops the last frames (5.1.1).
        for frame in frames.astype("<f4"):
            self._decoder.process_cep(frame.tobytes(), no_search=False, full_utt=False)
        self._last = frames[-1:] if len(frames) else self._last

    def words(self) -> str:
        """Its words up to here."""
        found = self._decoder.hyp()
        return "" if found is None else _plain(found.hypstr)

    def decoded(self) -> Decoded:
        """What it was, now that it is over."""
        # Slopes are told from frames on either side: the library holds the last ones back for want of more.
        self.go_on(np.repeat(self._last, HELD_BACK, axis=0))
        self._end()
        text, score = self._found()
        return Decoded(
            text=text, score=score, shortest_number_s=self._shortest_number_s() if text else math.inf
        )

    def _shortest_number_s(self) -> float:
        """How long the shortest word of a number took in the utterance decoded last."""
        return min(
            (
                (each.end_frame - each.start_frame + 1) / FRAMES_PER_S
                for each in self._decoder.seg()
                if each.word.partition("(")[0] in _PRICES
            ),
            default=math.inf,
        )

    def _end(self) -> None:
        """Leave an utterance that was begun and not ended: the decoder can be in one only."""
        if self._is_open:
            self._decoder.end_utt()
        self._is_open = False

    def sounds_of(self, words: str, sound: Samples) -> tuple[Timed, ...]:
        """The speech sounds of an utterance whose words are known; none where it is no row of those words."""
        self.prepare(_KNOWN, row(" ".join(re.findall("[a-z]+", words.lower()))))
        if not self.decode(_KNOWN, sound).text:
            return ()
        # Which of its pronunciations each word had; silence and the like are in angle brackets.
        spoken = [each.word for each in self._decoder.seg() if each.word[0].isalpha()]
        phones = [phone for word in spoken for phone in self._decoder.lookup_word(word).split()]
        arcs: list[tuple[int, int, float] | tuple[int, int, float, str]] = [
            (at, at + 1, 1.0, _SOUND_MARK + phone) for at, phone in enumerate(phones)
        ]
        arcs.append((len(phones), len(phones) + 1, 1.0))
        self._decoder.add_fsg(_KNOWN, self._decoder.create_fsg(_KNOWN, 0, len(phones) + 1, arcs))
        if not self.decode(_KNOWN, sound).text:
            return ()
        return tuple(
            Timed(sound=each.word.removeprefix(_SOUND_MARK), first=each.start_frame, last=each.end_frame)
            for each in self._decoder.seg()
            if each.word.startswith(_SOUND_MARK)
        )

    def _frames(self, sound: Samples) -> Frames:
        """Of an utterance that was not followed with the mean of the whole taken off."""
        if self._followed is not None and sound is self._followed[0]:
            return self._followed[1]
        return whole_frames(sound)

    def _found(self) -> tuple[str, float]:
        found = self._decoder.hyp()
        if found is None or not found.hypstr:
            return "", -math.inf
        # The score comes back exponentiated; this is the decoder's own scale (logarithms to base 1.0001).
        return _plain(found.hypstr), 1e4 * math.log(found.score) if found.score > 0.0 else -math.inf

    def _learn(self, words: frozenset[str]) -> None:
        """See to it that the dictionary has every word, with the trade's pronunciations."""
        missing = words - self._known
        for word, theirs in sorted(library_pronunciations(missing).items()):
            ours = pronunciations(word)
            if not theirs and not ours:
                ours = guessed(word)
            if theirs and word not in NUMBER_WORDS:
                # Numbers have their forms in the trade's table; more of them would only be confused.
                ours = tuple(dict.fromkeys((*ours, *british(theirs[0]))))
            for number, sounds in enumerate((*theirs, *ours), start=1):
                self._decoder.add_word(word if number == 1 else f"{word}({number})", sounds, False)
        self._known.update(missing)
        if missing:
            # The dictionary is made into the search's own form once, not for every word.
            self._decoder.add_word(f"{_SOUND_MARK}{len(self._known)}", "SIL", True)


def _plain(text: str) -> str:
    """The words as the grammar has them."""
    return " ".join(ZERO if word == OH else word for word in text.split())
