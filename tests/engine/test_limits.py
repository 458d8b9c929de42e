"""The limits of belief, each from both sides: what is just within is taken, what is just beyond is not."""

from math import radians

import pytest
from placed import NOW_S, placed, report

from assistant.engine.advice import runway_figures
from assistant.engine.core import step
from assistant.engine.doubting import doubtful_item, doubtful_place
from assistant.engine.estimate import ahead_s, floor_ft
from assistant.engine.events import Callout, CalloutKind, Datum, StageEntered, Tick
from assistant.engine.outbox import Outbox
from assistant.engine.placing import progress_from
from assistant.engine.relocate import relocate, take_back
from assistant.engine.state import AltitudeKnown
from assistant.nav.geometry import distance_nm, plane_from_polar, polar_from_plane
from assistant.procedure.model import Category


@pytest.mark.parametrize(
    ("category", "reach_ft"),
    # 250 ft, and in a minute 6,500 or, of a light aircraft, 2,500 ft up or down.
    [(Category.C, 6750.0), (Category.D, 6750.0), (Category.A, 2750.0), (Category.B, 2750.0)],
)
def test_an_altitude_is_believed_as_far_as_it_can_have_changed(plan, category, reach_ft):
    state = placed(plan("skarrow-tacan-24", category=category), "course_2", 9.0, altitude_ft=9000.0)
    later_s = NOW_S + 60.0

    for side in (1.0, -1.0):
        within = report(later_s, indicated_ft=9000.0 + side * (reach_ft - 0.5))
        assert doubtful_item(state, within, later_s) is None
        beyond = report(later_s, indicated_ft=9000.0 + side * (reach_ft + 0.5))
        assert doubtful_item(state, beyond, later_s) == "altitude"
    # Before the reading nothing can have changed.
    early = report(NOW_S - 5.0, indicated_ft=9250.5)
    assert doubtful_item(state, early, NOW_S - 5.0) == "altitude"


@pytest.mark.parametrize(("after_turn_s", "item"), [(59.5, None), (60.5, "range")])
def test_for_a_minute_after_a_turn_a_place_has_a_mile_more(still, after_turn_s, item):
    turn_end_s = still.stage("course_2").timeline.turn_end_s
    state = placed(still, "course_2", 9.0, progress_s=turn_end_s + after_turn_s)
    place = state.place(NOW_S)

    assert doubtful_place(state, report(dme_nm=place.dme_nm + 1.5), NOW_S) == item
    assert doubtful_place(state, report(dme_nm=place.dme_nm + 0.9), NOW_S) is None
    # A leg that began straight on has none.
    straight = placed(still, "course_0", 15.0)
    assert doubtful_place(straight, report(dme_nm=16.5), NOW_S) == "range"


@pytest.mark.parametrize(("off_nm", "item"), [(4.9, None), (5.1, "range")])
def test_in_the_missed_approach_a_place_has_four_miles_more(still, off_nm, item):
    state = placed(still, "missed_1", 10.0, progress_s=100.0)
    place = state.place(NOW_S)

    assert doubtful_place(state, report(dme_nm=place.dme_nm + off_nm), NOW_S) == item


@pytest.mark.parametrize("age_s", [900.0, 1500.0])
def test_a_quarter_of_an_hour_is_as_far_as_the_slack_grows(still, age_s):
    # The reckoned range is nothing by then: what is read is the slack itself.
    state = placed(still, "course_2", 9.0).but(dme_nm=None)
    t_s = NOW_S + age_s
    slack_nm = 1.0 + 0.35 * state.place(t_s).groundspeed_kt / 3600.0 * 900.0

    assert state.place(t_s).dme_nm == 0.0
    assert doubtful_place(state, report(t_s, dme_nm=slack_nm - 0.005), t_s) is None
    assert doubtful_place(state, report(t_s, dme_nm=slack_nm + 0.005), t_s) == "range"


@pytest.mark.parametrize(
    ("radial_deg", "item"),
    # 2.1 miles away a mile is 27 degrees; overhead, within two, no radial tells anything.
    [(63.0 + 26.0, None), (63.0 + 29.0, "radial")],
)
def test_a_radial_is_believed_within_the_slack_across(still, radial_deg, item):
    state = placed(still, "final", 2.1)

    # On final the slack is six tenths: 16.4 degrees.
    assert doubtful_place(state, report(radial_deg=63.0 + 16.0), NOW_S) is None
    assert doubtful_place(state, report(radial_deg=63.0 + 17.0), NOW_S) == "radial"
    # On the leg before it is the whole mile.
    before = placed(still, "course_2", 6.3, progress_s=still.stage("course_2").timeline.duration_s)
    at_two = before.but(anchor_progress_s=before.anchor_progress_s + 91.0)
    assert at_two.place(NOW_S).dme_nm == pytest.approx(2.1, abs=0.15)
    assert doubtful_place(at_two, report(radial_deg=radial_deg), NOW_S) == item


def test_on_an_arc_a_reading_may_be_two_and_a_half_degrees_too_far_on(still):
    state = placed(still, "arc_1", 12.0, progress_s=100.0)
    speed_nm_s = state.timeline.at(120.0).groundspeed_kt / 3600.0
    read = report(NOW_S + 20.0, radial_deg=10.0, dme_nm=12.0)

    # 2.6 degrees (three deviations of 0.7 and the rounding) of twelve miles, and the second of its moment.
    assert ahead_s(state, read, 120.0) == pytest.approx(radians(2.6) * 12.0 / speed_nm_s + 1.0)


@pytest.mark.parametrize(("back_s", "tells"), [(11.5, True), (12.5, False)])
def test_in_a_turn_a_range_is_not_one_from_further_back_than_pilots_are_late(still, back_s, tells):
    turn = still.stage("course_2").timeline
    state = placed(still, "course_2", 9.0, progress_s=turn.turn_end_s - 1.0)
    there_nm = turn.at(turn.turn_end_s - 1.0 - back_s).dme_nm

    assert (progress_from(state, report(dme_nm=there_nm), NOW_S) is not None) is tells


@pytest.mark.parametrize(
    ("stage", "at_nm", "read_nm", "tells"),
    [
        # A final that begins over the station: its first mile reads as the last before it.
        ("final", 1.5, 0.9, False),
        ("final", 1.5, 1.1, True),
        # A leg that leads over it: about two miles on either side read the same.
        ("course_1", 1.8, 1.9, False),
        ("course_1", 2.1, 1.9, True),
        ("course_1", 1.8, 2.1, True),
    ],
)
def test_about_the_station_a_range_alone_tells_nothing(plan, stage, at_nm, read_nm, tells):
    # Quorrel: in on 200 to the station at some 0.3 miles of height, and on along the final from there.
    state = placed(plan("quorrel-vor-dme-20", category=Category.B), stage, at_nm)

    assert (progress_from(state, report(dme_nm=read_nm), NOW_S) is not None) is tells


@pytest.mark.parametrize(("height_ft", "warned"), [(889.5, False), (888.5, True)])
def test_fifteen_feet_are_rounding_on_another_datum(plan, height_ft, warned):
    # The floor of 1,000 ft is 904 above the threshold at 96 ft, and no number of the chart.
    on_qfe = plan("skarrow-tacan-24", datum=Datum.QFE)
    state = placed(on_qfe, "final", 4.0, altitude_ft=1000.0, established=True).but(datum=Datum.QFE)
    _, outputs = step(state, report(radial_deg=63.0, dme_nm=4.0, indicated_ft=height_ft))

    kinds = [output.kind for output in outputs if isinstance(output, Callout)]
    assert (CalloutKind.BELOW_FLOOR in kinds) is warned


@pytest.mark.parametrize(("altitude_ft", "warned"), [(995.0, False), (994.9, True)])
def test_five_feet_are_rounding_of_a_printed_number(still, altitude_ft, warned):
    state = placed(still, "final", 4.0, altitude_ft=1000.0, established=True)
    _, outputs = step(state, report(radial_deg=63.0, dme_nm=4.0, indicated_ft=altitude_ft))

    kinds = [output.kind for output in outputs if isinstance(output, Callout)]
    assert (CalloutKind.BELOW_FLOOR in kinds) is warned


def settles(state, first, second, *, after_s):
    """Whether a doubt about a first report is over after a second."""
    state, _ = step(state, report(**first))
    assert state.doubt is not None
    state, _ = step(state, report(NOW_S + after_s, **second))
    return state.doubt is None


@pytest.mark.parametrize(
    ("radial_deg", "believed"),
    # 20 s at 185.2 kt are 1.029 NM. At nine miles 6.55 degrees, and five of reading: 11.55 from 120.
    [(131.4, True), (131.7, False)],
)
def test_a_radial_said_again_within_what_was_flown_around_and_five_degrees(still, radial_deg, believed):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    again = {"radial_deg": radial_deg, "dme_nm": 8.0}

    assert settles(state, {"radial_deg": 120.0, "dme_nm": 9.0}, again, after_s=20.0) is believed


@pytest.mark.parametrize(
    ("radial_deg", "believed"),
    # With no range in either, the flight is taken to be ten miles out: 5.90 degrees, and five.
    [(130.7, True), (131.1, False)],
)
def test_a_radial_said_again_without_a_range_is_judged_ten_miles_out(still, radial_deg, believed):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)

    assert settles(state, {"radial_deg": 120.0}, {"radial_deg": radial_deg}, after_s=20.0) is believed


@pytest.mark.parametrize(
    ("altitude_ft", "believed"),
    # 6500 ft/min for a minute, and 300 ft.
    [(12799.5, True), (12800.5, False)],
)
def test_an_altitude_said_again_within_what_can_be_climbed_and_300_ft(still, altitude_ft, believed):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)

    assert settles(state, {"indicated_ft": 6000.0}, {"indicated_ft": altitude_ft}, after_s=60.0) is believed


@pytest.mark.parametrize(("read_ft", "rate_fpm"), [(7800.1, 7999.3), (7799.9, 500.0)])
def test_no_aircraft_loses_eight_thousand_feet_a_minute(still, read_ft, rate_fpm):
    # 8,000 ft/min for 9 s: 1,200 ft.
    known = AltitudeKnown(altitude_ft=9000.0, t_s=NOW_S - 9.0, read_s=NOW_S - 9.0, descent_fpm=500.0)
    state = placed(still, "course_2", 9.0, altitude=known)
    state, _ = step(state, report(indicated_ft=read_ft))

    assert state.altitude.descent_fpm == pytest.approx(rate_fpm, abs=0.1)


@pytest.mark.parametrize(("gone_s", "learnt"), [(19.9, False), (20.1, True)])
def test_a_pace_is_learnt_from_twenty_seconds_on(plan, gone_s, learnt):
    leg = plan("teskel-vortac-06")
    state = placed(leg, "course_0", 19.0)
    later = leg.stage("course_0").timeline.at(state.anchor_progress_s + gone_s * 1.1)
    state, _ = step(state, report(NOW_S + gone_s, radial_deg=238.0, dme_nm=later.dme_nm))

    assert (state.rate > 1.005) is learnt


def found(state, read):
    state, lost = relocate(state, read, Outbox())
    return state.stage_name, lost


@pytest.mark.parametrize(("altitude_ft", "came_to"), [(3400.0, "final"), (3400.5, "course_0")])
def test_fifteen_hundred_feet_above_its_beginning_is_too_high_for_the_final(still, altitude_ft, came_to):
    state = placed(still, "course_0", 15.0, altitude_ft=altitude_ft)

    assert found(state, report(radial_deg=63.0, dme_nm=3.0))[0] == came_to


@pytest.mark.parametrize(
    ("across_nm", "lost"),
    # Beside the course in hand two and a half miles are still it; of another leg only one.
    [(2.4, False), (2.6, True)],
)
def test_a_place_two_and_a_half_miles_beside_its_leg_may_belong_to_it(still, across_nm, lost):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    on, right = plane_from_polar(63.0, 9.0), plane_from_polar(153.0, 1.0)
    point = type(on)(on.east_nm + across_nm * right.east_nm, on.north_nm + across_nm * right.north_nm)
    radial_deg, dme_nm = _read(point)

    assert found(state, report(radial_deg=radial_deg, dme_nm=dme_nm))[1] is lost


def _read(point):
    polar = polar_from_plane(point)
    # At 1,900 ft the slant range is some thousandths longer.
    return polar.radial_deg, (polar.ground_nm**2 + (1820.0 / 6076.115) ** 2) ** 0.5


@pytest.mark.parametrize(("past_s", "lost"), [(29.0, False), (31.0, True)])
def test_half_a_minute_past_its_end_a_place_may_belong_to_the_leg(still, past_s, lost):
    # Behind BESKA on the course; on the final beyond it the aircraft is too high for that leg.
    leg = still.stage("course_2").timeline
    state = placed(still, "course_2", 9.0, altitude_ft=4000.0)
    place = leg.at(leg.duration_s + past_s)
    polar_nm = (place.point.east_nm**2 + place.point.north_nm**2) ** 0.5
    slant_nm = (polar_nm**2 + (3920.0 / 6076.115) ** 2) ** 0.5

    assert found(state, report(radial_deg=63.0, dme_nm=slant_nm))[1] is lost


@pytest.mark.parametrize(("ahead", "lost"), [(59.0, False), (61.0, True)])
def test_a_range_alone_up_to_a_minute_from_reckoning_is_the_same_leg(still, ahead, lost):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    there = state.timeline.at(state.anchor_progress_s + ahead)

    assert found(state, report(dme_nm=there.dme_nm))[1] is lost


@pytest.mark.parametrize(("entered_ago_s", "came_to"), [(11.9, "course_0"), (12.1, "arc_1")])
def test_after_twelve_seconds_a_turn_is_not_taken_back(still, entered_ago_s, came_to):
    before = placed(still, "course_0", 14.9, altitude_ft=3500.0)
    state = placed(
        still,
        "arc_1",
        None,
        progress_s=5.0,
        predicted=True,
        confirmed=before,
        entered_s=NOW_S - entered_ago_s,
    )

    assert take_back(state, report(radial_deg=345.0, dme_nm=14.9), Outbox()).stage_name == came_to


@pytest.mark.parametrize(("age_s", "left"), [(239.5, True), (240.5, False)])
def test_a_hold_goes_on_by_the_clock_for_four_minutes(still, age_s, left):
    leg = still.stage("hold_outbound")
    at_s = leg.exits[0].at_s
    # The inbound turn is called 8 s before its place: 22 s from now.
    state = placed(still, "hold_outbound", 19.0, progress_s=at_s - 30.0).but(dme_nm=None)
    names = frozenset(cue.name for cue in leg.cues)
    state = state.but(fired=names, asked=frozenset({"position"}), observed_s=NOW_S + 22.0 - age_s)
    _, outputs = step(state, Tick(t_s=NOW_S + 23.0))

    assert ("hold_inbound" in [one.stage for one in outputs if isinstance(one, StageEntered)]) is left


def test_close_to_the_threshold_the_runway_is_still_looked_for(still):
    assert runway_figures(placed(still, "final", 1.4, established=True), NOW_S).side is not None


def test_a_floor_ends_where_it_ends_to_a_thousandth_of_a_second(still):
    until_s = still.stage("final").floors[0].until_s
    state = placed(still, "final", 4.0, established=True)

    assert floor_ft(state, NOW_S, progress_s=until_s - 0.01) == 1000.0
    assert floor_ft(state, NOW_S, progress_s=until_s - 0.0005) == 500.0
    assert floor_ft(state, NOW_S, progress_s=until_s) == 500.0


def warned(state, read):
    _, outputs = step(state, read)
    return CalloutKind.BELOW_FLOOR in [output.kind for output in outputs if isinstance(output, Callout)]


def test_no_floor_is_let_go_for_a_range_that_cannot_be_true(still):
    # At 4 miles 1,000 ft hold until 3.5; three miles read a moment later cannot be, and 900 ft are too low.
    state = placed(still, "final", 4.0, altitude_ft=1000.0, established=True)

    assert warned(state, report(dme_nm=3.0, indicated_ft=900.0))
    assert warned(state, report(radial_deg=63.0, dme_nm=3.0, indicated_ft=900.0))


def test_no_floor_is_let_go_for_a_radial_alone(still):
    # The arc's 3,000 ft hold until radial 020 is surely passed; a degree past it was read, and no range.
    step_s = still.stage("arc_1").floors[0].until_s
    state = placed(still, "arc_1", 12.0, progress_s=step_s - 5.0, altitude_ft=3000.0, established=True)
    past_deg = state.timeline.at(step_s + 5.0).radial_deg

    assert warned(state, report(radial_deg=past_deg, indicated_ft=2600.0))
    assert not warned(state, report(radial_deg=past_deg, dme_nm=12.0, indicated_ft=2600.0))


@pytest.mark.parametrize(("radial_deg", "too_low"), [(63.0, False), (68.0, True)])
def test_the_report_that_shows_a_pilot_established_releases_the_altitude_that_waited(
    still, radial_deg, too_low
):
    # Until established 2,500 ft of the arc hold, then 1,900.
    state = placed(still, "course_2", 8.0, altitude_ft=2500.0)
    later = state.place(NOW_S + 10.0)

    read = report(NOW_S + 10.0, radial_deg=radial_deg, dme_nm=later.dme_nm, indicated_ft=2000.0)
    assert warned(state, read) is too_low


@pytest.mark.parametrize(
    ("expected_s", "there_s", "found_s"),
    # In the first half of a turn of 42 s a place more than 25 s ahead may be one of the turn flown wide,
    # where it lies within two miles of reckoning (33 s at 222 kt), or within two and a half (41 s) where it
    # is so far ahead that it cannot have been flown to since the last report; farther off it is what it is.
    [
        (20.0, 44.9, 44.9),
        (20.0, 45.1, None),
        (20.0, 50.0, None),
        (20.0, 75.0, 75.0),
        (-8.0, 24.9, 24.9),
        (-8.0, 25.5, None),
        (21.5, 52.0, 52.0),
        (40.0, 70.0, 70.0),
    ],
)
def test_in_a_turn_just_begun_a_place_far_ahead_may_be_the_turn(still, expected_s, there_s, found_s):
    called_s = NOW_S - max(expected_s, 0.0)
    state = placed(still, "course_2", 11.0, progress_s=expected_s, altitude_ft=1900.0, entered_s=called_s)
    there = state.timeline.at(there_s)
    found = progress_from(state, report(radial_deg=there.radial_deg, dme_nm=there.dme_nm), NOW_S)

    assert (None if found is None else found[0]) == (
        None if found_s is None else pytest.approx(found_s, abs=0.05)
    )


def test_straight_on_no_place_is_taken_for_a_turn(still):
    state = placed(still, "course_0", 15.0, progress_s=2.0, altitude_ft=3500.0)
    there = state.timeline.at(30.0)

    found_s, _ = progress_from(state, report(radial_deg=there.radial_deg, dme_nm=there.dme_nm), NOW_S)
    assert found_s == pytest.approx(30.0, abs=0.05)


@pytest.mark.parametrize(("age_s", "is_believed"), [(0.0, False), (20.0, True)])
def test_a_place_over_two_miles_ahead_in_a_turn_is_believed_where_there_was_time_to_fly_there(
    still, age_s, is_believed
):
    # 40 s ahead of reckoning and 2.2 NM from it, as a range misread by two miles is; 25 s are always granted.
    state = placed(still, "course_2", 11.0, progress_s=18.0, altitude_ft=1900.0, observed_s=NOW_S - age_s)
    there = state.timeline.at(58.0)
    apart_nm = distance_nm(state.timeline.at(18.0).point, there.point)
    found = progress_from(state, report(radial_deg=there.radial_deg, dme_nm=there.dme_nm), NOW_S)

    assert 2.0 < apart_nm < 2.5
    assert (found is not None) is is_believed
