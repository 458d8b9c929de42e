"""Flies a timed transcript or a flight log again and prints what comes out."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import typer
from rich.console import Console

from assistant.adapters.console import Screen
from assistant.adapters.transcript_file import TimedTranscript, clock_text, read_transcript
from assistant.caution import CAUTION
from assistant.cli.errors import UserError
from assistant.cli.inputs import conversation_for, printable, read_bytes, read_text
from assistant.cli.version import installed_version
from assistant.conversation import first_difference, play, replay
from assistant.dialogue import Prompting
from assistant.flight_log import (
    BESIDE,
    FlightRecord,
    Header,
    Origin,
    Record,
    header_line,
    read_log,
    record_line,
)
from assistant.preferences.settings import Settings, settings_from_flags
from assistant.preferences.values import SettingError
from assistant.preferences.values import prompting as read_prompting
from assistant.procedure.load import load_procedure


@dataclass(frozen=True, slots=True, kw_only=True)
class _Flight:
    """A flight as it comes out again; `logged` is what a log says came out before."""

    header: Header
    records: Iterator[Record]
    logged: tuple[Record, ...] | None


def fly_again(
    source: Path, procedure: Path | None, day: Settings, *, as_json: bool, log: Path | None
) -> bool:
    """Fly a transcript or log again, print it, and return whether it came out as logged."""
    data = read_bytes(source)
    flight = (
        _from_log(data, source, procedure, day)
        if data.startswith(b"{")
        else _from_transcript(source, procedure, day)
    )
    records = list(_printed(flight.records, as_json=as_json))
    if log is not None:
        _write_log(log, flight.header, records)
    return flight.logged is None or _is_same(source, flight.logged, records)


def _printed(records: Iterable[Record], *, as_json: bool) -> Iterator[Record]:
    screen = Screen(Console(), echo=True)
    if not as_json:
        typer.echo(CAUTION)
    for record in records:
        if as_json:
            typer.echo(record_line(record))
        else:
            screen.watch((record,))
        yield record


def _from_transcript(source: Path, procedure: Path | None, day: Settings) -> _Flight:
    timed = read_transcript(read_text(source), printable(source))
    path = procedure or _named_procedure(timed, source)
    try:
        settings = day.over(settings_from_flags(timed.setup))
    except SettingError as error:
        raise UserError(f"{printable(source)}: setup: {error}") from None
    text = read_text(path)
    loaded = load_procedure(text, printable(path))
    header = Header(
        leadradial=installed_version(),
        started_utc=datetime.now(UTC).isoformat(timespec="milliseconds"),
        procedure_name=printable(path),
        procedure_text=text,
        conditions=settings.conditions(loaded),
        prompting=settings.prompting or Prompting.FULL,
        origin=Origin.TRANSCRIPT,
    )
    conversation = conversation_for(loaded, header.conditions, read_prompting(header.prompting))
    return _Flight(header=header, records=play(conversation, timed.heard, timed.until_s), logged=None)


def _named_procedure(timed: TimedTranscript, source: Path) -> Path:
    """The file that a transcript names, seen from the working folder or else from its own."""
    if timed.procedure is None:
        raise UserError(f"{printable(source)}: names no procedure. Give its file before the transcript.")
    named = Path(timed.procedure)
    beside = source.parent / named
    return beside if not named.exists() and beside.exists() else named


def _from_log(data: bytes, source: Path, procedure: Path | None, day: Settings) -> _Flight:
    if day != Settings():
        raise UserError(f"{printable(source)}: a flight log holds its own conditions; leave the flags out.")
    record: FlightRecord = read_log(data, printable(source))
    if record.notice:
        typer.echo(record.notice, err=True)
    header = record.header
    text, name = header.procedure_text, header.procedure_name
    if procedure is not None:
        text, name = read_text(procedure), printable(procedure)
    loaded = load_procedure(text, name)
    conversation = conversation_for(loaded, header.conditions, read_prompting(header.prompting))
    logged = tuple(entry for entry in record.records if not isinstance(entry, BESIDE))
    return _Flight(header=header, records=replay(conversation, logged), logged=logged)


def _write_log(path: Path, header: Header, records: Iterable[Record]) -> None:
    try:
        with path.open("x", encoding="utf-8", errors="replace", newline="\n") as stream:
            stream.writelines(f"{line}\n" for line in (header_line(header), *map(record_line, records)))
    except FileExistsError:
        raise UserError(f"{path}: exists already. Choose another path.") from None


def _is_same(source: Path, logged: tuple[Record, ...], records: list[Record]) -> bool:
    position = first_difference(logged, records)
    if position is None:
        typer.echo(f"{printable(source)}: the same came out as was logged, {len(logged)} records.", err=True)
        return True
    now = record_line(records[position]) if position < len(records) else "nothing more"
    typer.echo(
        f"{printable(source)}: differs at {clock_text(logged[position].t_s)}, record {position + 1}.",
        err=True,
    )
    typer.echo(f"  logged: {record_line(logged[position])}", err=True)
    typer.echo(f"  now:    {now}", err=True)
    return False
