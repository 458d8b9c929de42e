"""
The profile: the final approach from the side, against the distance to the threshold.

Heights are exaggerated; the scale below is what the set reads there. Floors are steps that one may not go
below, the slope is the published one, the minimum the one of today's category.
"""

from collections.abc import Iterable, Iterator

from matplotlib.axes import Axes

from assistant.briefing.content import Brief
from assistant.briefing.descent import final_groundspeed_kt, final_timeline, missed_point_s
from assistant.briefing.labels import Label, Line, Placer
from assistant.briefing.levels import Levels
from assistant.briefing.style import FAINT, GROUND, INK, LINE_COLOURS, MISSED, SOFT
from assistant.briefing.tracks import Kind
from assistant.briefing.words import miles
from assistant.engine.plan import Plan
from assistant.engine.triggers import DmeReached

_BEFORE_NM = 1.3
_BEYOND_NM = 0.9
_SLOPE = LINE_COLOURS[Kind.APPROACH]


def draw_profile(axes: Axes, plan: Plan, brief: Brief, *, clear_of: Iterable[Line] = ()) -> None:
    """
    Draw the profile; the axes' box must have its final size, since the labels follow from it.

    `clear_of`: lines (NM along, ft) drawn over it afterwards, which labels are to leave free as well.
    """
    side = _Side(plan)
    runway = plan.procedure.runway
    top_ft = max(side.faf_ft, *(floor.altitude_ft for floor in side.stage.floors))
    bottom_ft = runway.threshold_elevation_ft - 0.14 * (top_ft - runway.threshold_elevation_ft)
    axes.set_xlim(*extent_nm(plan))
    axes.set_ylim(bottom_ft, top_ft + 0.3 * (top_ft - bottom_ft))
    axes.set_yticks([])
    for name in ("top", "left", "right", "bottom"):
        axes.spines[name].set_visible(False)
    _ranges(axes, side)
    placer = Placer(axes=axes)
    _ground(axes, side, bottom_ft)
    _slope(axes, placer, side)
    _minimum(axes, placer, side)
    _missed(axes, placer, side)
    for line in clear_of:
        placer.avoid_line(line)
    placer.put(_labels(side, brief))


def extent_nm(plan: Plan) -> tuple[float, float]:
    """From where to where the profile goes, NM along the final track from the threshold."""
    return -_Side(plan).faf_nm - _BEFORE_NM, _BEYOND_NM


class _Side:
    """The final approach seen from the side: distances from the threshold, negative before it, in NM."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.stage, self.timeline = final_timeline(plan)
        self.groundspeed_kt = final_groundspeed_kt(plan)
        self.levels = Levels(plan)
        self.faf_nm = plan.threshold_s * self.groundspeed_kt / 3600.0
        runway = plan.procedure.runway
        self.over_ft = runway.threshold_elevation_ft + runway.threshold_crossing_height_ft
        self.faf_ft = self.stage.floor_until_established_ft or self.due_ft(-self.faf_nm)
        self.missed_nm = self.along_nm(missed_point_s(plan))
        self.vdp_nm = -(plan.minimum_ft - self.over_ft) / plan.final_gradient_ft_per_nm

    def along_nm(self, at_s: float) -> float:
        """The distance of a moment of the final's nominal flight."""
        return (at_s - self.plan.threshold_s) * self.groundspeed_kt / 3600.0

    def due_ft(self, along_nm: float) -> float:
        """The altitude of the slope at a distance."""
        return self.over_ft - along_nm * self.plan.final_gradient_ft_per_nm

    def floors(self) -> Iterator[tuple[float, float, float, str]]:
        """Each floor as from, to, altitude, and the name of what ends it."""
        from_nm = -self.faf_nm
        for floor in self.stage.floors:
            to_nm = min(self.along_nm(floor.until_s), self.missed_nm)
            if to_nm > from_nm:
                yield from_nm, to_nm, floor.altitude_ft, floor.name
            from_nm = max(from_nm, to_nm)


def _ranges(axes: Axes, side: _Side) -> None:
    """The range scale: whole miles as the set reads them, where they come on the final track."""
    low_nm = axes.get_xlim()[0]
    closing = (
        side.timeline.dmes_nm[-1] < side.timeline.dmes_nm[0] or side.plan.procedure.is_final_toward_station
    )
    ticks: dict[float, str] = {}
    for mile in range(61):
        at_s = side.timeline.when(DmeReached(dme_nm=float(mile), closing=closing))
        if at_s is not None and at_s > 0.0 and low_nm < side.along_nm(at_s) <= 0.0:
            ticks[side.along_nm(at_s)] = f"{mile}"
    axes.set_xticks(list(ticks), list(ticks.values()), fontsize=8, color=SOFT)
    axes.tick_params(axis="x", length=3.0, color=FAINT, pad=1.0)
    axes.text(1.0, -0.02, "DME", transform=axes.transAxes, fontsize=8, color=SOFT, ha="right", va="top")


def _ground(axes: Axes, side: _Side, bottom_ft: float) -> None:
    """Floors as steps on the ground, the runway, the altitude before the final approach fix."""
    before_nm = axes.get_xlim()[0]
    steps = [(before_nm, -side.faf_nm, side.faf_ft, ""), *side.floors()]
    for from_nm, to_nm, altitude_ft, _ in steps:
        axes.fill_between([from_nm, to_nm], bottom_ft, altitude_ft, color=GROUND, alpha=0.65, linewidth=0.0)
        axes.plot([from_nm, to_nm], [altitude_ft, altitude_ft], color="#857a63", linewidth=1.2, zorder=3)
    elevation_ft = side.plan.procedure.runway.threshold_elevation_ft
    axes.plot(
        [0.0, _BEYOND_NM], [elevation_ft, elevation_ft], color=INK, linewidth=5.0, solid_capstyle="butt"
    )
    axes.axhline(elevation_ft, color=FAINT, linewidth=0.6, zorder=0)


def _slope(axes: Axes, placer: Placer, side: _Side) -> None:
    """Level to the final approach fix, then down the slope; dotted below the minimum."""
    start_nm = -side.faf_nm
    before_nm = axes.get_xlim()[0]
    reach_nm = side.vdp_nm
    start_ft = side.due_ft(start_nm)
    axes.plot([before_nm, start_nm], [side.faf_ft, side.faf_ft], color=_SLOPE, linewidth=2.2, zorder=5)
    axes.plot(
        [start_nm, reach_nm],
        [max(side.faf_ft, start_ft), side.due_ft(reach_nm)],
        color=_SLOPE,
        linewidth=2.2,
        zorder=5,
    )
    axes.plot(
        [reach_nm, 0.0],
        [side.due_ft(reach_nm), side.over_ft],
        color=_SLOPE,
        linewidth=1.4,
        linestyle=(0, (2, 2)),
        zorder=5,
    )
    axes.plot([start_nm], [max(side.faf_ft, start_ft)], marker="^", color=INK, markersize=7, zorder=6)
    for line in (
        [(before_nm, side.faf_ft), (start_nm, side.faf_ft)],
        [(start_nm, start_ft), (0.0, side.over_ft)],
    ):
        placer.avoid_line(line)


def _minimum(axes: Axes, placer: Placer, side: _Side) -> None:
    minimum_ft, from_nm = side.plan.minimum_ft, side.vdp_nm
    axes.plot(
        [min(from_nm, side.missed_nm), side.missed_nm],
        [minimum_ft, minimum_ft],
        color=_SLOPE,
        linewidth=1.6,
        zorder=5,
    )
    placer.avoid_line([(from_nm, minimum_ft), (side.missed_nm, minimum_ft)])
    if from_nm < side.missed_nm:
        axes.plot(
            [from_nm],
            [minimum_ft],
            marker="D",
            markersize=5,
            markerfacecolor="white",
            markeredgecolor=INK,
            zorder=6,
        )
    for from_nm, to_nm, altitude_ft, _ in side.floors():
        placer.avoid_line([(from_nm, altitude_ft), (to_nm, altitude_ft)])


def _missed(axes: Axes, placer: Placer, side: _Side) -> None:
    """The climb from the missed approach point, as a direction only."""
    minimum_ft = side.plan.minimum_ft
    low_ft, high_ft = axes.get_ylim()
    end = (min(side.missed_nm + 1.0, _BEYOND_NM), minimum_ft + 0.42 * (high_ft - low_ft))
    axes.annotate(
        "",
        xy=end,
        xytext=(side.missed_nm, minimum_ft),
        arrowprops={"arrowstyle": "-|>", "color": MISSED, "linestyle": (0, (5, 3)), "linewidth": 1.6},
        zorder=5,
    )
    axes.plot([side.missed_nm], [minimum_ft], marker="o", markersize=5, color=MISSED, zorder=6)
    placer.avoid_line([(side.missed_nm, minimum_ft), end])


def _labels(side: _Side, brief: Brief) -> Iterator[Label]:
    plan = side.plan
    faf = plan.procedure.fix(plan.procedure.final.from_fix)
    where = "" if faf.radial_deg is None else f" {miles(faf.dme_nm)}"
    yield Label(
        x=-side.faf_nm, y=side.faf_ft, text=f"{faf.ident}{where}\n{side.levels.shown(side.faf_ft)}", bold=True
    )
    yield Label(
        x=side.vdp_nm,
        y=plan.minimum_ft,
        text=f"{brief.minima.minimum}",
        size_pt=11.0,
        bold=True,
        colour=_SLOPE,
    )
    yield Label(x=0.0, y=side.over_ft, text=f"runway {brief.runway.ident}")
    if brief.runway.vdp_dme_nm is not None:
        yield Label(x=side.vdp_nm, y=plan.minimum_ft, text=f"VDP {miles(brief.runway.vdp_dme_nm)} DME")
    yield Label(
        x=side.missed_nm, y=plan.minimum_ft, text=f"missed appr. point\n{_short(brief)}", colour=MISSED
    )
    for _, to_nm, altitude_ft, name in side.floors():
        if to_nm < side.missed_nm - 0.01:
            yield Label(
                x=to_nm,
                y=altitude_ft,
                text=f"{side.levels.shown(altitude_ft)}\nuntil {name}",
                colour="#6b6049",
            )
    middle_nm = (-side.faf_nm + side.vdp_nm) / 2.0
    yield Label(
        x=middle_nm,
        y=side.due_ft(middle_nm),
        text=f"{brief.descent.angle_deg:.2f}°",
        colour=_SLOPE,
        bold=True,
    )


def _short(brief: Brief) -> str:
    return brief.runway.missed_point.partition(" (")[0]
