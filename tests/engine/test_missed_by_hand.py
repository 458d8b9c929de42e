"""Missed approaches and a timed final flown on paper in still air; by hand from the charts."""

from dataclasses import replace
from math import sqrt

import pytest

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.events import CalloutKind, Figures, Priority, Turn
from assistant.engine.plan import HOLD_ENTRY, Phase, When
from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, TimeElapsed
from assistant.procedure.model import Category


@pytest.fixture
def brennok(plan):
    """Climb on 324 over the station to 4 DME, left on to 230 to radial 270, direct GARDU; category C."""
    return plan("brennok-vortac-33")


@pytest.fixture
def quorrel(plan):
    """Final on 200 from overhead the station, the missed approach point 4.4 NM on by time; category B."""
    return plan("quorrel-vor-dme-20", category=Category.B)


def ground_nm(slant_nm, height_ft):
    return sqrt(slant_nm**2 - (height_ft / 6076.115) ** 2)


def cue(stage, name):
    return next(cue for cue in stage.cues if cue.name == name)


def test_a_leg_to_a_range_beyond_the_station_is_as_long_as_both_ranges(brennok):
    leg = brennok.stage("missed_0")

    # From 1.6 DME before it, read at the minimum of 772 ft, to 4 beyond, read at 5,000; the station: 320.
    length_nm = ground_nm(1.6, 452.0) + ground_nm(4.0, 4680.0)
    assert leg.timeline.duration_s == pytest.approx(length_nm / leg.tas_kt * 3600.0, abs=0.3)
    assert leg.exits[0].trigger == DmeReached(dme_nm=4.0, closing=False)
    assert leg.exits[0].at_s == pytest.approx(leg.timeline.duration_s, abs=0.01)
    assert (leg.exits[0].to, leg.event, leg.event_figures) == ("missed_1", "4 DME", Figures())
    assert leg.floors == ()


def test_a_leg_to_a_radial_ends_on_it(brennok):
    leg = brennok.stage("missed_1")

    assert leg.exits[0].trigger == RadialReached(radial_deg=270.0)
    assert leg.timeline.radials_deg[-1] == pytest.approx(270.0, abs=0.05)
    assert (leg.event, leg.event_figures, leg.passed_fix) == ("radial 270", Figures(), None)
    # 94 degrees to the left at 25 degrees of bank and 215 kt: 9.807 tan 25 / 110.6 m/s = 2.369 deg/s.
    assert leg.timeline.turn_end_s == pytest.approx(94.0 / 2.369, abs=0.2)
    figures = leg.cues[0].figures
    assert (figures.turn, figures.course_mag_deg, figures.item, figures.altitude_ft) == (
        Turn.LEFT,
        230.0,
        None,
        5000.0,
    )
    assert figures.heading_mag_deg == pytest.approx(230.0)
    assert leg.course.course_mag_deg == 230.0


def test_a_leg_direct_to_a_fix_turns_the_shorter_way_to_where_it_lies_after_the_turn(brennok):
    leg = brennok.stage("missed_2")
    end = leg.timeline

    assert (end.radials_deg[-1], end.dmes_nm[-1]) == (
        pytest.approx(215.0, abs=0.05),
        pytest.approx(14.0, abs=0.02),
    )
    assert (leg.cues[0].figures.turn, leg.cues[0].figures.item) == (Turn.LEFT, "direct GARDU")
    assert (leg.exits[0].to, leg.passed_fix, leg.event) == (HOLD_ENTRY, "GARDU", "GARDU")
    assert leg.event_figures == Figures(dme_nm=14.0)
    # The heading called is the one flown once the turn is over.
    assert leg.cues[0].figures.heading_mag_deg == pytest.approx(end.tracks_deg[-1], abs=0.1)
    assert leg.title == "Missed approach, leg 3"


def test_a_leg_toward_the_station_ends_as_the_range_closes(procedure):
    # From (-8.5, 0), where radial 270 is met, on 080 past the station: three miles are read on the way in.
    brennok = procedure("brennok-vortac-33")
    first, second, third = brennok.missed_approach.legs
    toward = replace(third, to_fix=None, course_mag_deg=80.0, until_dme_nm=3.0)
    missed = replace(brennok.missed_approach, legs=(first, second, toward), then_hold=False)
    leg = compile_plan(replace(brennok, missed_approach=missed), Conditions()).stage("missed_2")

    assert leg.exits[0].trigger == DmeReached(dme_nm=3.0, closing=True)
    assert (leg.exits[0].to, leg.event) == ("complete", "3 DME")
    assert leg.timeline.dmes_nm[-1] == pytest.approx(3.0, abs=0.01)
    assert leg.timeline.points[-1].east_nm < 0.0


def test_a_leg_on_a_course_to_a_fix_is_no_direct_one(procedure):
    brennok = procedure("brennok-vortac-33")
    first, second, third = brennok.missed_approach.legs
    on_course = replace(third, course_mag_deg=170.0)
    missed = replace(brennok.missed_approach, legs=(first, second, on_course))
    figures = (
        compile_plan(replace(brennok, missed_approach=missed), Conditions()).stage("missed_2").cues[0].figures
    )

    assert (figures.item, figures.course_mag_deg) == (None, 170.0)
    assert figures.heading_mag_deg == pytest.approx(170.0)


def test_only_the_first_leg_is_called_as_safety(brennok):
    calls = [brennok.stage(f"missed_{number}").cues[0] for number in range(3)]

    assert [one.priority for one in calls] == [Priority.SAFETY, Priority.ACTION, Priority.ACTION]
    assert [one.kind for one in calls] == [CalloutKind.GO_AROUND, CalloutKind.CLIMB, CalloutKind.CLIMB]
    assert all(one.at_s == 0.0 and not one.needs_position for one in calls)


def test_after_the_early_climb_the_turns_are_as_charted(brennok):
    after = brennok.stage("missed_0_after_early")

    assert after.exits == brennok.stage("missed_0").exits
    assert after.cues[0].kind is CalloutKind.CLIMB
    assert after.cues[0].figures == brennok.stage("missed_0").cues[0].figures


def test_a_fix_overhead_the_station_is_reached_at_the_range_of_its_height(plan):
    leg = plan("lunmar-vor-dme-10").stage("missed_1")

    # 3,500 ft above a station at 205: 0.5 NM.
    assert leg.exits[0].trigger == DmeReached(dme_nm=0.5, closing=True)
    assert leg.timeline.dmes_nm[-1] == pytest.approx(3295.0 / 6076.1, abs=0.01)


def test_a_timed_missed_approach_point_is_its_distance_over_the_speed(quorrel):
    final = quorrel.stage("final")
    at_s = 4.4 / final.tas_kt * 3600.0

    assert final.exits[0].trigger == TimeElapsed(time_s=round(at_s))
    assert final.exits[0].at_s == pytest.approx(at_s)
    assert final.exits[0].when is When.NOT_VISUAL
    assert final.event_figures == Figures()
    # At 1,730 ft, half-way from 2,400 to the minimum of 1,060, 105 kt indicated are 107.7 true.
    assert final.tas_kt == pytest.approx(107.7, abs=0.2)


def test_away_from_the_station_the_miles_are_called_as_they_open(quorrel):
    due = [one for one in quorrel.stage("final").cues if one.kind is CalloutKind.ALTITUDE_DUE]

    # The chart: 2080 at 1, 1750 at 2, 1420 at 3; 1100 at 4 is within 100 ft of the minimum.
    assert [(one.figures.dme_nm, one.figures.altitude_ft) for one in due] == [
        (1.0, 2080.0),
        (2.0, 1750.0),
        (3.0, 1420.0),
    ]
    assert all(not one.trigger.closing for one in due)
    assert [one.name for one in due] == ["due at 1", "due at 2", "due at 3"]


def test_the_visual_descent_point_lies_before_the_threshold_by_height_over_gradient(quorrel):
    final = quorrel.stage("final")
    point = cue(final, "visual descent point")

    # (1060 - 655 - 50) ft at 6076.1 tan 3.07 = 325.9 ft a mile: 1.089 NM.
    assert quorrel.threshold_s - point.at_s == pytest.approx(1.089 / final.tas_kt * 3600.0, abs=0.2)
    assert (point.priority, point.when) == (Priority.PREPARATION, When.ESTABLISHED)
    assert point.figures.dme_nm == pytest.approx(final.timeline.at(point.at_s).dme_nm)


def test_the_landing_is_the_finals_flight_with_nothing_left_to_call(quorrel):
    final, landing = quorrel.stage("final"), quorrel.stage("landing")

    assert landing.timeline is final.timeline
    assert (landing.phase, landing.event, landing.target_ft) == (Phase.LANDING, "threshold", 655.0)
    assert (landing.floors, landing.cues, landing.exits, landing.joined_by) == ((), (), (), ())
    assert landing.floor_until_established_ft is None
    assert landing.event_figures.dme_nm == quorrel.procedure.runway.threshold_dme_nm


def test_the_climb_from_the_minimum_takes_its_height_at_the_categorys_rate(quorrel):
    leg = quorrel.stage("missed_0")

    # 1,060 to 2,500 ft at 1,000 ft/min: 86.4 s at 138.9 kt.
    assert leg.exits[0].trigger == AltitudeCrossed(altitude_ft=2500.0, descending=False)
    assert leg.timeline.duration_s == pytest.approx(86.4, abs=0.1)
    assert leg.event_figures == Figures(altitude_ft=2500.0)
    assert leg.cues[0].figures.course_mag_deg == 200.0
    assert leg.cues[0].figures.heading_mag_deg is None


def test_the_slope_is_due_between_the_printed_heights_and_unknown_beyond_them(quorrel):
    # Half-way from 2080 at 1 to 1750 at 2.
    assert quorrel.altitude_due_ft(1.5) == pytest.approx(1915.0)
    assert quorrel.altitude_due_ft(3.25) == pytest.approx(1420.0 - 0.25 * 320.0)
    farthest_nm = quorrel.profile[-1][0]
    assert quorrel.altitude_due_ft(farthest_nm + 0.04) is not None
    assert quorrel.altitude_due_ft(farthest_nm + 0.06) is None
    nearest_nm = quorrel.profile[0][0]
    assert quorrel.altitude_due_ft(nearest_nm - 0.06) is None
    # Over the threshold the slope is at its crossing height, 655 and 50 ft.
    assert quorrel.profile[-1][1] == pytest.approx(705.0, abs=0.5)
