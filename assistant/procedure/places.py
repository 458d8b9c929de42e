"""Where a procedure happens: aerodrome, station, runway, fixes, and the altitudes published at them."""

from dataclasses import dataclass
from typing import Literal

from assistant.procedure.quantities import (
    AngleDeg,
    Channel,
    CrossingHeightFt,
    DeclinationDeg,
    ElevationFt,
    FrequencyMhz,
    HeightFt,
    Ident,
    LatitudeDeg,
    LengthM,
    Level,
    LongitudeDeg,
    RangeNm,
    Record,
    Text,
    VerticalFt,
)
from assistant.procedure.words import AltitudeKind, Datum, FixRole, NavaidKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Altitude(Record):
    """A charted vertical value with its kind; the one of three values that is given names the datum."""

    kind: AltitudeKind = AltitudeKind.AT_OR_ABOVE
    """How it binds: at, at_or_above (line below), at_or_below (line above) or recommended (no line)."""
    altitude_ft: VerticalFt | None = None
    """Altitude above mean sea level, ft (altimeter on QNH)."""
    height_ft: HeightFt | None = None
    """Height above the QFE datum, ft (altimeter on QFE)."""
    flight_level: Level | None = None
    """Flight level, hundreds of ft on 1013.25 hPa: 80 is FL80."""

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
class Airport(Record):
    """The aerodrome."""

    ident: Ident
    """Location indicator."""
    name: Text
    """Name, as spoken."""
    elevation_ft: ElevationFt
    """Aerodrome elevation, ft above mean sea level."""
    transition_altitude_ft: VerticalFt | None = None
    """Transition altitude, ft above mean sea level; wanted when any level is a flight level."""
    qfe_datum: Literal["threshold", "aerodrome"] = "threshold"
    """What QFE and every height are measured from: threshold or aerodrome elevation."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Navaid(Record):
    """The station that range and radial are read from."""

    ident: Ident
    """Identification letters."""
    name: Text
    """Name, as spoken."""
    kind: NavaidKind
    """tacan, vortac or vor_dme."""
    latitude_deg: LatitudeDeg
    """Latitude, decimal degrees, north positive."""
    longitude_deg: LongitudeDeg
    """Longitude, decimal degrees, east positive."""
    elevation_ft: ElevationFt
    """Elevation of the antenna, ft above mean sea level (slant range is measured to it)."""
    declination_deg: DeclinationDeg
    """Declination of the station's radials, degrees, east positive: true = radial + declination."""
    channel: Channel | None = None
    """TACAN or DME channel, for example 57X."""
    frequency_mhz: FrequencyMhz | None = None
    """VOR frequency, MHz."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Runway(Record):
    """The landing runway."""

    ident: Ident
    """Runway designator in quotes, for example "24" or "06L"."""
    course_mag_deg: AngleDeg
    """Magnetic direction of the runway, degrees."""
    threshold_elevation_ft: ElevationFt
    """Threshold elevation, ft above mean sea level."""
    threshold_crossing_height_ft: CrossingHeightFt
    """Height at which the published slope crosses the threshold, ft above the threshold."""
    threshold_dme_nm: RangeNm
    """What the set reads at the threshold, NM (slant range)."""
    threshold_latitude_deg: LatitudeDeg | None = None
    """Latitude of the threshold, decimal degrees, north positive."""
    threshold_longitude_deg: LongitudeDeg | None = None
    """Longitude of the threshold, decimal degrees, east positive."""
    length_m: LengthM | None = None
    """Landing distance available, m."""
    lights: Text | None = None
    """Approach and runway lights, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix(Record):
    """A named point by radial and slant range; no `radial_deg` only overhead the station (`dme_nm` 0)."""

    ident: Ident
    """Name, one word in capitals."""
    dme_nm: RangeNm
    """Slant range from the station as charted, NM."""
    radial_deg: AngleDeg | None = None
    """Magnetic radial FROM the station, degrees."""
    roles: tuple[FixRole, ...] = ()
    """What the fix is for: holding, iaf, if, faf, step_down, missed_approach_point, missed_approach."""
    latitude_deg: LatitudeDeg | None = None
    """Latitude, decimal degrees, north positive; checked against radial and range."""
    longitude_deg: LongitudeDeg | None = None
    """Longitude, decimal degrees, east positive."""
