"""
What a procedure is: everything a chart carries that the pilot uses, as frozen dataclasses.

Field names are the keys of the YAML files (`docs/procedure_files.md`), and the string under a field is what
the published schema says of it. Ranges (`dme_nm`) are slant ranges as the set reads them; radials are
magnetic, FROM the station; courses are magnetic. A vertical value names its datum by its key: `altitude_ft`
is above mean sea level (QNH), `height_ft` above the QFE datum, `flight_level` on 1013.25 hPa.
"""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from assistant.nav.geometry import difference_deg
from assistant.procedure.legs import (
    ArcLeg,
    CourseLeg,
    FinalLeg,
    HeightAtRange,
    Hold,
    Leg,
    MissedApproachPoint,
    OutboundTrack,
    ReversalLeg,
    StepDown,
)
from assistant.procedure.places import Airport, Altitude, Fix, Navaid, Runway
from assistant.procedure.quantities import (
    AngleDeg,
    DistanceNm,
    FrequencyMhz,
    HeightFt,
    Ident,
    RangeNm,
    Record,
    Text,
    VerticalFt,
    VisibilityM,
)
from assistant.procedure.words import (
    AltitudeKind,
    ArcDirection,
    Category,
    Datum,
    EntrySector,
    FixRole,
    NavaidKind,
    Turn,
)

__all__ = [
    "Airport",
    "Altitude",
    "AltitudeKind",
    "ArcDirection",
    "ArcLeg",
    "Area",
    "Category",
    "CourseLeg",
    "Datum",
    "EntrySector",
    "FinalLeg",
    "Fix",
    "FixRole",
    "Frequency",
    "HeightAtRange",
    "Hold",
    "Leg",
    "Minimum",
    "MissedApproach",
    "MissedApproachLeg",
    "MissedApproachPoint",
    "Navaid",
    "NavaidKind",
    "OutboundTrack",
    "Procedure",
    "ReversalLeg",
    "Runway",
    "Sector",
    "StepDown",
    "Turn",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Minimum(Record):
    """The lowest one may go without visual references, by category and line: `mda_ft`, `mdh_ft` or both."""

    category: Category
    """Approach category."""
    visibility_m: VisibilityM
    """Visibility wanted, m."""
    mda_ft: VerticalFt | None = None
    """Minimum descent altitude, ft above mean sea level."""
    mdh_ft: HeightFt | None = None
    """Minimum descent height, ft above the QFE datum."""
    lights_out_visibility_m: VisibilityM | None = None
    """Visibility wanted with the approach lights out of service, m."""
    line: Literal["straight_in", "circling"] = "straight_in"
    """straight_in or circling."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sector(Record):
    """A minimum safe altitude between two radials, clockwise. Equal radials: all round."""

    from_radial_deg: AngleDeg
    """Magnetic radial at which the sector begins, degrees."""
    to_radial_deg: AngleDeg
    """Magnetic radial at which it ends, clockwise, degrees."""
    minimum_altitude_ft: VerticalFt
    """Minimum safe altitude, ft above mean sea level."""
    radius_nm: DistanceNm = 25.0
    """How far out it holds, NM."""

    def contains(self, radial_deg: float) -> bool:
        """Whether a radial lies in the sector (its start included)."""
        if self.from_radial_deg == self.to_radial_deg:
            return True
        return (radial_deg - self.from_radial_deg) % 360.0 < (
            self.to_radial_deg - self.from_radial_deg
        ) % 360.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Area(Record):
    """A danger, restricted or prohibited area near the pattern, as a circle about a point."""

    ident: Ident
    """Its designator."""
    kind: Literal["danger", "restricted", "prohibited"]
    """danger, restricted or prohibited."""
    radial_deg: AngleDeg
    """Magnetic radial of its centre, degrees."""
    dme_nm: RangeNm
    """Range of its centre, NM."""
    radius_nm: DistanceNm
    """Radius, NM."""
    upper_altitude_ft: VerticalFt
    """Top, ft above mean sea level."""
    lower_altitude_ft: VerticalFt = 0.0
    """Base, ft above mean sea level."""
    note: Text | None = None
    """The chart's words on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frequency(Record):
    """A station to talk to or listen to."""

    name: Text
    """Whom one talks to, as spoken."""
    frequency_mhz: FrequencyMhz
    """Frequency, MHz."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MissedApproachLeg(Record):
    """One piece of the missed approach; it ends at exactly one of a fix, a range, a radial, an altitude."""

    climb: Altitude
    """The altitude being climbed to."""
    course_mag_deg: AngleDeg | None = None
    """Magnetic track to make good, degrees; left out: direct to `to_fix`."""
    turn: Turn | None = None
    """Direction of the turn on to it."""
    to_fix: Ident | None = None
    """It ends at this fix."""
    until_dme_nm: RangeNm | None = None
    """It ends at this slant range, NM."""
    until_radial_deg: AngleDeg | None = None
    """It ends at this magnetic radial, degrees."""
    until_altitude_ft: VerticalFt | None = None
    """It ends on passing this altitude, ft above mean sea level."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MissedApproach(Record):
    """The missed approach."""

    text: Text
    """The chart's words."""
    legs: tuple[MissedApproachLeg, ...]
    """Its pieces, in the order flown."""
    then_hold: bool = False
    """Whether it ends in the procedure's hold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure(Record):
    """One published instrument approach procedure."""

    ident: Ident
    """Short name of the procedure, in capitals."""
    title: Text
    """The chart's title."""
    edition: Text
    """The chart's edition, as printed."""
    drawn_from: Text
    """What this file was made from."""
    airport: Airport
    """The aerodrome."""
    navaid: Navaid
    """The station that range and radial are read from."""
    runway: Runway
    """The landing runway."""
    fixes: tuple[Fix, ...]
    """Every fix that the procedure names."""
    legs: tuple[Annotated[Leg, Field(discriminator="kind")], ...]
    """The legs in the order flown, from the holding fix where there is a hold; the last is the final."""
    minima: tuple[Minimum, ...]
    """Minima by category and line."""
    missed_approach: MissedApproach
    """The missed approach."""
    hold: Hold | None = None
    """The holding pattern from which the approach begins."""
    sectors: tuple[Sector, ...] = ()
    """Minimum safe altitudes by sector; together they close the circle."""
    areas: tuple[Area, ...] = ()
    """Danger, restricted and prohibited areas near the pattern."""
    frequencies: tuple[Frequency, ...] = ()
    """Frequencies, in the order used."""
    notes: tuple[Text, ...] = ()
    """The chart's notes, in its own words."""

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
        """Whether range closes along the final approach; it opens where the station lies behind."""
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
        raise LookupError(
            f"{self.title} publishes no {line.replace('_', '-')} minimum for category {category}"
        )
