"""
The flown way drawn over the briefing's plan view and profile, with the events as numbered marks.

The drawings are the briefing's own: what was meant stays in its colours, what was flown lies over it.
"""

from collections.abc import Iterable, Sequence
from math import hypot

from matplotlib.axes import Axes
from matplotlib.transforms import BboxBase

from assistant.briefing.content import Brief
from assistant.briefing.labels import Line
from assistant.briefing.plan_view import draw_plan
from assistant.briefing.profile_view import draw_profile, extent_nm
from assistant.debrief.content import Debrief, EventRow, Place
from assistant.engine.plan import Plan
from assistant.nav.geometry import PlanePoint, along_and_across_nm

FLOWN = "#b3126b"
TRUE = "#f0b6d2"
# Places that are no part of the line reckoned.
_NOT_RECKONED = ("report", "truth")
_MARK_PT = 6.5
_APART_PT = 11.0
_DISC_PT = 5.0
# A gap in time as long as this is no line: the way between was not known.
_GAP_S = 120.0


def draw_flown_plan(axes: Axes, plan: Plan, brief: Brief, made: Debrief) -> None:
    """The plan view, the track on it, the readings as dots and the events as numbers."""
    flown = [
        [(place.east_nm, place.north_nm) for place in line]
        for line in _unbroken(place for place in made.track if place.source not in _NOT_RECKONED)
    ]
    truly = [(place.east_nm, place.north_nm) for place in made.track if place.source == "truth"]
    read = [(place.east_nm, place.north_nm) for place in made.track if place.source == "report"]
    draw_plan(axes, plan, brief, clear_of=flown)
    _draw_truth(axes, truly)
    for line in flown:
        _draw_way(axes, line)
    _draw_readings(axes, read)
    marked = [
        (row, row.east_nm, row.north_nm)
        for row in made.events
        if row.east_nm is not None and row.north_nm is not None
    ]
    _numbers(axes, marked)


def draw_flown_profile(axes: Axes, plan: Plan, brief: Brief, made: Debrief) -> None:
    """The profile of the final approach, and the altitudes flown on it."""
    final = [
        (_along_nm(plan, place.east_nm, place.north_nm), place.altitude_ft, place.source)
        for place in made.track
        if place.altitude_ft is not None and place.t_s >= _final_from_s(made)
    ]
    low_nm, high_nm = extent_nm(plan)
    final = [row for row in final if low_nm <= row[0] <= high_nm]
    flown = [
        (along_nm, altitude_ft) for along_nm, altitude_ft, source in final if source not in _NOT_RECKONED
    ]
    truly = [(along_nm, altitude_ft) for along_nm, altitude_ft, source in final if source == "truth"]
    read = [(along_nm, altitude_ft) for along_nm, altitude_ft, source in final if source == "report"]
    draw_profile(axes, plan, brief, clear_of=[flown])
    _draw_truth(axes, truly)
    _draw_way(axes, flown)
    _draw_readings(axes, read)
    marked = [
        (row, _along_nm(plan, row.east_nm, row.north_nm), row.altitude_ft)
        for row in made.events
        if row.due_s >= _final_from_s(made)
        and row.east_nm is not None
        and row.north_nm is not None
        and row.altitude_ft is not None
    ]
    _numbers(axes, [mark for mark in marked if low_nm <= mark[1] <= high_nm])


def _draw_way(axes: Axes, line: Line) -> None:
    axes.plot([x for x, _ in line], [y for _, y in line], color=FLOWN, linewidth=1.5, zorder=10)


def _draw_truth(axes: Axes, line: Line) -> None:
    axes.plot([x for x, _ in line], [y for _, y in line], color=TRUE, linewidth=3.5, zorder=9)


def _draw_readings(axes: Axes, points: Line) -> None:
    axes.plot(
        [x for x, _ in points],
        [y for _, y in points],
        linestyle="none",
        marker="o",
        markersize=2.8,
        color=FLOWN,
        zorder=11,
    )


def _final_from_s(made: Debrief) -> float:
    """A minute before the final approach fix; the whole flight where it was never reached."""
    reached = [row.due_s for row in made.events if row.name.startswith("final approach fix")]
    return reached[-1] - 60.0 if reached else made.duration_s


def _along_nm(plan: Plan, east_nm: float, north_nm: float) -> float:
    """The distance to the threshold along the final track, as the profile has it: negative before it."""
    final = plan.stage("final")
    if final.timeline is None or final.course is None:
        raise ValueError("the final approach of a plan has a course and a timeline")
    threshold = final.timeline.at(plan.threshold_s).point
    return along_and_across_nm(PlanePoint(east_nm, north_nm), threshold, final.course.course_mag_deg).along_nm


def _unbroken(places: Iterable[Place]) -> list[list[Place]]:
    lines: list[list[Place]] = []
    for place in places:
        if not lines or place.t_s - lines[-1][-1].t_s > _GAP_S:
            lines.append([])
        lines[-1].append(place)
    return lines


def _numbers(axes: Axes, marked: Sequence[tuple[EventRow, float, float]]) -> None:
    """Event numbers in small discs, each moved off the words drawn so far and the discs before it."""
    taken: list[tuple[float, float]] = []
    frame = axes.get_window_extent()
    words = [text.get_window_extent() for text in axes.texts if text.get_text()]
    to_figure, to_data = axes.transData, axes.transData.inverted()
    for row, x, y in marked:
        at = to_figure.transform((x, y))
        place = (float(at[0]), float(at[1]))
        if not (frame.x0 <= place[0] <= frame.x1 and frame.y0 <= place[1] <= frame.y1):
            continue
        within = (spot for spot in _spots(place) if frame.contains(*spot))
        free = next((spot for spot in within if _is_free(spot, taken, words)), place)
        taken.append(free)
        here = to_data.transform(free)
        wrong = row.late_s is not None and row.late_s > LATE_S
        axes.plot([x, here[0]], [y, here[1]], color=FLOWN, linewidth=0.6, zorder=11)
        axes.text(
            here[0],
            here[1],
            str(row.number),
            fontsize=_MARK_PT,
            fontweight="bold",
            color="white" if wrong else FLOWN,
            ha="center",
            va="center",
            zorder=13,
            bbox={
                "boxstyle": "circle,pad=0.25",
                "facecolor": FLOWN if wrong else "white",
                "edgecolor": FLOWN,
                "linewidth": 0.8,
            },
        )


LATE_S = 12.0
"""From here on a mark is filled: what it stands for was late (see `measures.TURN_LATE_S`)."""


def _spots(place: tuple[float, float]) -> Iterable[tuple[float, float]]:
    """The place itself, then spots around it, nearest first."""
    yield place
    for ring in range(1, 5):
        for east, north in ((1, 0), (0, 1), (-1, 0), (0, -1), (1, 1), (-1, 1), (-1, -1), (1, -1)):
            yield place[0] + east * ring * _APART_PT, place[1] + north * ring * _APART_PT


def _is_free(
    spot: tuple[float, float], taken: Sequence[tuple[float, float]], words: Sequence[BboxBase]
) -> bool:
    x, y = spot
    return all(hypot(x - other[0], y - other[1]) >= _APART_PT for other in taken) and not any(
        _off_pt(x, box.x0, box.x1) < _DISC_PT and _off_pt(y, box.y0, box.y1) < _DISC_PT for box in words
    )


def _off_pt(at: float, low: float, high: float) -> float:
    """How far a place is from the nearest of a stretch; none within it."""
    return max(low - at, at - high, 0.0)
