"""How a procedure is flown: the hold and the legs, in order."""

from dataclasses import dataclass
from typing import Literal

from assistant.procedure.places import Altitude
from assistant.procedure.quantities import (
    AngleDeg,
    DescentAngleDeg,
    DistanceNm,
    HeightFt,
    Ident,
    RangeNm,
    Record,
    SpeedKt,
    Text,
    TimeS,
    VerticalFt,
)
from assistant.procedure.words import ArcDirection, Category, EntrySector, Turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold(Record):
    """A holding pattern. Exactly one of `outbound_time_s` and `outbound_dme_nm` is given."""

    fix: Ident
    """The holding fix."""
    inbound_course_mag_deg: AngleDeg
    """Magnetic course flown TO the holding fix, degrees."""
    turn: Turn
    """Direction of the turns: right or left."""
    minimum: Altitude
    """Lowest holding level."""
    outbound_time_s: TimeS | None = None
    """Length of the outbound leg by time, s in still air (60 is one minute)."""
    outbound_dme_nm: RangeNm | None = None
    """Slant range at which the outbound leg ends, NM."""
    maximum: Altitude | None = None
    """Highest holding level."""
    speed_limit_kt: SpeedKt | None = None
    """Maximum indicated airspeed in the hold, kt."""
    permitted_entries: tuple[EntrySector, ...] = (
        EntrySector.PARALLEL,
        EntrySector.OFFSET,
        EntrySector.DIRECT,
    )
    """Entries that the chart permits: parallel, offset, direct. Left out: all three."""
    entry_note: Text | None = None
    """The chart's words on the entry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDown(Record):
    """
    A lower altitude and the place from which on it applies: a fix, a range or (on an arc) a radial.

    Before that place the altitude in force is the one before it in the list (for the first: the leg's own).
    """

    altitude: Altitude
    """What applies from there on."""
    fix: Ident | None = None
    """Where: a fix."""
    dme_nm: RangeNm | None = None
    """Where: a slant range, NM."""
    radial_deg: AngleDeg | None = None
    """Where, on an arc: a magnetic radial, degrees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseLeg(Record):
    """A straight leg along a course to a fix."""

    kind: Literal["course"] = "course"
    """course: a straight leg along a magnetic course to a fix."""
    to_fix: Ident
    """Where the leg ends."""
    course_mag_deg: AngleDeg
    """Magnetic course, degrees."""
    altitude: Altitude
    """What applies on the leg, from its start."""
    from_fix: Ident | None = None
    """Where the leg starts; left out where the turn off an arc ends somewhere on the course."""
    turn: Turn | None = None
    """Direction of the turn on to the course, where the chart prescribes it."""
    step_downs: tuple[StepDown, ...] = ()
    """Lower altitudes further along the leg, in the order met."""
    speed_limit_kt: SpeedKt | None = None
    """Maximum indicated airspeed, kt."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcLeg(Record):
    """A DME arc from a fix round to a radial."""

    kind: Literal["dme_arc"] = "dme_arc"
    """dme_arc: constant range round the station."""
    from_fix: Ident
    """Where the arc starts."""
    direction: ArcDirection
    """Which way round the station, seen from above: clockwise (radials rise) or anticlockwise."""
    arc_dme_nm: DistanceNm
    """Slant range of the arc, NM."""
    to_radial_deg: AngleDeg
    """Magnetic radial of the course that ends the arc, degrees."""
    altitude: Altitude
    """What applies on the arc, from its start."""
    lead_radial_deg: AngleDeg | None = None
    """The published radial at which the turn off the arc begins, degrees."""
    step_downs: tuple[StepDown, ...] = ()
    """Lower altitudes further round, by radial, in the order met."""
    speed_limit_kt: SpeedKt | None = None
    """Maximum indicated airspeed, kt."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutboundTrack(Record):
    """One outbound leg of a reversal, for the categories named; exactly one of time and range limits it."""

    categories: tuple[Category, ...]
    """Approach categories it is for."""
    course_mag_deg: AngleDeg
    """Magnetic outbound course, degrees."""
    time_s: TimeS | None = None
    """Length by time from the fix, s in still air."""
    dme_nm: RangeNm | None = None
    """Slant range at which the inbound turn begins, NM."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReversalLeg(Record):
    """
    A published way of turning round (and of losing height): from a fix outbound, and back inbound.

    Of a procedure turn `turn` is the first turn, away from the outbound course; otherwise the turn on to the
    inbound course. The altitudes apply in the order outbound, inbound turn, established inbound.
    """

    kind: Literal["reversal"] = "reversal"
    """reversal: procedure turn, base turn, racetrack or penetration."""
    pattern: Literal["procedure_turn_45", "procedure_turn_80", "base_turn", "racetrack", "penetration"]
    """45°/180° or 80°/260° procedure turn, base turn (teardrop), racetrack, or penetration from on high."""
    fix: Ident
    """Where it starts."""
    inbound_course_mag_deg: AngleDeg
    """Magnetic course that the reversal ends on, degrees."""
    turn: Turn
    """Direction of the inbound turn; of a procedure turn the first turn, away from the outbound course."""
    outbound: tuple[OutboundTrack, ...]
    """Outbound tracks by category."""
    altitude: Altitude
    """What applies outbound."""
    inbound_altitude: Altitude
    """What applies once established inbound."""
    turn_altitude: Altitude | None = None
    """What applies from the start of the inbound turn; left out: the outbound altitude."""
    remain_within_dme_nm: DistanceNm | None = None
    """Outer limit of the manoeuvre, slant range, NM."""
    speed_limit_kt: SpeedKt | None = None
    """Maximum indicated airspeed, kt."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MissedApproachPoint(Record):
    """By fix, by range, or by distance (and so time) from the final approach fix: exactly one is given."""

    fix: Ident | None = None
    """A fix."""
    dme_nm: RangeNm | None = None
    """A slant range on the final approach, NM."""
    timed_distance_nm: DistanceNm | None = None
    """Distance over the ground from the final approach fix, NM, flown by time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightAtRange(Record):
    """One line of the published height-against-range table: exactly one of altitude and height is given."""

    dme_nm: RangeNm
    """Slant range, NM."""
    altitude_ft: VerticalFt | None = None
    """Altitude due there, ft above mean sea level."""
    height_ft: HeightFt | None = None
    """Height due there, ft above the QFE datum."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FinalLeg(Record):
    """
    The final approach: from the final approach fix down to the minimum.

    `altitude` binds until the final approach fix is passed. After it each step-down binds from its place on
    (the first stands at the final approach fix itself), and the pilot's minimum all along; without step-downs
    only the minimum.
    """

    kind: Literal["final"] = "final"
    """final: the final approach, the last leg."""
    from_fix: Ident
    """The final approach fix."""
    course_mag_deg: AngleDeg
    """Magnetic final approach course, degrees; it may be offset from the runway."""
    altitude: Altitude
    """What applies until the final approach fix is passed."""
    descent_angle_deg: DescentAngleDeg
    """Published descent angle, degrees."""
    missed_approach_point: MissedApproachPoint
    """Where the approach ends if the runway is not in sight."""
    step_downs: tuple[StepDown, ...] = ()
    """Floors after the final approach fix, in the order met; the first from the final approach fix on."""
    heights: tuple[HeightAtRange, ...] = ()
    """The published height-against-range table, in the order flown."""


Leg = CourseLeg | ArcLeg | ReversalLeg | FinalLeg
