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
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any

from assistant.adapters.speech_in.acoustic_model import Numbers, bells_file
from assistant.adapters.speech_in.audio import Samples, pcm16
from assistant.adapters.speech_in.automaton import EMPTY
from assistant.adapters.speech_in.errors import HearingError
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
_SOUNDS, _KNOWN = "any sounds", "known words"
# The price of each sound, and of a word that carries nothing.
SOUND_PROBABILITY = 1e-3
FILLER_PROBABILITY = 1e-3
PHRASE_PROBABILITY = 0.05
# The price of each word of a number: without one, a short "eight" or "two" fits between any two of them.
NUMBER_PROBABILITY = 1e-3
_PRICES = dict.fromkeys((*NUMBER_WORDS, OH), NUMBER_PROBABILITY)
FRAMES_PER_S = 100
# Further pronunciations of a word are numbered: the dictionary's own from 2, ours from here.
_OURS_FROM, _MOST_ENTRIES = 20, 60
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

    def __init__(
        self,
        own_voice: VoiceMap | None = None,
        means: Numbers | None = None,
        *,
        has_words: bool = True,
        words_of: "PocketsphinxRecogniser | None" = None,
    ) -> None:
        """
        `own_voice`: the map of the model to a pilot's voice. `means`: in place of the model's own.

        `has_words`: whether anything but strangeness will be asked. `words_of`: where words are looked up.
        Without a dictionary of its own it takes 20 MB less.
        """
        try:
            import pocketsphinx  # noqa: PLC0415  # an extra, loaded when it is wanted
        except (ImportError, OSError):
            raise HearingError(
                'Hearing needs the extra "hearing": python -m pip install "leadradial[hearing]".'
            ) from None
        features = resources.files("assistant.adapters.speech_in") / "feat.params"
        with resources.as_file(features) as path, tempfile.TemporaryDirectory() as folder:
            settings = dict(SETTINGS)
            if own_voice is not None:
                # Read once, by the decoder when it is made.
                settings["mllr"] = str(Path(folder, "voice"))
                Path(folder, "voice").write_text(decoder_text(own_voice), encoding="ascii")
            if not has_words or words_of is not None:
                settings["dict"] = str(Path(folder, "sounds"))
                Path(folder, "sounds").write_text("".join(f"{phone} {phone}\n" for phone in PHONES), "ascii")
            if means is not None:
                settings["mean"] = str(Path(folder, "means"))
                Path(folder, "means").write_bytes(bells_file(means))
            self._decoder = pocketsphinx.Decoder(lm=None, featparams=str(path), **settings)
        self._words_of = words_of
        self._known: set[str] = set()
        self._prepared: set[str] = set()
        self._is_open = False
        for phone in PHONES:
            self._decoder.add_word(_SOUND_MARK + phone, phone, phone == PHONES[-1])
        sounds = [(start, 1, SOUND_PROBABILITY, _SOUND_MARK + phone) for start in (0, 1) for phone in PHONES]
        self._decoder.add_fsg(_SOUNDS, self._decoder.create_fsg(_SOUNDS, 0, 2, [*sounds, (1, 2, 1.0)]))

    def prepare(self, key: str, grammar: SpokenGrammar) -> None:
        """Make a grammar ready under a name."""
        if key in self._prepared:
            # Gone before the next is made: 30 MB less than with both for a moment. The current one cannot go.
            self._end()
            self._decoder.activate_search(_SOUNDS)
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

    def decode(self, key: str, sound: Samples) -> Decoded:
        """What a cleaned utterance is in a prepared grammar."""
        text, score = self._decoded(key, sound)
        return Decoded(
            text=text, score=score, shortest_number_s=self._shortest_number_s() if text else math.inf
        )

    def strangeness(self, sound: Samples, score: float) -> float:
        """By how much a row of any sounds scores better; minus infinity for what is no row of sounds."""
        return self._decoded(_SOUNDS, sound)[1] - score

    def begin(self, key: str) -> None:
        """
        Begin to decode an utterance that is still being spoken, in a prepared grammar.

        It leaves a running mean in the decoder that colours whole utterances after it (found by a test): who
        decides by one recogniser has another for this.
        """
        self._end()
        self._decoder.activate_search(key)
        self._decoder.start_utt()
        self._is_open = True

    def go_on(self, sound: Samples) -> str:
        """Its words up to the end of the next piece of its sound."""
        self._decoder.process_raw(pcm16(sound), no_search=False, full_utt=False)
        found = self._decoder.hyp()
        return "" if found is None else _plain(found.hypstr)

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
        if not self._decoded(_KNOWN, sound)[0]:
            return ()
        # Which of its pronunciations each word had; silence and the like are in angle brackets.
        spoken = [each.word for each in self._decoder.seg() if each.word[0].isalpha()]
        phones = [phone for word in spoken for phone in self._decoder.lookup_word(word).split()]
        arcs: list[tuple[int, int, float] | tuple[int, int, float, str]] = [
            (at, at + 1, 1.0, _SOUND_MARK + phone) for at, phone in enumerate(phones)
        ]
        arcs.append((len(phones), len(phones) + 1, 1.0))
        self._decoder.add_fsg(_KNOWN, self._decoder.create_fsg(_KNOWN, 0, len(phones) + 1, arcs))
        if not self._decoded(_KNOWN, sound)[0]:
            return ()
        return tuple(
            Timed(sound=each.word.removeprefix(_SOUND_MARK), first=each.start_frame, last=each.end_frame)
            for each in self._decoder.seg()
            if each.word.startswith(_SOUND_MARK)
        )

    def _decoded(self, key: str, sound: Samples) -> tuple[str, float]:
        self._end()
        decoder = self._decoder
        decoder.activate_search(key)
        decoder.start_utt()
        decoder.process_raw(pcm16(sound), no_search=False, full_utt=True)
        decoder.end_utt()
        found = decoder.hyp()
        if found is None or not found.hypstr:
            return "", -math.inf
        # The score comes back exponentiated; this is the decoder's own scale (logarithms to base 1.0001).
        return _plain(found.hypstr), 1e4 * math.log(found.score) if found.score > 0.0 else -math.inf

    def _learn(self, words: frozenset[str]) -> None:
        """See to it that the dictionary has every word, with the trade's pronunciations."""
        missing = sorted(words - self._known)
        if self._words_of is not None:
            self._words_of._learn(words)  # noqa: SLF001  # of its own class
            for word in missing:
                for entry, sounds in self._words_of._entries(word):  # noqa: SLF001  # see above
                    self._decoder.add_word(entry, sounds, False)
        for word in missing if self._words_of is None else ():
            theirs = self._decoder.lookup_word(word)
            has = theirs is not None
            ours = pronunciations(word)
            if not has and not ours:
                ours = guessed(word)
            if has and word not in NUMBER_WORDS:
                # Numbers have their forms in the trade's table; more of them would only be confused.
                ours = tuple(dict.fromkeys((*ours, *british(theirs))))
            for number, sounds in enumerate(ours, start=1):
                entry = word if number == 1 and not has else f"{word}({number + _OURS_FROM})"
                self._decoder.add_word(entry, sounds, False)
        self._known.update(missing)
        if missing:
            # The dictionary is made into the search's own form once, not for every word.
            self._decoder.add_word(f"{_SOUND_MARK}{len(self._known)}", "SIL", True)

    def _entries(self, word: str) -> Iterator[tuple[str, str]]:
        """Every entry of a word in the dictionary, with its sounds."""
        for entry in (word, *(f"{word}({number})" for number in range(2, _MOST_ENTRIES))):
            sounds = self._decoder.lookup_word(entry)
            if sounds is not None:
                yield entry, sounds


def _plain(text: str) -> str:
    """The words as the grammar has them."""
    return " ".join(ZERO if word == OH else word for word in text.split())
