"""`leadradial say`: hear the voice, or keep what it says as a sound file."""

from pathlib import Path
from typing import Annotated

import typer

from assistant.cli.native_messages import native_messages_silenced
from assistant.cli.voice_options import (
    DEFAULT_PACE,
    PaceFlag,
    PiperFlag,
    SpeakerFlag,
    ToneFlag,
    VoiceFlag,
    VoiceOptions,
    VolumeFlag,
    cache_folder,
    open_player,
    sentences,
)

_EPILOG = """
\b
Examples:
  leadradial say "Lead radial. Turn left heading two one five."
  leadradial say "Minimum, five hundred QNH. Visual?" --tone --volume 60
  leadradial say "Check needle." --to needle.wav
  leadradial say --plan procedures/skarrow-tacan-24.yaml     (makes ready all it can say)
  leadradial say --forget                                    (empties the store of sounds)
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(say)


def say(
    words: Annotated[list[str] | None, typer.Argument(metavar="WORDS", help="What to say.")] = None,
    *,
    to: Annotated[
        Path | None, typer.Option(metavar="FILE.WAV", help="Write it to a file instead of saying it.")
    ] = None,
    plan: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Make ready what this procedure can need.")
    ] = None,
    forget: Annotated[bool, typer.Option("--forget", help="Delete every sound that is kept.")] = False,
    voice: VoiceFlag = "",
    piper: PiperFlag = None,
    speaker: SpeakerFlag = None,
    volume: VolumeFlag = 100,
    pace: PaceFlag = DEFAULT_PACE,
    tone: ToneFlag = False,
) -> None:
    """Speak some words with the voice of the cockpit."""
    from assistant.adapters.speech_out import cache  # noqa: PLC0415  # heavy; --help must be instant
    from assistant.adapters.speech_out.errors import VoiceUnavailable  # noqa: PLC0415  # heavy
    from assistant.cli.errors import UserError  # noqa: PLC0415  # beside the others

    text = " ".join(words or ()).strip()
    if not (text or plan or forget):
        raise UserError("Nothing to say: give some words.")
    options = VoiceOptions(
        voice=voice, piper=piper, speaker=speaker, volume_percent=volume, words_per_minute=pace, tone=tone
    )
    if forget:
        gone = cache.prune(cache_folder(), 0)
        typer.echo(f"{gone} sounds deleted from {cache_folder()}.")
    try:
        with native_messages_silenced():
            if plan is not None:
                _make_ready(plan, options)
            if text and to is not None:
                _write(text, to, options)
            elif text:
                _speak(text, options)
    except VoiceUnavailable as unavailable:
        raise UserError(str(unavailable)) from None


def _make_ready(plan: Path, options: VoiceOptions) -> None:
    """Render whatever the plan can say, for conditions of no wind; what differs on the day is made then."""
    from assistant.adapters.speech_out import cache  # noqa: PLC0415  # heavy
    from assistant.cli.inputs import plan_for, read_procedure_file, remembered  # noqa: PLC0415  # heavy
    from assistant.foreseen import foreseen  # noqa: PLC0415  # heavy

    procedure, _ = read_procedure_file(plan)
    known = foreseen(plan_for(procedure, remembered().conditions(procedure)))
    made = sentences(options)
    try:
        made.sound_of(known[0])
        made.prepare(known)
        made.wait_prepared()
    finally:
        made.close()
    kept = cache.size(cache_folder())
    typer.echo(
        f"{len(known)} sentences ready, {made.rendered} of them new; "
        f"{kept.sounds} sounds, {kept.size_bytes / 1e6:.0f} MB in {cache_folder()}."
    )


def _write(text: str, to: Path, options: VoiceOptions) -> None:
    from assistant.adapters.speech_out.sound import cue_tone, joined, write_wav  # noqa: PLC0415  # heavy

    made = sentences(options)
    try:
        sound = made.sound_of(text)
    finally:
        made.close()
    if options.tone:
        sound = joined((cue_tone(sound.rate_hz), sound))
    write_wav(sound, to)


def _speak(text: str, options: VoiceOptions) -> None:
    import asyncio  # noqa: PLC0415  # heavy

    from assistant.adapters.speech_out.errors import VoiceUnavailable  # noqa: PLC0415  # heavy
    from assistant.adapters.speech_out.voice import SpokenVoice  # noqa: PLC0415  # heavy
    from assistant.session import VoiceLost  # noqa: PLC0415  # heavy

    player = open_player(options)  # first: without one nothing else need be started
    voice = SpokenVoice(sentences(options), player, tone=options.tone)
    try:
        asyncio.run(voice.say(text, within_s=60.0))
    except VoiceLost as lost:
        raise VoiceUnavailable(str(lost)) from None
    finally:
        voice.close()
