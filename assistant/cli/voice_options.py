"""The flags of commands that speak, and the voice that they ask for."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import platformdirs
import typer

if TYPE_CHECKING:  # heavy; --help must be instant
    from assistant.adapters.speech_out.player import Player
    from assistant.adapters.speech_out.rendering import Renderer
    from assistant.adapters.speech_out.sentences import Sentences
    from assistant.adapters.speech_out.voice import SpokenVoice

VoiceFlag = Annotated[
    str,
    typer.Option("--voice", metavar="ID", help="A voice of the system; `leadradial devices` lists them."),
]
PiperFlag = Annotated[
    Path | None, typer.Option("--piper", metavar="VOICE.ONNX", help="Speak by piper (GPL-3.0, if installed).")
]
SpeakerFlag = Annotated[
    str | None, typer.Option("--speaker", metavar="NAME", help="The loudspeaker, or a part of its name.")
]
VolumeFlag = Annotated[int, typer.Option("--volume", metavar="PERCENT", min=0, max=100, help="How loud.")]
PaceFlag = Annotated[
    int, typer.Option("--pace", metavar="170", min=80, max=400, help="Words a minute, as the system counts.")
]
ToneFlag = Annotated[bool, typer.Option("--tone", help="A short tone before each callout.")]

DEFAULT_PACE = 170


@dataclass(frozen=True, slots=True, kw_only=True)
class VoiceOptions:
    """What was asked of the voice."""

    voice: str = ""
    piper: Path | None = None
    speaker: str | None = None
    volume_percent: int = 100
    words_per_minute: int = DEFAULT_PACE
    tone: bool = False


def cache_folder() -> Path:
    """Where sounds are kept between flights."""
    return Path(platformdirs.user_cache_dir("leadradial", appauthor=False)) / "voice"


def renderer(options: VoiceOptions) -> "Renderer":
    """What makes the sounds."""
    from assistant.adapters.speech_out.rendering import PiperRenderer, Pyttsx3Renderer  # noqa: PLC0415  # heavy

    if options.piper is not None:
        return PiperRenderer(options.piper)
    return Pyttsx3Renderer(voice=options.voice, words_per_minute=options.words_per_minute)


def sentences(options: VoiceOptions) -> "Sentences":
    """Sounds of sentences, kept between flights."""
    from assistant.adapters.speech_out.cache import SoundCache  # noqa: PLC0415  # heavy
    from assistant.adapters.speech_out.sentences import Sentences  # noqa: PLC0415  # heavy

    made_by = renderer(options)
    return Sentences(made_by, SoundCache(cache_folder(), made_by.key))


def open_voice(options: VoiceOptions, foreseen: Iterable[str]) -> "SpokenVoice":
    """
    A voice that is ready to speak; what is foreseen is made ready beside the flight.

    VoiceUnavailable, with a sentence, where a package, a library, a voice or a loudspeaker is missing.
    """
    from assistant.adapters.speech_out.errors import VoiceUnavailable  # noqa: PLC0415  # heavy
    from assistant.adapters.speech_out.lasting_player import LastingPlayer  # noqa: PLC0415  # heavy
    from assistant.adapters.speech_out.voice import SpokenVoice  # noqa: PLC0415  # heavy

    player = LastingPlayer(lambda: open_player(options))
    made = sentences(options)
    try:
        # The first sentence now: a voice that cannot be started is told before the flight, not in it.
        known = tuple(foreseen)
        made.sound_of(known[0] if known else "Ready.")
        made.prepare(known)
    except VoiceUnavailable:
        player.close()
        made.close()
        raise
    return SpokenVoice(made, player, tone=options.tone)


def open_player(options: VoiceOptions) -> "Player":
    """The loudspeaker, open; VoiceUnavailable where it cannot be."""
    # numpy comes with matplotlib, which is no extra; the rest is asked for where it is used.
    from assistant.adapters.speech_out.player import Player  # noqa: PLC0415  # heavy

    return Player(options.speaker, volume=options.volume_percent / 100.0)
