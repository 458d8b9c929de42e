"""
The turn on to an arc, from where the aircraft is and not from where it was planned to be.

Theory. The plan turns on to the arc from the course before it. After a short way back to a hold's fix the
pilot may still be cutting to that course: the turn then begins elsewhere, on another heading, and the planned
heading would lead past the arc. So it is worked out anew: from the place and heading with which the turn will
begin (`State.joining`), through the turn, to the point of the arc where its next piece begins.
"""

from dataclasses import replace

from assistant.engine.along_arc import heading_to_arc_deg
from assistant.engine.draft import TURN_WORTH_CALLING_DEG
from assistant.engine.events import Figures, Turn
from assistant.engine.state import Joining, State
from assistant.nav.geometry import PlanePoint, difference_deg, normalize_deg
from assistant.nav.turns import bank_in_use_deg, turn_displacement

# A radial older than this is not the one the arc is joined on; within these it is worth another heading.
_RADIAL_FRESH_S, _BESIDE_LEAST_DEG, _BESIDE_MOST_DEG = 50.0, 3.0, 12.0
# The heading depends on where the turn ends, and that on the heading: to less than a degree in so many steps.
_STEPS = 4


def joining_figures(state: State, t_s: float, figures: Figures) -> Figures:
    """The turn on to an arc as it is to be flown now; as planned where nothing better is known."""
    if state.joining is not None:
        return _from_cut(state, state.joining, figures)
    return _from_radial(state, t_s, figures)


def _from_cut(state: State, joining: Joining, figures: Figures) -> Figures:
    stage, begun_deg = state.stage, joining.heading_mag_deg
    bank_deg = bank_in_use_deg(stage.tas_kt, state.plan.conditions.bank_deg)
    heading_deg, turn = figures.heading_mag_deg or begun_deg, Turn.RIGHT
    for _ in range(_STEPS):
        turn = Turn.RIGHT if difference_deg(begun_deg, heading_deg) > 0.0 else Turn.LEFT
        path = turn_displacement(
            begun_deg,
            heading_deg,
            turn.value,
            stage.tas_kt,
            bank_deg,
            stage.wind_from_mag_deg,
            stage.wind_kt,
        )
        ended = PlanePoint(joining.point.east_nm + path.east_nm, joining.point.north_nm + path.north_nm)
        found_deg = heading_to_arc_deg(state, ended)
        if found_deg is None:
            return figures
        heading_deg = found_deg
    is_turn = abs(difference_deg(begun_deg, heading_deg)) >= TURN_WORTH_CALLING_DEG
    return replace(figures, turn=turn if is_turn else None, heading_mag_deg=heading_deg)


def _from_radial(state: State, t_s: float, figures: Figures) -> Figures:
    """
    From the radial that was read last and not the one planned.

    An arc's headings turn with the radial: joined some degrees to the side, it wants another first heading.
    As planned where no radial was read lately, or it is none that this leg can be joined from.
    """
    timeline = state.timeline
    if timeline is None or figures.heading_mag_deg is None or state.radial_deg is None:
        return figures
    beside_deg = difference_deg(timeline.radials_deg[0], state.radial_deg)
    is_fresh = state.observed_s is not None and t_s - state.point_s < _RADIAL_FRESH_S
    if not is_fresh or not _BESIDE_LEAST_DEG <= abs(beside_deg) <= _BESIDE_MOST_DEG:
        return figures
    return replace(figures, heading_mag_deg=normalize_deg(figures.heading_mag_deg + beside_deg))
