"""
The plan view: today's ground tracks to scale, magnetic north up, the station at the origin.

Everything is laid out in nautical miles with equal scales. What is flown is drawn thick and in colour, what
it is flown by (radials, ranges, areas) thin and pale; today's lead radial stands beside the published one.
"""

from collections.abc import Iterable
from itertools import pairwise

from matplotlib.axes import Axes
from matplotlib.patches import Circle

from assistant.briefing.content import Brief
from assistant.briefing.insets import draw_insets
from assistant.briefing.labels import Label, Line, Placer
from assistant.briefing.levels import Levels
from assistant.briefing.style import AREA, FAINT, INK, LINE_COLOURS, MISSED, PALE, SOFT
from assistant.briefing.tracks import Kind, Track, tracks
from assistant.briefing.words import degrees, miles
from assistant.engine.advice import threshold_point
from assistant.engine.plan import Phase, Plan
from assistant.engine.today import Today
from assistant.nav.geometry import PlanePoint, distance_nm, move, plane_from_polar, polar_from_plane
from assistant.procedure.layout import fix_point
from assistant.procedure.model import FixRole

_STATION = PlanePoint(0.0, 0.0)
_MARGIN = 0.09
_M_PER_NM = 1852.0
_SHORTEST_RUNWAY_NM = 0.9
_RINGS_NM = (1.0, 2.0, 5.0, 10.0, 20.0)
_FEWEST_RINGS = 2
_RING_LABELS_AT_DEG = (
    90.0,
    270.0,
    180.0,
    0.0,
    135.0,
    225.0,
    45.0,
    315.0,
    110.0,
    250.0,
    200.0,
    160.0,
    20.0,
    340.0,
)


def draw_plan(axes: Axes, plan: Plan, brief: Brief, *, clear_of: Iterable[Line] = ()) -> None:
    """
    Draw the plan view; the axes' box must have its final size, since scale and labels follow from it.

    `clear_of`: lines (east, north; NM) drawn over it afterwards, which labels are to leave free as well.
    """
    flown = tracks(plan)
    _frame(axes, plan, flown)
    placer = Placer(axes=axes)
    _areas(axes, placer, plan)
    _references(axes, plan, brief)
    for track in flown:
        _draw_track(axes, placer, track)
    for line in clear_of:
        placer.avoid_line(line)
    _runway(axes, placer, plan)
    _places(axes, placer, plan)
    draw_insets(axes, placer, plan, brief)
    placer.put(_labels(axes, plan, brief, flown))
    _rings(axes, placer)


def _frame(axes: Axes, plan: Plan, flown: tuple[Track, ...]) -> None:
    """Limits round all that is flown, filled up to the shape of the box so that both scales are one."""
    points = [point for track in flown for point in track.line] + [_STATION]
    points += [fix_point(plan.procedure, fix.ident) for fix in plan.procedure.fixes]
    east = [point.east_nm for point in points]
    north = [point.north_nm for point in points]
    box = axes.get_window_extent()
    width_nm = (max(east) - min(east)) * (1.0 + 2.0 * _MARGIN)
    height_nm = (max(north) - min(north)) * (1.0 + 2.0 * _MARGIN)
    nm_per_pt = max(width_nm / box.width, height_nm / box.height)
    middle_east, middle_north = (max(east) + min(east)) / 2.0, (max(north) + min(north)) / 2.0
    axes.set_xlim(middle_east - nm_per_pt * box.width / 2.0, middle_east + nm_per_pt * box.width / 2.0)
    axes.set_ylim(middle_north - nm_per_pt * box.height / 2.0, middle_north + nm_per_pt * box.height / 2.0)
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_color(FAINT)


def _rings(axes: Axes, placer: Placer) -> None:
    """Range rings about the station, at the widest spacing that still shows a few of them."""
    (low_east, high_east), (low_north, high_north) = axes.get_xlim(), axes.get_ylim()
    farthest = max(abs(low_east), abs(high_east), abs(low_north), abs(high_north))
    nearest_half = min(high_east - low_east, high_north - low_north) / 2.0
    spacing_nm = max(
        (step for step in _RINGS_NM if nearest_half / step >= _FEWEST_RINGS), default=_RINGS_NM[0]
    )
    for number in range(1, int(1.5 * farthest / spacing_nm) + 1):
        axes.add_patch(
            Circle((0.0, 0.0), number * spacing_nm, fill=False, color=PALE, linewidth=0.6, zorder=0)
        )
        for bearing_deg in _RING_LABELS_AT_DEG:
            point = plane_from_polar(bearing_deg, number * spacing_nm)
            if placer.is_free(point.east_nm, point.north_nm, 16.0, 11.0):
                axes.text(
                    point.east_nm,
                    point.north_nm,
                    f"{number * spacing_nm:.0f}",
                    fontsize=8,
                    color=SOFT,
                    ha="center",
                    va="center",
                    zorder=1,
                    bbox={"boxstyle": "square,pad=0.05", "facecolor": "white", "linewidth": 0.0},
                )
                break


def _areas(axes: Axes, placer: Placer, plan: Plan) -> None:
    low_nm, high_nm = axes.get_xlim()
    pt_per_nm = axes.get_window_extent().width / (high_nm - low_nm)
    for area in plan.procedure.areas:
        centre = plane_from_polar(area.radial_deg, area.dme_nm)
        axes.add_patch(
            Circle(
                (centre.east_nm, centre.north_nm),
                area.radius_nm,
                facecolor="none",
                edgecolor=AREA,
                hatch="////",
                linewidth=0.9,
                alpha=0.55,
                zorder=1,
            )
        )
        placer.avoid_disc(centre.east_nm, centre.north_nm, area.radius_nm * pt_per_nm)


def _references(axes: Axes, plan: Plan, brief: Brief) -> None:
    """What the flight is steered by: the arc's circle, lead radials, the final course drawn out."""
    for arc in brief.arcs:
        ground_nm = _arc_ground_nm(plan, arc.arc_dme_nm)
        axes.add_patch(Circle((0.0, 0.0), ground_nm, fill=False, color=FAINT, linewidth=0.8, zorder=1))
        if arc.published_lead_radial_deg is not None:
            _radial(axes, arc.published_lead_radial_deg, ground_nm, "#7d8590", (0, (2, 2)))
        _radial(axes, arc.lead_radial_deg, ground_nm, LINE_COLOURS[Kind.APPROACH], (0, (6, 2, 1, 2)))
    final = plan.procedure.final
    start = fix_point(plan.procedure, final.from_fix)
    far = move(start, final.course_mag_deg + 180.0, 6.0)
    axes.plot(
        [far.east_nm, start.east_nm], [far.north_nm, start.north_nm], color="#9fb3c8", linewidth=0.8, zorder=1
    )


def _radial(
    axes: Axes, radial_deg: float, ground_nm: float, colour: str, dashes: tuple[int, tuple[int, ...]]
) -> None:
    near, far = plane_from_polar(radial_deg, 0.45 * ground_nm), plane_from_polar(radial_deg, 1.12 * ground_nm)
    axes.plot(
        [near.east_nm, far.east_nm],
        [near.north_nm, far.north_nm],
        color=colour,
        linewidth=1.0,
        linestyle=dashes,
        zorder=2,
    )


def _draw_track(axes: Axes, placer: Placer, track: Track) -> None:
    east = [point.east_nm for point in track.line]
    north = [point.north_nm for point in track.line]
    missed = track.kind is Kind.MISSED
    axes.plot(
        east,
        north,
        color=LINE_COLOURS[track.kind],
        linewidth=1.6 if missed else 2.2,
        linestyle=(0, (5, 3)) if missed else "solid",
        solid_capstyle="round",
        zorder=3 if missed else 4,
    )
    placer.avoid_line([(point.east_nm, point.north_nm) for point in track.line])
    _arrow(axes, track)


def _arrow(axes: Axes, track: Track) -> None:
    """An arrow head where two thirds of the stage are flown."""
    lengths = [distance_nm(a, b) for a, b in pairwise(track.line)]
    goal_nm, gone_nm = sum(lengths) * 0.66, 0.0
    for (a, b), length_nm in zip(pairwise(track.line), lengths, strict=True):
        gone_nm += length_nm
        if gone_nm >= goal_nm and length_nm > 0.0:
            axes.annotate(
                "",
                xy=(b.east_nm, b.north_nm),
                xytext=(a.east_nm, a.north_nm),
                arrowprops={"arrowstyle": "-|>", "color": LINE_COLOURS[track.kind], "linewidth": 1.0},
                zorder=4,
            )
            return


def _runway(axes: Axes, placer: Placer, plan: Plan) -> None:
    """To scale, but not shorter than can be seen."""
    runway, threshold = plan.procedure.runway, threshold_point(plan)
    length_nm = max((runway.length_m or 0.0) / _M_PER_NM, _SHORTEST_RUNWAY_NM)
    end = move(threshold, runway.course_mag_deg, length_nm)
    line = ([threshold.east_nm, end.east_nm], [threshold.north_nm, end.north_nm])
    axes.plot(*line, color=INK, linewidth=5.0, solid_capstyle="butt", zorder=6.5)
    axes.plot(*line, color="white", linewidth=0.8, linestyle=(0, (3, 3)), zorder=6.6)
    placer.avoid_line([(threshold.east_nm, threshold.north_nm), (end.east_nm, end.north_nm)])


def _places(axes: Axes, placer: Placer, plan: Plan) -> None:
    placer.avoid_disc(0.0, 0.0, 7.0)
    axes.plot(0.0, 0.0, marker="h", markersize=12, markerfacecolor="white", markeredgecolor=INK, zorder=6)
    axes.plot(0.0, 0.0, marker="o", markersize=2.5, color=AREA, zorder=6.8)
    for fix in plan.procedure.fixes:
        if fix.radial_deg is None:
            continue
        point = fix_point(plan.procedure, fix.ident)
        placer.avoid_disc(point.east_nm, point.north_nm, 3.5)
        filled = FixRole.FAF in fix.roles
        axes.plot(
            point.east_nm,
            point.north_nm,
            marker="^",
            markersize=6.5,
            markerfacecolor=INK if filled else "white",
            markeredgecolor=INK,
            zorder=6,
        )


def _labels(axes: Axes, plan: Plan, brief: Brief, flown: tuple[Track, ...]) -> Iterable[Label]:
    """Fixes first, then what is flown, then the surroundings."""
    navaid = plan.procedure.navaid
    tuned = (
        f"{navaid.frequency_mhz:.2f}"
        if navaid.frequency_mhz and navaid.kind != "tacan"
        else str(navaid.channel)
    )
    yield Label(x=0.0, y=0.0, text=f"{navaid.ident} {tuned}", size_pt=9.0, bold=True)
    for fix in plan.procedure.fixes:
        if fix.radial_deg is not None:
            point = fix_point(plan.procedure, fix.ident)
            text = f"{fix.ident}\n{degrees(fix.radial_deg)}/{miles(fix.dme_nm)}"
            yield Label(x=point.east_nm, y=point.north_nm, text=text, bold=True)
    for arc in brief.arcs:
        ground_nm = _arc_ground_nm(plan, arc.arc_dme_nm)
        tip = plane_from_polar(arc.lead_radial_deg, 1.1 * ground_nm)
        published = arc.published_lead_radial_deg
        beside = f"\npublished {degrees(published)}" if published is not None else ""
        yield Label(
            x=tip.east_nm,
            y=tip.north_nm,
            text=f"lead {degrees(arc.lead_radial_deg)}{beside}",
            bold=True,
            colour=LINE_COLOURS[Kind.APPROACH],
        )
    levels = Levels(plan)
    for track in flown:
        label = _track_label(levels, plan, track)
        if label is not None:
            yield label
    for area in plan.procedure.areas:
        centre = plane_from_polar(area.radial_deg, area.dme_nm)
        (low_east, high_east), (low_north, high_north) = axes.get_xlim(), axes.get_ylim()
        if low_east < centre.east_nm < high_east and low_north < centre.north_nm < high_north:
            yield Label(x=centre.east_nm, y=centre.north_nm, text=area.ident, colour=AREA)


def _track_label(levels: Levels, plan: Plan, track: Track) -> Label | None:
    """What is flown along a stage: course or arc, and its floor."""
    stage = track.stage
    middle = track.line[len(track.line) // 2]
    floor_ft = stage.floors[0].altitude_ft if stage.floors else None
    if stage.phase is Phase.MISSED and stage.target_ft is not None and stage.name == plan.missed:
        text = f"climb {levels.shown(stage.target_ft)}"
    elif stage.arc is not None and floor_ft is not None:
        text = f"{miles(stage.arc.arc_dme_nm)} DME arc\n{levels.shown(floor_ft)}"
    elif stage.name == "hold_inbound" and stage.course is not None and floor_ft is not None:
        middle = track.line[-2] if len(track.line) < 9 else track.line[-8]
        text = f"{degrees(stage.course.course_mag_deg)}° in\n{levels.shown(floor_ft)}"
    elif stage.name == "hold_outbound" and stage.timeline is not None:
        text = f"out {degrees(levels.called_heading_deg(stage.timeline.headings_deg[-1]))}"
    elif stage.phase in (Phase.INITIAL, Phase.INTERMEDIATE, Phase.FINAL) and floor_ft is not None:
        course = stage.course.course_mag_deg if stage.course is not None else None
        if course is None and stage.timeline is not None:
            course = polar_from_plane(_step(track)).radial_deg
        text = f"{degrees(course or 0.0)}°" + (
            "" if stage.phase is Phase.FINAL else f" {levels.shown(floor_ft)}"
        )
    else:
        return None
    colour = MISSED if track.kind is Kind.MISSED else LINE_COLOURS[track.kind]
    return Label(x=middle.east_nm, y=middle.north_nm, text=text, colour=colour)


def _step(track: Track) -> PlanePoint:
    """The last step of a track, as a displacement: its direction is the track made good."""
    a, b = track.line[-2], track.line[-1]
    return PlanePoint(b.east_nm - a.east_nm, b.north_nm - a.north_nm)


def _arc_ground_nm(plan: Plan, arc_dme_nm: float) -> float:
    stage = next(stage for stage in plan.stages if stage.arc is not None)
    altitude_ft = stage.target_ft or 0.0
    return Today(procedure=plan.procedure, conditions=plan.conditions).ground_nm(arc_dme_nm, altitude_ft)
