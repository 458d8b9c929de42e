"""The offset and parallel ways into a racetrack, as stages."""

from dataclasses import replace

from assistant.engine.circuit import Circuit, flight_at, limit_figures, outbound_limit
from assistant.engine.compile_legs import radial_cue
from assistant.engine.draft import Draft
from assistant.engine.events import CalloutKind, EntrySector, Figures, Priority
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.plan import CourseFacts, Cue, Exit, Stage
from assistant.engine.triggers import DmeReached, TimeElapsed, Trigger
from assistant.nav.geometry import (
    along_and_across_nm,
    bearing_deg,
    normalize_deg,
    reciprocal_deg,
)
from assistant.nav.holding import (
    SHORTEST_OUTBOUND_S,
    entry_heading_deg,
)
from assistant.nav.wind import heading_for_track
from assistant.procedure.model import Turn

# An offset entry is left after a minute at the latest (ICAO Doc 8168 Vol I, holding, sector 2).
OFFSET_ENTRY_S = 60.0
# So long after a turn to a cut the pilot has a hand free for the radial.
_ON_THE_CUT_S = 4.0
# Nearer than this before the fix no cut is flown.
_TOO_NEAR_NM = 0.2


def action(kind: CalloutKind, figures: Figures) -> Cue:
    """A stage's own first call."""
    return Cue(name="turn", at_s=0.0, kind=kind, priority=Priority.ACTION, figures=figures)


def entry_stages(draft: Draft, course: Circuit, prefix: str, base: Stage, returning: Stage) -> list[Stage]:
    """
    The offset and parallel ways into a racetrack; the direct one is its own outbound leg.

    `base` has the names and floors of the outbound leg and ends where it ends; `returning` is what follows
    the parallel entry's outbound leg, with its event and exits.
    """
    return [
        _offset(draft, course, prefix, base),
        *_parallel(draft, course, prefix, base, returning),
    ]


def _entry_end(course: Circuit, flight: NominalFlight) -> tuple[Trigger, float]:
    """
    What ends an entry's outbound leg: the pattern's range where it is met, else the time flown.

    What was flown beyond it is taken back.
    """
    limit = outbound_limit(course)
    at_s = flight.timeline().when(limit) if isinstance(limit, DmeReached) else None
    if at_s is not None:
        flight.cut(at_s)
        return limit, at_s
    return TimeElapsed(time_s=round(flight.time_s)), flight.time_s


def _offset(draft: Draft, course: Circuit, prefix: str, base: Stage) -> Stage:
    """Sector 2: 30 degrees into the holding side, a minute or the limit, then the turn inbound."""
    track_deg = entry_heading_deg("offset", course.inbound_course_deg, course.turn.value)
    heading_deg = heading_for_track(
        track_deg, course.tas_kt, course.wind_from_deg, course.wind_kt
    ).heading_deg
    flight = flight_at(draft, course, course.fix, heading_deg)
    straight_s = max(course.outbound.straight_s, 1.0)
    flight.hold_heading(
        heading_deg, course.tas_kt, straight_s if course.limit_dme_nm else min(straight_s, OFFSET_ENTRY_S)
    )
    trigger, at_s = _entry_end(course, flight)
    entry = replace(limit_figures(trigger), entry=EntrySector.OFFSET, heading_mag_deg=heading_deg)
    return replace(
        base,
        name=f"{prefix}_entry_offset",
        title=base.title.replace("outbound", "offset entry"),
        timeline=flight.timeline(),
        event_figures=limit_figures(trigger),
        entry=EntrySector.OFFSET,
        course=None,
        exits=tuple(replace(leaving, trigger=trigger, at_s=at_s) for leaving in base.exits),
        cues=(action(CalloutKind.HOLD_ENTRY, entry),),
    )


def _parallel(draft: Draft, course: Circuit, prefix: str, base: Stage, returning: Stage) -> list[Stage]:
    """
    Sector 1.

    Parallel to the inbound course outbound, then round through the holding side to cut the course at 45.
    """
    out_deg = reciprocal_deg(course.inbound_course_deg)
    wind = (course.wind_from_deg, course.wind_kt)
    heading_deg = heading_for_track(out_deg, course.tas_kt, *wind).heading_deg
    flight = flight_at(draft, course, course.fix, heading_deg)
    flight.hold_heading(heading_deg, course.tas_kt, max(course.outbound.straight_s, SHORTEST_OUTBOUND_S))
    trigger, at_s = _entry_end(course, flight)
    entry = replace(limit_figures(trigger), entry=EntrySector.PARALLEL, heading_mag_deg=heading_deg)
    back_name = f"{prefix}_parallel_return"
    outbound = replace(
        base,
        name=f"{prefix}_entry_parallel",
        title=base.title.replace("outbound", "parallel entry"),
        timeline=flight.timeline(),
        event_figures=limit_figures(trigger),
        entry=EntrySector.PARALLEL,
        course=None,
        exits=(Exit(trigger=trigger, at_s=at_s, to=back_name),),
        cues=(action(CalloutKind.HOLD_ENTRY, entry),),
    )
    way = Turn.LEFT if course.turn is Turn.RIGHT else Turn.RIGHT
    cut_deg = normalize_deg(course.inbound_course_deg + (-45.0 if way is Turn.LEFT else 45.0))
    back = flight_at(draft, course, flight.point, heading_deg)
    cut_heading_deg = heading_for_track(cut_deg, course.tas_kt, *wind).heading_deg
    back.turn(cut_heading_deg, way, course.tas_kt, course.bank_deg)
    turn_end_s = back.time_s
    _to_the_course(back, course, cut_heading_deg)
    turn_in = Figures(turn=way, heading_mag_deg=cut_heading_deg, course_mag_deg=course.inbound_course_deg)
    back_stage = replace(
        returning,
        name=back_name,
        title=base.title.replace("outbound", "return to the course"),
        timeline=replace(back.timeline(), turn_end_s=turn_end_s),
        course=CourseFacts(course_mag_deg=course.inbound_course_deg, anchor=course.fix),
        exits=tuple(replace(leaving, at_s=back.time_s) for leaving in returning.exits),
        # On the cut: where the course will be joined, only the radial tells.
        cues=(action(CalloutKind.INBOUND_TURN, turn_in), radial_cue(turn_end_s + _ON_THE_CUT_S)),
    )
    return [outbound, back_stage]


def _to_the_course(flight: NominalFlight, course: Circuit, cut_heading_deg: float) -> None:
    """
    On the cutting heading to the course line, then along it to the fix; where it does not reach the line,
    until abeam the fix. Straight to a fix that the turn itself came too near to.
    """
    here = along_and_across_nm(flight.point, course.fix, course.inbound_course_deg)
    if here.along_nm >= -_TOO_NEAR_NM:
        flight.follow_course(course.fix, bearing_deg(flight.point, course.fix), course.tas_kt)
        return
    for _ in range(150):
        crossed = here.across_nm >= 0.0 if course.turn is Turn.LEFT else here.across_nm <= 0.0
        if crossed or here.along_nm >= 0.0:
            break
        flight.hold_heading(cut_heading_deg, course.tas_kt, 2.0)
        here = along_and_across_nm(flight.point, course.fix, course.inbound_course_deg)
    flight.follow_course(course.fix, course.inbound_course_deg, course.tas_kt)
