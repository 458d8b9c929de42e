"""`leadradial hear`: what is made of recordings, by the code that listens in flight."""

from pathlib import Path
from typing import Annotated

import typer

from assistant.cli.errors import UserError
from assistant.cli.microphone_options import PilotFlag, SecondOpinionFlag

_EPILOG = """
\b
Examples:
  leadradial hear report.wav
  leadradial hear report.wav --expect dme_nm=16.4,altitude_ft=4800,radial_deg=42
  leadradial hear *.flac --procedure procedures/skarrow-tacan-24.yaml --json
  leadradial hear --manifest recordings
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(hear)


def hear(
    files: Annotated[
        list[Path] | None, typer.Argument(metavar="AUDIO", help="Recordings, an utterance each.")
    ] = None,
    *,
    manifest: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER", help="Those listed in a folder (leadradial record), and how many right."
        ),
    ] = None,
    procedure: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The procedure whose names may be said.")
    ] = None,
    expect: Annotated[
        str | None,
        typer.Option(
            metavar="FIELD=NUMBER,…", help="What is expected next: dme_nm, altitude_ft, radial_deg."
        ),
    ] = None,
    recogniser: Annotated[str, typer.Option(metavar="NAME", help="pocketsphinx or vosk.")] = "pocketsphinx",
    model: Annotated[Path | None, typer.Option(metavar="FOLDER", help="The model, for vosk.")] = None,
    second_opinion: SecondOpinionFlag = None,
    pilot: PilotFlag = None,
    json_output: Annotated[bool, typer.Option("--json", help="One JSON line per recording.")] = False,
) -> None:
    """Say what recordings mean: understood, or refused and why."""
    from assistant.cli.heard_files import hear_files  # noqa: PLC0415  # heavy; --help must be instant
    from assistant.cli.own_voice import own_voice  # noqa: PLC0415  # see above

    if not files and manifest is None:
        raise UserError("Name a recording, or a folder of them with --manifest.")
    hear_files(
        files or [],
        manifest=manifest,
        procedure=procedure,
        expect=expect,
        recogniser=recogniser,
        model=model,
        opinion=second_opinion,
        own_voice=own_voice(pilot),
        json_output=json_output,
    )
