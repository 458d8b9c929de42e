"""`leadradial voice-model`: fetch an English model for the recogniser vosk, when the pilot asks."""

from typing import Annotated

import typer

_EPILOG = """
\b
Examples:
  leadradial voice-model --list
  leadradial voice-model
  leadradial hear report.wav --recogniser vosk
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("voice-model", epilog=_EPILOG)(voice_model)


def voice_model(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="Which one; without it, the small American English one.")
    ] = "",
    *,
    list_them: Annotated[bool, typer.Option("--list", help="List those that there are; fetch none.")] = False,
    path: Annotated[bool, typer.Option("--path", help="Print the folder that vosk would use.")] = False,
    source: Annotated[
        str, typer.Option(metavar="URL", help="The list of models, where you have a mirror of it.")
    ] = "",
) -> None:
    """Fetch a model for the recogniser vosk from its makers and unpack it. Nothing is fetched unasked."""
    from assistant.cli import fetched_models  # noqa: PLC0415  # heavy; --help must be instant

    if path:
        fetched_models.show_path()
    elif list_them:
        fetched_models.show_list(source)
    else:
        fetched_models.fetch_model(name, source)
