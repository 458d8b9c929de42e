"""`leadradial new`: asks for a chart's items in the order they are printed, and writes a checked file."""

from pathlib import Path
from typing import Annotated

import typer

from assistant.cli.check import check_files
from assistant.cli.interview import Interview
from assistant.procedure.writing import procedure_text

REFUSED = 2
"""Exit status where nothing could be written, or what was written does not hang together yet."""


def write_new(path: Path) -> int:
    """Ask for everything on standard input, write the file, check it; the exit status."""
    if path.exists():
        typer.echo(f"{path}: is there already. Give another name.", err=True)
        return REFUSED
    typer.echo("A new procedure, item by item. Enter leaves out what the chart does not have.")
    try:
        values = Interview(ask=input, tell=typer.echo).procedure()
    except EOFError:
        typer.echo("\nThe answers ended before the chart did; nothing was written.", err=True)
        return REFUSED
    except UnicodeDecodeError:
        typer.echo("\nAn answer was not UTF-8 text; nothing was written.", err=True)
        return REFUSED
    try:
        path.write_text(procedure_text(values), encoding="utf-8")
    except OSError as error:
        typer.echo(f"{path}: cannot be written ({error.strerror}).", err=True)
        return REFUSED
    typer.echo(f"\nWritten to {path}. Checked:")
    status = check_files([path], json_output=False)
    if status:
        typer.echo(f"Correct the lines named above in {path}, then: leadradial check {path}")
    return status


def register(app: typer.Typer) -> None:
    """Add the command `new`."""

    @app.command()
    def new(file: Annotated[Path, typer.Argument(help="The procedure file to write.")]) -> None:
        """Make a procedure file by answering questions in the order in which charts print things."""
        raise typer.Exit(write_new(file))
