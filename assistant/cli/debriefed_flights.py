"""Reads logs, debriefs them, prints or draws what comes of it, and keeps the marks for progress."""

from dataclasses import asdict
from json import dumps
from pathlib import Path

import typer

from assistant.cli.errors import UserError
from assistant.cli.inputs import printable, read_bytes
from assistant.cli.kept_flights import keep_flight
from assistant.debrief.compose import debrief_of
from assistant.debrief.content import Debrief
from assistant.debrief.standards import STANDARDS, Standard
from assistant.engine.plan import PlanError
from assistant.flight_log import FlightRecord, LogError, read_log
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.procedure.findings import ProcedureError


def debrief_all(logs: list[Path], *, pages: list[Path], standard: str, as_json: bool, keep: bool) -> None:
    """Debrief every log; one that cannot be read is told of at once, before anything is shown."""
    if pages and len(logs) > 1:
        raise UserError("A page is of one flight: give --page with one log.")
    marked_by = _standard(standard)
    made = [_debriefed(path, marked_by) for path in logs]
    for record, debrief in made:
        if debrief.notice is not None:
            typer.echo(debrief.notice, err=True)
        for page in pages:
            _draw(page, record, debrief)
        if keep:
            keep_flight(record, debrief)
    if as_json:
        found = [asdict(debrief) for _, debrief in made]
        typer.echo(dumps(found[0] if len(found) == 1 else found, indent=2, ensure_ascii=False))
    elif not pages:
        _show([debrief for _, debrief in made])


def _standard(name: str) -> Standard:
    if name not in STANDARDS:
        raise UserError(f"--standard {name!r} is not known; use {' or '.join(STANDARDS)}.")
    return STANDARDS[name]


def _debriefed(path: Path, standard: Standard) -> tuple[FlightRecord, Debrief]:
    name = printable(path)
    record = read_log(read_bytes(path), name)
    try:
        return record, debrief_of(record, standard)
    except ProcedureError as error:
        raise LogError(
            f"{name}: the procedure in the log is not usable: {error.findings[0].problem}; "
            "the log's first line was altered, or written by another version."
        ) from error
    except (PlanError, NoSolution, OutsideValidity) as error:
        raise LogError(f"{name}: cannot be reckoned again: {str(error).rstrip('.')}.") from error


def _draw(page: Path, record: FlightRecord, debrief: Debrief) -> None:
    from assistant.briefing.pages import PageError  # noqa: PLC0415  # loads matplotlib
    from assistant.debrief.pages import write_debrief  # noqa: PLC0415  # see above

    try:
        write_debrief(page, record.header, debrief)
    except PageError as error:
        raise UserError(str(error)) from error
    typer.echo(f"{page} written.", err=True)


def _show(debriefs: list[Debrief]) -> None:
    from rich.console import Console  # noqa: PLC0415  # needed for this alone

    from assistant.debrief.screen import print_debrief  # noqa: PLC0415  # see above

    console = Console(highlight=False)
    for number, debrief in enumerate(debriefs):
        if number:
            console.print()
            console.rule()
        print_debrief(debrief, console)
