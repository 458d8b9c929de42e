"""
What is believed of a report to the very edge: just there it still counts, on legs without any rounding.

The leg runs south along radial 360 from 20 DME at a 32nd of a mile a second; the flight is at 80 ft, the
station's own height, so that ranges are those on the ground.
"""

from dataclasses import replace
from math import hypot

import pytest
from on_paper import binary, drawn, in_plan, stage
from placed import NOW_S, placed, report

from assistant.engine.doubting import doubtful_item, doubtful_place, is_going_wrong, other_setting
from assistant.engine.estimate import (
    ahead_s,
    course_deviation_deg,
    floor_ft,
    is_on_course,
    point_of,
    soonest_s,
    surely_passed_s,
)
from assistant.engine.events import Datum
from assistant.engine.placing import progress_from
from assistant.engine.plan import ArcFacts, CourseFacts, Phase
from assistant.engine.triggers import DmeReached
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import ArcDirection

NM_S = 1.0 / 32.0
STATION = PlanePoint(0.0, 0.0)


@pytest.fixture
def leg(plan):
    """A flight on a leg drawn by hand, at a range."""
    skarrow = plan("skarrow-tacan-24")

    def at(dme_nm, *, name="course_2", timeline=None, **changes):
        known = {
            "name": name,
            "phase": Phase.INTERMEDIATE,
            "timeline": timeline or binary(),
            "tas_kt": 112.5,
            "target_ft": 80.0,
            "course": CourseFacts(course_mag_deg=180.0, anchor=STATION),
        }
        flown = {key: changes.pop(key) for key in list(changes) if key in ("phase", "course", "arc", "turns")}
        drawn_stage = stage(**known | flown | changes.pop("stage", {}))
        progress_s = changes.pop("progress_s", (20.0 - dme_nm) / NM_S)
        changed = in_plan(skarrow, drawn_stage)
        return placed(changed, name, dme_nm, progress_s=progress_s, altitude_ft=80.0, **changes)

    return at


@pytest.mark.parametrize(
    ("changes", "slack_nm"),
    # A mile; in the missed approach four more, about a turn one more; on final six tenths.
    [
        ({}, 1.0),
        ({"phase": Phase.MISSED}, 5.0),
        ({"turns": True, "timeline": binary(turn_end_s=320.0)}, 2.0),
        # The turn was over just a minute before: no more than a mile.
        ({"turns": True, "timeline": binary(turn_end_s=260.0)}, 1.0),
    ],
)
def test_a_range_off_by_just_the_slack_is_believed(leg, changes, slack_nm):
    state = leg(10.0, **changes)

    for side in (1.0, -1.0):
        assert doubtful_place(state, report(dme_nm=10.0 + side * slack_nm), NOW_S) is None
        beyond_nm = 10.0 + side * (slack_nm + 1.0 / 64.0)
        assert doubtful_place(state, report(dme_nm=beyond_nm), NOW_S) == "range"


@pytest.mark.parametrize(("read_nm", "item"), [(None, None), (2.0, None), (2.125, "radial")])
def test_just_two_miles_out_the_needle_still_swings(leg, read_nm, item):
    # Reckoned 2 miles out no radial tells; read at 2.1, with the place reckoned at 2.1, it does.
    state = leg(2.0 if read_nm is None else read_nm, timeline=binary(length_s=640.0))

    assert doubtful_place(state, report(radial_deg=90.0), NOW_S) == item


def test_a_range_read_with_it_says_whether_the_radial_tells(leg):
    state = leg(2.5, timeline=binary(length_s=640.0))

    assert doubtful_place(state, report(radial_deg=90.0, dme_nm=2.0), NOW_S) is None
    assert doubtful_place(state, report(radial_deg=90.0, dme_nm=2.125), NOW_S) == "radial"


@pytest.mark.parametrize(("radial_deg", "item"), [(10.0, None), (350.0, None), (10.5, "radial")])
def test_just_ten_degrees_are_believed_however_far_out(leg, radial_deg, item):
    assert doubtful_place(leg(20.0), report(radial_deg=radial_deg), NOW_S) == item


@pytest.mark.parametrize(("radial_deg", "item"), [(14.2, None), (14.4, "radial"), (345.7, None)])
def test_four_miles_out_a_mile_across_is_fourteen_degrees_and_a_third(leg, radial_deg, item):
    # 180 / pi / 4 = 14.32 degrees.
    state = leg(4.0, timeline=binary(length_s=640.0))

    assert doubtful_place(state, report(radial_deg=radial_deg), NOW_S) == item


def test_a_range_read_as_the_leg_or_its_straight_part_began_is_one_on_it(leg):
    # 30 s after 10 DME, reckoned 0.94 NM nearer, the range has opened by half a mile.
    t_s = NOW_S + 30.0
    on_it = leg(10.0, entered_s=NOW_S)
    assert is_going_wrong(on_it, 10.5, t_s)
    assert not is_going_wrong(on_it.but(entered_s=NOW_S + 0.25), 10.5, t_s)

    rolled_out = leg(10.0, timeline=binary(turn_end_s=320.0))
    assert is_going_wrong(rolled_out, 10.5, t_s)
    assert not is_going_wrong(leg(10.0, timeline=binary(turn_end_s=320.25)), 10.5, t_s)


def test_an_altitude_off_by_just_the_250_ft_is_believed(leg):
    # 80 ft were read at this moment.
    assert doubtful_item(leg(10.0), report(indicated_ft=330.0), NOW_S) is None
    assert doubtful_item(leg(10.0), report(indicated_ft=330.25), NOW_S) == "altitude"


@pytest.mark.parametrize(
    ("elevation_ft", "shown_ft", "setting"),
    [
        # The threshold, which QFE is measured from, 150 ft up: level at 80 ft, -70 fits QFE just, by 150 ft.
        (150.0, -70.0, Datum.QFE),
        (151.0, -70.0, Datum.QFE),
        # 149 ft are a pilot's wandering.
        (149.0, -69.0, None),
        # Off by 160 ft on QNH, on QFE by 11: but the two settings are too near each other.
        (149.0, -80.0, None),
        (150.0, -80.0, Datum.QFE),
        # Off by 100 on QNH it is a pilot's wandering, though QFE would fit better.
        (150.0, -20.0, None),
        # On QFE 60 ft off just fit, 61 do not.
        (210.0, -70.0, Datum.QFE),
        (211.0, -70.0, None),
        (220.0, -200.0, Datum.QFE),
        (219.0, -200.0, None),
    ],
)
def test_another_setting_fits_by_a_hundred_and_fifty_feet_and_within_sixty(
    leg, elevation_ft, shown_ft, setting
):
    state = leg(10.0)
    procedure = state.plan.procedure
    runway = replace(procedure.runway, threshold_elevation_ft=elevation_ft)
    state = state.but(plan=replace(state.plan, procedure=replace(procedure, runway=runway)))

    assert other_setting(state, report(indicated_ft=shown_ft), NOW_S) is setting


def test_on_the_arrival_and_in_a_descent_off_the_final_no_setting_is_asked_about(leg):
    state = leg(10.0)
    procedure = state.plan.procedure
    runway = replace(procedure.runway, threshold_elevation_ft=200.0)
    state = state.but(plan=replace(state.plan, procedure=replace(procedure, runway=runway)))
    read = report(indicated_ft=-120.0)
    assert other_setting(state, read, NOW_S) is Datum.QFE

    arriving = in_plan(state.plan, replace(state.stage, phase=Phase.ARRIVAL))
    assert other_setting(state.but(plan=arriving), read, NOW_S) is None
    going_down = state.but(altitude=replace(state.altitude, descent_fpm=500.0))
    assert other_setting(going_down, read, NOW_S) is None
    # On final the descent is the chart's, and what is due is known.
    final = in_plan(state.plan, replace(state.stage, phase=Phase.FINAL))
    assert other_setting(going_down.but(plan=final), read, NOW_S) is Datum.QFE
    assert other_setting(state.but(altitude=None), read, NOW_S) is None


@pytest.mark.parametrize(("before_s", "on_it"), [(8.0, True), (8.25, False)])
def test_eight_seconds_before_the_end_of_a_turn_one_may_be_established(leg, before_s, on_it):
    state = leg(12.0, timeline=binary(turn_end_s=256.0))

    assert is_on_course(state, PlanePoint(0.0, 12.0), 256.0 - before_s) is on_it


@pytest.mark.parametrize(("off_nm", "on_it"), [(0.5, True), (-0.5, True), (0.515625, False)])
def test_on_an_arc_just_half_a_mile_is_established(leg, off_nm, on_it):
    arc = ArcFacts(arc_dme_nm=12.0, direction=ArcDirection.CLOCKWISE)
    state = leg(12.0, arc=arc, timeline=binary(turn_end_s=256.0))

    assert is_on_course(state, PlanePoint(0.0, 12.0 + off_nm), 256.0) is on_it
    # And no more than a second before the turn on to it ends.
    assert is_on_course(state, PlanePoint(0.0, 12.0), 255.0)
    assert not is_on_course(state, PlanePoint(0.0, 12.0), 254.5)


def test_within_a_mile_of_the_station_the_needle_is_judged_as_a_mile_out(leg):
    # Flying south, east is left of course. atan(0.05) = 2.862 degrees; half a mile out twice that.
    assert course_deviation_deg(leg(10.0), PlanePoint(0.05, 0.5)) == pytest.approx(-2.862, abs=0.005)
    assert course_deviation_deg(leg(10.0), PlanePoint(0.05, 2.0)) == pytest.approx(-1.432, abs=0.005)


@pytest.mark.parametrize("established", [True, False])
def test_where_the_chart_sets_no_floor_none_is_known(leg, established):
    state = leg(10.0, established=established)
    assert floor_ft(state, NOW_S) is None

    # Nor is one kept from a leg before that had none.
    early = state.but(predicted=True, confirmed=state)
    assert floor_ft(early, NOW_S, progress_s=-5.0) is None


def test_an_altitude_carried_from_the_leg_before_is_a_floor_until_established(leg):
    carried = leg(10.0, floor_carried_ft=2500.0)

    assert floor_ft(carried, NOW_S) == 2500.0
    assert floor_ft(carried.but(established=True), NOW_S) is None


def test_at_and_below_the_stations_height_the_range_is_the_distance_on_the_ground(leg):
    state = leg(10.0)

    assert point_of(state, 360.0, 5.0, 80.0).north_nm == 5.0
    assert point_of(state, 360.0, 5.0, -200.0).north_nm == 5.0
    # 6,076 ft and a bit above it, a nautical mile: sqrt(25 - 1).
    assert point_of(state, 360.0, 5.0, 80.0 + 6076.115).north_nm == pytest.approx(24.0**0.5, abs=1e-6)


def test_a_report_heard_of_twice_is_as_unsure_as_it_was(leg):
    # The same report, on the stage that it brought: 0.15 NM at a 32nd of a mile a second, and a second.
    state = leg(10.0, ahead_s=9.0)
    assert ahead_s(state, report(dme_nm=10.0), 320.0) == 9.0
    assert ahead_s(state.but(ahead_s=2.0), report(dme_nm=10.0), 320.0) == pytest.approx(0.15 * 32.0 + 1.0)


def test_no_leg_is_reckoned_slower_than_thirty_knots(leg):
    # At 22.5 kt a reading of 0.15 NM would be 24 s; at 30 it is 18, and a second.
    slow = leg(19.0, timeline=binary(speed_kt=22.5), observed_s=None)
    assert ahead_s(slow, report(dme_nm=19.0), 160.0) == pytest.approx(19.0)
    # From 19 miles to 18 there are 0.85 to go: 102 s at 30 kt.
    trigger = DmeReached(dme_nm=18.0, closing=True)
    assert soonest_s(slow, trigger, 160.0) == pytest.approx(NOW_S + 102.0)


def test_a_slow_pace_makes_no_range_later_than_planned(leg):
    # From 10 miles to 9: 0.85 NM at the planned 112.5 kt, even of a flight that is slower.
    found = soonest_s(leg(10.0, rate=0.75), DmeReached(dme_nm=9.0, closing=True), 320.0)

    assert found == pytest.approx(NOW_S + 0.85 * 32.0)


def test_a_place_behind_was_passed_when_it_was(leg):
    # 40 s back, shown by a report now: no time since adds to what is unsure.
    assert surely_passed_s(leg(10.0), 280.0) == NOW_S - 40.0


# -- in a turn: places far on, and those over the station ---------------------------------------------------


def found_s(state, dme_nm):
    found = progress_from(state, report(dme_nm=dme_nm), NOW_S)
    return None if found is None else found[0]


def in_turn(leg, expected_s, *, turn_end_s, **changes):
    return leg(
        20.0 - expected_s * NM_S,
        progress_s=expected_s,
        turns=True,
        timeline=binary(turn_end_s=turn_end_s),
        **changes,
    )


@pytest.mark.parametrize(
    ("expected_s", "turn_end_s", "age_s", "there_s", "tells"),
    [
        # Half of the turn is flown: a place is what it is, up to there it may be the turn itself.
        (32.0, 64.0, 0.0, 72.0, True),
        (31.0, 64.0, 0.0, 72.0, False),
        # Just 25 s on is as far as a turn is flown early.
        (16.0, 64.0, 0.0, 41.0, True),
        (16.0, 64.0, 0.0, 42.0, False),
        # Two miles from reckoning, and there was time to fly there: it fits the turn still, just.
        (16.0, 160.0, 39.0, 80.0, False),
        (16.0, 160.0, 60.0, 81.0, True),
        (64.0, 160.0, 39.0, 128.0, False),
        # Too far to have been flown since: two and a half miles, just.
        (16.0, 160.0, 0.0, 96.0, False),
        (16.0, 160.0, 0.0, 97.0, True),
        # As far as can have been flown since, and 25 s: then it is two miles that count.
        (16.0, 160.0, 47.0, 88.0, True),
        (16.0, 160.0, 46.0, 88.0, False),
    ],
)
def test_in_the_first_half_of_a_turn_a_place_far_on_may_be_the_turn_itself(
    leg, expected_s, turn_end_s, age_s, there_s, tells
):
    state = in_turn(leg, expected_s, turn_end_s=turn_end_s, observed_s=NOW_S - age_s)

    assert found_s(state, 20.0 - there_s * NM_S) == (there_s if tells else None)


@pytest.mark.parametrize(("back_s", "tells"), [(12.0, True), (12.5, False)])
def test_in_a_turn_just_twelve_seconds_back_a_range_still_tells(leg, back_s, tells):
    state = in_turn(leg, 60.0, turn_end_s=64.0)

    assert (found_s(state, 20.0 - (60.0 - back_s) * NM_S) is not None) is tells
    # As the turn ends it is no longer a turn.
    over = in_turn(leg, 64.0, turn_end_s=64.0)
    assert found_s(over, 20.0 - 40.0 * NM_S) == 40.0


def north(begins_nm, *, miles=10.0):
    """Away from the station along radial 360, at the same speed."""
    return drawn([(0.0, begins_nm + 0.3125 * number) for number in range(round(miles / 0.3125) + 1)])


@pytest.mark.parametrize(
    ("begins_nm", "expected_s", "read_nm", "tells"),
    [
        # Half a minute after the beginning over the station it surely lies behind.
        (0.5, 29.5, 1.5, False),
        (0.5, 30.0, 1.5, True),
        # Within two miles; just there it tells.
        (0.5, 16.0, 1.9375, False),
        (0.5, 16.0, 2.0, True),
        # A leg that begins a mile from it does not lead over it.
        (1.0, 16.0, 1.5, True),
        (0.96875, 16.0, 1.5, False),
    ],
)
def test_on_a_leg_that_begins_over_the_station_its_first_miles_tell_nothing(
    leg, begins_nm, expected_s, read_nm, tells
):
    state = leg(begins_nm + expected_s * NM_S, progress_s=expected_s, timeline=north(begins_nm))

    assert (found_s(state, read_nm) is not None) is tells


@pytest.mark.parametrize(
    ("read_nm", "there_s"),
    # The range opened by 0.3 NM in the first ten seconds: run on to before them, 0.6 would be 65 s earlier.
    # 1.2 by slant is 1.015 on the ground: 6.62 pieces of 0.3 NM before the end would be 3.0.
    [(0.6, 110.0), (1.2, 76.2)],
)
def test_a_range_less_than_the_height_over_the_station_is_read_at_the_end_of_the_leg(leg, read_nm, there_s):
    out_and_in = [(0.0, 2.5), (0.0, 2.8), *((0.0, 3.0 - 0.3 * number) for number in range(1, 11))]
    flat = drawn(out_and_in)
    above_nm = 0.64
    over = replace(flat, dmes_nm=tuple(hypot(ground_nm, above_nm) for ground_nm in flat.dmes_nm))
    # Reckoning is late: it has 2.1 miles to go.
    state = leg(2.2, progress_s=30.0, timeline=over)

    assert found_s(state, read_nm) == pytest.approx(there_s, abs=0.2)


@pytest.mark.parametrize(
    ("begins_nm", "read_nm", "tells"), [(0.5, 0.96875, False), (0.5, 1.0, True), (1.0, 1.0, True)]
)
def test_on_a_final_from_over_the_station_it_is_the_first_mile_alone(leg, begins_nm, read_nm, tells):
    state = leg(2.0, progress_s=48.0, phase=Phase.FINAL, timeline=north(begins_nm))

    assert (found_s(state, read_nm) is not None) is tells


@pytest.mark.parametrize(
    ("ends_nm", "at_nm", "read_nm", "tells"),
    [
        (0.9375, 1.75, 1.9375, False),
        (0.9375, 2.0, 1.9375, True),
        (0.9375, 1.75, 2.0, True),
        (1.25, 1.75, 1.9375, True),
    ],
)
def test_on_a_leg_that_leads_over_the_station_its_last_two_miles_tell_nothing(
    leg, ends_nm, at_nm, read_nm, tells
):
    state = leg(at_nm, timeline=binary(length_s=(20.0 - ends_nm) / NM_S))

    assert (found_s(state, read_nm) is not None) is tells
