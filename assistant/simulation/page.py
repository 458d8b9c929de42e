"""One picture of a campaign: every track over the nominal one, every final approach over its slope."""

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from assistant.caution import CAUTION
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.plan import Phase, Plan
from assistant.procedure.model import Procedure
from assistant.simulation.campaign import Flight
from assistant.simulation.report import Report

_FORMATS = (".png", ".pdf", ".svg")
_TRACK, _NOMINAL, _FLOOR = "#3b6ea5", "#202020", "#b03a2e"
_MARGIN_NM = 2.0


class PageError(Exception):
    """A picture that cannot be written, in one sentence with the remedy."""


def draw(
    path: Path, procedure: Procedure, conditions: Conditions, flights: list[Flight], whole: Report
) -> None:
    """Draw the tracks and the profile; PageError where the name or the disk will not do."""
    if path.suffix.lower() not in _FORMATS:
        raise PageError(f"{path}: give a name that ends in {', '.join(_FORMATS)}.")
    plan = compile_plan(procedure, conditions)
    figure = Figure(figsize=(8.27, 11.69), layout="constrained")
    plan_axes, profile_axes = figure.subplots(2, 1, height_ratios=(2.2, 1.0))
    figure.suptitle(f"{procedure.title}: {whole.flights} flights by callouts alone", fontsize=13)
    faint = float(np.clip(8.0 / max(len(flights), 1), 0.03, 0.6))
    _draw_plan(plan_axes, plan, flights, faint)
    _draw_profile(profile_axes, plan, flights, faint)
    kept = "; ".join(f"{limit.name}: {100.0 * limit.share:.1f} %" for limit in whole.limits[:1])
    figure.supxlabel(f"{kept}\n{CAUTION}", fontsize=8)
    try:
        figure.savefig(path, dpi=150)
    except OSError as error:
        raise PageError(f"{path}: {error.strerror or error}. Choose another path.") from error


def _draw_plan(axes: Axes, plan: Plan, flights: list[Flight], faint: float) -> None:
    for flight in flights:
        axes.plot(flight.track.east_nm, flight.track.north_nm, color=_TRACK, alpha=faint, linewidth=0.7)
    easts: list[float] = []
    norths: list[float] = []
    for stage in plan.stages:
        if stage.timeline is None or stage.phase is Phase.ARRIVAL or "early" in stage.name:
            continue
        east = [point.east_nm for point in stage.timeline.points]
        north = [point.north_nm for point in stage.timeline.points]
        axes.plot(east, north, color=_NOMINAL, linewidth=1.0, linestyle="--")
        easts += east
        norths += north
    axes.plot(0.0, 0.0, marker="^", color=_NOMINAL, markersize=7)
    axes.annotate(
        plan.procedure.navaid.ident, (0.0, 0.0), xytext=(6, 6), textcoords="offset points", fontsize=9
    )
    axes.set_xlim(min(easts) - _MARGIN_NM, max(easts) + _MARGIN_NM)
    axes.set_ylim(min(norths) - _MARGIN_NM, max(norths) + _MARGIN_NM)
    axes.set_aspect("equal")
    axes.set_xlabel("NM east of the station (magnetic)", fontsize=9)
    axes.set_ylabel("NM north", fontsize=9)
    axes.set_title("Tracks flown; dashed: the nominal path without wind", fontsize=10)
    axes.grid(alpha=0.25)


def _draw_profile(axes: Axes, plan: Plan, flights: list[Flight], faint: float) -> None:
    for flight in flights:
        axes.plot(flight.track.final_dme_nm, flight.track.final_ft, color=_TRACK, alpha=faint, linewidth=0.7)
    ranges = [point[0] for point in plan.profile]
    axes.plot(ranges, [point[1] for point in plan.profile], color=_NOMINAL, linestyle="--", linewidth=1.0)
    final = plan.stage("final")
    if final.timeline is not None:
        for floor in final.floors:
            begin_s = 0.0 if floor is final.floors[0] else final.floors[final.floors.index(floor) - 1].until_s
            end_s = min(floor.until_s, plan.threshold_s)
            shown = (final.timeline.at(begin_s).dme_nm, final.timeline.at(end_s).dme_nm)
            axes.plot(shown, (floor.altitude_ft,) * 2, color=_FLOOR, linewidth=1.8)
    axes.set_xlim(0.0, max(ranges) + 3.0)
    axes.set_ylim(0.0, max(point[1] for point in plan.profile) + 800.0)
    if plan.procedure.is_final_toward_station:
        axes.invert_xaxis()
    axes.set_xlabel("DME, NM", fontsize=9)
    axes.set_ylabel("ft QNH", fontsize=9)
    axes.set_title("Final approach; dashed: the slope, red: floors", fontsize=10)
    axes.grid(alpha=0.25)
