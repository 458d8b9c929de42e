"""`leadradial record`: recordings of the pilot's own voice, phrase by phrase."""

from pathlib import Path
from typing import Annotated

import typer

_EPILOG = """
\b
A phrase is shown; Enter begins, you read it aloud, Enter ends. Then Enter keeps the
recording, r repeats it, s goes on without it, q stops. What was kept stays.

\b
Examples:
  leadradial record --voice ada --microphone headset
  leadradial record recordings --voice ada --count 20 --seed 7
  leadradial hear --manifest recordings
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(record)


def record(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the recordings go.")] = Path(
        "recordings"
    ),
    *,
    voice: Annotated[str, typer.Option(metavar="NAME", help="Whose voice it is; else asked.")] = "",
    microphone: Annotated[
        str,
        typer.Option(metavar="NAME", help="A part of the microphone's name, or file:PATH for a recording."),
    ] = "",
    count: Annotated[int, typer.Option(min=1, metavar="N", help="How many phrases.")] = 40,
    seed: Annotated[
        int, typer.Option(metavar="N", help="Which phrases; the same number, the same phrases.")
    ] = 1,
    licence: Annotated[
        str, typer.Option(metavar="TEXT", help="What others may do with them; asked once where not given.")
    ] = "",
) -> None:
    """Record phrases in your own voice, with a list of them, for tests of hearing."""
    from assistant.cli.recording import record_phrases  # noqa: PLC0415  # heavy; --help must be instant

    record_phrases(folder, voice=voice, microphone=microphone, count=count, seed=seed, licence=licence)
