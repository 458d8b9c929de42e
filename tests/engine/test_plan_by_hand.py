"""The plans of two charts in still air, category C: places and times by hand from the charts' own numbers."""

from math import sqrt

import pytest

from assistant.engine.events import CalloutKind, EntrySector, Priority, Said, Turn
from assistant.engine.plan import FOREVER_S, Phase, When
from assistant.engine.triggers import AltitudeCrossed, DmeReached, TimeElapsed
from assistant.procedure.model import Category

# ICAO standard atmosphere: true airspeed at 140 kt indicated is some 2 % more at 1,200 ft.


@pytest.fixture
def skarrow(plan):
    return plan("skarrow-tacan-24")


@pytest.fixture
def teskel(plan):
    return plan("teskel-vortac-06")


def cue(stage, name):
    (found,) = [cue for cue in stage.cues if cue.name == name]
    return found


def names(stage):
    return [cue.name for cue in stage.cues]


def time_s(stage, from_nm, to_nm, height_ft=0.0):
    """Seconds from one slant range to another at a height above the station, at the stage's speed."""
    ground = [sqrt(dme_nm**2 - (height_ft / 6076.115) ** 2) for dme_nm in (from_nm, to_nm)]
    return abs(ground[0] - ground[1]) / stage.tas_kt * 3600.0


def test_a_straight_leg_takes_its_length_over_its_speed(teskel):
    leg = teskel.stage("course_0")

    # KORVA to MEDDO, 20 to 13 DME.
    assert leg.timeline.duration_s == pytest.approx(time_s(leg, 20.0, 13.0, 3300.0), abs=0.5)
    assert leg.exits[0].trigger == DmeReached(dme_nm=13.0, closing=True)
    assert (leg.phase, leg.turns, leg.floor_until_established_ft) == (Phase.INITIAL, False, None)
    assert set(leg.joined_by) == {Said.ESTABLISHED, Said.INBOUND}


def test_a_step_down_on_a_leg_is_timed_and_named_and_calls_the_next_altitude(teskel):
    leg = teskel.stage("course_1")
    step = cue(leg, "step 10 DME")

    # 13 to 10 DME; heights of 2500 and 2100 ft above 512 ft.
    assert step.at_s == pytest.approx(time_s(leg, 13.0, 10.0, 2500.0), abs=0.5)
    assert [floor.altitude_ft for floor in leg.floors] == [3012.0, 2612.0]
    assert leg.floors[0].until_s == step.at_s
    assert leg.floors[1].until_s == FOREVER_S
    assert (step.kind, step.figures.altitude_ft, step.figures.event) == (
        CalloutKind.DESCEND,
        2612.0,
        "10 DME",
    )
    assert (step.priority, step.when, step.descends, step.window_s) == (
        Priority.ACTION,
        When.ESTABLISHED,
        True,
        FOREVER_S,
    )


def test_the_last_leg_before_final_slows_down_over_its_last_35_seconds(teskel):
    leg = teskel.stage("course_1")
    speeds = leg.timeline.groundspeeds_kt
    # Category C: 180 kt indicated, a quarter of that and three of 140 at the end: 150.
    assert speeds[0] == pytest.approx(leg.tas_kt)
    assert speeds[-1] == pytest.approx(leg.tas_kt * 150.0 / 180.0, rel=0.01)
    slow_s = next(t for t, kt in zip(leg.timeline.times_s, speeds, strict=False) if kt < leg.tas_kt - 10.0)
    assert leg.timeline.duration_s - slow_s == pytest.approx(35.0, abs=1e-3)


def test_a_descent_to_a_lower_leg_waits_for_established_only_after_a_turn(skarrow, teskel):
    assert cue(teskel.stage("course_1"), "descend").when is When.RELEASED
    assert cue(skarrow.stage("course_2"), "descend").when is When.ESTABLISHED
    assert cue(skarrow.stage("course_2"), "descend").figures.altitude_ft == 1900.0
    assert "descend" not in names(teskel.stage("course_0"))


def test_a_turn_on_to_a_course_asks_for_the_radial_as_it_rolls_out_and_for_established_after_it(skarrow):
    leg = skarrow.stage("course_2")
    end_s = leg.timeline.turn_end_s

    assert cue(leg, "radial?").at_s == pytest.approx(max(end_s - 8.0, 0.8 * end_s))
    assert cue(leg, "established?").at_s == pytest.approx(end_s + 15.0)
    # The needle's check at 0.7 of the turn would be within 8 s of it: left out.
    assert ("needle" in names(leg)) is (max(end_s - 8.0, 0.8 * end_s) - 0.7 * end_s >= 8.0)


@pytest.mark.parametrize(
    ("name", "miles", "minimum_ft", "missed_nm"),
    # Down to 100 ft above the minimum: the printed heights say which miles remain.
    [("skarrow-tacan-24", [5, 4, 3, 2], 500.0, 1.5), ("teskel-vortac-06", [7, 6, 5, 4, 3], 842.0, 1.8)],
)
def test_on_final_every_printed_mile_is_called_three_seconds_early_to_the_minimum(
    plan, name, miles, minimum_ft, missed_nm
):
    final = plan(name).stage("final")
    due = [one for one in final.cues if one.kind is CalloutKind.ALTITUDE_DUE]
    printed = {row.dme_nm: row for row in plan(name).procedure.final.heights}
    qfe_ft = plan(name).procedure.qfe_elevation_ft

    assert [one.figures.dme_nm for one in due] == miles
    for one in due:
        row = printed[one.figures.dme_nm]
        assert one.figures.altitude_ft == (row.altitude_ft or (row.height_ft or 0.0) + qfe_ft)
        # At 140 kt indicated, from the fix; the range is read some hundred feet up: slant is ground.
        start_nm = final.timeline.dmes_nm[0]
        assert one.at_s + 3.0 == pytest.approx(time_s(final, start_nm, one.figures.dme_nm), abs=0.7)
        assert (one.lead_s, one.when) == (3.0, When.ESTABLISHED)
    assert final.target_ft == minimum_ft
    assert final.exits[0].trigger == DmeReached(dme_nm=missed_nm, closing=True)
    assert final.exits[0].at_s == pytest.approx(time_s(final, start_nm, missed_nm), abs=0.7)
    assert final.exits[0].when is When.NOT_VISUAL


def test_the_final_runs_on_a_mile_past_the_threshold(skarrow, teskel):
    for one in (skarrow, teskel):
        final = one.stage("final")
        mile_s = 3600.0 / final.tas_kt
        assert final.timeline.duration_s - one.threshold_s == pytest.approx(mile_s, rel=1e-3)


def test_the_threshold_is_where_its_range_is_read(teskel):
    final = teskel.stage("final")

    # 7.5 to 1.1 DME, the last mile near the ground.
    assert teskel.threshold_s == pytest.approx(time_s(final, 7.49, 1.1), abs=3.0)


def test_the_visual_descent_point_is_where_the_slope_leaves_the_minimum(skarrow):
    final = skarrow.stage("final")
    point = cue(final, "visual descent point")

    # (500 - 96 - 50) ft at 6076.1 tan 3.05 = 323.8 ft a mile: 1.0934 NM before the threshold.
    before_s = 1.0934 / final.tas_kt * 3600.0
    assert skarrow.threshold_s - point.at_s == pytest.approx(before_s, abs=0.1)
    assert point.at_s < final.exits[0].at_s


def test_the_final_descent_names_fix_rate_and_first_floor_and_waits_for_established(skarrow):
    final = skarrow.stage("final")
    descent, wait = cue(final, "final descent"), cue(final, "not established")

    assert descent.figures.event == "final approach fix BESKA"
    assert descent.figures.altitude_ft == 1000.0
    # 323.8 ft a mile at the final speed.
    assert descent.figures.descent_fpm == pytest.approx(323.8 * final.tas_kt / 60.0, abs=0.5)
    assert (descent.figures.turn, descent.figures.heading_mag_deg) == (None, None)
    assert (descent.when, descent.descends, descent.window_s) == (When.ESTABLISHED, True, FOREVER_S)
    assert (wait.when, wait.figures.altitude_ft, wait.figures.item, wait.window_s, wait.descends) == (
        When.NOT_ESTABLISHED,
        1900.0,
        "until established",
        20.0,
        False,
    )


def test_at_a_step_down_on_final_the_next_floor_is_named(skarrow):
    step = cue(skarrow.stage("final"), "step 3.5 DME")

    assert (step.kind, step.figures.altitude_ft, step.window_s) == (CalloutKind.FLOOR, 500.0, 8.0)


def test_a_minimum_above_a_step_down_holds_instead_of_it(plan):
    # Category E: 560 ft on the chart, above the last step-down of 500.
    final = plan("skarrow-tacan-24", category=Category.E).stage("final")

    assert [floor.altitude_ft for floor in final.floors] == [1000.0, 560.0]


def test_a_climb_until_an_altitude_takes_its_height_at_the_categorys_rate(plan):
    for category, fpm in ((Category.A, 600.0), (Category.B, 1000.0), (Category.C, 2000.0)):
        leg = plan("skarrow-tacan-24", category=category).stage("missed_0")
        # From the minimum of 500 to 1,500 ft.
        assert leg.timeline.duration_s == pytest.approx(1000.0 / fpm * 60.0, abs=0.005)
        assert leg.exits[0].trigger == AltitudeCrossed(altitude_ft=1500.0, descending=False)
        assert leg.exits[0].at_s is None
        assert leg.event == "climb"


def test_the_missed_approach_follows_the_chart_leg_by_leg(skarrow, teskel):
    going, turn = skarrow.stage("missed_0").cues[0], skarrow.stage("missed_1").cues[0]
    assert (going.kind, going.priority, going.name) == (CalloutKind.GO_AROUND, Priority.SAFETY, "go around")
    # Straight on along the final track: the course, no heading.
    assert (going.figures.course_mag_deg, going.figures.heading_mag_deg) == (243.0, None)
    assert (turn.kind, turn.priority, turn.name) == (CalloutKind.CLIMB, Priority.ACTION, "turn")
    assert (turn.figures.turn, turn.figures.item, turn.figures.course_mag_deg) == (
        Turn.RIGHT,
        "direct TARNO",
        None,
    )
    assert turn.figures.heading_mag_deg is not None
    # However late a report shows the point passed, it is said; a turn 20 s late is another leg's.
    assert (going.window_s, going.needs_position) == (FOREVER_S, False)
    assert (turn.window_s, turn.needs_position) == (20.0, False)

    out, left = teskel.stage("missed_0"), teskel.stage("missed_1")
    assert out.exits[0].trigger == DmeReached(dme_nm=6.0, closing=False)
    assert (out.event, out.exits[0].to, left.exits[0].to) == ("6 DME", "missed_1", "complete")
    assert left.cues[0].figures.turn is Turn.LEFT
    # From 1.8 DME before the station, over it, to 6 beyond: 7.8 miles on the ground, near enough.
    assert out.timeline.duration_s == pytest.approx(7.8 / out.tas_kt * 3600.0, abs=3.0)
    assert [leg.title for leg in (out, left)] == ["Missed approach", "Missed approach, leg 2"]


def test_the_leg_direct_to_a_fix_ends_over_it(skarrow, teskel):
    for plan, fix in ((skarrow, (345.0, 17.0)), (teskel, (310.0, 10.0))):
        end = plan.stage("missed_1").timeline
        assert end.radials_deg[-1] == pytest.approx(fix[0], abs=0.05)
        assert end.dmes_nm[-1] == pytest.approx(fix[1], abs=0.05)
        assert plan.stage("missed_1").passed_fix in ("TARNO", "TELMA")


def test_going_around_early_keeps_the_final_track_to_the_point(skarrow):
    early = skarrow.stage("missed_early")

    assert early.timeline is skarrow.stage("final").timeline
    assert (early.exits[0].to, early.exits[0].when) == ("missed_0_after_early", When.ALWAYS)
    assert early.exits[0].at_s == skarrow.stage("final").exits[0].at_s
    going = early.cues[0].figures
    assert (going.altitude_ft, going.course_mag_deg, going.item) == (
        4000.0,
        243.0,
        "to the missed approach point",
    )
    assert skarrow.stage("missed_0_after_early").cues[0].kind is CalloutKind.CLIMB


def test_once_complete_nothing_more_comes(skarrow):
    done = skarrow.stage("complete")

    assert (done.exits, done.cues, done.event, done.turns, done.passed_fix) == ((), (), "", False, None)
    # It goes on as the last leg ended.
    assert done.timeline is skarrow.stage("missed_1").timeline


def test_the_hold_is_flown_out_to_its_range_and_in_to_its_fix(skarrow):
    out, back = skarrow.stage("hold_outbound"), skarrow.stage("hold_inbound")

    assert out.exits[0].trigger == DmeReached(dme_nm=23.0, closing=False)
    assert out.timeline.dmes_nm[0] == pytest.approx(17.0, abs=0.01)
    assert out.timeline.dmes_nm[-1] == pytest.approx(23.0, abs=0.02)
    # In still air the inbound turn and leg are the mirror of the outbound ones.
    assert back.timeline.duration_s == pytest.approx(out.timeline.duration_s, abs=0.1)
    assert back.timeline.turn_end_s == pytest.approx(out.timeline.turn_end_s, abs=0.1)
    assert back.timeline.dmes_nm[-1] == pytest.approx(17.0, abs=0.01)
    assert back.timeline.radials_deg[-1] == pytest.approx(345.0, abs=0.05)
    assert {(leaving.to, leaving.when) for leaving in back.exits} == {
        ("hold_outbound", When.STAYING),
        ("course_0", When.LEAVING),
    }
    assert all(leaving.trigger == DmeReached(dme_nm=17.0, closing=True) for leaving in back.exits)
    assert out.floors[0].altitude_ft == back.floors[0].altitude_ft == 4000.0


def test_the_holds_calls_are_the_charts(skarrow):
    out, back = skarrow.stage("hold_outbound").cues[0], skarrow.stage("hold_inbound").cues[0]
    check = cue(skarrow.stage("hold_outbound"), "range")

    assert (out.kind, out.figures.turn, out.figures.dme_nm) == (CalloutKind.OUTBOUND, Turn.RIGHT, 23.0)
    assert (back.kind, back.figures.turn, back.figures.course_mag_deg) == (
        CalloutKind.INBOUND_TURN,
        Turn.RIGHT,
        165.0,
    )
    assert out.figures.heading_mag_deg == pytest.approx(345.0, abs=1.0)
    assert back.figures.heading_mag_deg == pytest.approx(165.0)
    # Once wings are level: away from 17 the range opens.
    assert check.at_s == skarrow.stage("hold_outbound").timeline.turn_end_s + 5.0
    assert (check.kind, check.figures.item) == (CalloutKind.CHECK, "range opening")


def test_the_direct_entry_is_a_circuits_outbound_leg_called_as_an_entry(skarrow):
    direct = skarrow.stage("hold_entry_direct")

    assert direct.entry is EntrySector.DIRECT
    assert direct.cues[0].kind is CalloutKind.HOLD_ENTRY
    assert direct.cues[0].figures.entry is EntrySector.DIRECT
    assert direct.joined_by == ()
    assert direct.timeline.duration_s == skarrow.stage("hold_outbound").timeline.duration_s


def test_the_offset_entry_has_an_inbound_leg_from_where_it_ends(skarrow):
    offset, back = skarrow.stage("hold_entry_offset"), skarrow.stage("hold_offset_inbound")

    assert offset.exits[0].to == "hold_offset_inbound"
    assert isinstance(offset.exits[0].trigger, TimeElapsed)
    assert back.timeline.points[0] == pytest.approx(offset.timeline.points[-1], abs=0.01)
    assert back.timeline.dmes_nm[-1] == pytest.approx(17.0, abs=0.01)
    assert back.joined_by == ()


def test_the_hold_is_no_faster_than_the_chart_allows(plan):
    # Category E holds at 230 kt, the chart's limit; category C at 210, below it.
    for category, ias_kt in ((Category.E, 230.0), (Category.C, 210.0)):
        hold = plan("skarrow-tacan-24", category=category).stage("hold_outbound")
        # At 4,000 ft standard true airspeed is 1.061 of indicated (density ratio 0.8881).
        assert hold.tas_kt == pytest.approx(ias_kt * 1.061, rel=0.004)


def test_out_of_the_hold_straight_on_the_leg_ends_at_the_lead_range_of_the_arc(skarrow):
    leg = skarrow.stage("course_0")
    lead_nm = leg.timeline.dmes_nm[-1] - 12.0

    # A quarter turn on to the arc: about one radius before it, V^2 / (g tan 25) of 220.8 kt = 1.52 NM.
    assert lead_nm == pytest.approx(1.45, abs=0.1)
    assert leg.event == "turn on to the 12 mile arc"
    assert leg.exits[0].to == "arc_1"
