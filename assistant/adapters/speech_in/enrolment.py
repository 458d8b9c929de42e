"""
A pilot's voice learned from phrases with known words, read aloud.

The recogniser follows each phrase sound by sound, and the model's average sounds are mapped to what was heard
(`voice_fitting`). A phrase that it cannot follow, misread or drowned in noise, is left out.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from assistant.adapters.speech_in.acoustic_model import acoustic_model, features
from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.kinds_of_sound import Kind, kinds_of_sound
from assistant.adapters.speech_in.own_voices import OwnVoice
from assistant.adapters.speech_in.pocketsphinx_recogniser import SETTINGS, PocketsphinxRecogniser
from assistant.adapters.speech_in.voice_fitting import fitted

LEAST_PHRASES = 10
"""Measured with fifteen (docs/own_voice.md); of few, the map would follow their own sounds."""


def learned(recogniser: PocketsphinxRecogniser, phrases: Iterable[tuple[str, Samples]]) -> OwnVoice:
    """The voice of these words and recordings at 16 kHz; HearingError where too few could be followed."""
    import pocketsphinx  # noqa: PLC0415  # an extra, which the recogniser has loaded

    folder = Path(pocketsphinx.get_model_path(), "en-us", "en-us")
    model, kinds = acoustic_model(folder), kinds_of_sound(folder)
    read = [(words, cleaned(sound, 0.0).sound) for words, sound in phrases]
    # The map leads from the means of the kind that the voice is of, by the most of its phrases.
    counted = Counter(kinds.of(clean) for _, clean in read).most_common(1)
    kind = counted[0][0] if counted else Kind.GENERAL
    if kind is not Kind.GENERAL:
        model = replace(model, means=kinds.means(kind))
        recogniser = PocketsphinxRecogniser(means=model.means)
    followed = []
    for words, clean in read:
        sounds = recogniser.sounds_of(words, clean) if clean.any() else ()
        if sounds:
            followed.append((clean, sounds))
    if len(followed) < LEAST_PHRASES:
        raise HearingError(
            f"{len(followed)} phrases could be followed, and {LEAST_PHRASES} are needed: read each as shown."
        )
    heard = features((sound for sound, _ in followed), SETTINGS)
    speech = [(each, sounds) for each, (_, sounds) in zip(heard, followed, strict=True)]
    return OwnVoice(fitted=fitted(model, speech), phrases=len(speech), kind=kind)
