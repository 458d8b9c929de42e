"""`leadradial simulate`: many flights flown by nothing but the callouts, and what they show."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from assistant.cli.conditions_options import takes_conditions

if TYPE_CHECKING:  # heavy; see conditions_options
    from assistant.preferences.settings import Settings

_EPILOG = """
\b
A scripted pilot hears only the words that would be spoken, and flies a simulated aircraft by them. Without
--wind it blows from anywhere with up to 40 kt; without --category it is A to D by chance.

\b
Examples:
  leadradial simulate procedures/skarrow-tacan-24.yaml --flights 100
  leadradial simulate procedures/skarrow-tacan-24.yaml --flights 100 --wind 250/25 --category C
  leadradial simulate procedures/skarrow-tacan-24.yaml --flights 1000 --still-air --page skarrow.png
  leadradial simulate procedures/skarrow-tacan-24.yaml --flights 20 --seed 7 --json
  leadradial simulate procedures/skarrow-tacan-24.yaml --flights 1 --seed 7 --log flights
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(simulate)


@takes_conditions
def simulate(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The procedure.")],
    *,
    flights: Annotated[int, typer.Option(min=1, max=100_000, metavar="N", help="How many flights.")] = 100,
    seed: Annotated[
        int, typer.Option(min=0, metavar="N", help="Of the first flight; the same number, the same flight.")
    ] = 1,
    model: Annotated[
        str, typer.Option(metavar="point|jsbsim", help="The aircraft: a point mass, or JSBSim.")
    ] = "point",
    still_air: Annotated[
        bool, typer.Option("--still-air", help="Fly each case again without wind sums, and compare.")
    ] = False,
    cores: Annotated[
        int | None, typer.Option(min=1, metavar="N", help="How many processes; without it, one a core.")
    ] = None,
    page: Annotated[
        Path | None, typer.Option(metavar="OUT.png|.pdf|.svg", help="Draw all tracks and the profile.")
    ] = None,
    logs: Annotated[
        Path | None,
        typer.Option("--log", metavar="FOLDER", help="Write a log of each flight there, for debrief."),
    ] = None,
    json_output: Annotated[bool, typer.Option("--json", help="Every flight and the whole as JSON.")] = False,
    wind_is_random: bool,
    day: "Settings",
) -> None:
    """Fly an approach many times by nothing but the callouts; errors against limits, as distributions."""
    from assistant.cli import simulated_flights  # noqa: PLC0415  # heavy; --help must be instant

    simulated_flights.run(
        file,
        day,
        flights=flights,
        seed=seed,
        model=model,
        wind_is_random=wind_is_random,
        still_air=still_air,
        cores=cores,
        page=page,
        logs=logs,
        as_json=json_output,
    )
