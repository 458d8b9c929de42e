"""Which reports show a pilot established: on the course, turned on to it, flown the right way; by hand."""

import pytest
from placed import NOW_S, placed

from assistant.engine.core import begin
from assistant.engine.established import place_reported, shows_established
from assistant.engine.estimate import point_of
from assistant.engine.events import PositionReport
from assistant.nav.geometry import polar_from_plane


@pytest.fixture
def inbound(still):
    """Eight miles out, the turn on to the course long over; 10 s after the last report."""
    return placed(still, "course_2", 8.0, altitude_ft=2500.0)


def shown(state, *, after_s=10.0, ran_s=None, **read):
    """Whether a report shows it, so long after the last, so far along the leg."""
    t_s = NOW_S + after_s
    progress_s = state.anchor_progress_s + (after_s if ran_s is None else ran_s)
    place = state.timeline.at(progress_s)
    known = {"radial_deg": place.radial_deg, "dme_nm": place.dme_nm}
    return shows_established(state, PositionReport(t_s=t_s, observed_t_s=t_s, **known | read), progress_s)


def test_on_the_course_as_far_along_as_reckoned(inbound):
    assert shown(inbound)
    # Without the needle's radial there is no telling.
    assert not shown(inbound, radial_deg=None)
    # A radial alone is at the range reckoned.
    assert shown(inbound, dme_nm=None)


@pytest.mark.parametrize(
    ("ran_s", "established"),
    # Twenty seconds beside reckoning and 35 % of the ten gone: 23.5.
    [(33.0, True), (34.0, False), (-13.0, True), (-14.0, False)],
)
def test_too_far_from_reckoning_it_may_be_another_leg_that_is_crossed(inbound, ran_s, established):
    assert shown(inbound, ran_s=ran_s) is established


@pytest.mark.parametrize(
    ("after_s", "heading_deg", "established"),
    [
        (4.9, None, False),  # too soon after the last place to tell the way flown
        (5.0, None, True),
        (2.0, 243.0, True),
        (2.0, 272.9, True),
        (2.0, 273.1, False),
        (2.0, 213.1, True),
        (2.0, 63.0, False),
    ],
)
def test_two_places_or_a_heading_tell_the_way_flown(inbound, after_s, heading_deg, established):
    assert shown(inbound, after_s=after_s, heading_mag_deg=heading_deg) is established


@pytest.mark.parametrize(
    ("heading_deg", "established"),
    # The course is not closed at more than sixty degrees by one who is established on it.
    [(302.0, True), (304.0, False), (184.0, True), (182.0, False)],
)
def test_who_crosses_the_course_steeply_is_not_on_it(inbound, heading_deg, established):
    assert shown(inbound, heading_mag_deg=heading_deg) is established


@pytest.mark.parametrize(("before_end_s", "established"), [(7.9, True), (8.1, False)])
def test_by_the_clock_the_turn_must_be_nearly_over(still, before_end_s, established):
    # Twenty degrees are left of a turn eight seconds before its end.
    turn_end_s = still.stage("course_2").timeline.turn_end_s
    state = placed(still, "course_2", 9.0, progress_s=turn_end_s + 20.0, altitude_ft=2500.0)
    state = state.but(entered_s=NOW_S + 10.0 - turn_end_s + before_end_s)

    assert shown(state) is established


def test_on_an_arc_or_straight_on_no_turn_has_to_be_over(still):
    arc = placed(still, "arc_1", 12.0, progress_s=100.0, altitude_ft=2500.0)
    assert shown(arc.but(entered_s=NOW_S))
    straight = placed(still, "course_0", 14.5, altitude_ft=3500.0)
    assert shown(straight.but(entered_s=NOW_S))


def test_a_place_is_what_was_read_and_for_the_rest_what_was_reckoned(inbound, still):
    t_s = NOW_S + 10.0
    reckoned = inbound.place(t_s)

    def found(**read):
        point = place_reported(inbound, PositionReport(t_s=t_s, observed_t_s=t_s, **read))
        polar = polar_from_plane(point)
        # 2,500 ft are 0.4 NM above the station: the ground is 0.01 NM shorter.
        return polar.radial_deg, polar.ground_nm

    assert found(radial_deg=70.0, dme_nm=9.0) == (pytest.approx(70.0), pytest.approx(9.0, abs=0.02))
    assert found(dme_nm=9.0) == (pytest.approx(63.0), pytest.approx(9.0, abs=0.02))
    assert found(radial_deg=70.0) == (pytest.approx(70.0), pytest.approx(reckoned.dme_nm, abs=0.02))
    nothing_known = begin(still)
    assert place_reported(nothing_known, PositionReport(t_s=1.0, observed_t_s=1.0, dme_nm=9.0)) is None
    assert place_reported(nothing_known, PositionReport(t_s=1.0, observed_t_s=1.0, radial_deg=9.0)) is None


@pytest.mark.parametrize(
    ("before_radial_deg", "before_nm", "ago_s", "established"),
    [
        # Inbound on 243, now on radial 063 at 6.9 miles. From ten degrees beside it at 7.4 the course is
        # crossed at 73 degrees, from four at 7.6 at 38; from two at 8.0 it is come to at 14.
        (73.0, 7.4, 30.0, False),
        (67.0, 7.6, 30.0, False),
        (65.0, 8.0, 30.0, True),
        # From a minute ago, or from half a mile away, it tells nothing.
        (73.0, 7.4, 61.0, True),
        (66.0, 7.0, 30.0, True),
    ],
)
def test_a_course_that_is_crossed_is_not_held(inbound, before_radial_deg, before_nm, ago_s, established):
    before = point_of(inbound, before_radial_deg, before_nm, 2500.0)
    state = inbound.but(point=before, point_s=NOW_S + 30.0 - ago_s)

    assert shown(state, after_s=30.0, ran_s=22.0, radial_deg=63.0, dme_nm=6.9) is established


def test_a_turn_crosses_what_it_likes(inbound):
    before = point_of(inbound, 73.0, 7.4, 2500.0)
    turning = inbound.but(point=before, point_s=NOW_S - inbound.anchor_progress_s)

    assert shown(turning, after_s=30.0, ran_s=22.0, radial_deg=63.0, dme_nm=6.9)
