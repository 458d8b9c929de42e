"""How a live flight begins, or is taken up again: procedure, conditions and log."""

import itertools
import os
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import platformdirs
import typer

from assistant.adapters.console import WallClock
from assistant.adapters.transcript_file import clock_text
from assistant.cli.errors import UserError
from assistant.cli.flown import Cockpit, fly_live
from assistant.cli.inputs import (
    conversation_for,
    printable,
    read_bytes,
    read_procedure_file,
    read_text,
    remember,
    remembered,
)
from assistant.cli.version import installed_version
from assistant.conversation import first_difference, replay
from assistant.dialogue import Prompting
from assistant.flight_log import BESIDE, Header, Record, Resumed, Spoken, Writer, read_log
from assistant.preferences.settings import Settings
from assistant.preferences.values import prompting as read_prompting
from assistant.procedure.load import load_procedure


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
    path = log or new_log_path(started, procedure.ident)
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
        fly_live(
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
    logged = [entry for entry in record.records if not isinstance(entry, BESIDE)]
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
    clock = WallClock(begun_s=max(_elapsed_s(header, log), logged[-1].t_s if logged else 0.0))
    with log.open("r+b") as stream:
        stream.truncate(record.whole_bytes)
        stream.seek(0, os.SEEK_END)
        writer = Writer(stream)
        # The program was killed between hearing and speaking: what came of the last report was never shown.
        writer.write(lost)
        writer.write((Resumed(t_s=clock.now_s()),))
        fly_live(
            conversation,
            clock,
            writer,
            log,
            cockpit=cockpit,
            opening=(*_shown(lost), f"{clock_text(clock.now_s())}  Resumed."),
        )


def _elapsed_s(header: Header, log: Path) -> float:
    try:
        started = datetime.fromisoformat(header.started_utc)
    except ValueError:
        raise UserError(
            f"{printable(log)}:1: started_utc: {header.started_utc!r} is no time; "
            "the log's first line was altered."
        ) from None
    # Without an offset it is taken for what its name says.
    return (datetime.now(UTC) - (started if started.tzinfo else started.replace(tzinfo=UTC))).total_seconds()


def _shown(records: list[Record]) -> Iterator[str]:
    return (f"{clock_text(record.t_s)}  {record.text}" for record in records if isinstance(record, Spoken))


def new_log_path(started: datetime, ident: str) -> Path:
    """Where a flight is logged that was given no file: in the folder of flights, by time and procedure."""
    folder = Path(platformdirs.user_data_dir("leadradial", appauthor=False)) / "flights"
    folder.mkdir(parents=True, exist_ok=True)
    # A procedure may be called VOR/DME, a file may not.
    stem = f"{started:%Y%m%dT%H%M%SZ}-{ident.replace('/', '-')}"
    paths = itertools.chain(
        [folder / f"{stem}.jsonl"], (folder / f"{stem}-{n}.jsonl" for n in itertools.count(2))
    )
    return next(path for path in paths if not path.exists())
