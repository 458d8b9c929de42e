"""What a report shows to be wrong is answered with the figure that puts it right; sums by hand beside."""

from dataclasses import replace

import pytest
from placed import NOW_S, placed, report, said

from assistant.engine.advice import (
    advise,
    height_due_ft,
    rate_to_slope_fpm,
    rate_to_threshold_fpm,
    runway_figures,
    threshold_point,
)
from assistant.engine.core import begin
from assistant.engine.events import CalloutKind
from assistant.nav.geometry import polar_from_plane


def on_final(still, dme_nm, **changes):
    return placed(still, "final", dme_nm, established=True, fired=frozenset({"final descent"}), **changes)


@pytest.mark.parametrize(
    ("altitude_ft", "difference_ft"),
    [(1570.0, 0.0), (1620.0, 0.0), (1520.0, 0.0), (1630.0, 60.0), (1700.0, 130.0), (1500.0, -70.0)],
)
def test_the_difference_from_the_chart_is_said_in_tens_and_none_within_fifty(
    still, altitude_ft, difference_ft
):
    # The chart prints 1570 at 5 miles.
    (callout,) = said(advise, on_final(still, 5.0), report(dme_nm=5.0, indicated_ft=altitude_ft))

    assert callout.kind is CalloutKind.HEIGHT_CHECK
    assert callout.figures.difference_ft == pytest.approx(difference_ft, abs=10.0 if difference_ft else 0.0)


def test_no_height_is_checked_before_the_descent_was_called_or_after_the_minimum(still):
    before = on_final(still, 5.0).but(fired=frozenset())
    after = on_final(still, 5.0).but(asked=frozenset({"minimum"}))

    assert said(advise, before, report(dme_nm=5.0, indicated_ft=1700.0)) == []
    assert said(advise, after, report(dme_nm=5.0, indicated_ft=1700.0)) == []


@pytest.mark.parametrize(("age_s", "checked"), [(10.0, True), (11.0, False)])
def test_an_altitude_alone_is_checked_only_where_the_range_is_fresh(still, age_s, checked):
    state = on_final(still, 5.0).but(observed_s=NOW_S - age_s)

    assert bool(said(advise, state, report(indicated_ft=1700.0))) is checked


@pytest.mark.parametrize(
    ("radial_deg", "kind"), [(65.0, CalloutKind.HEIGHT_CHECK), (67.0, CalloutKind.COURSE_OFFSET)]
)
def test_far_off_the_final_course_comes_before_the_height(still, radial_deg, kind):
    (callout,) = said(
        advise, on_final(still, 5.0), report(radial_deg=radial_deg, dme_nm=5.0, indicated_ft=1700.0)
    )

    assert callout.kind is kind


@pytest.mark.parametrize(
    ("radial_deg", "side", "off_deg", "heading_deg"),
    # Inbound on 243, a greater radial lies to the left of the course (seen inbound): the cut of 10, 20 or 30
    # degrees is to the right, 243 + 10, + 20, + 30; the headings are said in fives.
    [
        (65.5, "left", 2.0, 255.0),
        (67.0, "left", 4.0, 265.0),
        (69.0, "left", 6.0, 275.0),
        (60.5, "right", 2.0, 235.0),
        (59.0, "right", 4.0, 225.0),
        (57.0, "right", 6.0, 215.0),
    ],
)
def test_off_the_course_the_heading_cuts_back_the_more_the_farther_off(
    still, radial_deg, side, off_deg, heading_deg
):
    (callout,) = said(advise, placed(still, "course_2", 9.0), report(radial_deg=radial_deg, dme_nm=9.0))

    assert (callout.figures.side, callout.figures.offset_deg) == (side, off_deg)
    assert callout.figures.heading_mag_deg == heading_deg
    assert callout.figures.course_mag_deg == 243.0


def test_within_a_quarter_of_full_scale_nothing_is_said_of_the_course(still):
    assert said(advise, placed(still, "course_2", 9.0), report(radial_deg=64.5, dme_nm=9.0)) == []


def test_what_was_read_before_the_leg_or_in_the_turn_is_no_measure_of_it(still):
    state = placed(still, "course_2", 9.0)
    turn_end_s = still.stage("course_2").timeline.turn_end_s

    assert said(advise, state.but(entered_s=NOW_S + 1.0), report(radial_deg=68.0, dme_nm=9.0)) == []
    in_turn = state.but(anchor_progress_s=turn_end_s - 1.0)
    assert said(advise, in_turn, report(radial_deg=68.0, dme_nm=9.0)) == []


@pytest.mark.parametrize(
    ("dme_nm", "side", "off_nm"),
    [
        (12.5, "outside", 0.5),
        (12.2, "outside", 0.2),
        (12.1, None, None),
        (11.9, None, None),
        (11.8, "inside", 0.2),
        (11.4, "inside", 0.6),
    ],
)
def test_off_the_arc_side_and_distance_are_said_from_two_tenths_on(still, dme_nm, side, off_nm):
    arc = still.stage("arc_1")
    middle_s = (arc.timeline.turn_end_s + arc.timeline.duration_s) / 2.0
    state = placed(still, "arc_1", 12.0, progress_s=middle_s, established=True)

    callouts = said(advise, state, report(dme_nm=dme_nm))

    if side is None:
        assert callouts == []
    else:
        assert callouts[0].kind is CalloutKind.ARC_OFFSET
        assert (callouts[0].figures.side, callouts[0].figures.offset_nm) == (side, pytest.approx(off_nm))


def test_the_rate_on_the_slope_is_gradient_times_speed(still):
    # The chart's 1250 ft at 4 miles is rounded to tens.
    assert rate_to_threshold_fpm(on_final(still, 4.0), 1250.0, NOW_S) == pytest.approx(769.0, abs=8.0)


def test_two_hundred_feet_high_the_rate_takes_them_off_half_way_to_the_minimum(still):
    # From 1250 to the 500 ft minimum at 769 ft/min is 0.98 min; half of it is less than the least, 0.5 min:
    # 200 / 0.5 = 400 ft/min more.
    rate_fpm = rate_to_slope_fpm(on_final(still, 4.0), 1450.0, 200.0, NOW_S)

    assert rate_fpm == pytest.approx(769.0 + 400.0, abs=8.0)


@pytest.mark.parametrize(("difference_ft", "share"), [(1500.0, 1.6), (-1500.0, 0.4)])
def test_the_rate_that_regains_the_slope_stays_within_bounds_of_the_planned_one(still, difference_ft, share):
    rate_fpm = rate_to_slope_fpm(on_final(still, 4.0), 1250.0 + difference_ft, difference_ft, NOW_S)

    assert rate_fpm == pytest.approx(share * 769.0, abs=8.0)


def test_no_rate_is_given_in_the_last_ten_seconds_to_the_threshold(still):
    state = on_final(still, 4.0)

    assert rate_to_threshold_fpm(state.but(anchor_progress_s=still.threshold_s - 9.0), 200.0, NOW_S) is None
    assert (
        rate_to_threshold_fpm(state.but(anchor_progress_s=still.threshold_s - 11.0), 200.0, NOW_S) is not None
    )


def test_the_threshold_lies_where_its_coordinates_are(still):
    place = polar_from_plane(threshold_point(still))

    # 0.00247 degrees north and 0.01205 degrees east at 38.5 S: 0.148 and 0.567 NM; true bearing 75.4, less
    # the station's 6 degrees: radial 069.4 at 0.586 NM.
    assert place.radial_deg == pytest.approx(69.4, abs=1.0)
    assert place.ground_nm == pytest.approx(0.586, abs=0.01)


@pytest.mark.parametrize(
    ("dme_nm", "due_ft"),
    # Between the chart's 1250 at 4 and 1570 at 5 miles, in tens; none beyond the slope.
    [(4.0, 1250.0), (4.5, 1410.0), (4.52, 1420.0), (4.51, 1410.0), (20.0, None)],
)
def test_the_height_due_lies_on_the_slope_in_tens(still, dme_nm, due_ft):
    state = on_final(still, 5.9)

    assert height_due_ft(state, dme_nm, NOW_S) == (None if due_ft is None else pytest.approx(due_ft))


@pytest.mark.parametrize(
    ("dme_nm", "due_ft"),
    # Not established at 5 miles, 1,900 ft are kept there; elsewhere the slope is what is due.
    [(5.0, 1900.0), (5.25, 1900.0), (4.75, 1900.0), (5.35, 1680.0), (4.65, 1460.0)],
)
def test_the_height_due_here_is_never_below_the_floor_in_force(still, dme_nm, due_ft):
    state = on_final(still, 5.0).but(established=False)

    # The slope between 5 and 6 miles rises by 323.8 ft a mile from 1570: to 1683 at 5.35.
    assert height_due_ft(state, dme_nm, NOW_S) == pytest.approx(due_ft, abs=10.0 if due_ft < 1900.0 else 0.0)


def test_close_to_the_station_the_needle_does_not_come_before_the_height(still):
    # Within two miles of it the needle swings by itself.
    state = on_final(still, 2.4)
    read = report(radial_deg=73.0, dme_nm=2.4, indicated_ft=900.0)
    (callout,) = said(advise, state, read)
    assert callout.kind is CalloutKind.COURSE_OFFSET

    near = state.but(dme_nm=1.95)
    (callout,) = said(advise, near, report(radial_deg=73.0, dme_nm=1.95, indicated_ft=900.0))
    assert callout.kind is CalloutKind.HEIGHT_CHECK


def test_a_radial_alone_is_judged_at_the_range_reckoned(still):
    (callout,) = said(advise, placed(still, "course_2", 9.0), report(radial_deg=67.0))

    assert (callout.kind, callout.figures.offset_deg) == (CalloutKind.COURSE_OFFSET, 4.0)
    assert said(advise, placed(still, "course_2", 9.0), report(dme_nm=9.0)) == []
    assert said(advise, placed(still, "course_2", 9.0).but(dme_nm=None), report(radial_deg=67.0)) == []


def test_where_the_range_is_too_old_for_a_height_the_needle_is_still_answered(still):
    state = on_final(still, 5.0).but(observed_s=NOW_S - 11.0)
    (callout,) = said(advise, state, report(radial_deg=67.0, indicated_ft=1700.0))

    assert callout.kind is CalloutKind.COURSE_OFFSET


def test_on_the_landing_and_the_missed_approach_nothing_is_corrected(still):
    off = report(radial_deg=75.0, dme_nm=3.0, indicated_ft=2000.0)

    assert said(advise, on_final(still, 3.0).but(stage_name="landing"), off) == []
    assert (
        said(advise, placed(still, "missed_1", 10.0, progress_s=60.0), report(radial_deg=10.0, dme_nm=9.0))
        == []
    )


def test_the_rate_to_the_threshold_follows_the_pace_flown(still):
    # A quarter faster than planned there is a fifth less time, and the planned rate is a quarter more.
    state = on_final(still, 4.0)
    usual_fpm = rate_to_threshold_fpm(state, 1250.0, NOW_S)

    assert rate_to_threshold_fpm(state.but(rate=1.25), 1250.0, NOW_S) == pytest.approx(1.25 * usual_fpm)
    assert rate_to_threshold_fpm(state, 5000.0, NOW_S) == pytest.approx(1.6 * 769.0, abs=8.0)
    assert rate_to_threshold_fpm(state, 200.0, NOW_S) == pytest.approx(0.4 * 769.0, abs=8.0)
    assert rate_to_threshold_fpm(placed(still, "hold_outbound", 19.0), 1250.0, NOW_S) is None
    assert rate_to_slope_fpm(placed(still, "hold_outbound", 19.0), 1250.0, 0.0, NOW_S) is None


@pytest.mark.parametrize(
    ("dme_nm", "side", "angle_deg"),
    # The threshold lies at (0.549, 0.206). From 3 miles on radial 063, (2.672, 1.362), it bears 241.5, from 6
    # miles 242.3; the nose points to 243. Within a degree it is ahead.
    [(3.0, "left", 1.55), (6.0, "ahead", 0.7)],
)
def test_the_runway_is_looked_for_beside_the_nose(still, dme_nm, side, angle_deg):
    figures = runway_figures(on_final(still, dme_nm), NOW_S)

    assert figures.side == side
    assert figures.angle_deg == pytest.approx(angle_deg, abs=0.15)


def test_where_no_place_is_known_no_runway_is_looked_for(still):
    assert runway_figures(begin(still), NOW_S).side is None


def test_without_coordinates_the_threshold_is_where_its_range_is_read(still):
    runway = replace(still.procedure.runway, threshold_latitude_deg=None, threshold_longitude_deg=None)
    place = polar_from_plane(
        threshold_point(replace(still, procedure=replace(still.procedure, runway=runway)))
    )

    # 0.6 DME on the final track, radial 063, a few feet above the station.
    assert (place.radial_deg, place.ground_nm) == (pytest.approx(63.0, abs=0.1), pytest.approx(0.6, abs=0.01))
