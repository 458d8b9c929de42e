"""`leadradial pilot`: what is remembered of the pilot."""

import typer

_EPILOG = """
\b
Examples:
  leadradial pilot
  leadradial fly procedures/skarrow-tacan-24.yaml --text --category D --speed final=150 --remember
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(pilot)


def pilot() -> None:
    """Show what is remembered of you by `fly --remember`: category, speeds, bank, datum, prompting."""
    from assistant.cli.inputs import pilot_file, remembered  # noqa: PLC0415  # heavy; --help must be instant
    from assistant.preferences.files import yaml_from_settings  # noqa: PLC0415  # heavy

    settings = yaml_from_settings(remembered())
    typer.echo(
        f"{pilot_file()}:" if settings else f"Nothing is remembered yet; it would be kept in {pilot_file()}."
    )
    typer.echo(settings, nl=False)
