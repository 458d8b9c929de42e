"""How sure a place is, and which floor binds there; by hand on the course to BESKA."""

from dataclasses import replace

import pytest
from placed import NOW_S, placed, report

from assistant.engine.core import begin
from assistant.engine.estimate import (
    ahead_s,
    beside_s,
    course_deviation_deg,
    floor_ft,
    is_on_course,
    obeyed_after_s,
    point_of,
    sector_floor_ft,
    soonest_s,
    spread_s,
    surely_passed_s,
)
from assistant.engine.events import CalloutKind
from assistant.engine.placing import progress_from
from assistant.engine.triggers import DmeReached, RadialReached
from assistant.nav.geometry import PlanePoint, plane_from_polar
from assistant.procedure.model import Category


def speed_nm_s(state):
    return state.place(NOW_S).groundspeed_kt / 3600.0


@pytest.mark.parametrize(
    ("age_s", "ahead", "spread"),
    # 15 % of the age, on an arc 20 %, on top of what the report itself may be off; no older than ten minutes.
    [(0.0, 0.0, 0.0), (40.0, 0.0, 6.0), (40.0, 3.0, 9.0), (600.0, 0.0, 90.0), (900.0, 0.0, 90.0)],
)
def test_the_spread_grows_by_a_share_of_the_age(inbound, age_s, ahead, spread):
    assert spread_s(inbound.but(ahead_s=ahead), NOW_S + age_s) == pytest.approx(spread)


def test_on_an_arc_it_grows_faster(still):
    arc = placed(still, "arc_1", 12.0, progress_s=60.0)

    assert spread_s(arc, NOW_S + 40.0) == pytest.approx(8.0)


def test_a_descent_on_final_takes_longer_to_obey_than_another_callout():
    assert obeyed_after_s(CalloutKind.FINAL_DESCENT) > obeyed_after_s(CalloutKind.DESCEND) > 0.0


def test_a_place_is_surely_passed_when_reckoning_less_spread_has_come_to_it(inbound):
    # 40 s ahead at the planned rate: p - s = 40 with s = 0.15 p, p = 40 / 0.85 = 47.06.
    ahead = inbound.anchor_progress_s + 40.0

    assert surely_passed_s(inbound, ahead) == pytest.approx(NOW_S + 40.0 / 0.85)
    assert surely_passed_s(inbound, ahead, obeyed_after_s=4.0) == pytest.approx(NOW_S + 40.0 / 0.85 - 4.0)
    # Never before the place by reckoning.
    assert surely_passed_s(inbound, ahead, obeyed_after_s=60.0) == pytest.approx(NOW_S + 40.0)
    # A report that may have put it 8.5 s too far on: 10 s more.
    late = inbound.but(ahead_s=8.5)
    assert surely_passed_s(late, ahead) == pytest.approx(NOW_S + 40.0 / 0.85 + 10.0)
    assert surely_passed_s(inbound.but(observed_s=None), ahead) == float("inf")


def test_a_report_may_be_too_far_on_by_its_reading_and_by_what_it_jumped(inbound):
    same = report(dme_nm=8.0, t_s=NOW_S + 20.0, observed_t_s=NOW_S + 20.0)
    reckoned_s = inbound.progress_s(NOW_S + 20.0)

    def reading_s(progress_s):
        # 0.15 miles of reading at the planned speed there, and the second of its moment.
        return 0.15 / (inbound.timeline.at(progress_s).groundspeed_kt / 3600.0) + 1.0

    # At 1,900 ft six miles out the range closes as fast as the aircraft flies, to a hundredth of a second.
    assert ahead_s(inbound, same, reckoned_s) == pytest.approx(reading_s(reckoned_s), abs=0.01)
    before = ahead_s(inbound, same, reckoned_s - 30.0)
    assert before == pytest.approx(reading_s(reckoned_s - 30.0), abs=0.01)
    # 12 s ahead of reckoning: all of it beyond the spread of 15 % of 20 s.
    assert ahead_s(inbound, same, reckoned_s + 12.0) == pytest.approx(12.0 - 3.0, abs=0.01)
    # 30 s, more than a third of a mile beyond what spread and reading explain: a digit misread: all.
    assert ahead_s(inbound, same, reckoned_s + 30.0) == pytest.approx(30.0)
    lost = inbound.but(lost=True)
    assert ahead_s(lost, same, reckoned_s + 30.0) == pytest.approx(reading_s(reckoned_s + 30.0), abs=0.01)
    assert ahead_s(inbound, replace(same, fix="BESKA"), reckoned_s + 30.0) == 0.0
    assert ahead_s(inbound, replace(same, groundspeed_kt=180.0), reckoned_s + 30.0) == 0.0


def test_who_is_beside_the_course_comes_later_to_its_end(inbound):
    progress_s = inbound.anchor_progress_s
    speed_nm_s = inbound.timeline.groundspeed_kt(progress_s) / 3600.0

    assert beside_s(inbound, progress_s, 0.3) == 0.0
    # A mile beside it at 45 degrees: 1.414 flown for 1 along the course.
    assert beside_s(inbound, progress_s, 1.3) == pytest.approx(0.414 / speed_nm_s, rel=0.02)
    # In the turn on to it nobody is on it yet.
    assert beside_s(inbound, inbound.timeline.turn_end_s - 1.0, 1.3) == 0.0


def test_a_range_over_the_station_puts_it_farther_off_since_it_is_mostly_the_height(plan):
    # Quorrel's hold, 3,900 ft above the station, 0.642 NM: a range of 0.75 is 0.388 on the ground. There it
    # closes by 0.388 / 0.75 of the way flown, so that 0.15 NM of it are 0.29 of the way.
    quorrel = plan("quorrel-vor-dme-20", category=Category.B)
    state = placed(quorrel, "hold_inbound", 3.0, altitude_ft=4500.0, observed_s=None)
    timeline = state.timeline
    there_s = timeline.progress_by_dme(0.75, timeline.duration_s)
    speed_nm_s = timeline.groundspeed_kt(there_s) / 3600.0

    unsure_s = ahead_s(state, report(dme_nm=0.75), there_s)

    assert (unsure_s - 1.0) * speed_nm_s == pytest.approx(0.15 * 0.75 / 0.388, abs=0.02)
    # But never more than three times its reading.
    overhead_s = ahead_s(state, report(dme_nm=0.6), timeline.duration_s)
    assert (overhead_s - 1.0) * speed_nm_s == pytest.approx(0.45, abs=0.01)


@pytest.mark.parametrize(
    ("range_nm", "to_go_nm"),
    # From 9 miles to 6 there are 3 to go, less 0.15 that a range is misread by.
    [(6.0, 2.85), (8.0, 0.85), (9.0, 0.0), (8.9, 0.0), (12.0, 2.85)],
)
def test_a_range_cannot_be_reached_sooner_than_the_planned_speed_allows(inbound, range_nm, to_go_nm):
    found = soonest_s(inbound, DmeReached(dme_nm=range_nm, closing=True), inbound.anchor_progress_s)

    assert found == pytest.approx(NOW_S + to_go_nm / speed_nm_s(inbound))
    fast = inbound.but(rate=1.2)
    found = soonest_s(fast, DmeReached(dme_nm=range_nm, closing=True), fast.anchor_progress_s)
    assert found == pytest.approx(NOW_S + to_go_nm / speed_nm_s(inbound) / 1.2)


def test_of_a_radial_or_with_no_range_read_the_soonest_is_not_known(inbound):
    assert soonest_s(inbound, RadialReached(radial_deg=63.0), 0.0) == float("-inf")
    assert soonest_s(inbound.but(dme_nm=None), DmeReached(dme_nm=6.0, closing=True), 0.0) == float("-inf")


@pytest.mark.parametrize(
    ("stage", "dme_nm", "changes", "floor"),
    [
        # The chart: 2500 on the arc from radial 020, 1900 to BESKA, 1000 to 3.5 DME, MDA 500.
        ("course_2", 9.0, {"established": True}, 1900.0),
        ("course_2", 9.0, {"established": False}, 2500.0),
        ("course_2", 9.0, {"established": False, "floor_carried_ft": 3000.0}, 3000.0),
        ("course_2", 9.0, {"established": True, "floor_carried_ft": 3000.0}, 1900.0),
        ("final", 5.0, {"established": True}, 1000.0),
        ("final", 5.0, {"established": False}, 1900.0),
        ("final", 3.6, {"established": True}, 1000.0),
        ("final", 3.4, {"established": True}, 500.0),
        ("landing", 1.5, {}, None),
        ("missed_0", 1.0, {}, None),
    ],
)
def test_the_floor_is_the_charts_where_the_aircraft_is(still, stage, dme_nm, changes, floor):
    assert (
        floor_ft(
            placed(still, stage, dme_nm, progress_s=None if stage != "missed_0" else 5.0, **changes), NOW_S
        )
        == floor
    )


def test_a_floor_is_let_go_only_when_its_end_is_surely_passed(still):
    # 0.2 miles past 3.5 at 140 kt are 5 s; a minute later the spread is 9 s, but 60 s were flown.
    at_it = placed(still, "final", 3.3, established=True)
    assert floor_ft(at_it, NOW_S) == 500.0
    assert floor_ft(at_it.but(ahead_s=8.0), NOW_S) == 1000.0
    assert floor_ft(at_it.but(ahead_s=8.0), NOW_S, progress_s=at_it.anchor_progress_s) == 500.0


def test_before_its_start_by_reckoning_a_predicted_stage_keeps_the_floor_of_the_one_before(still):
    before = placed(still, "course_2", 6.3, established=True)
    early = placed(still, "final", 5.9, established=True, predicted=True, confirmed=before)

    assert floor_ft(early, NOW_S, progress_s=-2.0) == 1900.0
    assert floor_ft(early, NOW_S, progress_s=2.0) == 1000.0
    assert floor_ft(early.but(predicted=False), NOW_S, progress_s=-2.0) == 1000.0


@pytest.mark.parametrize(("radial_deg", "safe_ft"), [(None, 3400.0), (345.0, 2300.0), (200.0, 3400.0)])
def test_on_the_arrival_the_floor_is_the_sectors_or_the_highest_while_none_is_known(
    still, radial_deg, safe_ft
):
    state = begin(still).but(radial_deg=radial_deg)

    assert sector_floor_ft(state) == safe_ft
    assert floor_ft(state, NOW_S) == safe_ft


def test_a_place_is_reckoned_on_the_ground_below_the_slant_range(inbound):
    # Five miles of slant range four miles up (24,305 ft above the station at 80 ft): three on the ground.
    point = point_of(inbound, 90.0, 5.0, 80.0 + 4.0 * 6076.115)

    assert point.east_nm == pytest.approx(3.0, abs=1e-3)
    # With no altitude read it is the leg's own, 1900 ft: sqrt(5^2 - 0.2995^2) = 4.991.
    assert point_of(inbound, 90.0, 5.0, None).east_nm == pytest.approx(4.991, abs=1e-3)


@pytest.mark.parametrize(
    ("across_nm", "deviation_deg"),
    # Ten miles from the station: atan(0.4 / 10.01) = 2.29 degrees; flying 243, right of course is north-west.
    [(0.0, 0.0), (0.4, 2.29), (-0.4, -2.29), (0.5, 2.86), (1.0, 5.68)],
)
def test_the_needle_shows_the_angle_from_the_station(inbound, across_nm, deviation_deg):
    on = plane_from_polar(63.0, 10.0)
    right = plane_from_polar(333.0, 1.0)
    point = PlanePoint(on.east_nm + across_nm * right.east_nm, on.north_nm + across_nm * right.north_nm)

    assert course_deviation_deg(inbound, point) == pytest.approx(deviation_deg, abs=0.03)
    # Established is within half scale less three deviations of reading (0.7) and a half for rounding: 2.4.
    late_s = inbound.timeline.turn_end_s + 1.0
    assert is_on_course(inbound, point, late_s) is (abs(deviation_deg) <= 2.4)


def test_nobody_is_established_before_the_turn_is_nearly_over(inbound):
    on = plane_from_polar(63.0, 10.0)

    assert not is_on_course(inbound, on, inbound.timeline.turn_end_s - 8.5)
    assert is_on_course(inbound, on, inbound.timeline.turn_end_s - 7.5)


@pytest.mark.parametrize(("range_nm", "on_it"), [(12.4, True), (11.6, True), (12.6, False), (11.4, False)])
def test_on_an_arc_established_is_within_half_a_mile(still, range_nm, on_it):
    arc = placed(still, "arc_1", 12.0, progress_s=60.0)

    assert is_on_course(arc, plane_from_polar(10.0, range_nm), 60.0) is on_it


def test_a_range_alone_tells_the_place_on_a_leg_and_nothing_on_an_arc(still, inbound):
    found_s, off_nm = progress_from(inbound, report(dme_nm=8.0), NOW_S)

    assert inbound.timeline.at(found_s).dme_nm == pytest.approx(8.0)
    assert off_nm == 0.0
    assert progress_from(placed(still, "arc_1", 12.0, progress_s=60.0), report(dme_nm=12.0), NOW_S) is None
    assert progress_from(inbound, report(radial_deg=63.0), NOW_S) is None
    assert progress_from(begin(still), report(dme_nm=20.0), NOW_S) is None
