"""
The embedded recogniser, with its model suited to the kind of sound that each utterance is (`kinds_of_sound`).

A recogniser for another kind than the usual one is made when such a sound is first met, which takes half a
second once; most pilots never meet it. Scores compare within one utterance, and so within one kind.
"""

from pathlib import Path

from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.cepstra import Frames
from assistant.adapters.speech_in.kinds_of_sound import Kind, Kinds, kinds_of_sound
from assistant.adapters.speech_in.own_voices import OwnVoice
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.adapters.speech_in.spoken_grammar import SpokenGrammar


class SuitedRecogniser:
    """One recogniser for each kind of sound that was met."""

    name = PocketsphinxRecogniser.name

    def __init__(self) -> None:
        self._made = {Kind.GENERAL: PocketsphinxRecogniser()}
        self._kinds = kinds_of_model()
        self._grammars: dict[str, SpokenGrammar] = {}
        self._prepared: dict[tuple[Kind, str], SpokenGrammar] = {}
        self._last = Kind.GENERAL
        self._given: Samples | None = None
        self._following: list[Frames] = []
        self._followed: Samples | None = None

    def prepare(self, key: str, grammar: SpokenGrammar) -> None:
        """See `Recogniser.prepare`; at once for the kind that was met last, for others when they are met."""
        self._grammars[key] = grammar
        self._suited(self._last, key)

    def decode(self, key: str, sound: Samples) -> Decoded:
        """See `Recogniser.decode`."""
        recogniser = self._suited(self._kind_of(sound), key)
        self._tell_frames(recogniser, sound)
        return recogniser.decode(key, sound)

    def strangeness(self, sound: Samples, score: float) -> float:
        """See `Recogniser.strangeness`."""
        recogniser = self._of_kind(self._kind_of(sound))
        self._tell_frames(recogniser, sound)
        return recogniser.strangeness(sound, score)

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
        self._followed = sound

    def _tell_frames(self, recogniser: PocketsphinxRecogniser, sound: Samples) -> None:
        if sound is self._followed:
            recogniser.follow_anew()
            for frames in self._following:
                recogniser.follow(frames)
            recogniser.followed(sound)

    def _kind_of(self, sound: Samples) -> Kind:
        if sound is not self._given:
            self._last = self._kinds.of(sound)
            self._given = sound
        return self._last

    def _of_kind(self, kind: Kind) -> PocketsphinxRecogniser:
        if kind not in self._made:
            self._made[kind] = recogniser_for(None, kind)
        return self._made[kind]

    def _suited(self, kind: Kind, key: str) -> PocketsphinxRecogniser:
        recogniser, grammar = self._of_kind(kind), self._grammars[key]
        if self._prepared.get((kind, key)) is not grammar:
            recogniser.prepare(key, grammar)
            self._prepared[kind, key] = grammar
        return recogniser


def own_voice_recogniser(voice: OwnVoice) -> PocketsphinxRecogniser:
    """A recogniser fitted to a pilot's voice, by the means of the kind of sound that it is."""
    means = None if voice.kind is Kind.GENERAL else kinds_of_model().means(voice.kind)
    return PocketsphinxRecogniser(voice.fitted, means)


def recogniser_for(voice: OwnVoice | None, kind: Kind) -> PocketsphinxRecogniser:
    """A recogniser for a pilot's voice, or without one for a kind of sound."""
    if voice is not None:
        return own_voice_recogniser(voice)
    return PocketsphinxRecogniser(means=None if kind is Kind.GENERAL else kinds_of_model().means(kind))


def kinds_of_model() -> Kinds:
    """What the kinds are known by, in the library's own model."""
    import pocketsphinx  # noqa: PLC0415  # an extra, which the recogniser has loaded

    return kinds_of_sound(Path(pocketsphinx.get_model_path(), "en-us", "en-us"))
