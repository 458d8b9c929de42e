"""Prints, writes out and deletes the flights kept for progress."""

import csv
import io
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict
from json import dumps
from pathlib import Path

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from assistant.cli.errors import UserError
from assistant.cli.inputs import read_procedure_file
from assistant.cli.kept_flights import store_path
from assistant.debrief.content import Topic
from assistant.procedure.findings import ProcedureError
from assistant.progress.flights import KeptFlight
from assistant.progress.store import StoreError, opened
from assistant.progress.trends import AtHand, NextPractice, Trend, progress_of

_SHOWN = 10
_FOLDER = Path("procedures")
_NONE = "No flights are kept yet. Debrief one: leadradial debrief flight.jsonl"


def show(files: list[Path], *, as_json: bool) -> None:
    """Flights, trends and the next practice; one of the procedures of files may be that."""
    made = progress_of(_flights(), _at_hand(files))
    if as_json:
        typer.echo(dumps(asdict(made), indent=2, ensure_ascii=False))
        return
    if not made.flights:
        typer.echo(_NONE)
        return
    console = Console(highlight=False)
    if made.next_practice is not None:
        _next(made.next_practice, console)
    for title, trends in (
        ("BY PROCEDURE", made.by_procedure),
        ("BY TOPIC", made.by_topic),
        ("BY WIND", made.by_wind),
    ):
        _trends(title, trends, console)
    _last(made.flights, console)


def _at_hand(files: list[Path]) -> list[AtHand]:
    """The procedures of files; without any, what is sound in the folder `procedures` here."""
    if files:
        named = [read_procedure_file(path)[0] for path in files]
    else:
        named = []
        for path in sorted(_FOLDER.glob("*.yaml")):
            with suppress(ProcedureError, UserError, OSError):  # nobody asked for it: it is only not proposed
                named.append(read_procedure_file(path)[0])
    return [AtHand(procedure=procedure.ident, title=procedure.title) for procedure in named]


def _next(practice: NextPractice, console: Console) -> None:
    console.print(Text("FLY NEXT", style="bold"))
    console.print(
        Text(
            f"{practice.title} ({practice.procedure}), {practice.wind_kt:.0f} kt of wind, "
            f"prompting {practice.prompting}"
        )
    )
    console.print(Text(f"Because {practice.because}."))


def _trends(title: str, trends: Sequence[Trend], console: Console) -> None:
    console.print()
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in (title, "Flights", "Marks met", "Cost before", "Cost now", "Trend"):
        table.add_column(name)
    for trend in trends:
        before = "-" if trend.before_cost is None else f"{trend.before_cost:.1f}"
        table.add_row(
            Text(trend.name),
            str(trend.flights),
            f"{trend.met} of {trend.marks}",
            before,
            f"{trend.now_cost:.1f}",
            Text(trend.direction),
        )
    console.print(table)


def _last(flights: Sequence[KeptFlight], console: Console) -> None:
    console.print()
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in ("LAST FLIGHTS", "Name", "Procedure", "Wind", "Marks met", "Ended"):
        table.add_column(name)
    for flight in flights[-_SHOWN:]:
        table.add_row(
            Text(flight.started_utc[:16].replace("T", " ")),
            Text(flight.ident),
            Text(flight.procedure),
            f"{flight.wind_kt:.0f} kt",
            f"{flight.met} of {flight.marks}",
            Text(flight.ended),
        )
    console.print(table)


def export(path: Path) -> None:
    """Write out every flight kept, whole."""
    flights = _flights()
    ending = path.suffix.lower()
    if ending not in (".json", ".csv"):
        raise UserError(f"{path}: cannot write flights with {ending or 'no ending'!r}; use .json or .csv.")
    text = _csv(flights) if ending == ".csv" else dumps([asdict(flight) for flight in flights], indent=2)
    try:
        with path.open("x", encoding="utf-8", newline="") as stream:
            stream.write(text if text.endswith("\n") else f"{text}\n")
    except FileExistsError:
        raise UserError(f"{path}: exists already. Choose another path.") from None
    typer.echo(f"{len(flights)} flights written to {path}.")


def _csv(flights: Sequence[KeptFlight]) -> str:
    """A line a flight, two columns a topic."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    names = [
        "ident",
        "started_utc",
        "procedure",
        "title",
        "origin",
        "standard",
        "wind_kt",
        "prompting",
        "ended",
    ]
    topics = [f"{topic.name.lower()} {what}" for topic in Topic for what in ("met", "marks", "cost")]
    writer.writerow([*names, *topics])
    for flight in flights:
        by_topic = {part.topic: part for part in flight.topics}
        cells: list[str] = []
        for topic in Topic:
            part = by_topic.get(topic)
            cells += ["", "", ""] if part is None else [str(part.met), str(part.marks), f"{part.cost:.1f}"]
        writer.writerow([*(_plain(str(getattr(flight, name))) for name in names), *cells])
    return text.getvalue()


def _plain(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula: titles come from procedure files of anyone's."""
    return f"'{cell}" if cell.startswith(("=", "+", "-", "@", "\t", "\r")) else cell


def delete(which: str) -> None:
    """Delete a flight, or all."""
    try:
        with opened(store_path()) as store:
            gone = store.delete(None if which == "all" else which)
    except StoreError as error:
        raise UserError(str(error)) from error
    if which != "all" and gone == 0:
        raise UserError(f"{which}: no flight of that name is kept. `leadradial progress` lists the names.")
    typer.echo("1 flight deleted." if gone == 1 else f"{gone} flights deleted.")


def _flights() -> tuple[KeptFlight, ...]:
    try:
        with opened(store_path()) as store:
            return store.flights()
    except StoreError as error:
        raise UserError(str(error)) from error
