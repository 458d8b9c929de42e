"""
The pilot's hands: headings as they were said, the course needle kept in the middle, levels and rates.

Where a course was named the needle is flown as on any course indicator: a cut toward it in proportion to how
far off it is, and a correction for drift that grows while it stays off. Elsewhere the heading is flown.
"""

from math import cos, radians
from random import Random

from assistant.nav.geometry import difference_deg
from assistant.nav.turns import turn_radius_nm
from assistant.simulation.aircraft import Controls
from assistant.simulation.habits import Habits
from assistant.simulation.panel import Panel
from assistant.simulation.understanding import ChangeLevel, Steer

CUT_DEG_PER_NM, CUT_MOST_DEG = 80.0, 30.0
DRIFT_DEG_PER_NM_S, DRIFT_MOST_DEG = 1.0, 25.0
# A heading this far off its course is a cut: held until the needle comes in.
_CUT_FROM_DEG = 25.0
# A course to set belongs to a heading at most this far off it.
_SAME_LEG_DEG, _SAME_TURN_DEG = 75.0, 7.0
_ESTABLISHED_DEG = 2.5


class Hands:
    """What one pilot does with one aircraft's controls."""

    def __init__(
        self, controls: Controls, habits: Habits, random: Random, *, sink_fpm: float, climb_fpm: float
    ) -> None:
        self.controls = controls
        self.is_homing = True
        self.is_final = False
        self.is_visual = False
        self._habits, self._random = habits, random
        self._sink_fpm, self._climb_fpm = sink_fpm, climb_fpm
        self._standby_deg: float | None = None
        self._course_deg: float | None = None
        self._called_deg = controls.heading_mag_deg
        self._drift_deg = 0.0
        self._captured = False
        self._sinking = False
        self._level_ft: float | None = None

    def set_course(self, course_mag_deg: float, *, this_leg: bool) -> None:
        """Set the course that was named for the leg to come, or for the one just turned on to."""
        if not this_leg:
            self._standby_deg = course_mag_deg
        elif self._course_deg != course_mag_deg and _apart(course_mag_deg, self._called_deg) <= _SAME_LEG_DEG:
            # Whatever the needle was left at: the heading just turned to is not of that course.
            self._course_deg, self._captured = course_mag_deg, False

    def turn(self, steer: Steer) -> None:
        """Begin a turn, or a change of heading, as it was heard."""
        self.is_homing = False
        if steer.back_to_course and self._course_deg is not None:
            # A cut to the needle, which is followed once it comes in; the heading of the course stays known.
            if not self._captured:
                self.controls.heading_mag_deg, self.controls.turn = steer.heading_mag_deg, steer.turn
            return
        heading_deg = steer.heading_mag_deg
        if self._standby_deg is not None and _apart(self._standby_deg, heading_deg) <= _SAME_LEG_DEG:
            self._course_deg, self._standby_deg = self._standby_deg, None
        elif self._course_deg is not None:
            # The same turn called again is to the course that is set; another one leaves it.
            is_again = _apart(self._called_deg, heading_deg) < _SAME_TURN_DEG
            is_near = _apart(self._course_deg, heading_deg) <= _SAME_LEG_DEG
            if not is_near or (steer.turn is not None and not is_again):
                self._course_deg = None
        if steer.turn is not None:
            self._captured = False
        self._called_deg, self._drift_deg = heading_deg, 0.0
        self.controls.heading_mag_deg = heading_deg + self._random.gauss(0.0, self._habits.heading_error_deg)
        self.controls.turn = steer.turn

    def leave_course(self) -> None:
        """Fly headings only, until another course is named."""
        self._course_deg = self._standby_deg = None

    @property
    def course_mag_deg(self) -> float | None:
        """The course whose needle is being flown or waited for, None between courses."""
        return self._course_deg

    def steer(self, panel: Panel) -> None:
        """Keep the heading, or the needle."""
        controls = self.controls
        if self.is_homing:
            controls.heading_mag_deg, controls.turn = panel.heading_to_fix_deg, None
            return
        if controls.turn is not None and _apart(panel.heading_mag_deg, controls.heading_mag_deg) < 10.0:
            controls.turn = None
        course_deg = self._course_deg
        if course_deg is None or controls.turn is not None:
            return
        right_nm = panel.right_of_course_nm(course_deg)
        self._captured = self._captured or self._comes_in(panel, course_deg, right_nm)
        if not self._captured:
            return
        reference_deg = self._called_deg
        if _apart(course_deg, reference_deg) > _CUT_FROM_DEG:
            reference_deg = course_deg
        cut_deg = _within(-CUT_DEG_PER_NM * right_nm, CUT_MOST_DEG)
        if abs(cut_deg) < CUT_MOST_DEG:  # a needle far out says nothing of the drift
            self._drift_deg = _within(self._drift_deg - DRIFT_DEG_PER_NM_S * right_nm, DRIFT_MOST_DEG)
        controls.heading_mag_deg = (reference_deg + self._drift_deg + cut_deg) % 360.0

    def is_established(self, panel: Panel) -> bool:
        """Whether the needle is nearly in the middle and the aircraft flies along the course."""
        course_deg = self._course_deg
        return (
            course_deg is not None
            and self._captured
            and panel.deviation_deg(course_deg) <= _ESTABLISHED_DEG
            and _apart(course_deg, panel.heading_mag_deg) <= 30.0
        )

    def _comes_in(self, panel: Panel, course_deg: float, right_nm: float) -> bool:
        """Whether to leave the heading that was said for the needle."""
        cut_deg = difference_deg(course_deg, panel.heading_mag_deg)
        if abs(cut_deg) < _CUT_FROM_DEG:
            return True
        if abs(cut_deg) > 100.0:
            return False
        if cut_deg * right_nm > 0.0:
            return True  # the heading leads away from the course: the needle is all there is
        radius_nm = turn_radius_nm(max(self.controls.ias_kt, 60.0) * 1.05, self.controls.bank_deg)
        return abs(right_nm) <= radius_nm * (1.0 - cos(radians(cut_deg))) + 0.15

    # --- levels

    def change_level(self, change: ChangeLevel, panel: Panel) -> None:
        """Go to a level, or take it as the limit of the descent being flown."""
        aimed_ft = change.indicated_ft + self._habits.aim_above_ft
        match change.way:
            case "climb" if aimed_ft > panel.indicated_ft:
                self._level_ft = aimed_ft
                self.controls.vertical_fpm = self._climb_fpm
                self._sinking = self.is_final = False
            case "descend" if change.indicated_ft < panel.indicated_ft:
                self._level_ft = aimed_ft
                self.controls.vertical_fpm = -self._flown_fpm(self._sink_fpm)
                self._sinking = True
            case "not below" if self.is_final and not self.is_visual:
                self._level_ft = aimed_ft
            case "maintain":
                self._level_ft = aimed_ft
            case _:
                pass

    def sink(self, descent_fpm: float, *, begins: bool) -> None:
        """Take up a rate of descent, or change the one being flown."""
        if begins:
            self.is_final = self._sinking = True
        if self._sinking:
            self.controls.vertical_fpm = -self._flown_fpm(descent_fpm)

    def land(self, threshold_ft: float) -> None:
        """Go on down to the runway that is in sight; as the altimeter shows it."""
        self.is_visual = True
        self._level_ft = threshold_ft

    def keep_level(self, panel: Panel) -> None:
        """Fly to the level that was said, by the altimeter."""
        if self._level_ft is None:
            self._level_ft = panel.indicated_ft
        self.controls.altitude_ft = panel.altitude_ft + self._level_ft - panel.indicated_ft

    def aim_for(self, indicated_ft: float) -> None:
        """The level to fly from the start."""
        self._level_ft = indicated_ft

    def _flown_fpm(self, said_fpm: float) -> float:
        return said_fpm * (1.0 + self._random.gauss(0.0, self._habits.rate_error_share))


def _apart(a_deg: float, b_deg: float) -> float:
    return abs(difference_deg(a_deg, b_deg))


def _within(value: float, most: float) -> float:
    return min(max(value, -most), most)
