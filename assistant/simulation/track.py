"""A flown track as arrays, second by second, for measuring."""

from dataclasses import dataclass
from math import cos, radians, sin, tan

import numpy as np

from assistant.nav.geometry import PlanePoint
from assistant.simulation.flight import Sample

Numbers = np.ndarray[tuple[int], np.dtype[np.float64]]

HALF_SCALE_DEG = 5.0
"""Half of the full-scale deflection of a VOR or TACAN course needle, ten degrees (ICAO Annex 10 Volume I)."""
# Nearer to the station than this the needle tells nothing in miles.
_NEAREST_NM = 1.0
DEG = 180.0 / np.pi


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """Equal-length arrays; the plane is the station's, magnetic."""

    t_s: Numbers
    east_nm: Numbers
    north_nm: Numbers
    altitude_ft: Numbers
    vertical_fpm: Numbers
    heading_deg: Numbers
    track_deg: Numbers
    turn_deg_s: Numbers

    def along_and_across_nm(self, anchor: PlanePoint, course_deg: float) -> tuple[Numbers, Numbers]:
        """Along a course past its anchor, and right of it, NM."""
        east, north = self.east_nm - anchor.east_nm, self.north_nm - anchor.north_nm
        s, c = sin(radians(course_deg)), cos(radians(course_deg))
        return east * s + north * c, east * c - north * s

    @property
    def ground_nm(self) -> Numbers:
        """Ground distance from the station, NM."""
        ground_nm: Numbers = np.hypot(self.east_nm, self.north_nm)
        return ground_nm

    def position(self, t_s: float) -> int:
        """The position of a moment in the arrays."""
        return min(int(np.searchsorted(self.t_s, t_s)), len(self.t_s) - 1)


def half_scale_nm(track: Track) -> Numbers:
    """How far off a course through the station half scale is, where the aircraft was, NM."""
    limit_nm: Numbers = np.maximum(track.ground_nm, _NEAREST_NM) * tan(radians(HALF_SCALE_DEG))
    return limit_nm


def track_of(samples: list[Sample]) -> Track:
    """The arrays of a flight's samples."""
    t_s, points, altitude_ft, heading_deg, vertical_fpm, _ = zip(*samples, strict=True)
    east_nm, north_nm = (np.array(axis, dtype=float) for axis in zip(*points, strict=True))
    heading = np.array(heading_deg, dtype=float)
    track_deg = np.degrees(np.arctan2(np.gradient(east_nm), np.gradient(north_nm))) % 360.0
    return Track(
        t_s=np.array(t_s, dtype=float),
        east_nm=east_nm,
        north_nm=north_nm,
        altitude_ft=np.array(altitude_ft, dtype=float),
        vertical_fpm=np.array(vertical_fpm, dtype=float),
        heading_deg=heading,
        track_deg=track_deg,
        turn_deg_s=np.gradient(np.unwrap(np.radians(heading))) * DEG,
    )
