"""
Where a pilot will be who comes on to a course, and when the turn off it on to an arc begins.

Brennok's hold in still air: inbound 035 to GARDU on radial 215 at 14 DME (13.98 NM on the ground at 5,000 ft,
4,680 ft above the station), 225.7 kt or 0.0627 NM a second, turns of 1.592 NM radius at 2.257 degrees
a second; the turn to the right on to the 14 mile arc is planned at 15.49 DME.
"""

from dataclasses import replace
from math import cos, hypot, radians, sin, sqrt

import pytest
from placed import NOW_S, placed

from assistant.engine.needle_ahead import foreseen, turn_begins_s
from assistant.nav.geometry import PlanePoint, move, plane_from_polar

COURSE_DEG = 35.0
SPEED_NM_S = 225.7 / 3600.0


@pytest.fixture
def brennok(plan):
    return plan("brennok-vortac-33")


def ground_nm(slant_nm):
    return sqrt(slant_nm**2 - (4680.0 / 6076.115) ** 2)


def beside(left_nm, distance_nm):
    """A place so far to the left of the inbound course, and so far from the station on the ground."""
    along_nm = sqrt(distance_nm**2 - left_nm**2)
    return move(plane_from_polar(215.0, along_nm), COURSE_DEG - 90.0, left_nm)


def inbound(brennok, point, *, stage="hold_inbound", **changes):
    state = placed(brennok, stage, None, progress_s=95.0, circuits_left=0)
    return state.but(**{"seen": (NOW_S, point), "dme_s": NOW_S} | changes)


def arc_exit(state):
    return next(leaving for leaving in state.stage.exits if leaving.to == "arc_0")


def begins_after_s(state):
    return turn_begins_s(state, arc_exit(state)) - NOW_S


def test_on_the_course_the_turn_begins_at_its_planned_range(brennok):
    # From 20 DME: 19.985 to 15.471 NM on the ground are 72.0 s; looked at every two.
    state = inbound(brennok, beside(0.0, ground_nm(20.0)))

    assert begins_after_s(state) == pytest.approx(72.0, abs=2.01)
    # Once it is past, it begins at once.
    assert begins_after_s(inbound(brennok, beside(0.0, ground_nm(15.0)))) == 0.0


def test_who_still_cuts_to_the_needle_turns_less_and_so_later(brennok):
    # Three miles left the needle is cut to by 30 degrees: 13.3 s of turn (0.796 NM on, 0.213 across), then
    # 0.0543 and 0.03135 NM a second. From this heading the lead of 1.49 NM is 0.7 r sin 30 = 0.557 less:
    # 14.913 NM on the ground. (19.759 - y)^2 + (3 - x)^2 = 14.913^2 after 88.1 s, 0.44 miles left, where
    # the cut is still all of the thirty degrees.
    state = inbound(brennok, beside(3.0, ground_nm(20.0)))

    assert begins_after_s(state) == pytest.approx(88.1, abs=3.0)


def test_from_the_right_the_cut_points_the_other_way_and_the_turn_is_longer(brennok):
    # The same to the right: the cut is against the arc's way, the lead 0.557 NM more: 16.05 DME, 16.03 NM.
    # (18.963 - 0.0543 u)^2 + (2.787 - 0.03135 u)^2 = 16.03^2 at u = 54.7: 68 s.
    state = inbound(brennok, beside(-3.0, ground_nm(20.0)))

    assert begins_after_s(state) == pytest.approx(68.0, abs=3.0)


def test_a_heading_called_as_a_cut_is_flown_until_the_needle_comes_in(brennok):
    # Back from the parallel entry on 080: two miles left and 15.655 NM out, 20 s bring 0.887 on and across,
    # to 14.682 NM: 14.70 DME, the lead less 0.7 r sin 45 = 0.788.
    state = inbound(brennok, beside(2.0, 15.655), stage="hold_parallel_return", entered_s=NOW_S - 200.0)
    assert begins_after_s(state) == pytest.approx(20.0, abs=2.01)

    # A mile and a half left at 20 miles the needle comes in within r (1 - cos 45) + 0.15 = 0.62 miles: after
    # 20 s of cutting. Then it is the needle that is followed, and the turn begins on the course.
    near = inbound(brennok, beside(1.5, 19.985), stage="hold_parallel_return", entered_s=NOW_S - 200.0)
    still_cutting = foreseen(near, NOW_S + 18.0)
    followed = foreseen(near, NOW_S + 60.0)
    assert still_cutting.heading_mag_deg == pytest.approx(80.0, abs=0.1)
    assert followed.heading_mag_deg == pytest.approx(COURSE_DEG, abs=6.0)


def test_the_needle_comes_in_a_little_before_the_turn_on_to_it_is_long_enough(brennok):
    # Flown on 080, 1.4 miles left come down by 0.0887 every two seconds, to 0.602 after 18 s: less than
    # r (1 - cos 45) + 0.15 = 0.616, more than the turn's own 0.466. So after 22 s it has turned for 2 steps.
    state = inbound(brennok, beside(1.4, 19.985), stage="hold_parallel_return", entered_s=NOW_S - 200.0)

    assert foreseen(state, NOW_S + 18.0).heading_mag_deg == pytest.approx(80.0, abs=0.01)
    assert foreseen(state, NOW_S + 22.0).heading_mag_deg == pytest.approx(80.0 - 2 * 4.514, abs=0.05)


@pytest.mark.parametrize(("left_nm", "heading_deg"), [(3.0, COURSE_DEG + 30.0), (-3.0, COURSE_DEG - 30.0)])
def test_from_afar_the_needle_is_cut_to_by_thirty_degrees(brennok, left_nm, heading_deg):
    """Common practice, no source."""
    state = inbound(brennok, beside(left_nm, ground_nm(20.0)))

    assert foreseen(state, NOW_S + 40.0).heading_mag_deg == pytest.approx(heading_deg, abs=0.01)


def test_from_the_wrong_side_a_cut_is_not_flown_on(brennok):
    # To the right of the course 080 leads away from it: the pilot turns back by 75 degrees, in 33 s.
    state = inbound(brennok, beside(-1.0, 19.985), stage="hold_parallel_return", entered_s=NOW_S - 200.0)

    assert foreseen(state, NOW_S + 36.0).heading_mag_deg == pytest.approx(COURSE_DEG - 30.0, abs=1.0)


def test_a_range_read_since_puts_the_place_right_along_the_course(brennok):
    # Seen at 20 DME, 20 s later 18.5 is read, a quarter of a mile nearer than reckoned: 48 s from there.
    state = inbound(
        brennok,
        beside(0.0, ground_nm(20.0)),
        seen=(NOW_S - 20.0, beside(0.0, ground_nm(20.0))),
        dme_nm=18.5,
        dme_s=NOW_S,
        entered_s=NOW_S - 120.0,
    )

    assert begins_after_s(state) == pytest.approx(48.0, abs=2.5)
    # The same range a quarter of a mile farther: four seconds later than reckoned.
    assert begins_after_s(state.but(dme_nm=19.0)) == pytest.approx(56.0, abs=2.5)


@pytest.mark.parametrize(
    ("after_s", "y_nm", "x_nm", "heading_deg"),
    # Three miles left: half-way through the turn to the cut (r sin, r (1 - cos)), at its end, on it.
    [
        (6.0, 0.374, 0.044, 49.0),
        (14.0, 0.836, 0.236, 65.0),
        (40.0, 0.796 + 26.7 * 0.0543, 0.213 + 26.7 * 0.03135, 65.0),
    ],
)
def test_place_and_heading_are_foreseen_step_by_step(brennok, after_s, y_nm, x_nm, heading_deg):
    start = beside(3.0, ground_nm(20.0))
    joining = foreseen(inbound(brennok, start), NOW_S + after_s)
    on, across = radians(COURSE_DEG), radians(COURSE_DEG + 90.0)
    east_nm = start.east_nm + y_nm * sin(on) + x_nm * sin(across)
    north_nm = start.north_nm + y_nm * cos(on) + x_nm * cos(across)

    assert hypot(joining.point.east_nm - east_nm, joining.point.north_nm - north_nm) < 0.08
    assert joining.heading_mag_deg == pytest.approx(heading_deg, abs=5.0)


def test_near_the_needle_the_cut_is_the_gentler_the_nearer(brennok):
    # A fifth of a mile left 70 degrees a mile are 14 of cut. In 2 s the track turns by 4.514 degrees, 0.1254
    # NM are flown: 4.51 degrees, 9.03, and then 0.2 - 0.1254 (sin 4.51 + sin 9.03) = 0.1704 are left: 11.93.
    joining = foreseen(inbound(brennok, beside(0.2, ground_nm(20.0))), NOW_S + 6.0)

    assert joining.heading_mag_deg == pytest.approx(COURSE_DEG + 11.93, abs=0.04)


def test_the_wind_turns_the_headings_of_the_way_ahead(plan):
    # On the course with 30 kt from the left: asin(30 / 225.7) = 7.6 degrees of drift, held to the left.
    windy = plan("brennok-vortac-33", wind=(305, 30))
    state = inbound(windy, beside(0.0, ground_nm(20.0)))

    assert foreseen(state, NOW_S + 20.0).heading_mag_deg == pytest.approx(COURSE_DEG - 7.6, abs=0.4)


def test_no_further_than_a_hundred_seconds_is_foreseen(brennok):
    state = inbound(brennok, beside(0.0, ground_nm(23.0)))

    # 7.5 NM to the lead are 120 s: not now.
    assert turn_begins_s(state, arc_exit(state)) is None
    last, before = foreseen(state, NOW_S + 500.0), foreseen(state, NOW_S + 98.0)
    assert last == before


@pytest.mark.parametrize(
    ("changes", "begins_s"),
    [
        ({}, 72.0),
        # Not seen on this leg, the pilot is where the plan has the turn end, 79.8 s after its beginning:
        # from 95 s to the planned 145.8.
        ({"seen": None}, 50.8),
        # Seen a minute and a quarter ago it tells no more.
        ({"reached_s": NOW_S + 75.0}, 72.0),
        ({"reached_s": NOW_S + 75.1}, None),
        # Ten seconds before the turn on to the course ends it tells already.
        ({"entered_s": NOW_S - 70.0}, 72.0),
        ({"entered_s": NOW_S - 69.0}, 50.8),
    ],
)
def test_only_a_place_seen_lately_and_on_this_leg_tells(brennok, changes, begins_s):
    state = inbound(brennok, beside(0.0, ground_nm(20.0)), **changes)

    assert (foreseen(state, NOW_S + 10.0) is not None) is (begins_s is not None)
    begins = turn_begins_s(state, arc_exit(state))
    assert begins == (None if begins_s is None else pytest.approx(NOW_S + begins_s, abs=2.5))


def test_a_leg_without_a_turn_or_a_course_or_an_arc_after_it_is_as_planned(brennok, plan):
    state = inbound(brennok, beside(0.0, ground_nm(20.0)))
    staying = next(leaving for leaving in state.stage.exits if leaving.to == "hold_outbound")
    assert turn_begins_s(state, staying) is None
    # By radial, or with no turn to make, there is no lead to reckon with.
    assert (
        turn_begins_s(state, replace(arc_exit(state), trigger=brennok.stage("arc_0").exits[0].trigger))
        is None
    )
    outbound = placed(brennok, "hold_outbound", 16.0, seen=(NOW_S, PlanePoint(-9.0, -13.0)))
    assert foreseen(outbound, NOW_S) is None
    straight = placed(plan("skarrow-tacan-24"), "course_0", 15.0, seen=(NOW_S, plane_from_polar(345.0, 15.0)))
    assert foreseen(straight, NOW_S) is None
