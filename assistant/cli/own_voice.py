"""Pilots' own voices: where each is kept, beside the pilot's settings, and learning one."""

import tempfile
from pathlib import Path

import typer

from assistant.adapters.speech_in.errors import HearingError
from assistant.cli.errors import UserError
from assistant.cli.inputs import pilot_file


def own_voice(pilot: str | None) -> Path | None:
    """The file of a pilot's voice, there or not; None for none. UserError for what is no name."""
    if pilot is None:
        return None
    from assistant.adapters.speech_in.own_voices import voice_file  # noqa: PLC0415  # numpy, an extra

    try:
        return voice_file(pilot_file().parent / "voices", pilot)
    except HearingError as error:
        raise UserError(str(error)) from error


def forget(pilot: str, path: Path) -> None:
    """Remove a voice and say so; saying so too where there is none."""
    was_there = path.exists()
    path.unlink(missing_ok=True)
    typer.echo(f"The voice of {pilot} is forgotten." if was_there else f"No voice of {pilot} is kept.")


def learn(pilot: str, path: Path, *, folder: Path | None, microphone: str, count: int, seed: int) -> None:
    """
    Learn a voice from a folder of recordings, or by phrases read aloud now, and keep it.

    What is read aloud is kept nowhere; only what was learned is. UserError for what cannot be used.
    """
    from assistant.adapters.speech_in.audio import read_audio  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.enrolment import learned  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.own_voices import keep_voice  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.recordings import LIST, NEGATIVE, recordings  # noqa: PLC0415  # an extra
    from assistant.cli.recording import Session, chosen, recorder_of  # noqa: PLC0415  # an extra

    with tempfile.TemporaryDirectory() as aside:
        try:
            # First: nobody reads for two minutes to be told that it is not installed.
            recogniser = PocketsphinxRecogniser()
            if folder is None:
                folder = Path(aside)
                typer.echo("Read each phrase as it is shown, as you would in flight. q stops.")
                recorder = recorder_of(microphone)
                Session(folder, voice=pilot, licence="private", recorder=recorder).run(chosen(seed, count))
                if not (folder / LIST).exists():
                    raise UserError("Nothing was recorded; nothing is changed.")
            listed = [each for each in recordings(folder) if each.kind != NEGATIVE and each.voice == pilot]
            if not listed:
                raise UserError(f"{folder}: no recordings of {pilot} in it.")
            typer.echo("Learning; this takes about a second a phrase.")
            voice = learned(recogniser, ((each.words, read_audio(folder / each.file)) for each in listed))
            keep_voice(path, voice)
        except HearingError as error:
            raise UserError(str(error)) from error
        except OSError as error:
            raise UserError(
                f"{path}: the voice could not be kept ({error.strerror}); see to that folder and enrol again."
            ) from error
    typer.echo(f"Learned from {voice.phrases} of {len(listed)} phrases, kept in {path}.")
    typer.echo(f"Use it: leadradial fly FILE --pilot {pilot}")
