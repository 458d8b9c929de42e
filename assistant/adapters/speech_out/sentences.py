"""
The sounds of callouts: from memory, from the cache, or rendered now.

A callout's sentences are looked up one by one, so what was prepared for one callout serves every other that
has the sentence in it. Preparing runs in a thread beside the flight, most urgent first, and gives way to
whatever is needed at once.
"""

import threading
from collections import OrderedDict
from collections.abc import Iterable

from assistant.adapters.speech_out.cache import SoundCache
from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.pauses import with_pauses
from assistant.adapters.speech_out.rendering import Renderer
from assistant.adapters.speech_out.sound import Sound, evened, joined
from assistant.foreseen import sentences_of

_IN_MEMORY = 256
"""Sounds; about two seconds of 22 kHz floats each, so some 45 MB."""


class Sentences:
    """Sounds of sentences by one renderer, kept in one cache. Safe to use from several threads."""

    def __init__(self, renderer: Renderer, cache: SoundCache) -> None:
        self._renderer = renderer
        self._cache = cache
        self._memory: OrderedDict[str, Sound] = OrderedDict()
        self._memory_lock = threading.Lock()
        self._rendering = threading.Lock()
        self._needed_now = threading.Event()
        self._needed_now.set()
        self._closing = threading.Event()
        self._preparing: threading.Thread | None = None
        self._failure: VoiceUnavailable | None = None
        self.rendered = 0
        """How many sentences were synthesised, rather than found."""

    def sound_of(self, words: str) -> Sound:
        """The sound of a callout; VoiceUnavailable where it cannot be made."""
        sentences = sentences_of(words)
        known = [self._known(sentence) for sentence in sentences]
        if None not in known:
            return joined(tuple(sound for sound in known if sound is not None))
        self._needed_now.clear()  # the preparing thread waits
        try:
            made = tuple(
                sound or self._render(sentence) for sentence, sound in zip(sentences, known, strict=True)
            )
        finally:
            self._needed_now.set()
        for sentence, sound in zip(sentences, made, strict=True):
            self._remember(sentence, sound)
        return joined(made)

    def prepare(self, sentences: Iterable[str]) -> None:
        """Render what is not kept yet, in a thread of its own; a renderer that fails ends it quietly."""
        lacking = [sentence for sentence in sentences if not self._cache.has(sentence)]
        if lacking:
            self._preparing = threading.Thread(
                target=self._prepare, args=(lacking,), name="preparing the voice", daemon=True
            )
            self._preparing.start()

    def wait_prepared(self) -> None:
        """Return when everything asked for is prepared; VoiceUnavailable where it cannot be."""
        if self._preparing is not None:
            self._preparing.join()
        if self._failure is not None:
            raise self._failure

    def close(self) -> None:
        """End preparing and the renderer, and let the cache shrink to its bound."""
        self._closing.set()
        if self._preparing is not None:
            self._preparing.join()
        self._renderer.close()
        self._cache.prune()

    def _prepare(self, sentences: list[str]) -> None:
        for sentence in sentences:
            self._needed_now.wait()
            if self._closing.is_set():
                return
            try:
                self._render(sentence)
            except VoiceUnavailable as unavailable:
                self._failure = unavailable  # told to whoever waits for it, or needs a sound
                return

    def _known(self, sentence: str) -> Sound | None:
        with self._memory_lock:
            sound = self._memory.get(sentence)
            if sound is not None:
                self._memory.move_to_end(sentence)
                return sound
        sound = self._cache.sound(sentence)
        if sound is not None:
            self._remember(sentence, sound)
        return sound

    def _render(self, sentence: str) -> Sound:
        with self._rendering:
            sound = evened(self._renderer.render(with_pauses(sentence)))
            self.rendered += 1
        self._cache.keep(sentence, sound)
        return sound

    def _remember(self, sentence: str, sound: Sound) -> None:
        with self._memory_lock:
            self._memory[sentence] = sound
            while len(self._memory) > _IN_MEMORY:
                self._memory.popitem(last=False)
