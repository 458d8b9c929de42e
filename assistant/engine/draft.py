"""
The plan while it is being compiled.

The stages so far, and the place and heading where the last one ended.
"""

from assistant.engine.events import Figures
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.plan import FOREVER_S, Floor, Racetrack, Stage
from assistant.engine.today import Today
from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, TimeElapsed, Trigger
from assistant.nav.geometry import FT_PER_NM, PlanePoint, difference_deg, turn_through_deg
from assistant.nav.turns import turn_time_s
from assistant.procedure.model import (
    Altitude,
    AltitudeKind,
    ArcLeg,
    CourseLeg,
    FinalLeg,
    FixRole,
    ReversalLeg,
    Turn,
)

# So long into a turn off a faster leg its speed is flown: what comes next is heard, and the aircraft slows
# down. A quarter of a circle is over by then.
_FAST_FOR_S = 40.0
# True airspeeds at two altitudes differ by the same share at any speed flown here.
_ANY_KT = 150.0
# Less than this change of heading is a correction on the needle, not a turn to be called.
TURN_WORTH_CALLING_DEG = 8.0


class Draft:
    """
    Mutable, used only inside `compiler`.

    A compile walks the legs in order and each starts where the last ended.
    """

    def __init__(self, today: Today) -> None:
        self.today = today
        self.stages: list[Stage] = []
        self.point = PlanePoint(0.0, 0.0)
        self.heading_deg = 0.0
        # The speed that the last leg was flown at: a turn off it begins at that speed.
        self.tas_kt: float | None = None
        self.floor_ft = 0.0
        # That of the flight being drawn.
        self._altitude_ft = 0.0
        # A reversal's altitude for the turn inbound, for the course stage in which that turn is flown.
        self.turn_altitude_ft: float | None = None
        self.minimum_ft = 0.0
        self.profile: tuple[tuple[float, float], ...] = ()
        self.final_gradient_ft_per_nm = 0.0
        self.threshold_s = 0.0
        self.racetracks: dict[str, Racetrack] = {}

    @property
    def first_fix_ident(self) -> str:
        """The fix that the arrival makes for: the hold's, or the first leg's."""
        procedure = self.today.procedure
        if procedure.hold is not None:
            return procedure.hold.fix
        match procedure.legs[0]:
            case CourseLeg(from_fix=str() as ident) | CourseLeg(to_fix=ident):
                return ident
            case ReversalLeg(fix=ident):
                return ident
            case ArcLeg(from_fix=ident) | FinalLeg(from_fix=ident):
                return ident

    @property
    def first_altitude(self) -> Altitude:
        """The altitude of the first leg."""
        return self.today.procedure.legs[0].altitude

    @property
    def first_course_deg(self) -> float:
        """The course on which the first fix is expected to be crossed."""
        procedure = self.today.procedure
        if procedure.hold is not None:
            return procedure.hold.inbound_course_mag_deg
        match procedure.legs[0]:
            case CourseLeg(course_mag_deg=course_deg) | FinalLeg(course_mag_deg=course_deg):
                return course_deg
            case ReversalLeg(outbound=outbound):
                return outbound[0].course_mag_deg
            case ArcLeg(from_fix=ident):
                radial_deg = procedure.fix(ident).radial_deg
                return 0.0 if radial_deg is None else (radial_deg + 180.0) % 360.0

    def start(self, point: PlanePoint, heading_deg: float, floor_ft: float) -> None:
        """Where the next stage begins."""
        self.point, self.heading_deg, self.floor_ft = point, heading_deg, floor_ft

    def flight(self, altitude_ft: float) -> NominalFlight:
        """A nominal flight from where the last stage ended, in the wind of an altitude."""
        wind = self.today.wind(altitude_ft)
        self._altitude_ft = altitude_ft
        return NominalFlight(
            point=self.point,
            heading_deg=self.heading_deg,
            wind_from_deg=wind.from_deg,
            wind_kt=wind.speed_kt,
            height_ft=self.today.height_above_station_ft(altitude_ft),
        )

    def turn_tas_kt(self, tas_kt: float, angle_deg: float) -> float:
        """
        True airspeed of a turn off the last leg, on the whole.

        Where that was faster, a pilot slows down in the turn and not before its call. What is faster for its
        altitude alone stays so: the turn is flown up there.
        """
        higher = self.today.tas_kt(_ANY_KT, self.floor_ft) / self.today.tas_kt(_ANY_KT, self._altitude_ft)
        slowed_kt = tas_kt * max(higher, 1.0)
        faster_kt = (self.tas_kt or 0.0) - slowed_kt
        if faster_kt <= 0.0:
            return max(tas_kt, self.tas_kt or 0.0)
        time_s = turn_time_s(angle_deg, slowed_kt, self.today.bank_deg(slowed_kt))
        return slowed_kt + faster_kt * min(_FAST_FOR_S / max(time_s, 1.0), 1.0)

    def finish(self, stage: Stage, flight: NominalFlight, floor_ft: float) -> None:
        """Take a stage into the plan; the next one starts where its flight ended."""
        self.stages.append(stage)
        self.start(flight.point, flight.heading_deg, floor_ft)
        self.tas_kt = stage.tas_kt

    def floor_of(self, altitude: Altitude, below_ft: float) -> float:
        """
        The floor that a charted altitude sets, ft.

        "At or below" and recommended altitudes set none of their own: then the next floor further on holds.
        """
        own_ft = self.today.altitude_ft(altitude)
        if altitude.is_floor:
            return own_ft
        return min(own_ft, below_ft) if altitude.kind is AltitudeKind.AT_OR_BELOW else below_ft


def turn_toward(from_deg: float, to_deg: float, published: Turn | None = None) -> Turn:
    """The way to turn: as published, else the shorter."""
    if published is not None:
        return published
    return Turn.RIGHT if difference_deg(from_deg, to_deg) >= 0.0 else Turn.LEFT


def floors_along(steps: list[tuple[float, str, float]], first_ft: float) -> tuple[Floor, ...]:
    """
    Floors in order.

    `first_ft` until the first step's place, then each step's altitude; (until_s, name, altitude_ft).
    """
    floors: list[Floor] = []
    current_ft = first_ft
    for at_s, name, altitude_ft in sorted(steps):
        floors.append(Floor(altitude_ft=current_ft, until_s=at_s, name=name))
        current_ft = altitude_ft
    floors.append(Floor(altitude_ft=current_ft, until_s=FOREVER_S))
    return tuple(floors)


def entry_turn(
    draft: Draft, flight: NominalFlight, to_heading_deg: float, tas_kt: float, published: Turn | None = None
) -> Turn | None:
    """Fly the turn from the last leg, if there is one worth calling; the way it goes, or None."""
    change_deg = difference_deg(draft.heading_deg, to_heading_deg)
    turn = turn_toward(draft.heading_deg, to_heading_deg, published)
    if abs(change_deg) < TURN_WORTH_CALLING_DEG:
        # Whichever way is published: with nearly the whole circle left it is on its heading already.
        flight.heading_deg = to_heading_deg
        return None
    through_deg = turn_through_deg(draft.heading_deg, to_heading_deg, turn.value)
    turn_kt = draft.turn_tas_kt(tas_kt, through_deg)
    flight.turn(to_heading_deg, turn, turn_kt, draft.today.bank_deg(turn_kt))
    return turn


def fix_trigger(draft: Draft, ident: str, course_deg: float, altitude_ft: float) -> Trigger:
    """
    What shows that a fix is passed on a course.

    Its range where the course runs along the radial, else its radial.
    """
    fix = draft.today.procedure.fix(ident)
    if fix.radial_deg is None:
        overhead_nm = draft.today.height_above_station_ft(altitude_ft) / FT_PER_NM
        return DmeReached(dme_nm=round(overhead_nm, 1), closing=True)
    angle_deg = abs(difference_deg(fix.radial_deg, course_deg))
    if 45.0 < angle_deg < 135.0:
        return RadialReached(radial_deg=fix.radial_deg)
    return DmeReached(dme_nm=fix.dme_nm, closing=angle_deg >= 90.0)


def event_name(draft: Draft, ident: str) -> str:
    """How a fix is called: by its role on the approach and its name."""
    roles = draft.today.procedure.fix(ident).roles
    if FixRole.FAF in roles:
        return f"final approach fix {ident}"
    if FixRole.IAF in roles:
        return f"initial approach fix {ident}"
    return ident


def position_figures(trigger: Trigger) -> Figures:
    """Where an event is, for saying it."""
    match trigger:
        case DmeReached():
            return Figures(dme_nm=trigger.dme_nm)
        case RadialReached():
            return Figures(radial_deg=trigger.radial_deg)
        case TimeElapsed():
            return Figures(time_s=trigger.time_s)
        case AltitudeCrossed():
            return Figures(altitude_ft=trigger.altitude_ft)
