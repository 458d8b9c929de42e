"""
Flying an arc by headings: where on it the aircraft is, and the heading to the next point of it.

Theory. An arc is flown in straight pieces, each from where the aircraft is to the point of the arc where the
next piece begins. Where it is follows from the last place reported and the headings called since, flown in
today's wind; so a correction is taken off again when it has done its work, report or no report. On the arc
this gives the usual heading, that of the middle of the piece; off it, one that is back on the arc at the next
point. (The rule of US Navy P-871 chapter 4, 5 or 10 degrees for half a mile, takes twice as long.)

Left out: the turns between the pieces, of a few degrees each.
"""

from itertools import pairwise
from typing import NamedTuple

from assistant.engine.entering import ARC_CALL_S, HEADING_CALL_S
from assistant.engine.events import CalloutKind
from assistant.engine.state import State
from assistant.engine.triggers import RadialReached
from assistant.nav.arcs import LARGEST_CORRECTION_DEG, arc_track_deg
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import (
    PlanePoint,
    Turn,
    bearing_deg,
    difference_deg,
    move,
    normalize_deg,
    plane_from_polar,
    polar_from_plane,
    turn_through_deg,
)
from assistant.nav.turns import bank_in_use_deg, turn_time_s
from assistant.nav.wind import heading_for_track, track_for_heading
from assistant.procedure.model import ArcDirection

# Nearer than this ahead a point of the arc would ask for a sharp turn now and another one at once.
_AHEAD_DEG = 6.0


class Within(NamedTuple):
    """How long ago a heading was called at most, and how far from it another one may be to be the same."""

    called_s: float
    apart_deg: float


# As it is said, in steps of five degrees.
_SAME = Within(called_s=20.0, apart_deg=2.5)


def with_heading(state: State, t_s: float, heading_mag_deg: float) -> State:
    """The state with a heading called on the arc remembered; the one before it is still flown for a while."""
    return state.but(headings=(*state.headings[-1:], (t_s, heading_mag_deg)))


def is_heading_called(state: State, t_s: float, heading_mag_deg: float, *, within: Within = _SAME) -> bool:
    """Whether this heading, or one near it, was called some seconds ago, planned or in answer."""
    if not state.headings:
        return False
    called_s, called_deg = state.headings[-1]
    near_deg = abs(difference_deg(called_deg, heading_mag_deg))
    return t_s - called_s < within.called_s and near_deg < within.apart_deg


def arc_heading_deg(state: State, t_s: float) -> float | None:
    """
    The heading to call now, magnetic: from where the aircraft will be when it is flown to the next point.

    None where the arc is nearly over, or no heading makes the track good.
    """
    if state.timeline is None:
        return None
    return heading_to_arc_deg(state, place_on_arc(state, t_s + HEADING_CALL_S))


def heading_to_arc_deg(state: State, point: PlanePoint) -> float | None:
    """The heading from a place to the arc where its next straight piece begins; None as above."""
    stage, timeline = state.stage, state.timeline
    if stage.arc is None or timeline is None:
        return None
    direction = stage.arc.direction
    way: Turn = "right" if direction is ArcDirection.CLOCKWISE else "left"
    radial_deg = polar_from_plane(point).radial_deg
    ends = [
        end_deg
        for end_deg in _piece_ends_deg(state)
        if _AHEAD_DEG <= turn_through_deg(radial_deg, end_deg, way) < 180.0
    ]
    if not ends:
        return None
    to_deg = min(ends, key=lambda end_deg: turn_through_deg(radial_deg, end_deg, way))
    arc_ground_nm = polar_from_plane(timeline.points[-1]).ground_nm
    track_deg = bearing_deg(point, plane_from_polar(to_deg, arc_ground_nm))
    tangent_deg = arc_track_deg(radial_deg, direction.value)
    cut_deg = difference_deg(tangent_deg, track_deg)
    cut_deg = min(max(cut_deg, -LARGEST_CORRECTION_DEG), LARGEST_CORRECTION_DEG)
    try:
        return heading_for_track(
            normalize_deg(tangent_deg + cut_deg), stage.tas_kt, stage.wind_from_mag_deg, stage.wind_kt
        ).heading_deg
    except NoSolution:
        return None


def is_along_arc(state: State, t_s: float) -> bool:
    """
    Whether at a moment the turn on to the arc was over: by the place, or by the time since it was called.

    By time, since who turned early, outside the arc, comes late to the radial where the turn should end.
    """
    timeline = state.timeline
    if timeline is None or t_s < state.entered_s:
        return False
    over_s = state.entered_s + ARC_CALL_S + turn_on_to_arc_s(state)
    return state.progress_s(t_s) >= timeline.turn_end_s or t_s >= over_s


def turn_on_to_arc_s(state: State) -> float:
    """How long the turn on to the arc takes: as planned, or from the heading that it truly begins with."""
    timeline, joining = state.timeline, state.joining
    if timeline is None or joining is None or not state.headings:
        return 0.0 if timeline is None else timeline.turn_end_s
    turned_deg = abs(difference_deg(joining.heading_mag_deg, state.headings[0][1]))
    bank_deg = bank_in_use_deg(state.stage.tas_kt, state.plan.conditions.bank_deg)
    return turn_time_s(turned_deg, state.stage.tas_kt, bank_deg)


def place_on_arc(state: State, t_s: float) -> PlanePoint:
    """
    Where the aircraft is, by the headings called since the last place reported on the arc.

    Without one since the turn on to it, where it is planned to be.
    """
    timeline = state.timeline
    if timeline is None:
        raise ValueError("an arc has a timeline")
    if state.point is None or not is_along_arc(state, state.point_s) or not state.headings:
        return timeline.at(state.progress_s(t_s)).point
    stage, point = state.stage, state.point
    # Each heading is flown from a little after its call until the next one is.
    begun_s = [called_s + HEADING_CALL_S for called_s, _ in state.headings]
    for (start_s, end_s), (_, heading_deg) in zip(
        pairwise([state.point_s, *begun_s[1:], t_s]), state.headings, strict=True
    ):
        flown_s = min(end_s, t_s) - max(start_s, state.point_s)
        if flown_s > 0.0:
            flown = track_for_heading(heading_deg, stage.tas_kt, stage.wind_from_mag_deg, stage.wind_kt)
            point = move(point, flown.track_deg, flown.groundspeed_kt * flown_s / 3600.0)
    return point


def _piece_ends_deg(state: State) -> list[float]:
    """The radials where the pieces of the arc end: where headings are called, and the lead radial."""
    stage = state.stage
    called = [
        cue.figures.radial_deg
        for cue in stage.cues
        if cue.kind is CalloutKind.HEADING and cue.figures.radial_deg is not None
    ]
    leads = [
        leaving.trigger.radial_deg for leaving in stage.exits if isinstance(leaving.trigger, RadialReached)
    ]
    return [*called, *leads]
