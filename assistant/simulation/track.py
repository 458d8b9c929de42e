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
    table = np.array(
        [
            (
                sample.t_s,
                sample.point[0],
                sample.point[1],
                sample.altitude_ft,
                sample.vertical_fpm,
                sample.heading_mag_deg,
            )
            for sample in samples
        ]
    )
    east_nm, north_nm = table[:, 1], table[:, 2]
    track_deg = np.degrees(np.arctan2(np.gradient(east_nm), np.gradient(north_nm))) % 360.0
    return Track(
        t_s=table[:, 0],
        east_nm=east_nm,
        north_nm=north_nm,
        altitude_ft=table[:, 3],
        vertical_fpm=table[:, 4],
        heading_deg=table[:, 5],
        track_deg=track_deg,
        turn_deg_s=np.gradient(np.unwrap(np.radians(table[:, 5]))) * DEG,
    )
