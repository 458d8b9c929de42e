"""`leadradial check`: does a procedure file load, does its chart hang together? And `leadradial schema`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from assistant.cli.conditions_options import takes_conditions
from assistant.cli.errors import UserError

if TYPE_CHECKING:  # heavy; see conditions_options
    from assistant.preferences.settings import Settings

_CHECK_EPILOG = """
Exit status 0, or 2 where a file cannot be flown as it is; warnings are for you to judge.

\b
Examples:
  leadradial check procedures/*.yaml
  leadradial check procedures/skarrow-tacan-24.yaml --json
  leadradial check procedures/skarrow-tacan-24.yaml --plan
  leadradial check procedures/skarrow-tacan-24.yaml --plan --wind 250/15 --category D
"""

_SCHEMA_EPILOG = """
\b
Examples:
  leadradial schema --write procedures/procedure.schema.json
  leadradial schema --reference
The first line of a procedure file tells an editor where the schema is:
  # yaml-language-server: $schema=procedure.schema.json
"""


def register(app: typer.Typer) -> None:
    """Add the commands `check` and `schema`."""
    app.command(epilog=_CHECK_EPILOG)(check)
    app.command(epilog=_SCHEMA_EPILOG)(schema)


@takes_conditions
def check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE", help="Procedure files.")],
    *,
    json_output: Annotated[bool, typer.Option("--json", help="Print what was found as JSON.")] = False,
    plan: Annotated[
        bool, typer.Option("--plan", help="Print the chain of events too; the flags below are for it.")
    ] = False,
    day: "Settings",
) -> None:
    """Check procedure files: keys and values, and whether the chart hangs together."""
    from assistant.cli.checked_files import check_files  # noqa: PLC0415  # heavy; --help must be instant
    from assistant.preferences.settings import Settings  # noqa: PLC0415  # heavy

    if not plan and day != Settings():
        raise UserError("The day's conditions need --plan; a chart is checked for a standard day.")
    raise typer.Exit(check_files(files, json_output=json_output, day=day if plan else None))


def schema(
    *,
    write: Annotated[
        Path | None, typer.Option("--write", metavar="OUT.json", help="Write it to this file.")
    ] = None,
    reference: Annotated[bool, typer.Option("--reference", help="Every key in Markdown instead.")] = False,
) -> None:
    """Print the JSON Schema of procedure files, for editors."""
    from assistant.procedure.reference import field_reference  # noqa: PLC0415  # heavy; see above
    from assistant.procedure.schema import schema_text  # noqa: PLC0415  # heavy

    text = field_reference() if reference else schema_text()
    if write is None:
        typer.echo(text, nl=False)
        return
    try:
        write.write_text(text, encoding="utf-8")
    except OSError as error:
        typer.echo(f"{write}: cannot be written ({error.strerror})", err=True)
        raise typer.Exit(1) from None
