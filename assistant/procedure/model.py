"""
What a procedure is: everything a chart carries that the pilot uses, as frozen dataclasses.

Field names are the keys of the YAML files (`docs/procedure_files.md`). Ranges (`dme_nm`) are slant ranges as the set
reads them; radials are magnetic, FROM the station; courses are magnetic. A vertical value names its datum by its key:
`altitude_ft` is above mean sea level (QNH), `height_ft` above the QFE datum, `flight_level` on 1013.25 hPa.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from assistant.nav.geometry import difference_deg


class Datum(StrEnum):
    """What the altimeter is set to, and so what a vertical value is measured from."""

    QNH = "qnh"
    QFE = "qfe"
    STANDARD = "standard"


class Turn(StrEnum):
    """Which way a turn goes."""

    LEFT = "left"
    RIGHT = "right"


class ArcDirection(StrEnum):
    """Which way round the station an arc is flown, seen from above."""

    CLOCKWISE = "clockwise"
    ANTICLOCKWISE = "anticlockwise"


class AltitudeKind(StrEnum):
    """How a charted altitude binds: a line above, below, both or none."""

    AT = "at"
    AT_OR_ABOVE = "at_or_above"
    AT_OR_BELOW = "at_or_below"
    RECOMMENDED = "recommended"


class NavaidKind(StrEnum):
    """The stations whose range and radial a pilot can read out."""

    TACAN = "tacan"
    VORTAC = "vortac"
    VOR_DME = "vor_dme"


class FixRole(StrEnum):
    """What a fix is for (ICAO names)."""

    HOLDING = "holding"
    IAF = "iaf"
    IF = "if"
    FAF = "faf"
    STEP_DOWN = "step_down"
    MISSED_APPROACH_POINT = "missed_approach_point"
    MISSED_APPROACH = "missed_approach"


class Category(StrEnum):
    """Aircraft approach category by speed at the threshold (ICAO Doc 8168, FAA)."""

    A = "A"
    B = "B"
    C = "C"
    D = "D"
    E = "E"


class EntrySector(StrEnum):
    """The three ways into a hold (ICAO Doc 8168)."""

    PARALLEL = "parallel"
    OFFSET = "offset"
    DIRECT = "direct"


@dataclass(frozen=True, slots=True, kw_only=True)
class Altitude:
    """
    A charted vertical value with its kind; exactly one of the three values is given, and names the datum.

    altitude_ft: above mean sea level; height_ft: above the QFE datum; flight_level: hundreds of feet on 1013.25 hPa.
    """

    kind: AltitudeKind = AltitudeKind.AT_OR_ABOVE
    altitude_ft: float | None = None
    height_ft: float | None = None
    flight_level: float | None = None

    @property
    def datum(self) -> Datum:
        """The datum that the given value is measured from."""
        if self.flight_level is not None:
            return Datum.STANDARD
        return Datum.QFE if self.height_ft is not None else Datum.QNH

    @property
    def indicated_ft(self) -> float:
        """What the altimeter shows there when it is set to `datum`, ft."""
        if self.flight_level is not None:
            return self.flight_level * 100.0
        if self.height_ft is not None:
            return self.height_ft
        if self.altitude_ft is None:
            raise ValueError("an altitude has exactly one of altitude_ft, height_ft and flight_level")
        return self.altitude_ft

    @property
    def is_floor(self) -> bool:
        """Whether the value may not be gone below."""
        return self.kind in (AltitudeKind.AT, AltitudeKind.AT_OR_ABOVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Airport:
    """The aerodrome: elevation in ft above mean sea level."""

    ident: str
    name: str
    elevation_ft: float
    transition_altitude_ft: float | None = None
    qfe_datum: Literal["threshold", "aerodrome"] = "threshold"


@dataclass(frozen=True, slots=True, kw_only=True)
class Navaid:
    """The station that range and radial are read from. Declination is that of its radials, east positive."""

    ident: str
    name: str
    kind: NavaidKind
    latitude_deg: float
    longitude_deg: float
    elevation_ft: float
    declination_deg: float
    channel: str | None = None
    frequency_mhz: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Runway:
    """The landing runway. `threshold_dme_nm` is what the set reads at the threshold."""

    ident: str
    course_mag_deg: float
    threshold_elevation_ft: float
    threshold_crossing_height_ft: float
    threshold_dme_nm: float
    threshold_latitude_deg: float | None = None
    threshold_longitude_deg: float | None = None
    length_m: float | None = None
    lights: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix:
    """A named point by radial and slant range; `radial_deg` is None only overhead the station (`dme_nm` 0)."""

    ident: str
    dme_nm: float
    radial_deg: float | None = None
    roles: tuple[FixRole, ...] = ()
    latitude_deg: float | None = None
    longitude_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A holding pattern. Exactly one of `outbound_time_s` and `outbound_dme_nm` is given."""

    fix: str
    inbound_course_mag_deg: float
    turn: Turn
    minimum: Altitude
    outbound_time_s: float | None = None
    outbound_dme_nm: float | None = None
    maximum: Altitude | None = None
    speed_limit_kt: float | None = None
    permitted_entries: tuple[EntrySector, ...] = (EntrySector.PARALLEL, EntrySector.OFFSET, EntrySector.DIRECT)
    entry_note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDown:
    """From this range (or, on an arc, radial) on, the next lower altitude applies."""

    altitude: Altitude
    fix: str | None = None
    dme_nm: float | None = None
    radial_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseLeg:
    """A straight leg along a course to a fix. `altitude` applies on the leg, from its start."""

    kind: Literal["course"] = "course"
    to_fix: str
    course_mag_deg: float
    altitude: Altitude
    from_fix: str | None = None
    turn: Turn | None = None
    step_downs: tuple[StepDown, ...] = ()
    speed_limit_kt: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcLeg:
    """A DME arc from a fix round to a radial. `lead_radial_deg` is the published start of the turn off the arc."""

    kind: Literal["dme_arc"] = "dme_arc"
    from_fix: str
    direction: ArcDirection
    arc_dme_nm: float
    to_radial_deg: float
    altitude: Altitude
    lead_radial_deg: float | None = None
    step_downs: tuple[StepDown, ...] = ()
    speed_limit_kt: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutboundTrack:
    """One outbound leg of a reversal, for the categories named; exactly one of time and range limits it."""

    categories: tuple[Category, ...]
    course_mag_deg: float
    time_s: float | None = None
    dme_nm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReversalLeg:
    """
    A published way of turning round (and of losing height).

    pattern: `procedure_turn_45` (45°/180°), `procedure_turn_80` (80°/260°), `base_turn` (teardrop), `racetrack`, or
    `penetration` (a base turn flown from a high level). `turn` is the direction of the turn to the inbound course (for a
    procedure turn: of the first turn, away from the outbound course). `altitude` applies outbound, `turn_altitude`
    from the start of the inbound turn, `inbound_altitude` once established inbound.
    `remain_within_dme_nm` is the outer limit.
    """

    kind: Literal["reversal"] = "reversal"
    pattern: Literal["procedure_turn_45", "procedure_turn_80", "base_turn", "racetrack", "penetration"]
    fix: str
    inbound_course_mag_deg: float
    turn: Turn
    outbound: tuple[OutboundTrack, ...]
    altitude: Altitude
    inbound_altitude: Altitude
    turn_altitude: Altitude | None = None
    remain_within_dme_nm: float | None = None
    speed_limit_kt: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MissedApproachPoint:
    """By fix, by range, or by distance (and so time) from the final approach fix: exactly one is given."""

    fix: str | None = None
    dme_nm: float | None = None
    timed_distance_nm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightAtRange:
    """One line of the published height-against-range table."""

    dme_nm: float
    altitude_ft: float | None = None
    height_ft: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FinalLeg:
    """The final approach: from the final approach fix down to the minimum. The angle is the published one."""

    kind: Literal["final"] = "final"
    from_fix: str
    course_mag_deg: float
    altitude: Altitude
    descent_angle_deg: float
    missed_approach_point: MissedApproachPoint
    step_downs: tuple[StepDown, ...] = ()
    heights: tuple[HeightAtRange, ...] = ()


Leg = CourseLeg | ArcLeg | ReversalLeg | FinalLeg


@dataclass(frozen=True, slots=True, kw_only=True)
class Minimum:
    """
    The lowest the pilot may go without visual references, by category and line.

    mda_ft above mean sea level, mdh_ft above the QFE datum; at least one is given. Visibility in m.
    `lights_out_visibility_m` is the visibility wanted with the approach lights out of service.
    """

    category: Category
    visibility_m: float
    mda_ft: float | None = None
    mdh_ft: float | None = None
    lights_out_visibility_m: float | None = None
    line: Literal["straight_in", "circling"] = "straight_in"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sector:
    """A minimum safe altitude between two radials, clockwise, out to `radius_nm`. Equal radials: all round."""

    from_radial_deg: float
    to_radial_deg: float
    minimum_altitude_ft: float
    radius_nm: float = 25.0

    def contains(self, radial_deg: float) -> bool:
        """Whether a radial lies in the sector (its start included)."""
        if self.from_radial_deg == self.to_radial_deg:
            return True
        return (radial_deg - self.from_radial_deg) % 360.0 < (self.to_radial_deg - self.from_radial_deg) % 360.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A danger, restricted or prohibited area near the pattern, as a circle about a point."""

    ident: str
    kind: Literal["danger", "restricted", "prohibited"]
    radial_deg: float
    dme_nm: float
    radius_nm: float
    upper_altitude_ft: float
    lower_altitude_ft: float = 0.0
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Frequency:
    """A station to talk to or listen to."""

    name: str
    frequency_mhz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MissedApproachLeg:
    """
    One piece of the missed approach.

    `course_mag_deg` is the track to make good (None: direct to `to_fix`); `turn` the direction of the turn on to it.
    It ends at a fix, a range (`until_dme_nm`), a radial (`until_radial_deg`) or an altitude (`until_altitude_ft`): exactly one.
    `climb` is the altitude being climbed to.
    """

    climb: Altitude
    course_mag_deg: float | None = None
    turn: Turn | None = None
    to_fix: str | None = None
    until_dme_nm: float | None = None
    until_radial_deg: float | None = None
    until_altitude_ft: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MissedApproach:
    """The missed approach: the chart's words, its legs, and whether it ends in the procedure's hold."""

    text: str
    legs: tuple[MissedApproachLeg, ...]
    then_hold: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure:
    """One published instrument approach procedure. `drawn_from` says what the file was made from."""

    ident: str
    title: str
    edition: str
    drawn_from: str
    airport: Airport
    navaid: Navaid
    runway: Runway
    fixes: tuple[Fix, ...]
    legs: tuple[Leg, ...]
    minima: tuple[Minimum, ...]
    missed_approach: MissedApproach
    hold: Hold | None = None
    sectors: tuple[Sector, ...] = ()
    areas: tuple[Area, ...] = ()
    frequencies: tuple[Frequency, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def qfe_elevation_ft(self) -> float:
        """Elevation that QFE and heights are measured from, ft above mean sea level."""
        if self.airport.qfe_datum == "aerodrome":
            return self.airport.elevation_ft
        return self.runway.threshold_elevation_ft

    @property
    def final(self) -> FinalLeg:
        """The final approach leg; a checked procedure has exactly one, the last."""
        for leg in self.legs:
            if isinstance(leg, FinalLeg):
                return leg
        raise LookupError(f"{self.ident} has no final leg")

    @property
    def is_final_toward_station(self) -> bool:
        """Whether range closes along the final approach (it opens where the station lies behind the final approach fix)."""
        fix = self.fix(self.final.from_fix)
        if fix.radial_deg is None:
            return False
        return abs(difference_deg(fix.radial_deg, self.final.course_mag_deg)) > 90.0

    def fix(self, ident: str) -> Fix:
        """The fix of that name; LookupError when the procedure has none."""
        for fix in self.fixes:
            if fix.ident == ident:
                return fix
        raise LookupError(f"{self.ident} has no fix {ident}")

    def minimum_for(self, category: Category, line: str = "straight_in") -> Minimum:
        """The minimum of a category and line; LookupError where the chart publishes none."""
        for minimum in self.minima:
            if minimum.category is category and minimum.line == line:
                return minimum
        raise LookupError(f"{self.title} publishes no {line.replace('_', '-')} minimum for category {category}")
