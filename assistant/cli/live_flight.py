"""Joins the parts of a live flight: procedure, dialogue, log, keyboard and screen."""

import asyncio
import itertools
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import platformdirs
import typer
from rich.console import Console

from assistant.adapters.console import Screen, WallClock, glance_line, typed_lines
from assistant.adapters.keys import can_read_keys, keys_unbuffered, typed_keys
from assistant.adapters.screen import CockpitScreen
from assistant.adapters.transcript_file import clock_text
from assistant.caution import CAUTION
from assistant.cli.errors import INTERRUPTED, UserError
from assistant.cli.inputs import (
    conversation_for,
    printable,
    read_bytes,
    read_procedure_file,
    read_text,
    remember,
    remembered,
)
from assistant.cli.native_messages import native_messages_silenced
from assistant.cli.version import installed_version
from assistant.cli.voice_options import VoiceOptions, open_voice
from assistant.conversation import Conversation, first_difference, replay
from assistant.dialogue import Prompting
from assistant.flight_log import Header, Record, Resumed, Spoken, Writer, read_log
from assistant.foreseen import foreseen
from assistant.preferences.settings import Settings
from assistant.preferences.values import prompting as read_prompting
from assistant.procedure.load import load_procedure
from assistant.session import Session, Source, Voice, Watch

if TYPE_CHECKING:
    from assistant.adapters.speech_in.audio import Samples
    from assistant.adapters.speech_out.voice import SpokenVoice

STANDARD_INPUT = 0
"""Its file descriptor; sys.stdin is None where it is closed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cockpit:
    """
    How the flight is heard and seen.

    voice: None for text alone. glance: a line after what is said. microphone: a recording in its place.
    """

    voice: VoiceOptions | None = None
    glance: bool = False
    microphone: "Samples | None" = None


def begin(
    file: Path | None, day: Settings, *, log: Path | None, cockpit: Cockpit, remember_settings: bool
) -> None:
    """Fly a procedure from the start."""
    if file is None:
        raise UserError("No procedure given: name its file, or take up a flight with --resume LOG.")
    settings = day.over(remembered())
    procedure, text = read_procedure_file(file)
    conditions = settings.conditions(procedure)
    prompting = settings.prompting or Prompting.FULL
    conversation = conversation_for(procedure, conditions, prompting)
    if remember_settings:
        typer.echo(f"Remembered in {remember(settings)}.")
    started = datetime.now(UTC)
    path = log or _new_log_path(started, procedure.ident)
    clock = WallClock()
    header = Header(
        leadradial=installed_version(),
        started_utc=started.isoformat(timespec="milliseconds"),
        procedure_name=printable(file),
        procedure_text=text,
        conditions=conditions,
        prompting=prompting,
    )
    try:
        stream = path.open("xb")
    except FileExistsError:
        raise UserError(
            f"{path}: exists already. Choose another path, or go on with it by --resume."
        ) from None
    with stream:
        writer = Writer(stream)
        writer.begin(header)
        _fly(
            conversation,
            clock,
            writer,
            path,
            cockpit=cockpit,
            opening=(f"{procedure.title}. {procedure.edition}.",),
        )


def resume(log: Path, file: Path | None, day: Settings, *, new_log: Path | None, cockpit: Cockpit) -> None:
    """
    Take up a flight where its log ends.

    The transcripts and ticks of the log are flown again silently, up to now: time went on while the program
    was away.
    """
    if new_log is not None or day != Settings():
        raise UserError(
            "--resume goes on with the log's own file and conditions; leave out --log and the conditions."
        )
    record = read_log(read_bytes(log), printable(log))
    header = record.header
    if file is not None and read_text(file) != header.procedure_text:
        raise UserError(
            f"{file}: not as it was when {log} was begun. Leave the file out; the log holds its own copy."
        )
    procedure = load_procedure(header.procedure_text, header.procedure_name)
    conversation = conversation_for(procedure, header.conditions, read_prompting(header.prompting))
    logged = [entry for entry in record.records if not isinstance(entry, Resumed)]
    flown = list(replay(conversation, logged))
    if record.notice:
        typer.echo(record.notice, err=True)
    if first_difference(logged, flown) is None:
        lost = flown[len(logged) :]
    else:
        lost = []
        typer.echo(
            f"{log}: this version reckons differently from the one that wrote it; going on by its own.",
            err=True,
        )
    # A wall clock that was set back must not send the flight back in time.
    clock = WallClock(begun_s=max(_elapsed_s(header), logged[-1].t_s if logged else 0.0))
    with log.open("r+b") as stream:
        stream.truncate(record.whole_bytes)
        stream.seek(0, os.SEEK_END)
        writer = Writer(stream)
        # The program was killed between hearing and speaking: what came of the last report was never shown.
        writer.write(lost)
        writer.write((Resumed(t_s=clock.now_s()),))
        _fly(
            conversation,
            clock,
            writer,
            log,
            cockpit=cockpit,
            opening=(*_shown(lost), f"{clock_text(clock.now_s())}  Resumed."),
        )


def _elapsed_s(header: Header) -> float:
    try:
        started = datetime.fromisoformat(header.started_utc)
    except ValueError:
        raise UserError(
            f"{header.started_utc!r} is no time: the first line of the log was altered."
        ) from None
    # Without an offset it is taken for what its name says.
    return (datetime.now(UTC) - (started if started.tzinfo else started.replace(tzinfo=UTC))).total_seconds()


def _fly(
    conversation: Conversation,
    clock: WallClock,
    writer: Writer,
    log: Path,
    *,
    cockpit: Cockpit,
    opening: tuple[str, ...],
) -> None:
    with native_messages_silenced() if cockpit.voice is not None else nullcontext():
        _fly_on(conversation, clock, writer, log, cockpit=cockpit, opening=opening)


def _fly_on(
    conversation: Conversation,
    clock: WallClock,
    writer: Writer,
    log: Path,
    *,
    cockpit: Cockpit,
    opening: tuple[str, ...],
) -> None:
    for line in (CAUTION, *opening):
        typer.echo(line)
    voice, lacking = (None, "") if cockpit.voice is None else _voice(cockpit.voice, conversation)
    typer.echo(f"Flight log: {printable(log)}")
    ears = _ears(cockpit, conversation, clock)
    try:
        if cockpit.voice is not None and can_read_keys(STANDARD_INPUT) and sys.stdout.isatty():
            _drawn(conversation, clock, writer, voice, lacking, ears)
        else:
            if lacking:
                _tell(lacking)
            _printed(conversation, clock, writer, voice, cockpit, ears)
    except KeyboardInterrupt:
        typer.echo("\nEnded.")
        raise SystemExit(INTERRUPTED) from None
    finally:
        if voice is not None:
            voice.close()
    typer.echo("Ended.")


def _ears(cockpit: Cockpit, conversation: Conversation, clock: WallClock) -> list[Source]:
    """What is heard beside the keyboard."""
    if cockpit.microphone is None:
        return []
    from assistant.cli.microphone import microphone_source  # noqa: PLC0415  # see _voice

    return [microphone_source(cockpit.microphone, conversation.dialogue, clock)]


def _printed(
    conversation: Conversation,
    clock: WallClock,
    writer: Writer,
    voice: Voice | None,
    cockpit: Cockpit,
    ears: list[Source],
) -> None:
    """Fly with a line a callout, for any terminal, file or program."""
    typed = sys.stdin is not None and sys.stdin.isatty()
    screen = Screen(Console(), echo=not typed, glance=_glance(conversation) if cockpit.glance else None)
    sources: list[Source] = [typed_lines(STANDARD_INPUT, clock), *ears]
    _run(conversation, clock, writer, voice, sources=sources, watch=screen.watch, tell=_tell)


def _drawn(
    conversation: Conversation,
    clock: WallClock,
    writer: Writer,
    voice: Voice | None,
    lacking: str,
    ears: list[Source],
) -> None:
    """Fly with a screen for a glance, drawn in place; `lacking` is a sentence to show on it."""
    screen = CockpitScreen(
        Console(),
        title=conversation.dialogue.engine.state.plan.procedure.title,
        glance=conversation.dialogue.glance,
        now_s=clock.now_s,
    )
    screen.tell(lacking)
    with keys_unbuffered(STANDARD_INPUT), screen:
        sources: list[Source] = [typed_keys(STANDARD_INPUT, clock, screen.typing), *ears]
        _run(conversation, clock, writer, voice, sources=sources, watch=screen.watch, tell=screen.tell)


def _run(
    conversation: Conversation,
    clock: WallClock,
    writer: Writer,
    voice: Voice | None,
    *,
    sources: list[Source],
    watch: Watch,
    tell: Callable[[str], None],
) -> None:
    """Fly, each record in the log before it is shown: nothing is shown that the log could lose."""

    def write_and_watch(records: tuple[Record, ...]) -> None:
        writer.write(records)
        watch(records)

    session = Session(
        conversation, sources=sources, clock=clock, watch=write_and_watch, voice=voice, tell=tell
    )
    asyncio.run(session.run())


def _voice(options: VoiceOptions, conversation: Conversation) -> "tuple[SpokenVoice | None, str]":
    """The voice; without one, a sentence on what is missing."""
    from assistant.adapters.speech_out.errors import VoiceUnavailable  # noqa: PLC0415  # numpy, for --text unused

    try:
        return open_voice(options, foreseen(conversation.dialogue.engine.state.plan)), ""
    except VoiceUnavailable as unavailable:
        return None, f"{unavailable} Going on in text."


def _tell(sentence: str) -> None:
    typer.echo(sentence, err=True)


def _glance(conversation: Conversation) -> Callable[[float], str]:
    return lambda t_s: glance_line(conversation.dialogue.glance(t_s))


def _shown(records: list[Record]) -> Iterator[str]:
    return (f"{clock_text(record.t_s)}  {record.text}" for record in records if isinstance(record, Spoken))


def _new_log_path(started: datetime, ident: str) -> Path:
    folder = Path(platformdirs.user_data_dir("leadradial", appauthor=False)) / "flights"
    folder.mkdir(parents=True, exist_ok=True)
    stem = f"{started:%Y%m%dT%H%M%SZ}-{ident}"
    paths = itertools.chain(
        [folder / f"{stem}.jsonl"], (folder / f"{stem}-{n}.jsonl" for n in itertools.count(2))
    )
    return next(path for path in paths if not path.exists())
