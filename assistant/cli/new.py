"""`leadradial new`: asks for a chart's items in the order they are printed, and writes a checked file."""

import os
import tempfile
from pathlib import Path
from typing import Annotated

import typer

REFUSED = 2
"""Exit status where nothing could be written, or what was written does not hang together yet."""

_EPILOG = """
\b
Each item is asked with its meaning and unit; a bad answer is told why and asked again.
  Enter    leaves out what the chart does not have, and ends a list
  back     goes back to the item before
  Ctrl-C   ends it, and nothing is written

\b
Examples:
  leadradial new my-chart.yaml
  leadradial new my-chart.yaml --force       in place of what is there
  leadradial new my-chart.yaml < answers.txt
"""


def write_new(path: Path, *, force: bool = False) -> int:
    """Ask for everything on standard input, write the file, check it; the exit status."""
    # Heavy, and `leadradial --help` must be instant.
    from assistant.cli.asking import Asking  # noqa: PLC0415  # see above
    from assistant.cli.checked_files import check_files  # noqa: PLC0415  # see above
    from assistant.cli.interview import Interview  # noqa: PLC0415  # see above
    from assistant.procedure.writing import procedure_text  # noqa: PLC0415  # see above

    problem = _refusal(path, force=force)
    if problem:
        # Said before the first question and not after the last.
        typer.echo(problem, err=True)
        return REFUSED
    typer.echo(
        "A new procedure, item by item. Enter leaves out what the chart does not have, back goes back."
    )
    try:
        values = Interview(Asking(input, typer.echo)).procedure()
    except EOFError:
        typer.echo("\nThe answers ended before the chart did; nothing was written.", err=True)
        return REFUSED
    except UnicodeDecodeError:
        typer.echo("\nAn answer was not UTF-8 text; nothing was written.", err=True)
        return REFUSED
    try:
        _write_whole(path, procedure_text(values))
    except OSError as error:
        typer.echo(f"{path}: cannot be written ({error.strerror}).", err=True)
        return REFUSED
    typer.echo(f"\nWritten to {path}. Checked:")
    status = check_files([path], json_output=False)
    if status:
        typer.echo(f"Correct the lines named above in {path}, then: leadradial check {path}")
    return status


def _refusal(path: Path, *, force: bool) -> str:
    """Why a file of that name will not be written; empty where it can be."""
    if path.is_dir():
        return f"{path}: is a folder. Give the name of a file in it."
    if path.exists() and not force:
        return f"{path}: is there already. Give another name, or --force to write over it."
    if not path.parent.is_dir():
        return f"{path.parent}: there is no such folder. Make it first, or give another name."
    if not os.access(path.parent, os.W_OK):
        return f"{path.parent}: cannot be written to. Give a name in another folder."
    return ""


def _write_whole(path: Path, text: str) -> None:
    """Write a file whole or not at all, whatever happens meanwhile."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    written = Path(name)
    try:
        with open(handle, "w", encoding="utf-8") as file:  # noqa: PTH123  # an open handle has no path
            file.write(text)
        # mkstemp keeps others from reading it; a chart is no secret.
        written.chmod(0o644)
        written.replace(path)
    finally:
        written.unlink(missing_ok=True)


def register(app: typer.Typer) -> None:
    """Add the command `new`."""

    @app.command(epilog=_EPILOG)
    def new(
        file: Annotated[Path, typer.Argument(metavar="FILE", help="The procedure file to write.")],
        *,
        force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
    ) -> None:
        """Make a procedure file by answering questions in the order in which charts print things."""
        raise typer.Exit(write_new(file, force=force))
