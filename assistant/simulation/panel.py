"""What the pilot sees: the instruments, from where the aircraft truly is."""

from dataclasses import dataclass
from math import radians, sin

from assistant.engine.today import indicated_ft
from assistant.nav.geometry import (
    PlanePoint,
    bearing_deg,
    distance_nm,
    polar_from_plane,
    slant_nm_from_ground,
)
from assistant.procedure.model import Datum, Procedure
from assistant.simulation.aircraft import Motion


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """
    The needles at one moment; `indicated_ft` on the datum that is set.

    `altitude_ft` is the true one, for turning a level on the altimeter into one the aircraft can fly to.
    """

    radial_deg: float
    dme_nm: float
    indicated_ft: float
    heading_mag_deg: float
    heading_to_fix_deg: float
    altitude_ft: float

    def right_of_course_nm(self, course_mag_deg: float) -> float:
        """How far right of a course through the station, by the needle and the range; left negative."""
        return self.dme_nm * sin(radians(self.radial_deg - course_mag_deg))

    def deviation_deg(self, course_mag_deg: float) -> float:
        """The course needle: degrees off the course, without a sign, to or from the station."""
        off_deg = abs((self.radial_deg - course_mag_deg + 90.0) % 180.0 - 90.0)
        return min(off_deg, 90.0)


def panel(
    motion: Motion,
    procedure: Procedure,
    datum: Datum,
    qnh_hpa: float,
    fix: PlanePoint | None,
    *,
    drift_deg: float,
) -> Panel:
    """The instruments of an aircraft; `fix` is what the pilot is on the way to, if anything."""
    polar = polar_from_plane(motion.point)
    above_ft = max(motion.altitude_ft - procedure.navaid.elevation_ft, 0.0)
    to_fix_deg = motion.heading_mag_deg
    if fix is not None and distance_nm(motion.point, fix) > 0.5:
        to_fix_deg = bearing_deg(motion.point, fix) - drift_deg
    return Panel(
        radial_deg=polar.radial_deg,
        dme_nm=slant_nm_from_ground(polar.ground_nm, above_ft),
        indicated_ft=indicated_ft(motion.altitude_ft, datum, procedure=procedure, qnh_hpa=qnh_hpa),
        heading_mag_deg=motion.heading_mag_deg,
        heading_to_fix_deg=to_fix_deg,
        altitude_ft=motion.altitude_ft,
    )
