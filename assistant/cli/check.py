"""`leadradial check`: does a procedure file load, does its chart hang together? And `leadradial schema`."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Annotated

import typer

from assistant.procedure.check import check_procedure
from assistant.procedure.findings import Finding, ProcedureError, Result, Severity
from assistant.procedure.load import LoadedProcedure, read_procedure
from assistant.procedure.reference import field_reference
from assistant.procedure.schema import schema_text
from assistant.procedure.yaml12 import LONGEST_TEXT

FOUND_ERRORS = 2
"""Exit status when a file cannot be flown as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedFile:
    """One file with all that was found; `loaded` is None where it could not be read as a procedure."""

    file: str
    loaded: LoadedProcedure | None
    findings: tuple[Finding, ...]
    results: tuple[Result, ...] = ()

    @property
    def is_sound(self) -> bool:
        """Whether it can be flown: warnings do not stop it."""
        return all(finding.severity is Severity.WARNING for finding in self.findings)


def check_file(path: Path) -> CheckedFile:
    """Read and check one file; never raises for what a file may hold, or for a file that is not there."""
    name = str(path)
    try:
        loaded = read_procedure(read_text(path), name)
    except ProcedureError as error:
        return CheckedFile(file=name, loaded=None, findings=error.findings)
    checked = check_procedure(loaded.procedure)
    return CheckedFile(
        file=name,
        loaded=loaded,
        findings=tuple(loaded.finding(remark) for remark in checked.remarks),
        results=checked.results,
    )


def read_text(path: Path) -> str:
    """The text of a procedure file; ProcedureError where there is none to read."""
    try:
        # One byte more than the loader takes is enough for it to refuse the file; a device file never ends.
        with path.open("rb") as file:
            return file.read(4 * LONGEST_TEXT + 1).decode("utf-8-sig")
    except UnicodeDecodeError:
        problem, remedy = "not UTF-8 text", "give a procedure file in YAML, saved as UTF-8"
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        problem, remedy = f"cannot be read ({reason})", "check the name and the permissions"
    finding = Finding(file=str(path), line=1, field="", problem=problem, remedy=remedy)
    raise ProcedureError((finding,))


def check_files(paths: Sequence[Path], json_output: bool, show_plan: bool = False) -> int:
    """Check files and print what was found; 0, or 2 where any of them cannot be flown as it is."""
    checked = [check_file(path) for path in paths]
    if json_output:
        typer.echo(json.dumps([_as_json(item) for item in checked], indent=2, ensure_ascii=False))
    else:
        for item in checked:
            _print(item)
    if show_plan:
        # The plan needs the engine, which a check alone does not.
        from assistant.cli.plan_table import print_plan  # noqa: PLC0415 - loaded only when asked for

        for item in checked:
            if item.loaded is not None:
                print_plan(item.loaded.procedure)
    return 0 if all(item.is_sound for item in checked) else FOUND_ERRORS


def _print(item: CheckedFile) -> None:
    if item.loaded is not None:
        typer.echo(f"{item.file}: {item.loaded.procedure.title}")
        width = max((len(result.subject) for result in item.results), default=0)
        for result in item.results:
            typer.echo(f"  {result.subject:{width}}  {result.text}")
    for finding in item.findings:
        typer.echo(str(finding))
    if item.loaded is not None:
        warnings = len(item.findings)
        state = "hangs together" if item.is_sound else "cannot be flown as it is"
        typer.echo(
            f"{item.file}: {state}" + (f" ({warnings} to look at)" if item.is_sound and warnings else "")
        )


def _as_json(item: CheckedFile) -> dict[str, object]:
    return {
        "file": item.file,
        "sound": item.is_sound,
        "findings": [asdict(finding) for finding in item.findings],
        "results": [asdict(result) for result in item.results],
    }


def register(app: typer.Typer) -> None:
    """Add the commands `check` and `schema`."""

    @app.command()
    def check(
        files: Annotated[list[Path], typer.Argument(help="Procedure files.")],
        json_output: Annotated[bool, typer.Option("--json", help="Print findings as JSON.")] = False,
        plan: Annotated[bool, typer.Option("--plan", help="Print the chain of events as a table.")] = False,
    ) -> None:
        """Check procedure files: keys and values, and whether the chart hangs together."""
        raise typer.Exit(check_files(files, json_output, plan))

    @app.command()
    def schema(
        write: Annotated[Path | None, typer.Option("--write", help="Write it to this file.")] = None,
        reference: Annotated[
            bool, typer.Option("--reference", help="Every key in Markdown instead.")
        ] = False,
    ) -> None:
        """Print the JSON Schema of procedure files, for editors."""
        text = field_reference() if reference else schema_text()
        if write is None:
            typer.echo(text, nl=False)
            return
        try:
            write.write_text(text, encoding="utf-8")
        except OSError as error:
            typer.echo(f"{write}: cannot be written ({error.strerror})", err=True)
            raise typer.Exit(1) from None
