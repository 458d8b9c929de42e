"""Checks procedure files and prints what was found: does each load, does its chart hang together."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import typer

from assistant.cli.plan_table import plan_as_json, plan_of, print_plan
from assistant.engine.plan import Plan, PlanError
from assistant.preferences.settings import Settings
from assistant.procedure.check import check_procedure
from assistant.procedure.findings import Finding, ProcedureError, Result, Severity
from assistant.procedure.load import LoadedProcedure, read_procedure
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


def check_files(paths: Sequence[Path], *, json_output: bool, day: Settings | None = None) -> int:
    """
    Check files and print what was found; 0, or 2 where any of them cannot be flown as it is.

    `day` asks for the chain of events as well: that of a sound file flown on such a day.
    """
    checked = [check_file(path) for path in paths]
    plans = [None if day is None else _planned(item, day) for item in checked]
    if json_output:
        printed = [_as_json(item, plan) for item, plan in zip(checked, plans, strict=True)]
        typer.echo(json.dumps(printed, indent=2, ensure_ascii=False))
    else:
        for item, plan in zip(checked, plans, strict=True):
            _print(item)
            if isinstance(plan, Plan):
                print_plan(plan)
            elif plan is not None:
                typer.echo(f"{item.file}: {plan}")
    is_planned = not any(isinstance(plan, str) for plan in plans)
    return 0 if is_planned and all(item.is_sound for item in checked) else FOUND_ERRORS


def _planned(item: CheckedFile, day: Settings) -> Plan | str:
    """The plan of a sound file, or why there is none, in a line."""
    if item.loaded is None or not item.is_sound:
        return "no chain of events: correct what was found first."
    try:
        return plan_of(item.loaded.procedure, day)
    except PlanError as error:
        return f"{str(error).rstrip('.')}."


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


def _as_json(item: CheckedFile, plan: Plan | str | None) -> dict[str, object]:
    checked: dict[str, object] = {
        "file": item.file,
        "sound": item.is_sound,
        "findings": [asdict(finding) for finding in item.findings],
        "results": [asdict(result) for result in item.results],
    }
    if plan is not None:
        checked["plan"] = plan_as_json(plan) if isinstance(plan, Plan) else {"problem": plan}
    return checked
