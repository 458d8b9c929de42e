"""What a plan is made of, to the very edge of each rule; charts changed by hand, sums beside each claim."""

from dataclasses import replace

import pytest
from on_paper import drawn, straight
from placed import NOW_S, compiled, demonstration, placed, said

from assistant.engine.advice import advise
from assistant.engine.circuit import circuit, outbound_flight, outbound_limit
from assistant.engine.compile_legs import step_trigger
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.engine.core import begin, step
from assistant.engine.doubting import doubtful_place
from assistant.engine.draft import Draft
from assistant.engine.estimate import floor_ft
from assistant.engine.events import Callout, CalloutKind, PositionReport, PositionSample
from assistant.engine.relocate import arrival_stage
from assistant.engine.today import Today
from assistant.engine.triggers import DmeReached, TimeElapsed
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    difference_deg,
    plane_from_polar,
    position_from_radial_dme,
)
from assistant.procedure.model import Altitude, AltitudeKind, Category, StepDown, Turn


@pytest.fixture
def skarrow():
    return demonstration("skarrow-tacan-24")


# -- the final ----------------------------------------------------------------------------------------------


def test_speed_and_wind_of_the_final_are_those_half_way_down_it(skarrow):
    # 1,900 ft at the fix, 500 at the minimum: 1,200. With calm at sea level and 48 kt at 4,800 ft from ahead
    # there are 12; 140 kt indicated are 140 / sqrt 0.9654 = 142.5 true in that air (ICAO Doc 7488).
    levels = (
        WindAtLevel(wind_from_mag_deg=243.0, wind_kt=0.0, altitude_ft=0.0),
        WindAtLevel(wind_from_mag_deg=243.0, wind_kt=48.0, altitude_ft=4800.0),
    )
    final = compiled(skarrow, wind=levels).stage("final")

    assert (final.wind_from_mag_deg, final.wind_kt) == (pytest.approx(243.0), pytest.approx(12.0))
    assert final.tas_kt == pytest.approx(142.5, abs=0.1)
    # 323.8 ft a mile (6076.1 tan 3.05) at 130.5 kt over the ground.
    assert final.cues[0].figures.descent_fpm == pytest.approx(323.8 * 130.5 / 60.0, abs=1.0)


@pytest.mark.parametrize(
    ("beyond_nm", "is_step"),
    # At 142.5 kt a second is 0.04 NM: a step-down within a second of the fix is the fix's own.
    [(0.02, False), (0.06, True), (0.5, True)],
)
def test_a_step_down_more_than_a_second_past_the_fix_is_one(skarrow, beyond_nm, is_step):
    start_nm = compiled(skarrow).stage("final").timeline.dmes_nm[0]
    lower = Altitude(kind=AltitudeKind.AT_OR_ABOVE, altitude_ft=1000.0)
    *legs, final = skarrow.legs
    final = replace(final, step_downs=(StepDown(dme_nm=start_nm - beyond_nm, altitude=lower),))
    stage = compiled(replace(skarrow, legs=(*legs, final))).stage("final")

    assert [floor.altitude_ft for floor in stage.floors] == ([500.0, 1000.0] if is_step else [1000.0])
    assert any(cue.name.startswith("step") for cue in stage.cues) is is_step


@pytest.mark.parametrize(
    ("dme_nm", "due_ft"),
    [
        (1.5, 150.0),
        (2.0, 200.0),
        (2.5, 350.0),
        (0.95, 95.0),
        (0.9375, None),
        (3.05, 515.0),
        (3.0625, None),
    ],
)
def test_between_and_just_beyond_the_points_of_a_profile_its_own_slope_holds(still, dme_nm, due_ft):
    # A hundred feet a mile, then three hundred; half a tenth beyond either end.
    profile = ((1.0, 100.0), (2.0, 200.0), (3.0, 500.0))
    due = replace(still, profile=profile).altitude_due_ft(dme_nm)

    assert due == (None if due_ft is None else pytest.approx(due_ft))


# -- holds and reversals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("limit_kt", "category", "ias_kt"),
    [
        (200.0, Category.E, 200.0),
        (None, Category.E, 230.0),
        (None, Category.B, 140.0),
        (200.0, Category.B, 140),
    ],
)
def test_a_hold_is_flown_at_its_categorys_speed_within_the_charts_limit(skarrow, limit_kt, category, ias_kt):
    hold = replace(skarrow.hold, speed_limit_kt=limit_kt)
    stage = compiled(replace(skarrow, hold=hold), category).stage("hold_outbound")

    # At 4,000 ft standard true airspeed is 1.061 of indicated (density ratio 0.8881).
    assert stage.tas_kt == pytest.approx(ias_kt * 1.061, rel=0.004)


def a_circuit(skarrow, **changes):
    draft = Draft(Today(procedure=skarrow, conditions=Conditions()))
    course = circuit(
        draft.today,
        fix_ident="TARNO",
        inbound_course_deg=165.0,
        turn=Turn.RIGHT,
        altitude_ft=4000.0,
        ias_kt=210.0,
        time_s=None,
        dme_nm=23.0,
    )
    return draft, course._replace(**changes)


@pytest.mark.parametrize(
    ("fix", "limit_nm", "closing"),
    # Five miles from the station whichever way: out to a greater range it opens.
    [
        ((-3.0, -4.0), 5.5, False),
        ((3.0, 4.0), 5.5, False),
        ((-3.0, -4.0), 4.5, True),
        ((3.0, 4.0), 4.5, True),
        ((-3.0, -4.0), 5.0, True),
    ],
)
def test_out_to_a_limit_the_range_opens_where_it_lies_beyond_the_fix(skarrow, fix, limit_nm, closing):
    _, course = a_circuit(skarrow, fix=PlanePoint(*fix), limit_dme_nm=limit_nm)

    assert outbound_limit(course) == DmeReached(dme_nm=limit_nm, closing=closing)
    timed = course._replace(limit_dme_nm=None)
    assert outbound_limit(timed) == TimeElapsed(time_s=round(course.outbound.time_s))


def test_an_outbound_leg_has_a_second_straight_at_the_least(skarrow):
    draft, course = a_circuit(skarrow)
    turn_s = outbound_flight(draft, course)[0].turn_end_s
    hardly = course._replace(outbound=course.outbound._replace(straight_s=0.25))

    assert outbound_flight(draft, hardly)[0].time_s == pytest.approx(turn_s + 1.0)


@pytest.mark.parametrize("name", ["hold_parallel_return", "hold_offset_inbound", "hold_inbound"])
def test_once_joined_the_inbound_course_is_followed_on_its_line(still, name):
    # TARNO on radial 345 at 17 DME, inbound 165.
    leg = still.stage(name)
    across_nm = [
        along_and_across_nm(point, leg.course.anchor, 165.0).across_nm for point in leg.timeline.points[-15:]
    ]

    assert across_nm == pytest.approx([0.0] * 15, abs=1e-9)


def test_a_racetrack_entered_in_parallel_goes_on_from_its_fix_to_the_final_fix(plan):
    # Ulvane: back over NIMRO, and on along 345 to TORBU, the course's own stage; see the chart.
    back = plan("ulvane-vor-dme-35").stage("outbound_0_parallel_return")

    # The turn inbound and the way back to NIMRO are course_1, which this entry has flown by then.
    assert [leaving.to for leaving in back.exits] == ["course_2"]
    assert plan("ulvane-vor-dme-35").stage("course_2").passed_fix == "TORBU"


# -- arcs ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("turned_deg", range(10))
def test_headings_of_an_arc_leave_half_a_piece_at_its_beginning_and_end(skarrow, turned_deg):
    """The whole way in turned round the station, so that the arc begins on any radial."""
    fixes = tuple(
        replace(fix, radial_deg=fix.radial_deg + turned_deg, latitude_deg=None, longitude_deg=None)
        if fix.ident in ("TARNO", "VELKA")
        else fix
        for fix in skarrow.fixes
    )
    first, *legs = skarrow.legs
    first = replace(first, course_mag_deg=165.0 + turned_deg)
    hold = replace(skarrow.hold, inbound_course_mag_deg=165.0 + turned_deg)
    arc = compiled(replace(skarrow, fixes=fixes, legs=(first, *legs), hold=hold)).stage("arc_1")
    starts_deg = [cue.trigger.radial_deg for cue in arc.cues if cue.kind is CalloutKind.HEADING]
    begins_deg = arc.timeline.at(arc.timeline.turn_end_s).radial_deg
    lead_deg = arc.exits[0].trigger.radial_deg

    # In tens, the first five to fifteen degrees after the turn, the last five before the lead radial.
    first_deg = difference_deg(begins_deg, starts_deg[0])
    assert 5.0 <= first_deg < 15.0
    assert all(deg % 10.0 == pytest.approx(0.0, abs=1e-6) for deg in starts_deg)
    assert difference_deg(starts_deg[-1], lead_deg) > 5.0
    # Each is that of the middle of its piece: in still air a right angle from its radial.
    ends_deg = [*starts_deg[1:], lead_deg]
    headings_deg = [cue.figures.heading_mag_deg for cue in arc.cues if cue.kind is CalloutKind.HEADING]
    for start_deg, end_deg, heading_deg in zip(starts_deg, ends_deg, headings_deg, strict=True):
        middle_deg = start_deg + difference_deg(start_deg, end_deg) / 2.0
        assert difference_deg(middle_deg + 90.0, heading_deg) == pytest.approx(0.0, abs=1e-6)


def test_a_radial_alone_on_an_arc_is_not_answered(still):
    arc = still.stage("arc_1")
    state = placed(still, "arc_1", 12.0, progress_s=arc.timeline.turn_end_s + 30.0, established=True)
    read = PositionReport(t_s=NOW_S, observed_t_s=NOW_S, radial_deg=10.0)

    assert said(advise, state, read) == []


# -- cuts ---------------------------------------------------------------------------------------------------


def test_a_turn_inbound_that_ends_wide_of_the_course_is_flown_to_a_cut(plan):
    # Lunmar's base turn with 35 kt across it: the calm plan has no cut.
    calm, windy = plan("lunmar-vor-dme-10"), plan("lunmar-vor-dme-10", wind=(190, 35))

    def cuts(one):
        return [cue for cue in one.stage("course_1").cues if cue.name == "intercept"]

    assert cuts(calm) == []
    (call,) = cuts(windy)
    leg = windy.stage("course_1")
    course_deg = leg.course.course_mag_deg
    # The first heading is that of the cut, the call's that of the course, the drift taken off.
    assert abs(difference_deg(leg.cues[0].figures.heading_mag_deg, call.figures.heading_mag_deg)) > 20.0
    assert abs(difference_deg(course_deg, call.figures.heading_mag_deg)) < 15.0
    assert 0.0 < call.at_s < leg.timeline.duration_s


# -- the arrival, and what holds where nothing is known -----------------------------------------------------


def test_the_arrival_to_a_fix_overhead_ends_over_the_station(plan):
    lunmar = plan("lunmar-vor-dme-10")
    way_in = arrival_stage(begin(lunmar), plane_from_polar(10.0, 30.0))

    assert way_in.timeline.points[-1] == pytest.approx((0.0, 0.0), abs=1e-9)
    assert way_in.timeline.duration_s == pytest.approx(30.0 / way_in.tas_kt * 3600.0, abs=1.0)


def test_before_a_place_is_known_no_place_can_be_doubted(still):
    read = PositionReport(t_s=NOW_S, observed_t_s=NOW_S, radial_deg=10.0, dme_nm=90.0)

    assert doubtful_place(begin(still).but(observed_s=NOW_S), read, NOW_S) is None
    assert doubtful_place(placed(still, "course_2", 9.0, observed_s=None), read, NOW_S) is None


def test_past_the_approach_no_floor_of_it_holds(still):
    # Gone around, or landing, by the clock: what was carried, or bound on the final, is let go.
    final = placed(still, "final", 1.6, established=True)
    for name in ("missed_0", "landing"):
        state = placed(still, name, 1.6, progress_s=0.0, predicted=True, confirmed=final)
        assert floor_ft(state.but(floor_carried_ft=1900.0), NOW_S, progress_s=-5.0) is None


def test_at_its_very_beginning_a_predicted_stage_has_its_own_floor(still):
    before = placed(still, "course_2", 6.3, established=True)
    early = placed(still, "final", 5.9, established=True, predicted=True, confirmed=before)

    assert floor_ft(early, NOW_S, progress_s=0.0) == 1000.0
    assert floor_ft(early, NOW_S, progress_s=-0.01) == 1900.0


def test_a_sample_of_a_feed_is_not_answered(still):
    # Four degrees off the course: a pilot who reads that is given a heading, a feed only watches.
    navaid = still.procedure.navaid
    place = position_from_radial_dme(
        navaid.latitude_deg, navaid.longitude_deg, navaid.declination_deg, 67.0, 8.99
    )
    sample = PositionSample(
        t_s=NOW_S,
        observed_t_s=NOW_S,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        altitude_ft=1900.0,
        track_true_deg=249.0,
        groundspeed_kt=185.0,
    )
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0, established=True)
    read = PositionReport(t_s=NOW_S, observed_t_s=NOW_S, radial_deg=67.0, dme_nm=9.0)

    def kinds(event):
        return [one.kind for one in step(state, event)[1] if isinstance(one, Callout)]

    assert CalloutKind.COURSE_OFFSET not in kinds(sample)
    assert CalloutKind.COURSE_OFFSET in kinds(read)


@pytest.mark.parametrize("turn_end_s", [0.0, 60.0])
def test_a_step_down_by_range_is_read_as_the_leg_runs_after_its_turn(skarrow, turn_end_s):
    draft = Draft(Today(procedure=skarrow, conditions=Conditions()))
    lower = StepDown(dme_nm=15.0, altitude=Altitude(kind=AltitudeKind.AT_OR_ABOVE, altitude_ft=1000.0))

    assert step_trigger(draft, straight(turn_end_s=turn_end_s), lower).closing
    # Away from the station in the turn and toward it after, and the other way round.
    there = [(0.0, 14.0 + number) for number in range(7)]
    back = [(0.5, 20.0 - number) for number in range(9)]
    both = drawn([*there, *back], turn_end_s=65.0)
    assert step_trigger(draft, both, lower).closing
    outbound = drawn([*reversed(back), *[(0.5, 12.0 + number) for number in range(9)]], turn_end_s=90.0)
    assert not step_trigger(draft, outbound, lower).closing


@pytest.mark.parametrize(("faf_nm", "called"), [(6.38, False), (6.42, True)])
def test_a_mile_less_than_ten_seconds_past_the_fix_is_not_called(skarrow, faf_nm, called):
    # At 142.5 kt 0.38 NM are 9.6 s, 0.42 are 10.6; the fix lies so far out.
    fixes = tuple(
        replace(fix, dme_nm=faf_nm, latitude_deg=None, longitude_deg=None) if fix.ident == "BESKA" else fix
        for fix in skarrow.fixes
    )
    *legs, final = skarrow.legs
    chart = replace(skarrow, fixes=fixes, legs=(*legs, replace(final, heights=())))
    due = [cue.name for cue in compiled(chart).stage("final").cues if cue.kind is CalloutKind.ALTITUDE_DUE]

    assert ("due at 6" in due) is called
    assert "due at 5" in due


@pytest.mark.parametrize(("height_ft", "called"), [(600.0, True), (599.0, False)])
def test_down_to_a_hundred_feet_above_the_minimum_miles_are_called(skarrow, height_ft, called):
    # The minimum is 500 ft; the chart prints 600 at 2 DME.
    *legs, final = skarrow.legs
    heights = tuple(replace(row, altitude_ft=height_ft) if row.dme_nm == 2 else row for row in final.heights)
    chart = replace(skarrow, legs=(*legs, replace(final, heights=heights)))

    assert ("due at 2" in [cue.name for cue in compiled(chart).stage("final").cues]) is called
