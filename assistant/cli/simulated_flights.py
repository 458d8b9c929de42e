"""Flies a campaign for `leadradial simulate` and prints what it shows."""

import json
from dataclasses import asdict, replace
from pathlib import Path

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table

from assistant.caution import CAUTION
from assistant.cli.errors import UserError
from assistant.cli.inputs import read_procedure_file
from assistant.engine.compiler import compile_plan
from assistant.engine.plan import PlanError
from assistant.preferences.settings import Settings
from assistant.simulation.campaign import Campaign, Flight, fly_campaign
from assistant.simulation.models import MODELS, ModelError, check_model
from assistant.simulation.report import Report, report

_FEW = 10
_WORST = 12


def run(
    file: Path,
    day: Settings,
    *,
    flights: int,
    seed: int,
    model: str,
    wind_is_random: bool,
    still_air: bool,
    cores: int | None,
    page: Path | None,
    logs: Path | None,
    as_json: bool,
) -> None:
    """Fly, report, draw; UserError where the procedure, the day or the model will not do."""
    if model not in MODELS:
        raise UserError(f"--model: {model!r} is none; choose {' or '.join(MODELS)}.")
    try:
        check_model(model)
    except ModelError as error:
        raise UserError(str(error)) from None
    procedure, text = read_procedure_file(file)
    conditions = day.conditions(procedure)
    try:
        compile_plan(procedure, replace(conditions, wind=()) if wind_is_random else conditions)
    except PlanError as error:
        raise UserError(f"{str(error).rstrip('.')}.") from None
    campaign = Campaign(
        procedure=procedure,
        conditions=conditions,
        flights=flights,
        seed=seed,
        wind_is_random=wind_is_random,
        any_category=day.category is None,
        still_air=still_air,
        model=model,
        keeps_records=logs is not None,
    )
    flown = _with_progress(campaign, cores)
    whole = report(
        [flight.measures for flight in flown],
        [flight.still_air for flight in flown if flight.still_air is not None],
    )
    if logs is not None:
        from assistant.cli.simulated_logs import write_logs  # noqa: PLC0415  # not always needed

        written = write_logs(logs, file, text, flown)
        typer.echo(f"{len(written)} flight logs written to {logs}: leadradial debrief {written[0]}", err=True)
    if page is not None:
        from assistant.simulation.page import PageError, draw  # noqa: PLC0415  # loads matplotlib

        try:
            draw(page, procedure, conditions, flown, whole)
        except PageError as error:
            raise UserError(str(error)) from None
        typer.echo(f"{page} written.", err=True)
    if as_json:
        typer.echo(
            json.dumps(
                {"report": asdict(whole), "flights": [asdict(flight.measures) for flight in flown]}, indent=1
            )
        )
    else:
        _print(Console(), flown, whole, title=procedure.title)


def _with_progress(campaign: Campaign, cores: int | None) -> list[Flight]:
    """Fly with a bar on the error stream where someone looks at it."""
    console = Console(stderr=True)
    if campaign.flights < _FEW or not console.is_terminal:
        return fly_campaign(campaign, cores=cores)
    columns = (TextColumn("flying"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task("", total=campaign.flights)
        return fly_campaign(campaign, cores=cores, told=lambda done: progress.update(task, completed=done))


def _print(console: Console, flown: list[Flight], whole: Report, *, title: str) -> None:
    typer.echo(CAUTION)
    ended = ", ".join(f"{count} {name}" for name, count in whole.ended.items())
    typer.echo(f"{title}: {whole.flights} flights by callouts alone: {ended}.\n")
    if len(flown) <= _FEW:
        _print_flights(console, flown)
    limits = Table("limit", "kept", "share", "outside: --seed", title="Limits", title_justify="left")
    for limit in whole.limits:
        kept = f"{limit.kept}/{limit.of}" if limit.of else "none came so far"
        share = f"{100.0 * limit.share:.1f} %" if limit.of else ""
        limits.add_row(limit.name, kept, share, " ".join(map(str, limit.outside)))
    console.print(limits)
    spreads = Table(
        "measure", "1 %", "10 %", "50 %", "90 %", "99 %", "most", title="Distributions", title_justify="left"
    )
    by_stage = {
        f"off the course once established, {name}, NM": spread
        for name, spread in whole.lateral_by_stage_nm.items()
    }
    for name, spread in (whole.spreads | by_stage).items():
        figures = (spread.p1, spread.p10, spread.p50, spread.p90, spread.p99, spread.most)
        spreads.add_row(name, *(_figure(value) for value in figures))
    console.print(spreads)
    if whole.still_air_within is not None:
        typer.echo(
            "Still-air technique, the same cases: within half scale"
            f" {100.0 * whole.still_air_within:.1f} %; median lateral error"
            f" {_times(whole.ratio_lateral)}, hold roll-out error {_times(whole.ratio_rollout)} of ours."
        )
    typer.echo(f"Callouts below the floor in force: {whole.below_floor_callouts}.")
    for title_of, counts in (("Not spoken", whole.unspoken), ("Pilots' slips", whole.slips)):
        if counts:
            listed = "; ".join(f"{name} {count}" for name, count in list(counts.items())[:_WORST])
            typer.echo(f"{title_of}: {listed}.")


def _print_flights(console: Console, flown: list[Flight]) -> None:
    table = Table("seed", "wind", "cat.", "ended", "lateral", "arc NM", "floor ft", "above fix ft", "slips")
    for flight in flown:
        one = flight.measures
        table.add_row(
            str(one.seed),
            f"{one.wind_from_mag_deg:03.0f}/{one.wind_kt:.0f}",
            one.category,
            one.ended,
            _figure(one.lateral_share),
            _figure(one.arc_nm),
            _figure(one.floor_margin_ft),
            _figure(one.above_faf_ft),
            ", ".join(one.slips),
        )
    console.print(table)


def _figure(value: float | None) -> str:
    if value is None:
        return ""
    return f"{value:.2f}" if abs(value) < 10.0 else f"{value:.0f}"


def _times(value: float | None) -> str:
    return "not measured" if value is None else f"{value:.1f} times"
