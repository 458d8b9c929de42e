"""`leadradial enrol`: hearing fitted to one pilot's voice."""

from pathlib import Path
from typing import Annotated

import typer

from assistant.cli.errors import UserError

_EPILOG = """
\b
Phrases are shown and recorded as by leadradial record, about two minutes. The recordings
are not kept; what was learned is, until it is forgotten or learned anew.

\b
Examples:
  leadradial enrol ada --microphone headset
  leadradial enrol ada --from recordings
  leadradial fly procedures/skarrow-tacan-24.yaml --talk-key f9 --pilot ada
  leadradial enrol ada --forget
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(enrol)


def enrol(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The pilot's name, for fly and hear --pilot.")],
    *,
    recorded: Annotated[
        Path | None,
        typer.Option("--from", metavar="FOLDER", help="Recordings of that voice by leadradial record."),
    ] = None,
    microphone: Annotated[
        str,
        typer.Option(metavar="NAME", help="A part of the microphone's name, or file:PATH for a recording."),
    ] = "",
    count: Annotated[int, typer.Option(min=10, metavar="N", help="How many phrases.")] = 18,
    seed: Annotated[int, typer.Option(metavar="N", help="Which phrases.")] = 1,
    forget: Annotated[bool, typer.Option("--forget", help="Forget that pilot's voice.")] = False,
) -> None:
    """Learn a pilot's voice from phrases read aloud, so that reports in it are heard better."""
    from assistant.cli import own_voice  # noqa: PLC0415  # heavy; --help must be instant

    path = own_voice.own_voice(name)
    if path is None:
        raise UserError("Give the pilot's name.")
    if forget:
        own_voice.forget(name, path)
    else:
        own_voice.learn(name, path, folder=recorded, microphone=microphone, count=count, seed=seed)
