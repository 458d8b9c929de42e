"""Samples that come faster than a pilot reads tell by their heading that the aircraft flies the leg."""

import pytest
from placed import NOW_S, placed, said

from assistant.engine.core import step
from assistant.engine.events import CalloutKind, PositionReport
from assistant.engine.reports import take_report
from assistant.engine.state import AltitudeKnown

# Skarrow's course to BESKA: 243 along radial 063, flown at 180 kt in still air: a mile in 20 s.
COURSE_DEG, RADIAL_DEG = 243.0, 63.0


@pytest.fixture
def inbound(plan):
    """Nine miles out on the course to BESKA, not known to be established."""
    return placed(plan("skarrow-tacan-24"), "course_2", 9.0)


def seen(state, after_s, *, heading_deg=None, radial_deg=RADIAL_DEG, late_s=0.0):
    """The state after a sample so long after the last, flown on at 180 kt but for `late_s`."""
    t_s = NOW_S + after_s
    sample = PositionReport(
        t_s=t_s,
        observed_t_s=t_s,
        radial_deg=radial_deg,
        dme_nm=9.0 - (after_s - late_s) / 20.0,
        heading_mag_deg=heading_deg,
    )
    return step(state, sample)[0]


@pytest.mark.parametrize("heading_deg", [COURSE_DEG, COURSE_DEG + 29.0, COURSE_DEG - 29.0])
def test_a_sample_a_second_later_heading_along_the_leg_is_established(inbound, heading_deg):
    assert seen(inbound, 1.0, heading_deg=heading_deg).established


@pytest.mark.parametrize("heading_deg", [COURSE_DEG + 31.0, COURSE_DEG - 31.0, COURSE_DEG - 180.0, None])
def test_a_sample_a_second_later_across_or_against_the_leg_is_not(inbound, heading_deg):
    assert not seen(inbound, 1.0, heading_deg=heading_deg).established


@pytest.mark.parametrize(("after_s", "established"), [(4.9, False), (5.0, True), (20.0, True)])
def test_without_a_heading_five_seconds_of_the_leg_flown_tell(inbound, after_s, established):
    assert seen(inbound, after_s).established is established


def test_a_sample_every_second_against_the_leg_never_establishes(inbound):
    state = inbound
    for second in range(1, 30):
        state = seen(state, float(second), heading_deg=COURSE_DEG - 180.0)

    assert not state.established


def test_a_place_far_behind_the_reckoning_does_not_establish(inbound):
    # 20 s of the leg and 0.35 of the time since are believed: 19 s late after 1 s is, 22 s is not.
    assert seen(inbound, 1.0, heading_deg=COURSE_DEG, late_s=19.0).established
    assert not seen(inbound, 1.0, heading_deg=COURSE_DEG, late_s=22.0).established


@pytest.mark.parametrize(
    ("radial_deg", "established"), [(61.0, True), (65.0, True), (59.0, False), (67.0, False)]
)
def test_off_the_needle_by_more_than_three_degrees_is_not_established(inbound, radial_deg, established):
    assert seen(inbound, 1.0, heading_deg=COURSE_DEG, radial_deg=radial_deg).established is established


@pytest.mark.parametrize(("quiet", "answered"), [(True, False), (False, True)])
def test_a_feeds_sample_off_the_course_is_not_answered_and_a_report_is(inbound, quiet, answered):
    off = PositionReport(t_s=NOW_S, observed_t_s=NOW_S, radial_deg=68.0, dme_nm=9.0)

    callouts = said(lambda state, report, out: take_report(state, report, out, quiet=quiet), inbound, off)

    assert any(callout.kind is CalloutKind.COURSE_OFFSET for callout in callouts) is answered


@pytest.mark.parametrize(
    ("groundspeed_kt", "pace"), [(185.1, 1.0), (203.6, 1.1), (360.0, 1.35), (90.0, 0.75)]
)
def test_a_feeds_speed_sets_the_pace_within_what_wind_and_speed_explain(inbound, groundspeed_kt, pace):
    # 180 kt indicated at 1900 ft: density 0.9456 of sea level's, 180 / sqrt 0.9456 = 185.1 kt true.
    sample = PositionReport(
        t_s=NOW_S + 1.0,
        observed_t_s=NOW_S + 1.0,
        radial_deg=RADIAL_DEG,
        dme_nm=8.95,
        groundspeed_kt=groundspeed_kt,
    )

    assert step(inbound, sample)[0].rate == pytest.approx(pace, abs=0.01)


@pytest.mark.parametrize(
    ("after_s", "altitude_ft", "fpm"),
    [
        (10.0, 2700.0, 1800.0),
        (10.0, 2980.0, 0.0),
        (7.0, 2700.0, 0.0),
        (8.0, 2600.0, 3000.0),
        (10.0, 3300.0, -1800.0),
    ],
)
def test_a_rate_is_measured_from_altitudes_eight_seconds_apart_and_more(inbound, after_s, altitude_ft, fpm):
    state = inbound.but(altitude=AltitudeKnown(altitude_ft=3000.0, t_s=NOW_S, read_s=NOW_S), target_ft=1900.0)
    t_s = NOW_S + after_s
    state, _ = step(state, PositionReport(t_s=t_s, observed_t_s=t_s, indicated_ft=altitude_ft))

    # Feet lost over seconds, times 60; under 150 ft/min is level.
    assert state.altitude.descent_fpm == pytest.approx(fpm)
