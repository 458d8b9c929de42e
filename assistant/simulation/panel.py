"""What the pilot sees: the instruments, from where the aircraft truly is."""

from dataclasses import dataclass
from math import hypot, radians, sin

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

# Nearer to a fix than this, the way to it tells no heading.
_OVERHEAD_NM = 0.5


@dataclass(slots=True, kw_only=True)
class Panel:
    """
    The needles of an aircraft, worked out when looked at: most seconds the pilot looks at two of them.

    datum: what is set on the altimeter. fix: what the pilot is on the way to, if anything. drift_deg: how
    far the track was seen to be right of the heading. Shows the motion as it is now, not a copy.
    """

    motion: Motion
    procedure: Procedure
    datum: Datum
    qnh_hpa: float
    fix: PlanePoint | None = None
    drift_deg: float = 0.0

    @property
    def radial_deg(self) -> float:
        """The radial from the station, magnetic."""
        return polar_from_plane(self.motion.point).radial_deg

    @property
    def dme_nm(self) -> float:
        """The slant range, NM."""
        point = self.motion.point
        above_ft = max(self.motion.altitude_ft - self.procedure.navaid.elevation_ft, 0.0)
        return slant_nm_from_ground(hypot(point[0], point[1]), above_ft)

    @property
    def indicated_ft(self) -> float:
        """What the altimeter shows on its datum."""
        return indicated_ft(
            self.motion.altitude_ft, self.datum, procedure=self.procedure, qnh_hpa=self.qnh_hpa
        )

    @property
    def altitude_ft(self) -> float:
        """The true altitude, for turning a level on the altimeter into one the aircraft can fly to."""
        return self.motion.altitude_ft

    @property
    def heading_mag_deg(self) -> float:
        """The heading."""
        return self.motion.heading_mag_deg

    @property
    def heading_to_fix_deg(self) -> float:
        """The heading direct to the fix, the drift seen taken off; the present one where there is none."""
        if self.fix is None or distance_nm(self.motion.point, self.fix) <= _OVERHEAD_NM:
            return self.motion.heading_mag_deg
        return bearing_deg(self.motion.point, self.fix) - self.drift_deg

    def right_of_course_nm(self, course_mag_deg: float) -> float:
        """How far right of a course through the station, by the needle and the range; left negative."""
        return self.dme_nm * sin(radians(self.radial_deg - course_mag_deg))

    def deviation_deg(self, course_mag_deg: float) -> float:
        """The course needle: degrees off the course, without a sign, to or from the station."""
        off_deg = abs((self.radial_deg - course_mag_deg + 90.0) % 180.0 - 90.0)
        return min(off_deg, 90.0)
