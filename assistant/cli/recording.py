"""Phrases shown, recorded and kept, one by one; what the pilot types decides."""

import random
import re
from pathlib import Path
from typing import Protocol

import typer

from assistant.adapters.speech_in.audio import Samples, read_audio
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.prompts import Prompt, prompts
from assistant.adapters.speech_in.recorder import MicrophoneRecorder
from assistant.adapters.speech_in.recordings import LIST, Recording, event_fields, keep, recordings
from assistant.adapters.speech_in.takes import Take, weighed
from assistant.cli.errors import UserError
from assistant.cli.version import installed_version

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
_FILE = "file:"
_STOP, _SKIP, _REPEAT = "q", "s", "r"
_BAR_DB = 60.0


class Recorder(Protocol):
    """A microphone as a recorder."""

    def start(self) -> None:
        """Begin to record; HearingError where it cannot."""

    def stop(self) -> Samples:
        """End, and give what was recorded, at 16 kHz."""


class FileRecorder:
    """A recording in the microphone's place: every take is the whole of it."""

    def __init__(self, path: Path) -> None:
        self._sound = read_audio(path)

    def start(self) -> None:
        """Begin to record."""

    def stop(self) -> Samples:
        """The whole recording."""
        return self._sound


def record_phrases(folder: Path, *, voice: str, microphone: str, count: int, seed: int, licence: str) -> None:
    """Record phrases by what is typed on standard input; UserError for what cannot be used."""
    try:
        recorder = recorder_of(microphone)
        there = recordings(folder) if (folder / LIST).exists() else ()
        typer.echo(f"Recordings go to {folder}, with a list of them. q stops at any time.")
        voice = voice or _asked("Whose voice is it (letters, digits, - and _)? ")
        if not _NAME.fullmatch(voice):
            raise UserError(f"--voice {voice!r}: give a name of letters, digits, - and _.")
        licence = licence or next((each.licence for each in reversed(there) if each.voice == voice), "")
        licence = licence or _asked("What may others do with them (Enter: nothing, they are yours)? ")
        session = Session(folder, voice=voice, licence=licence or "private", recorder=recorder)
        kept = session.run(chosen(seed, count))
    except HearingError as error:
        raise UserError(str(error)) from error
    typer.echo(f"{kept} kept in {folder}. How they are heard: leadradial hear --manifest {folder}")


def chosen(seed: int, count: int) -> tuple[Prompt, ...]:
    """As many phrases as wanted, of all kinds before any kind comes again, in an order by the seed."""
    chance = random.Random(seed)  # noqa: S311  # no secret: the same seed is to give the same phrases
    found: list[Prompt] = []
    while len(found) < count:
        round_of_all = list(prompts(chance))
        chance.shuffle(round_of_all)
        found += round_of_all
    return tuple(found[:count])


def recorder_of(microphone: str) -> Recorder:
    """The recorder of a microphone's name, the default one's for none, or of file:PATH."""
    if microphone.startswith(_FILE):
        return FileRecorder(Path(microphone.removeprefix(_FILE)))
    return MicrophoneRecorder(microphone or None)


class _Stopped(Exception):  # noqa: N818  # named for what happened; nothing is wrong
    """The pilot wants no more."""


class Session:
    """One sitting of one voice."""

    def __init__(self, folder: Path, *, voice: str, licence: str, recorder: Recorder) -> None:
        self._folder = folder
        self._voice = voice
        self._licence = licence
        self._recorder = recorder

    def run(self, wanted: tuple[Prompt, ...]) -> int:
        """Go through the phrases; how many were kept. The end of standard input stops it too."""
        kept = 0
        try:
            for number, prompt in enumerate(wanted, start=1):
                typer.echo(f"\n{number}/{len(wanted)}  {prompt.words}")
                sound = self._taken()
                if sound is not None:
                    self._keep(prompt, sound)
                    kept += 1
        except (_Stopped, EOFError):
            typer.echo("\nStopped.")
        return kept

    def _taken(self) -> Samples | None:
        """A recording that the pilot wants to keep; None where the phrase is left out."""
        while True:
            if _answer("Enter begins, s skips, q stops: ") == _SKIP:
                return None
            self._recorder.start()
            try:
                _answer("Read it now; Enter ends: ")
            finally:
                sound = self._recorder.stop()
            take = weighed(sound)
            typer.echo(shown(take))
            if take.fault:
                typer.echo(f"{take.fault[0].upper()}{take.fault[1:]}.")
                answer = _answer("Enter repeats it, k keeps it all the same, s skips, q stops: ") or _REPEAT
            else:
                answer = _answer("Enter keeps it, r repeats, s skips, q stops: ")
            if answer == _SKIP:
                return None
            if answer != _REPEAT:
                return sound

    def _keep(self, prompt: Prompt, sound: Samples) -> None:
        there = (self._folder / self._voice).glob("[0-9]*.flac")
        number = max((int(path.stem) for path in there if path.stem.isdigit()), default=0) + 1
        recording = Recording(
            file=f"{self._voice}/{number:03d}.flac",
            words=prompt.words,
            meaning=[event_fields(event) for event in prompt.means],
            kind=prompt.kind,
            voice=self._voice,
            # Nothing of ours is ever tuned on a pilot's recordings.
            set="held out",
            made=f"leadradial record {installed_version()}",
            licence=self._licence,
        )
        keep(self._folder, recording, sound)


def shown(take: Take) -> str:
    """The levels of a take as a bar up to full scale, the noise in it, and figures."""
    noise, speech = (round(max(level + _BAR_DB, 0.0) / 2.0) for level in (take.noise_db, take.speech_db))
    bar = "." * noise + "#" * max(speech - noise, 0)
    return (
        f"  [{bar:<{round(_BAR_DB / 2.0)}}] speech {take.speech_db:.0f} dB, noise {take.noise_db:.0f} dB, "
        f"loudest {take.peak_db:.0f} dB"
    )


def _asked(question: str) -> str:
    try:
        return _ask(question)
    except EOFError:
        raise UserError("Standard input ended; nothing was recorded.") from None


def _answer(question: str) -> str:
    answer = _ask(question).lower()
    if answer == _STOP:
        raise _Stopped
    return answer


def _ask(question: str) -> str:
    return input(question).strip()
