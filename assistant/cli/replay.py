"""`leadradial replay`: a timed transcript or a flight log flown again, exactly and at once."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from assistant.cli.conditions_options import takes_conditions
from assistant.cli.errors import UserError

if TYPE_CHECKING:  # heavy; see conditions_options
    from assistant.preferences.settings import Settings

_EPILOG = """
\b
A transcript is a text file, a line for each report and the time of it:
  procedure: procedures/skarrow-tacan-24.yaml
  setup: --wind 250/15 --qnh 996
  00:00 PILOT  16.4 4800
  01:12 PILOT  established
  05:00 END

\b
Examples:
  leadradial replay procedures/skarrow-tacan-24.yaml flight.txt --wind 250/15
  leadradial replay flight.txt --json
  leadradial replay flight.jsonl        says whether the same comes out as was logged; exit 1 if not
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(replay)


@takes_conditions
def replay(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="[FILE] TRANSCRIPT", help="The procedure, then a timed transcript or a flight log."
        ),
    ],
    *,
    json: Annotated[
        bool, typer.Option("--json", help="Every record as one JSON object a line, as in a flight log.")
    ] = False,
    log: Annotated[
        Path | None, typer.Option(metavar="OUT", help="Write a flight log; must not exist yet.")
    ] = None,
    day: "Settings",
) -> None:
    """Fly a timed transcript, exact and instant; nothing remembered of the pilot enters into it."""
    from assistant.cli import replayed_flight  # noqa: PLC0415  # heavy; --help must be instant

    if len(files) > 2:
        raise UserError("Give a procedure and a transcript, or a transcript or log alone.")
    same = replayed_flight.fly_again(
        files[-1], files[0] if len(files) == 2 else None, day, as_json=json, log=log
    )
    if not same:
        raise typer.Exit(1)
