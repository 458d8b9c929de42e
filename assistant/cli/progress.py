"""`leadradial progress`: trends over the flights debriefed on this machine, and what to fly next."""

from pathlib import Path
from typing import Annotated

import typer

_EPILOG = """
\b
Flights are kept when they are debriefed, in one file on this machine; nothing leaves it.
Examples:
  leadradial progress
  leadradial progress charts/*.yaml
  leadradial progress --export flights.csv
  leadradial progress --delete 3f2a91c07b1e
  leadradial progress --delete all
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(progress)


def progress(
    files: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="FILE",
            help="Procedures that may be flown next; without any, those of the folder procedures here.",
        ),
    ] = None,
    *,
    json_output: Annotated[bool, typer.Option("--json", help="Flights, trends and choice as JSON.")] = False,
    export: Annotated[
        Path | None,
        typer.Option(metavar="OUT.json|.csv", help="Write the flights kept; must not exist yet."),
    ] = None,
    delete: Annotated[
        str | None, typer.Option(metavar="FLIGHT|all", help="Delete one flight by its name, or all.")
    ] = None,
) -> None:
    """Show progress over debriefed flights by procedure, topic and wind, and what to fly next."""
    from assistant.cli import shown_progress  # noqa: PLC0415  # heavy; --help must be instant

    if delete is not None:
        shown_progress.delete(delete)
    elif export is not None:
        shown_progress.export(export)
    else:
        shown_progress.show(files or [], as_json=json_output)
