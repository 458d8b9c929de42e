"""What cannot be true is believed when it is said again, as far as the aircraft can have flown since."""

import pytest
from placed import NOW_S, placed

from assistant.engine.core import as_report, step
from assistant.engine.events import PositionReport, PositionSample
from assistant.nav.geometry import position_from_radial_dme


@pytest.fixture
def inbound(plan):
    """Nine miles out at 1,900 ft on the course to BESKA (243 along radial 063), 180 kt indicated, calm."""
    return placed(plan("skarrow-tacan-24"), "course_2", 9.0, altitude_ft=1900.0)


def twice(state, first, second, *, after_s):
    """Whether a doubt is over after a report that cannot be true and, so much later, another."""
    state, _ = step(state, PositionReport(t_s=NOW_S, observed_t_s=NOW_S, **first))
    assert state.doubt is not None
    t_s = NOW_S + after_s
    state, _ = step(state, PositionReport(t_s=t_s, observed_t_s=t_s, **second))
    return state.doubt is None


@pytest.mark.parametrize(
    ("range_nm", "believed"),
    # In 20 s at 185 kt true: 1.03 NM, and a mile of reading: up to 2.03 from the 14 first said.
    [(14.0, True), (12.2, True), (15.9, True), (16.3, False), (11.7, False)],
)
def test_a_range_said_again_is_believed_within_what_was_flown_and_a_mile(inbound, range_nm, believed):
    assert twice(inbound, {"dme_nm": 14.0}, {"dme_nm": range_nm}, after_s=20.0) is believed


@pytest.mark.parametrize(
    ("radial_deg", "believed"), [(120.0, True), (131.0, True), (133.5, False), (106.5, False)]
)
def test_a_radial_said_again_is_believed_within_what_was_flown_around_and_five_degrees(
    inbound, radial_deg, believed
):
    # 1.03 NM at nine miles are 6.5 degrees, and five of reading: up to 11.5 from the 120 first said.
    first, again = {"radial_deg": 120.0, "dme_nm": 9.0}, {"radial_deg": radial_deg, "dme_nm": 8.0}

    assert twice(inbound, first, again, after_s=20.0) is believed


@pytest.mark.parametrize(
    ("altitude_ft", "believed"), [(6000.0, True), (7350.0, True), (7450.0, False), (4550.0, False)]
)
def test_an_altitude_said_again_is_believed_within_what_can_be_climbed_and_300_ft(
    inbound, altitude_ft, believed
):
    # 6500 ft/min for 10 s: 1083 ft, and 300: up to 1383 from the 6000 first said.
    assert twice(inbound, {"indicated_ft": 6000.0}, {"indicated_ft": altitude_ft}, after_s=10.0) is believed


def test_a_doubted_range_is_not_settled_by_an_altitude(inbound):
    assert not twice(inbound, {"dme_nm": 14.0}, {"indicated_ft": 1900.0}, after_s=5.0)


def test_an_altitude_alone_may_follow_a_doubted_range_and_altitude(inbound):
    first = {"dme_nm": 14.0, "indicated_ft": 1900.0}

    assert twice(inbound, first, {"dme_nm": 14.0}, after_s=5.0)


@pytest.mark.parametrize(("track_true_deg", "heading_mag_deg"), [(249.0, 243.0), (3.0, 357.0), (6.0, 0.0)])
def test_a_sample_is_what_the_pilot_would_read(inbound, track_true_deg, heading_mag_deg):
    # The station's variation is 6 degrees east: magnetic is true less six.
    navaid = inbound.plan.procedure.navaid
    place = position_from_radial_dme(
        navaid.latitude_deg, navaid.longitude_deg, navaid.declination_deg, 63.0, 3.0
    )
    read = as_report(
        inbound,
        PositionSample(
            t_s=NOW_S,
            observed_t_s=NOW_S,
            latitude_deg=place.latitude_deg,
            longitude_deg=place.longitude_deg,
            altitude_ft=24385.0,
            track_true_deg=track_true_deg,
            groundspeed_kt=185.0,
        ),
    )

    # 3 NM away and 24385 - 80 ft, four nautical miles, above: five miles of slant range.
    assert read.dme_nm == pytest.approx(5.0, abs=0.01)
    assert read.radial_deg == pytest.approx(63.0, abs=0.05)
    assert read.heading_mag_deg == pytest.approx(heading_mag_deg)
    assert read.indicated_ft == 24385.0
