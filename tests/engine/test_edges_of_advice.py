"""Which figure a report calls for, to the very edge of each rule; Skarrow in still air, by hand."""

from dataclasses import replace

import pytest
from on_paper import binary, in_plan, stage
from placed import NOW_S, placed, report, said

from assistant.engine.advice import (
    advise,
    height_due_ft,
    rate_to_slope_fpm,
    rate_to_threshold_fpm,
    runway_figures,
    threshold_point,
)
from assistant.engine.events import CalloutKind, PositionReport
from assistant.engine.plan import CourseFacts, Phase
from assistant.nav.geometry import PlanePoint


@pytest.fixture
def still(plan):
    """Final along radial 063 at 142.6 kt true, 323.8 ft a mile: 769 ft/min; "minimum" at 550 ft."""
    return plan("skarrow-tacan-24")


def on_final(still, dme_nm, **changes):
    known = {"established": True, "fired": frozenset({"final descent"})} | changes
    return placed(still, "final", dme_nm, **known)


def kinds(state, **read):
    return [one.kind for one in said(advise, state, report(**read))]


@pytest.mark.parametrize(
    ("changes", "indicated_ft"),
    [
        # No altitude read, the descent not yet called, the range too old for a height, the minimum called.
        ({}, None),
        ({"fired": frozenset()}, 1700.0),
        ({"observed_s": NOW_S - 11.0}, 1700.0),
        ({"asked": frozenset({"minimum"})}, 1700.0),
    ],
)
def test_where_no_height_can_be_checked_a_needle_two_degrees_off_is_answered(still, changes, indicated_ft):
    state = on_final(still, 5.0, **changes)

    assert kinds(state, radial_deg=65.5, indicated_ft=indicated_ft) == [CalloutKind.COURSE_OFFSET]


@pytest.mark.parametrize(("dme_nm", "checked"), [(1.84, False), (1.90, True)])
def test_down_to_the_height_at_which_the_minimum_is_called_heights_are_checked(still, dme_nm, checked):
    # The slope passes 550 ft, in tens, at 4 - 700 / 323.8 = 1.84 miles, 570 at 1.90.
    found = kinds(on_final(still, dme_nm), dme_nm=dme_nm, indicated_ft=560.0)

    assert found == ([CalloutKind.HEIGHT_CHECK] if checked else [])


@pytest.mark.parametrize(
    ("dme_nm", "kind"), [(2.0, CalloutKind.COURSE_OFFSET), (1.99, CalloutKind.HEIGHT_CHECK)]
)
def test_two_miles_from_the_station_the_needle_still_tells(still, dme_nm, kind):
    assert kinds(on_final(still, dme_nm), radial_deg=73.0, dme_nm=dme_nm, indicated_ft=650.0) == [kind]


@pytest.mark.parametrize(
    ("radial_deg", "heading_deg"),
    # Inbound on 243: within three degrees a cut of 10, within five of 20, beyond of 30, in fives.
    [(65.9, 255.0), (66.2, 265.0), (67.9, 265.0), (68.2, 275.0), (60.1, 235.0), (59.8, 225.0), (57.8, 215.0)],
)
def test_the_cut_grows_at_three_and_at_five_degrees(still, radial_deg, heading_deg):
    (callout,) = said(advise, placed(still, "course_2", 9.0), report(radial_deg=radial_deg, dme_nm=9.0))

    assert callout.figures.heading_mag_deg == heading_deg


@pytest.mark.parametrize(
    ("radial_deg", "said_"), [(65.05, True), (64.95, False), (60.95, True), (61.05, False)]
)
def test_two_degrees_off_are_worth_a_heading(still, radial_deg, said_):
    assert bool(kinds(placed(still, "course_2", 9.0), radial_deg=radial_deg, dme_nm=9.0)) is said_


def test_a_needle_read_two_miles_out_is_answered_and_nearer_is_not(still):
    state = on_final(still, 2.5)

    assert kinds(state, radial_deg=73.0, dme_nm=2.0) == [CalloutKind.COURSE_OFFSET]
    assert kinds(state, radial_deg=73.0, dme_nm=1.99) == []


@pytest.fixture
def drawn(still):
    """A final drawn by hand: south to the station at 112.5 kt, 480 s of it, the threshold where named."""

    def final(*, progress_s, threshold_s, **changes):
        leg = stage(
            name="final",
            phase=Phase.FINAL,
            timeline=binary(turn_end_s=64.0),
            tas_kt=112.5,
            course=CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.0, 0.0)),
        )
        compiled = replace(in_plan(still, leg), threshold_s=threshold_s, final_gradient_ft_per_nm=320.0)
        return placed(compiled, "final", 20.0 - progress_s / 32.0, progress_s=progress_s, **changes)

    return final


@pytest.mark.parametrize(("left_s", "known"), [(10.0, True), (10.25, True), (9.75, False)])
def test_ten_seconds_before_the_threshold_a_rate_is_still_given(drawn, left_s, known):
    state = drawn(progress_s=300.0, threshold_s=300.0 + left_s)

    assert (rate_to_threshold_fpm(state, 200.0, NOW_S) is not None) is known


@pytest.mark.parametrize(
    ("altitude_ft", "rate", "fpm"),
    # 112.5 kt on 320 ft a mile are 600 ft/min. A minute before the threshold, crossed at 146 ft, 746 ft
    # lose 600; a quarter faster in 48 s 750. Never less than 0.4 nor more than 1.6 of the planned rate.
    [
        (746.0, 1.0, 600.0),
        (746.0, 1.25, 750.0),
        (5000.0, 1.0, 960.0),
        (5000.0, 1.25, 1200.0),
        (200.0, 1.0, 240.0),
        (200.0, 1.25, 300.0),
        (200.0, 0.75, 180.0),
    ],
)
def test_the_rate_to_the_threshold_and_its_bounds_follow_the_pace(drawn, altitude_ft, rate, fpm):
    state = drawn(progress_s=300.0, threshold_s=360.0, rate=rate)

    assert rate_to_threshold_fpm(state, altitude_ft, NOW_S) == pytest.approx(fpm, abs=1e-6)


@pytest.mark.parametrize(
    ("altitude_ft", "difference_ft", "fpm"),
    [
        # On the slope at 2,546 ft, 240 s and 2,400 ft before the threshold: 600 ft/min. To the 550 ft are
        # 1,996, 3.33 min; half of it, 1.6633 min, regains.
        (2546.0, 0.0, 600.0),
        (2746.0, 200.0, 600.0 + 200.0 / (1996.0 / 600.0 * 0.5)),
        (2346.0, -200.0, 600.0 - 200.0 / (1996.0 / 600.0 * 0.5)),
        (5546.0, 3000.0, 960.0),
    ],
)
def test_the_slope_is_met_again_half_way_to_the_minimum(drawn, altitude_ft, difference_ft, fpm):
    state = drawn(progress_s=160.0, threshold_s=400.0)

    assert rate_to_slope_fpm(state, altitude_ft, difference_ft, NOW_S) == pytest.approx(fpm, abs=1e-6)


def test_near_the_minimum_the_slope_is_met_in_no_less_than_half_a_minute(drawn):
    # A minute before the threshold on the slope at 746 ft: 196 ft to the 550, a third of a minute, its half
    # is less than half a minute.
    state = drawn(progress_s=300.0, threshold_s=360.0)

    assert rate_to_slope_fpm(state, 846.0, 100.0, NOW_S) == pytest.approx(600.0 + 100.0 / 0.5, abs=1e-6)


def test_from_the_moment_a_leg_or_its_straight_part_began_the_needle_is_answered(drawn):
    off = {"radial_deg": 10.0, "dme_nm": 15.0}
    state = drawn(progress_s=160.0, threshold_s=400.0, entered_s=NOW_S)
    assert kinds(state, **off) == [CalloutKind.COURSE_OFFSET]
    assert kinds(state.but(entered_s=NOW_S + 0.25), **off) == []

    rolled_out = drawn(progress_s=64.0, threshold_s=400.0)
    assert kinds(rolled_out, **off) == [CalloutKind.COURSE_OFFSET]
    assert kinds(rolled_out.but(anchor_progress_s=63.75), **off) == []


def test_over_the_threshold_itself_no_runway_is_looked_for(still):
    runway = replace(still.procedure.runway, threshold_latitude_deg=None, threshold_longitude_deg=None)
    bare = replace(still, procedure=replace(still.procedure, runway=runway))
    over = placed(bare, "final", 0.6, progress_s=bare.threshold_s)

    assert over.place(NOW_S).point == threshold_point(bare)
    assert runway_figures(over, NOW_S).side is None
    # A tenth of a mile before it, it is straight ahead.
    before = placed(bare, "final", 0.7, progress_s=bare.threshold_s - 3.0)
    assert runway_figures(before, NOW_S).side == "ahead"


@pytest.mark.parametrize(
    ("dme_nm", "due_ft"),
    # The chart's step-downs in force there: 1,000 ft to 3.5 DME, then 500; the slope is drawn below them.
    [(5.0, 1000.0), (3.6, 1000.0), (3.4, 500.0), (2.0, 500.0)],
)
def test_asked_from_afar_a_height_due_is_not_below_the_floor_in_force_there(still, dme_nm, due_ft):
    low = replace(still, profile=((1.0, 100.0), (6.0, 400.0)))

    assert height_due_ft(placed(low, "course_2", 9.0), dme_nm, NOW_S) == due_ft


@pytest.mark.parametrize(("after_s", "answered"), [(5.0, True), (15.0, False)])
def test_a_radial_alone_is_judged_where_the_flight_is_by_then(still, after_s, answered):
    # At 142.5 kt from 2.3 miles: 2.1 after five seconds, 1.7 after fifteen, where the needle swings.
    state = on_final(still, 2.3)
    read = PositionReport(t_s=NOW_S + after_s, observed_t_s=NOW_S + after_s, radial_deg=73.0)

    assert bool(said(advise, state, read)) is answered
