"""
The cut on to a course that the turn alone does not reach, or passes.

A base turn or penetration is drawn for one speed and no wind. On another day the turn inbound rolls out
beside the course: then it is flown to a heading that cuts it, and on to the course from there.
"""

from math import cos, radians

from assistant.engine.draft import Draft, turn_toward
from assistant.engine.events import CalloutKind, Figures, Priority
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.plan import Cue
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import PlanePoint, along_and_across_nm, normalize_deg, turn_through_deg
from assistant.nav.turns import turn_radius_nm
from assistant.nav.wind import heading_for_track
from assistant.procedure.model import Turn

# Rolled out nearer than this, the needle is simply followed in.
WIDE_NM = 0.4
# Cuts of 30 and 45 degrees (common practice); the steeper one where the course is farther off than this.
_CUT_DEG, _STEEP_DEG, _FAR_NM = 30.0, 45.0, 1.5
_STEP_S, _LONGEST_S = 2.0, 400.0
# No cut is flown nearer than this before the leg's end.
_LAST_NM = 1.5


def intercept(
    draft: Draft,
    *,
    anchor: PlanePoint,
    course_mag_deg: float,
    altitude_ft: float,
    tas_kt: float,
    turn: Turn,
    missed_nm: float,
) -> tuple[NominalFlight, float, tuple[Cue, ...]] | None:
    """
    The turn to a cutting heading and the way on to the course: flight, first heading, and the call there.

    `missed_nm` is how far right of the course the plain turn would roll out. None where no cut helps.
    """
    wind = draft.today.wind(altitude_ft)
    cut_deg = _CUT_DEG if abs(missed_nm) < _FAR_NM else _STEEP_DEG
    track_deg = normalize_deg(course_mag_deg - (cut_deg if missed_nm > 0.0 else -cut_deg))
    try:
        heading_deg = heading_for_track(track_deg, tas_kt, wind.from_deg, wind.speed_kt).heading_deg
    except NoSolution:
        return None
    through_deg = turn_through_deg(draft.heading_deg, heading_deg, turn.value)
    if through_deg > 330.0:
        return None
    flight = draft.flight(altitude_ft)
    turn_kt = draft.turn_tas_kt(tas_kt, through_deg)
    bank_deg = draft.today.bank_deg(turn_kt)
    flight.turn(heading_deg, turn, turn_kt, bank_deg)
    lead_nm = turn_radius_nm(tas_kt, draft.today.bank_deg(tas_kt)) * (1.0 - cos(radians(cut_deg)))
    begun_s = flight.time_s
    reaches = False
    while flight.time_s - begun_s < _LONGEST_S:
        here = along_and_across_nm(flight.point, anchor, course_mag_deg)
        left_nm = here.across_nm if missed_nm > 0.0 else -here.across_nm
        reaches = left_nm <= lead_nm
        if reaches or here.along_nm > -_LAST_NM:
            break
        flight.hold_heading(heading_deg, tas_kt, _STEP_S)
    at_s = flight.time_s
    on_deg = heading_for_track(course_mag_deg, tas_kt, wind.from_deg, wind.speed_kt).heading_deg
    flight.turn(on_deg, turn_toward(heading_deg, on_deg), tas_kt, draft.today.bank_deg(tas_kt))
    call = Cue(
        name="intercept",
        at_s=at_s,
        kind=CalloutKind.HEADING,
        priority=Priority.ACTION,
        figures=Figures(event="intercept", heading_mag_deg=on_deg),
    )
    # On a cut that does not reach the course before the end the needle decides, not the clock.
    return flight, heading_deg, (call,) if reaches else ()
