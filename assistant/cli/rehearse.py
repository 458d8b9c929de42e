"""`leadradial rehearse`: chair-flying; the aircraft flies what it was told, the pilot reads and reports."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from assistant.cli.conditions_options import takes_conditions
from assistant.cli.voice_options import DEFAULT_PACE, PaceFlag, SpeakerFlag, VoiceFlag, VoiceOptions

if TYPE_CHECKING:  # heavy; see conditions_options
    from assistant.preferences.settings import Settings

_EPILOG = """
\b
The instruments are printed every few seconds; type what you would report:
  16.4 4800              established
  leaving                visual

\b
Examples:
  leadradial rehearse procedures/skarrow-tacan-24.yaml --wind 250/25
  leadradial rehearse procedures/skarrow-tacan-24.yaml --text --rate 4
  leadradial rehearse procedures/skarrow-tacan-24.yaml --text --rate 60 --demonstrate
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(rehearse)


@takes_conditions
def rehearse(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The procedure.")],
    *,
    rate: Annotated[
        float, typer.Option(min=0.1, max=10_000.0, metavar="N", help="How many times as fast as real time.")
    ] = 1.0,
    demonstrate: Annotated[
        bool, typer.Option("--demonstrate", help="The scripted pilot reports too; only watch.")
    ] = False,
    every: Annotated[
        float, typer.Option(min=1.0, metavar="SECONDS", help="How often the instruments are shown.")
    ] = 10.0,
    from_deg: Annotated[
        float | None,
        typer.Option(
            "--from",
            min=0.0,
            max=360.0,
            metavar="DEG",
            help="Where the flight begins: magnetic direction, seen from the first fix.",
        ),
    ] = None,
    text: Annotated[bool, typer.Option("--text", help="Only show the callouts; nothing is spoken.")] = False,
    voice: VoiceFlag = "",
    speaker: SpeakerFlag = None,
    pace: PaceFlag = DEFAULT_PACE,
    day: "Settings",
) -> None:
    """Rehearse an approach from a chair: report, and the aircraft flies what you were told to do."""
    from assistant.cli import rehearsed_flight  # noqa: PLC0415  # heavy; --help must be instant

    spoken = VoiceOptions(voice=voice, speaker=speaker, words_per_minute=pace)
    rehearsed_flight.run(
        file,
        day,
        rate=rate,
        demonstrates=demonstrate,
        every_s=every,
        from_deg=from_deg,
        voice=None if text or rate != 1.0 else spoken,
    )
