"""The plan while it is made: which way to turn, what shows a fix, which floors hold along a leg; by hand."""

import pytest

from assistant.engine.conditions import Conditions
from assistant.engine.draft import (
    Draft,
    entry_turn,
    event_name,
    fix_trigger,
    floors_along,
    position_figures,
    turn_toward,
)
from assistant.engine.events import Figures, Turn
from assistant.engine.plan import FOREVER_S, Floor
from assistant.engine.today import Today
from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, TimeElapsed
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import Altitude, AltitudeKind


@pytest.fixture
def draft(procedure):
    def of(name):
        return Draft(Today(procedure=procedure(name), conditions=Conditions()))

    return of


@pytest.mark.parametrize(
    ("from_deg", "to_deg", "published", "turn"),
    [
        (350.0, 20.0, None, Turn.RIGHT),
        (20.0, 350.0, None, Turn.LEFT),
        (90.0, 90.0, None, Turn.RIGHT),
        (20.0, 350.0, Turn.RIGHT, Turn.RIGHT),
    ],
)
def test_a_turn_goes_the_shorter_way_unless_the_chart_says_which(from_deg, to_deg, published, turn):
    assert turn_toward(from_deg, to_deg, published) is turn


def test_each_floor_holds_until_the_next_one_begins():
    floors = floors_along([(90.0, "b", 1000.0), (30.0, "a", 2000.0)], 3000.0)

    assert floors == (
        Floor(altitude_ft=3000.0, until_s=30.0, name="a"),
        Floor(altitude_ft=2000.0, until_s=90.0, name="b"),
        Floor(altitude_ft=1000.0, until_s=FOREVER_S),
    )
    assert floors_along([], 500.0) == (Floor(altitude_ft=500.0, until_s=FOREVER_S),)


@pytest.mark.parametrize(
    ("course_deg", "trigger"),
    # BESKA on radial 063 at 6: inbound the range closes to it, outbound it opens; across it is the radial.
    [
        (243.0, DmeReached(dme_nm=6.0, closing=True)),
        (198.0, DmeReached(dme_nm=6.0, closing=True)),
        (63.0, DmeReached(dme_nm=6.0, closing=False)),
        (108.0, DmeReached(dme_nm=6.0, closing=False)),
        (109.0, RadialReached(radial_deg=63.0)),
        (197.0, RadialReached(radial_deg=63.0)),
        (333.0, RadialReached(radial_deg=63.0)),
    ],
)
def test_a_fix_is_shown_by_its_range_along_the_radial_and_by_the_radial_across_it(draft, course_deg, trigger):
    assert fix_trigger(draft("skarrow-tacan-24"), "BESKA", course_deg, 1900.0) == trigger


def test_overhead_the_station_the_range_is_the_height_above_it(draft):
    # 3,500 ft above a station at 205 ft: 3295 / 6076.1 = 0.54 NM.
    assert fix_trigger(draft("lunmar-vor-dme-10"), "LMR", 100.0, 3500.0) == DmeReached(
        dme_nm=0.5, closing=True
    )


def test_a_fix_is_called_by_its_role_and_name(draft):
    skarrow = draft("skarrow-tacan-24")

    assert event_name(skarrow, "BESKA") == "final approach fix BESKA"
    assert event_name(skarrow, "TARNO") == "initial approach fix TARNO"
    assert event_name(skarrow, "ORDEN") == "ORDEN"


@pytest.mark.parametrize(
    ("trigger", "figures"),
    [
        (DmeReached(dme_nm=6.0, closing=True), Figures(dme_nm=6.0)),
        (RadialReached(radial_deg=63.0), Figures(radial_deg=63.0)),
        (TimeElapsed(time_s=60.0), Figures(time_s=60.0)),
        (AltitudeCrossed(altitude_ft=1500.0, descending=False), Figures(altitude_ft=1500.0)),
    ],
)
def test_an_event_is_placed_by_what_shows_it(trigger, figures):
    assert position_figures(trigger) == figures


@pytest.mark.parametrize(
    ("name", "ident", "course_deg", "altitude_ft"),
    [
        ("skarrow-tacan-24", "TARNO", 165.0, 3500.0),  # the hold's fix and inbound course
        ("teskel-vortac-06", "KORVA", 58.0, None),  # the first leg's
        ("lunmar-vor-dme-10", "LMR", 280.0, 3000.0),
    ],
)
def test_the_arrival_makes_for_the_holds_fix_or_the_first_legs(draft, name, ident, course_deg, altitude_ft):
    begun = draft(name)

    assert begun.first_fix_ident == ident
    assert begun.first_course_deg == course_deg
    assert altitude_ft is None or begun.first_altitude.altitude_ft == altitude_ft


@pytest.mark.parametrize(
    ("kind", "below_ft", "floor_ft"),
    [
        (AltitudeKind.AT_OR_ABOVE, 1500.0, 2000.0),
        (AltitudeKind.AT, 1500.0, 2000.0),
        (AltitudeKind.AT_OR_BELOW, 1500.0, 1500.0),
        (AltitudeKind.AT_OR_BELOW, 2500.0, 2000.0),
        (AltitudeKind.RECOMMENDED, 1500.0, 1500.0),
        (AltitudeKind.RECOMMENDED, 2500.0, 2500.0),
    ],
)
def test_only_an_altitude_not_to_be_gone_below_sets_a_floor(draft, kind, below_ft, floor_ft):
    altitude = Altitude(kind=kind, altitude_ft=2000.0)

    assert draft("skarrow-tacan-24").floor_of(altitude, below_ft) == floor_ft


def turned(draft, to_deg, published=None, *, tas_kt=120.0):
    begun = draft("skarrow-tacan-24")
    begun.start(PlanePoint(0.0, 10.0), 360.0, 2000.0)
    flight = begun.flight(2000.0)
    return entry_turn(begun, flight, to_deg, tas_kt, published), flight


@pytest.mark.parametrize(
    ("to_deg", "published", "turn"),
    [
        (7.9, None, None),
        (352.1, None, None),
        (8.0, None, Turn.RIGHT),
        (352.0, None, Turn.LEFT),
        (90.0, None, Turn.RIGHT),
        (90.0, Turn.LEFT, Turn.LEFT),  # 270 degrees round, as published
        (9.0, Turn.LEFT, Turn.LEFT),  # 351
        (7.0, Turn.LEFT, None),  # 353: the aircraft is on its heading already
    ],
)
def test_a_change_of_eight_degrees_and_more_is_a_turn(draft, to_deg, published, turn):
    found, flight = turned(draft, to_deg, published)

    assert found is turn
    assert flight.heading_deg == pytest.approx(to_deg)
    assert (flight.time_s > 0.0) is (turn is not None)


def test_a_turn_at_rate_one_takes_a_third_of_a_second_a_degree(draft):
    # 120 kt: rate one wants 18.2 degrees of bank, less than 25: 90 degrees in 30 s.
    _, flight = turned(draft, 90.0)

    assert flight.time_s == pytest.approx(30.0, abs=0.01)
