"""
What a report changes, to the very edge of each rule; on a leg drawn without rounding, by hand.

The drawn leg runs south along radial 360 from 20 to 5 DME at a 32nd of a mile a second, in place of Skarrow's
last course; the flight is at 80 ft, the station's height, so that ranges are those on the ground.
"""

import pytest
from on_paper import binary, in_plan, stage
from placed import NOW_S, placed, report

from assistant.engine.core import step
from assistant.engine.entering import enter
from assistant.engine.established import shows_established
from assistant.engine.events import Callout, CalloutKind, StageEntered
from assistant.engine.jumping import held_back
from assistant.engine.learning import take_place
from assistant.engine.outbox import Outbox
from assistant.engine.passing import passed_exit
from assistant.engine.plan import CourseFacts, Exit, Phase
from assistant.engine.state import AltitudeKnown, Doubt
from assistant.engine.triggers import DmeReached, TimeElapsed
from assistant.nav.geometry import PlanePoint

COURSE = CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.0, 0.0))


@pytest.fixture
def on(still):
    """A flight on the drawn leg, so many seconds along."""

    def flight(progress_s, *, leg=None, **changes):
        known = {"name": "course_2", "timeline": binary(), "tas_kt": 112.5, "target_ft": 80.0}
        drawn = stage(**known | {"phase": Phase.INTERMEDIATE, "course": COURSE} | (leg or {}))
        dme_nm = 20.0 - progress_s / 32.0
        known = {"progress_s": progress_s, "altitude_ft": 80.0, "radial_deg": 360.0} | changes
        return placed(in_plan(still, drawn), "course_2", dme_nm, **known)

    return flight


def taken(state, at_s=NOW_S, **read):
    return step(state, report(at_s, **read))[0]


# -- doubts -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("item", "first", "again", "believed"),
    [
        # At once: a mile, five degrees, 300 ft.
        ("range", {"dme_nm": 16.0}, {"dme_nm": 17.0}, True),
        ("range", {"dme_nm": 16.0}, {"dme_nm": 17.015625}, False),
        ("radial", {"radial_deg": 120.0}, {"radial_deg": 125.0}, True),
        ("radial", {"radial_deg": 120.0}, {"radial_deg": 125.25}, False),
        ("altitude", {"indicated_ft": 6000.0}, {"indicated_ft": 6300.0}, True),
        ("altitude", {"indicated_ft": 6000.0}, {"indicated_ft": 6300.25}, False),
    ],
)
def test_what_is_said_again_at_once_is_believed_just_within_its_reading(on, item, first, again, believed):
    state = on(320.0, doubt=Doubt(report=report(**first), item=item))

    assert (taken(state, **again).doubt is None) is believed


def test_what_was_flown_since_counts_with_the_wind(on):
    # 120 kt of airspeed and 60 of wind are a mile in 20 s, and a mile of reading: two from 13.
    windy = {"tas_kt": 120.0, "wind_kt": 60.0}
    state = on(320.0, leg=windy, doubt=Doubt(report=report(dme_nm=13.0), item="range"))

    assert taken(state, NOW_S + 20.0, dme_nm=15.0).doubt is None
    assert taken(state, NOW_S + 20.0, dme_nm=15.015625).doubt is not None


def test_within_a_mile_of_the_station_a_radial_may_swing_as_a_mile_out(on):
    # A 32nd of a mile a second: in 32 s a mile, 57.3 degrees a mile out, and five of reading.
    unsure = report(radial_deg=60.0, dme_nm=0.5, confidence=0.1)
    state = on(320.0, doubt=Doubt(report=unsure, item="radial"))

    def again(radial_deg):
        return taken(state, NOW_S + 32.0, radial_deg=radial_deg, dme_nm=0.5, confidence=0.1)

    # Both are heard badly: what counts is whether the second is what the first was.
    assert again(122.0).doubt is None
    assert again(122.5).doubt is not None


def test_a_doubt_stays_until_what_was_doubted_is_read_again(on):
    state = on(320.0, doubt=Doubt(report=report(radial_deg=120.0), item="radial"))

    assert taken(state, dme_nm=10.0).doubt is not None
    assert taken(state, dme_nm=10.0, radial_deg=360.0).doubt is None


# -- what is kept -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("read", "seen"),
    [({"radial_deg": 360.0, "dme_nm": 9.5}, True), ({"dme_nm": 9.5}, False), ({"radial_deg": 360.0}, False)],
)
def test_only_a_radial_and_a_range_read_together_say_where_the_flight_was_seen(on, read, seen):
    before = (NOW_S - 50.0, PlanePoint(0.0, 12.0))
    state = taken(on(320.0, seen=before), NOW_S + 16.0, **read)

    if seen:
        assert state.seen[0] == NOW_S + 16.0
        assert state.seen[1].north_nm == pytest.approx(9.5, abs=1e-6)
        assert state.seen[1].east_nm == pytest.approx(0.0, abs=1e-6)
    else:
        assert state.seen == before


@pytest.mark.parametrize(
    ("since_s", "rate_fpm"),
    # 100 ft: before that the rate known stays, then they give it; less than 150 ft/min is level.
    [(7.75, 500.0), (8.0, 750.0), (60.0, 0.0)],
)
def test_eight_seconds_between_two_altitudes_give_a_rate(on, since_s, rate_fpm):
    known = AltitudeKnown(altitude_ft=380.0, t_s=NOW_S - since_s, read_s=NOW_S - since_s, descent_fpm=500.0)
    state = taken(on(320.0, altitude=known), indicated_ft=280.0)

    assert state.altitude.descent_fpm == pytest.approx(rate_fpm)


@pytest.mark.parametrize(("lost_ft", "rate_fpm"), [(7999.0, 7999.0), (8000.0, 500.0)])
def test_eight_thousand_feet_a_minute_are_no_rate(on, lost_ft, rate_fpm):
    known = AltitudeKnown(altitude_ft=9000.0, t_s=NOW_S - 60.0, read_s=NOW_S - 60.0, descent_fpm=500.0)
    state = take_altitude_of(on(320.0, altitude=known), 9000.0 - lost_ft)

    assert state.altitude.descent_fpm == pytest.approx(rate_fpm)


def take_altitude_of(state, indicated_ft):
    """Said twice, since so great a change is doubted at first."""
    read = {"indicated_ft": indicated_ft}
    return taken(state.but(doubt=Doubt(report=report(**read), item="altitude")), **read)


@pytest.mark.parametrize(
    ("gone_s", "learns"),
    [(20.0, True), (19.75, False)],
)
def test_a_pace_is_learnt_from_just_twenty_seconds_on(on, gone_s, learns):
    # A tenth farther than planned.
    state = taken(on(320.0), NOW_S + gone_s, dme_nm=10.0 - gone_s * 1.1 / 32.0)

    assert (state.rate > 1.0) is learns


def test_a_pace_is_learnt_from_a_place_read_as_the_turn_was_just_over(on):
    def rate(turn_end_s):
        state = on(320.0, leg={"timeline": binary(turn_end_s=turn_end_s)})
        return take_place(state, report(NOW_S + 32.0, dme_nm=8.9), Outbox()).rate

    assert rate(320.0) > 1.0
    assert rate(320.25) == 1.0


# -- jumps --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("progress_s", "held"), [(320.0, True), (319.75, False)])
def test_a_jump_is_held_back_from_the_end_of_the_turn_on(on, progress_s, held):
    state = on(progress_s, leg={"timeline": binary(turn_end_s=320.0)})
    read = report(dme_nm=20.0 - progress_s / 32.0 - 2.0)

    assert (held_back(state, read) is not None) is held


@pytest.mark.parametrize(("age_s", "held"), [(60.0, True), (60.25, False)])
def test_a_jump_since_a_report_just_a_minute_old_is_held_back(on, age_s, held):
    assert (held_back(on(320.0, observed_s=NOW_S - age_s), report(dme_nm=7.0)) is not None) is held


# -- leaving a leg ------------------------------------------------------------------------------------------


def ending(at_s, trigger=None):
    trigger = trigger or DmeReached(dme_nm=20.0 - at_s / 32.0, closing=True)
    return {"exits": (Exit(trigger=trigger, to="final", at_s=at_s),)}


@pytest.mark.parametrize(
    ("short_s", "rate", "ended"), [(1.0, 1.0, True), (1.25, 1.0, False), (1.25, 1.25, True)]
)
def test_a_second_before_its_end_a_leg_is_over(on, short_s, rate, ended):
    state = on(400.0 - short_s, leg=ending(400.0), rate=rate)

    assert passed_exit(state, report(dme_nm=7.5)) == ("final" if ended else None)


@pytest.mark.parametrize(("gone_s", "ended"), [(60.0, True), (59.75, False)])
def test_a_timed_leg_is_over_after_just_six_tenths_of_its_time(on, gone_s, ended):
    timed = ending(100.0, TimeElapsed(time_s=100.0))
    state = on(100.0, leg=timed, entered_s=NOW_S - gone_s)

    assert passed_exit(state, report(dme_nm=16.875)) == ("final" if ended else None)


@pytest.mark.parametrize(
    ("read_nm", "since_turn_s", "ended"),
    [
        # A minute after the turn, at the very range that ends the leg.
        (7.5, 60.0, True),
        (7.515625, 60.0, False),
        (7.5, 59.75, False),
    ],
)
def test_who_is_lost_has_left_a_leg_at_the_very_range_that_ends_it(on, read_nm, since_turn_s, ended):
    leg = ending(400.0) | {"timeline": binary(turn_end_s=64.0)}
    state = on(100.0, leg=leg, observed_s=None, entered_s=NOW_S - 64.0 - since_turn_s)

    assert passed_exit(state, report(dme_nm=read_nm)) == ("final" if ended else None)
    opening = ending(400.0, DmeReached(dme_nm=7.5, closing=False)) | {"timeline": binary(turn_end_s=64.0)}
    state = on(100.0, leg=opening, observed_s=None, entered_s=NOW_S - 64.0 - since_turn_s)
    assert passed_exit(state, report(dme_nm=15.0 - read_nm)) == ("final" if ended else None)


def test_a_leg_ended_by_a_report_is_left_for_one_that_is_not_predicted(on):
    _, outputs = step(on(395.0, leg=ending(400.0)), report(NOW_S + 4.5, dme_nm=7.5))
    entered = [one for one in outputs if isinstance(one, StageEntered)]

    assert [(one.stage, one.predicted) for one in entered] == [("final", False)]


@pytest.mark.parametrize(
    ("short_s", "shown", "begins_s"),
    # Shown by a report a leg straight on goes on from where it is; by the clock it begins here and now.
    [(-5.0, True, 5.0), (-5.0, False, 0.0), (1.0, True, 0.0)],
)
def test_a_leg_straight_on_begins_where_the_report_that_ended_the_last_one_lies(on, short_s, shown, begins_s):
    state = on(400.0 - short_s, leg=ending(400.0), observed_s=NOW_S if shown else NOW_S - 1.0)
    entered = enter(state, NOW_S, "final", Outbox())

    assert entered.anchor_progress_s == begins_s
    assert entered.predicted is not shown


# -- established --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gone_s", "heading_deg", "apart_s", "shown"),
    [
        # Five seconds after the last fix a place tells, within 20 s and a third of the time of reckoning.
        (5.0, None, 0.0, True),
        (4.75, None, 0.0, False),
        (4.75, 180.0, 0.0, True),
        (4.75, 210.0, 0.0, True),
        (4.75, 210.25, 0.0, False),
        (4.75, 150.0, 0.0, True),
        (20.0, None, 27.0, True),
        (20.0, None, 27.25, False),
        (20.0, None, -27.0, True),
    ],
)
def test_a_place_shows_who_is_established_as_far_as_it_fits_the_way_since(
    on, gone_s, heading_deg, apart_s, shown
):
    state = on(320.0)
    progress_s = 320.0 + gone_s + apart_s
    read = report(
        NOW_S + gone_s, radial_deg=360.0, dme_nm=20.0 - progress_s / 32.0, heading_mag_deg=heading_deg
    )

    assert shows_established(state, read, progress_s) is shown


@pytest.mark.parametrize(
    ("since_call_s", "heading_deg", "shown"),
    # By the clock from eight seconds before the turn is planned to end; by a heading within sixty degrees.
    [(56.0, None, True), (55.75, None, False), (20.0, 240.0, True), (20.0, 240.25, False)],
)
def test_in_a_turn_the_clock_or_a_heading_says_whether_it_is_nearly_over(
    on, since_call_s, heading_deg, shown
):
    state = on(
        300.0, leg={"turns": True, "timeline": binary(turn_end_s=64.0)}, entered_s=NOW_S + 10.0 - since_call_s
    )
    read = report(NOW_S + 10.0, radial_deg=360.0, dme_nm=20.0 - 310.0 / 32.0, heading_mag_deg=heading_deg)

    assert shows_established(state, read, 310.0) is shown


def test_an_action_that_a_report_brings_is_heard_alone(on):
    # The final begins with a descent: the needle, four degrees off, is not answered besides.
    state = on(395.0, leg=ending(400.0), established=True, altitude_ft=1900.0)
    off = {"radial_deg": 4.0, "dme_nm": 7.5, "indicated_ft": 1900.0}
    _, outputs = step(state, report(NOW_S + 10.0, **off))
    kinds = [one.kind for one in outputs if isinstance(one, Callout)]

    assert CalloutKind.COURSE_OFFSET not in kinds
    # Without the end of the leg it is.
    _, outputs = step(on(395.0, established=True, altitude_ft=1900.0), report(NOW_S + 10.0, **off))
    assert CalloutKind.COURSE_OFFSET in [one.kind for one in outputs if isinstance(one, Callout)]
