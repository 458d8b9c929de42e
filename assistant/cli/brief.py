"""`leadradial brief`: the plan for today's conditions, on the screen, as one page, as words or as JSON."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from assistant.cli.conditions_options import takes_conditions

if TYPE_CHECKING:  # heavy; see conditions_options
    from assistant.preferences.settings import Settings

_EPILOG = """
\b
Examples:
  leadradial brief procedures/skarrow-tacan-24.yaml
  leadradial brief procedures/skarrow-tacan-24.yaml --wind 250/15 --qnh 996 --datum qfe
  leadradial brief procedures/skarrow-tacan-24.yaml --category D --speed final=150 --spoken
  leadradial brief procedures/skarrow-tacan-24.yaml --wind 250/15 --page skarrow.pdf
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(brief)


@takes_conditions
def brief(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The procedure.")],
    *,
    page: Annotated[
        list[Path] | None,
        typer.Option(metavar="OUT.html|.pdf|.png", help="Write one page to print or keep. Repeat for more."),
    ] = None,
    spoken: Annotated[bool, typer.Option("--spoken", help="The words of a briefing aloud.")] = False,
    json_output: Annotated[bool, typer.Option("--json", help="The figures as JSON.")] = False,
    day: "Settings",
) -> None:
    """Brief an approach for today's wind, setting and category: headings, altitudes, rates, minima."""
    from assistant.briefing.compose import brief_for  # noqa: PLC0415  # heavy; --help must be instant
    from assistant.cli.errors import UserError  # noqa: PLC0415  # see above
    from assistant.cli.inputs import read_procedure_file, remembered  # noqa: PLC0415  # see above
    from assistant.engine.compiler import compile_plan  # noqa: PLC0415  # see above
    from assistant.engine.plan import PlanError  # noqa: PLC0415  # see above
    from assistant.nav.errors import NoSolution, OutsideValidity  # noqa: PLC0415  # see above

    procedure, _ = read_procedure_file(file)
    conditions = day.over(remembered()).conditions(procedure)
    try:
        plan = compile_plan(procedure, conditions)
        content = brief_for(plan)
    except PlanError as error:
        raise UserError(f"{str(error).rstrip('.')}.") from error
    except (NoSolution, OutsideValidity) as error:
        raise UserError(
            f"{procedure.ident} cannot be briefed for today: {str(error).rstrip('.')}."
        ) from error
    for path in page or ():
        from assistant.briefing.pages import PageError, write_page  # noqa: PLC0415  # loads matplotlib

        try:
            write_page(path, plan, content)
        except PageError as error:
            raise UserError(str(error)) from error
        typer.echo(f"{path} written.", err=True)
    if json_output:
        import json  # noqa: PLC0415  # needed for this alone
        from dataclasses import asdict  # noqa: PLC0415  # see above

        typer.echo(json.dumps(asdict(content), indent=2, ensure_ascii=False))
    elif spoken:
        from assistant.briefing.spoken import spoken_brief  # noqa: PLC0415  # needed for this alone

        typer.echo(spoken_brief(content))
    elif not page:
        from rich.console import Console  # noqa: PLC0415  # needed for this alone

        from assistant.briefing.screen import print_brief  # noqa: PLC0415  # see above

        print_brief(content, Console(highlight=False))
