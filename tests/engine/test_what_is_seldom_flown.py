"""What few flights meet: charts with less on them, climbs of no time, words and values left out."""

from dataclasses import replace

import pytest
from on_paper import binary, in_plan, stage
from placed import NOW_S, compiled, demonstration, placed, report, said

from assistant.engine.answers import answer
from assistant.engine.conditions import Conditions
from assistant.engine.core import Engine, begin, step
from assistant.engine.entering import enter
from assistant.engine.estimate import shown_ft
from assistant.engine.events import (
    Asked,
    Callout,
    CalloutKind,
    ConditionsGiven,
    Datum,
    Figures,
    Priority,
    Request,
    StageEntered,
)
from assistant.engine.outbox import Outbox, datum_at
from assistant.engine.plan import FOREVER_S, CourseFacts, Cue, Exit, Floor, Phase, When
from assistant.engine.today import Today
from assistant.engine.triggers import DmeReached
from assistant.nav.geometry import PlanePoint, move, plane_from_polar

COURSE = CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.0, 0.0))


@pytest.fixture
def skarrow():
    return demonstration("skarrow-tacan-24")


# -- what is so where nothing was said ----------------------------------------------------------------------


def test_a_call_floor_or_stage_of_which_nothing_is_said_is_the_usual_one():
    cue = Cue(name="check", at_s=5.0, kind=CalloutKind.CHECK, priority=Priority.PREPARATION)
    assert (cue.lead_s, cue.when, cue.window_s, cue.needs_position, cue.descends) == (
        0.0,
        When.ALWAYS,
        6.0,
        True,
        False,
    )
    assert Floor(altitude_ft=500.0).until_s == FOREVER_S
    leg = stage()
    assert (leg.turns, leg.free_turn, leg.floor_until_established_ft, leg.exits) == (False, False, None, ())
    assert report(dme_nm=5.0).confidence == 1.0
    assert not StageEntered(t_s=0.0, stage="final").predicted
    assert not Figures().corrected


# -- charts -------------------------------------------------------------------------------------------------


def test_an_arc_without_a_step_down_has_its_altitude_to_the_end(skarrow):
    first, arc, *legs = skarrow.legs
    chart = compiled(replace(skarrow, legs=(first, replace(arc, step_downs=()), *legs)))

    assert [floor.altitude_ft for floor in chart.stage("arc_1").floors] == [3000.0]
    # It waits for "established" on the course after it.
    assert chart.stage("course_2").floor_until_established_ft == 3000.0


@pytest.mark.parametrize(
    ("until_ft", "course_deg", "climb_s"),
    [
        # From 500 ft at 2,000 ft/min: 100 ft are three seconds, taken for ten; 400 are twelve.
        (600.0, 243.0, 10.0),
        (900.0, 243.0, 12.0),
    ],
)
def test_a_climb_takes_ten_seconds_at_the_least(skarrow, until_ft, course_deg, climb_s):
    first, *legs = skarrow.missed_approach.legs
    first = replace(first, until_altitude_ft=until_ft, course_mag_deg=course_deg)
    missed = replace(skarrow.missed_approach, legs=(first, *legs))
    leg = compiled(replace(skarrow, missed_approach=missed)).stage("missed_0")

    assert leg.timeline.duration_s == pytest.approx(climb_s)


def test_a_climb_that_is_over_in_its_turn_goes_on_for_five_seconds(skarrow):
    first, *legs = skarrow.missed_approach.legs
    first = replace(first, until_altitude_ft=900.0, course_mag_deg=333.0)
    missed = replace(skarrow.missed_approach, legs=(first, *legs))
    leg = compiled(replace(skarrow, missed_approach=missed)).stage("missed_0")

    # A quarter of a circle takes longer than the twelve seconds of the climb.
    assert leg.timeline.turn_end_s > 30.0
    assert leg.timeline.duration_s == pytest.approx(leg.timeline.turn_end_s + 5.0)


@pytest.mark.parametrize(
    ("end_nm", "stages"),
    # Ulvane: back over the racetrack's fix at 10 DME, then on; half a mile and less before the course's end
    # the fix is no stop on the way to it.
    [(6.2, 2), (9.0, 2), (9.6, 1)],
)
def test_a_reversals_fix_half_a_mile_before_the_end_of_a_course_is_no_leg_of_its_own(end_nm, stages):
    ulvane = demonstration("ulvane-vor-dme-35")
    fixes = tuple(
        replace(fix, dme_nm=end_nm, latitude_deg=None, longitude_deg=None) if fix.ident == "TORBU" else fix
        for fix in ulvane.fixes
    )
    chart = compiled(replace(ulvane, fixes=fixes))
    courses = [one.name for one in chart.stages if one.name.startswith("course_") and "from" not in one.title]

    assert len(courses) == stages


def test_the_minimum_is_called_above_itself_by_what_the_pilot_adds(skarrow):
    assert compiled(skarrow, minimum_addon_ft=50.0).decision_ft == 550.0
    assert compiled(skarrow, minimum_addon_ft=0.0).decision_ft == 500.0
    assert compiled(skarrow).minimum_ft == 500.0


def test_without_a_transition_altitude_everything_is_on_the_days_setting(skarrow):
    state = begin(compiled(replace(skarrow, airport=replace(skarrow.airport, transition_altitude_ft=None))))

    assert datum_at(state.but(datum=Datum.STANDARD), 14000.0) is Datum.QNH


def test_calm_cold_and_overhead_are_nothing_to_reckon_with(skarrow):
    calm = Today(procedure=skarrow, conditions=Conditions())
    assert tuple(calm.wind(3000.0)) == (360.0, 0.0)
    # At the aerodrome's own height, 102 ft, cold air takes nothing off, nor below it.
    cold = Today(procedure=skarrow, conditions=Conditions(temperature_c=-20.0, cold_corrections=True))
    assert (cold.in_cold_ft(102.0), cold.in_cold_ft(90.0)) == (102.0, 90.0)
    assert cold.in_cold_ft(1102.0) > 1200.0
    lunmar = demonstration("lunmar-vor-dme-10")
    overhead = Today(procedure=lunmar, conditions=Conditions()).point(lunmar.fix("LMR"), 3000.0)
    assert overhead == PlanePoint(0.0, 0.0)


def test_a_wind_given_on_the_way_in_leaves_the_flight_where_it_is(still):
    state, _ = step(begin(still), report(radial_deg=345.0, dme_nm=60.0))
    given = ConditionsGiven(t_s=NOW_S + 30.0, wind_from_mag_deg=165.0, wind_kt=30.0)
    before = state.place(NOW_S + 30.0)
    state, _ = step(state, given)

    assert state.plan.conditions.wind
    assert state.place(NOW_S + 30.0).point == pytest.approx(before.point)
    # Before any place is known as well.
    state, _ = step(begin(still), given)
    assert (state.stage_name, state.place(NOW_S + 30.0)) == ("arrival", None)


# -- entering -----------------------------------------------------------------------------------------------


def test_the_turn_on_to_an_arc_is_foreseen_and_no_other(plan):
    brennok = plan("brennok-vortac-33")
    state = placed(brennok, "hold_inbound", None, progress_s=120.0, circuits_left=0)
    state = state.but(seen=(NOW_S, plane_from_polar(215.0, 15.5)), dme_s=NOW_S)

    assert enter(state, NOW_S, "arc_0", Outbox()).joining is not None
    assert enter(state, NOW_S, "hold_outbound", Outbox()).joining is None


def test_a_first_turn_begins_from_the_heading_that_will_be_flown_then(plan):
    # Lunmar's hold is inbound to its station; a mile left of that course the pilot cuts to it, turning by
    # 2.32 degrees a second: in the 8 s to the turn, four steps of two seconds, by 18.6 degrees.
    lunmar = plan("lunmar-vor-dme-10")
    leg = lunmar.stage("hold_inbound")
    course_deg = leg.course.course_mag_deg
    state = placed(lunmar, "hold_inbound", None, progress_s=110.0, circuits_left=0)
    left = move(move(PlanePoint(0.0, 0.0), course_deg + 180.0, 2.0), course_deg - 90.0, 1.0)
    state = state.but(seen=(NOW_S, left), dme_s=NOW_S, reached_s=NOW_S)
    entered = enter(state, NOW_S, "outbound_0", Outbox())

    assert lunmar.stage("outbound_0").free_turn
    assert (entered.heading_mag_deg - course_deg) % 360.0 == pytest.approx(18.6, abs=0.5)
    # Established, the course itself is flown: as planned.
    assert enter(state.but(established=True), NOW_S, "outbound_0", Outbox()).heading_mag_deg is None


# -- reports ------------------------------------------------------------------------------------------------


def on_leg(still, progress_s, *, leg=None, **changes):
    """On a leg drawn south along radial 360 at a 32nd of a mile a second, at the station's height."""
    known = {"name": "course_2", "timeline": binary(), "tas_kt": 112.5, "target_ft": 80.0, "course": COURSE}
    drawn = stage(**known | {"phase": Phase.INTERMEDIATE} | (leg or {}))
    known = {"progress_s": progress_s, "altitude_ft": 80.0, "radial_deg": 360.0} | changes
    return placed(in_plan(still, drawn), "course_2", 20.0 - progress_s / 32.0, **known)


def test_the_place_read_is_kept_with_its_moment(still):
    state = on_leg(still, 320.0)
    later, _ = step(
        state, replace(report(radial_deg=360.0, dme_nm=9.5), t_s=NOW_S + 16.0, observed_t_s=NOW_S + 16.0)
    )

    assert later.point == pytest.approx((0.0, 9.5), abs=1e-6)
    assert (later.point_s, later.anchor_s, later.anchor_progress_s) == (NOW_S + 16.0, NOW_S + 16.0, 336.0)
    # An altitude alone tells no place.
    kept, _ = step(later, replace(report(indicated_ft=90.0), t_s=NOW_S + 20.0, observed_t_s=NOW_S + 20.0))
    assert (kept.point, kept.point_s) == (later.point, NOW_S + 16.0)


@pytest.mark.parametrize(
    ("phase", "visual", "is_called"),
    [(Phase.FINAL, False, True), (Phase.FINAL, True, False), (Phase.INTERMEDIATE, False, False)],
)
def test_the_minimum_is_called_on_the_final_of_one_who_sees_nothing(still, phase, visual, is_called):
    state = on_leg(still, 320.0, leg={"phase": phase, "target_ft": 500.0}, altitude_ft=700.0, visual=visual)
    _, outputs = step(state.but(established=True), report(indicated_ft=540.0))
    kinds = [one.kind for one in outputs if isinstance(one, Callout)]

    assert (CalloutKind.MINIMUM in kinds) is is_called


def test_an_altitude_is_shown_on_the_datum_named_or_the_altimeters(still):
    # The threshold, which QFE is measured from, lies at 96 ft.
    state = placed(still, "final", 4.0)

    assert shown_ft(state, 1000.0) == 1000.0
    assert shown_ft(state, 1000.0, Datum.QFE) == 904.0
    assert shown_ft(state.but(datum=Datum.QFE), 1000.0) == 904.0
    assert shown_ft(state.but(datum=Datum.QFE), 1000.0, Datum.QNH) == 1000.0


# -- at a glance --------------------------------------------------------------------------------------------


def glance(state, now_s=NOW_S):
    engine = Engine(state.plan)
    engine.state = state
    return engine.glance(now_s)


def test_a_glance_past_the_end_of_a_leg_has_no_time_to_go(still):
    ending = (Exit(trigger=DmeReached(dme_nm=7.5, closing=True), to="final", at_s=400.0),)
    state = on_leg(still, 390.0, leg={"exits": ending})

    assert glance(state).time_to_s == 10.0
    assert glance(state, NOW_S + 20.0).time_to_s == 0.0


@pytest.mark.parametrize(
    ("target_ft", "datum"), [(14000.0, Datum.STANDARD), (10000.0, Datum.QNH), (None, Datum.QNH)]
)
def test_a_glance_is_on_the_datum_of_the_altitude_due(still, target_ft, datum):
    # Transition at 10,000 ft; on a leg without an altitude or a floor of its own the day's setting is shown.
    state = on_leg(still, 320.0, leg={"target_ft": None}, target_ft=target_ft, datum=Datum.STANDARD)

    assert glance(state).datum is datum
    assert (glance(state).due_ft is None) is (target_ft is None)
    high = on_leg(
        still, 320.0, leg={"target_ft": None, "floors": (Floor(altitude_ft=12000.0),)}, datum=Datum.STANDARD
    )
    assert glance(high).datum is Datum.STANDARD


def test_where_a_leg_has_no_altitude_none_is_due(still):
    state = on_leg(still, 320.0, leg={"target_ft": None})
    (callout,) = said(answer, state, Request(t_s=NOW_S, asked=Asked.ALTITUDE_DUE))

    assert callout.kind is CalloutKind.UNKNOWN
