"""A cut on to the course ends on the course, wherever the turn alone would have rolled out."""

import pytest
from placed import demonstration

from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.engine.draft import Draft
from assistant.engine.events import CalloutKind
from assistant.engine.intercept import intercept
from assistant.engine.plan import When
from assistant.engine.today import Today
from assistant.nav.geometry import PlanePoint, difference_deg
from assistant.procedure.model import Turn

# The course runs north through the station, which is the leg's end.
COURSE_DEG, ANCHOR = 360.0, PlanePoint(0.0, 0.0)


def cut(missed_nm, turn, *, heading_deg, north_nm=-15.0, east_nm=None, wind=()):
    """A flight that begins beside the course; by default as far off as the turn would roll out."""
    draft = Draft(Today(procedure=demonstration("skarrow-tacan-24"), conditions=Conditions(wind=wind)))
    draft.start(PlanePoint(missed_nm if east_nm is None else east_nm, north_nm), heading_deg, 3000.0)
    return intercept(
        draft,
        anchor=ANCHOR,
        course_mag_deg=COURSE_DEG,
        altitude_ft=3000.0,
        tas_kt=150.0,
        turn=turn,
        missed_nm=missed_nm,
    )


def last_on(flight, heading_deg):
    """When, and where, a heading was last flown."""
    timeline = flight.timeline()
    flown = zip(timeline.times_s, timeline.points, timeline.headings_deg, strict=True)
    return [(time_s, point) for time_s, point, flown_deg in flown if flown_deg == pytest.approx(heading_deg)][
        -1
    ]


@pytest.mark.parametrize(
    ("missed_nm", "turn", "heading_deg", "cut_deg"),
    [
        (1.0, Turn.LEFT, 90.0, 330.0),  # right of the course, near: thirty degrees to the left of it
        (1.49, Turn.LEFT, 90.0, 330.0),
        (1.5, Turn.LEFT, 90.0, 315.0),  # a mile and a half: forty-five
        (2.5, Turn.LEFT, 90.0, 315.0),
        (-1.0, Turn.RIGHT, 270.0, 30.0),
        (-2.5, Turn.RIGHT, 270.0, 45.0),
    ],
)
def test_the_cut_is_thirty_degrees_or_from_far_off_forty_five(missed_nm, turn, heading_deg, cut_deg):
    flight, first_heading_deg, (call,) = cut(missed_nm, turn, heading_deg=heading_deg, east_nm=missed_nm * 2)

    assert first_heading_deg == pytest.approx(cut_deg)
    # Rolled out on the course: within what 2 s at 150 kt bring nearer at 45 degrees, 0.06 NM.
    assert flight.point.east_nm == pytest.approx(0.0, abs=0.06)
    assert flight.heading_deg % 360.0 == pytest.approx(0.0, abs=1e-6)
    assert call.at_s < flight.time_s


def test_the_call_is_where_the_turn_on_to_the_course_begins_for_the_established_too():
    flight, _, (call,) = cut(1.0, Turn.LEFT, heading_deg=90.0, east_nm=2.0)

    # Thirty degrees at rate one (the bank for 150 kt is below 25 degrees) take ten seconds.
    assert flight.time_s - call.at_s == pytest.approx(10.0, abs=0.1)
    assert call.kind is CalloutKind.HEADING
    assert call.when is When.ALWAYS
    assert difference_deg(call.figures.heading_mag_deg, 360.0) == pytest.approx(0.0)


def test_in_wind_the_headings_allow_for_drift_and_the_track_still_ends_on_the_course():
    wind = (WindAtLevel(wind_from_mag_deg=90.0, wind_kt=30.0),)
    flight, first_heading_deg, (call,) = cut(1.0, Turn.LEFT, heading_deg=90.0, east_nm=2.0, wind=wind)

    # North at 150 kt in 30 kt from the east: asin(30 / 150) = 11.5 degrees right. On track 330 the wind
    # across is 30 cos 30 = 26.0 kt: asin(26 / 150) = 10.0.
    assert call.figures.heading_mag_deg == pytest.approx(11.5, abs=0.05)
    assert first_heading_deg == pytest.approx(340.0, abs=0.05)
    # The lead is the still-air one: 10 s of turning with 30 kt behind it carries on by less than a tenth.
    assert flight.point.east_nm == pytest.approx(0.0, abs=0.12)


def test_no_cut_is_flown_nearer_than_a_mile_and_a_half_to_the_end():
    flight, first_heading_deg, calls = cut(-1.0, Turn.RIGHT, heading_deg=20.0, north_nm=-3.0, east_nm=-5.0)
    before = last_on(flight, first_heading_deg)[1]

    # Five miles beside the course with three to go: not reached, and no clock turns the pilot away from it.
    assert calls == ()
    # Up to one step of 2 s at 150 kt, 0.083 NM, is flown past the limit.
    assert -1.5 <= before.north_nm <= -1.5 + 0.083


def test_a_cut_that_never_comes_to_the_course_is_given_up_after_400_seconds():
    flight, first_heading_deg, calls = cut(1.0, Turn.LEFT, heading_deg=330.0, north_nm=-90.0, east_nm=80.0)

    assert last_on(flight, first_heading_deg)[0] == pytest.approx(400.0, abs=3.0)
    assert calls == ()


@pytest.mark.parametrize(
    ("heading_deg", "flown"), [(302.0, True), (298.0, True), (305.0, True), (310.0, True)]
)
def test_a_turn_of_nearly_the_whole_circle_is_no_way_to_a_cut(heading_deg, flown):
    # To 330 by the right from 302 are 28 degrees; by the left 332: too many. From 298 by the left 328.
    assert (cut(1.0, Turn.RIGHT, heading_deg=heading_deg, east_nm=2.0) is not None) is flown
    assert (cut(1.0, Turn.LEFT, heading_deg=heading_deg, east_nm=2.0) is not None) is (heading_deg < 300.0)


def test_no_cut_is_made_against_a_wind_that_cannot_be_flown_into():
    assert (
        cut(1.0, Turn.LEFT, heading_deg=90.0, wind=(WindAtLevel(wind_from_mag_deg=330, wind_kt=160),)) is None
    )
