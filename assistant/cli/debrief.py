"""`leadradial debrief`: what was flown, what was due, what to practise, from a flight log alone."""

from pathlib import Path
from typing import Annotated

import typer

_EPILOG = """
\b
Examples:
  leadradial debrief flight.jsonl
  leadradial debrief flight.jsonl --page debrief.pdf
  leadradial debrief flight.jsonl --standard part-fcl --json
  leadradial debrief monday.jsonl tuesday.jsonl
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(debrief)


def debrief(
    logs: Annotated[list[Path], typer.Argument(metavar="LOG", help="Flight logs.")],
    *,
    page: Annotated[
        list[Path] | None,
        typer.Option(metavar="OUT.html|.pdf|.png", help="Write one page; for one log. Repeat for more."),
    ] = None,
    standard: Annotated[
        str, typer.Option(metavar="NAME", help="Test standard: acs (FAA) or part-fcl (EU, UK).")
    ] = "acs",
    json_output: Annotated[
        bool, typer.Option("--json", help="The debrief as JSON, an array for several logs.")
    ] = False,
    apart: Annotated[
        bool, typer.Option("--apart", help="Do not keep the flight among those of `leadradial progress`.")
    ] = False,
) -> None:
    """Debrief flights: events due, called and flown, marks by a test standard, what to practise first."""
    from assistant.cli import debriefed_flights  # noqa: PLC0415  # heavy; --help must be instant

    debriefed_flights.debrief_all(
        logs, pages=page or [], standard=standard, as_json=json_output, keep=not apart
    )
