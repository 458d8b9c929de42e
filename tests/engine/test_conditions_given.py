"""New wind, setting or temperature in flight, and what a screen shows at a glance; Skarrow, by hand."""

from dataclasses import replace

import pytest
from placed import NOW_S, placed

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.core import Engine, begin, step
from assistant.engine.events import Callout, CalloutKind, ConditionsGiven, Datum, Priority, Said, Statement
from assistant.engine.flow import MAX_AGE_S
from assistant.procedure.model import Category


@pytest.fixture
def inbound(still):
    return placed(still, "course_2", 9.0, altitude_ft=1900.0, established=True)


def given(state, *, after_s=0.0, **what):
    """The state after conditions were given, and the answer to them."""
    state, outputs = step(state, ConditionsGiven(t_s=NOW_S + after_s, **what))
    answers = [one for one in outputs if isinstance(one, Callout) and one.cue == "conditions"]
    return state, answers[0] if answers else None


def test_a_wind_makes_the_plan_anew_and_keeps_the_place_in_it(inbound):
    # 60 s after the report: two fifths of the leg, say, stay two fifths of it, whatever it takes now.
    at_s = NOW_S + 20.0
    share = inbound.progress_s(at_s) / inbound.timeline.duration_s
    state, answer = given(inbound, after_s=20.0, wind_from_mag_deg=243.0, wind_kt=30.0)

    assert state.timeline.duration_s > inbound.timeline.duration_s
    assert state.progress_s(at_s) / state.timeline.duration_s == pytest.approx(share)
    assert (state.anchor_s, state.since_s, state.stage_name) == (at_s, at_s, "course_2")
    assert (state.confirmed, state.before_report.plan) == (None, inbound.plan)
    assert state.plan.conditions.wind[0].wind_kt == 30.0
    assert (answer.kind, answer.priority, answer.figures.item) == (
        CalloutKind.CONFIRM,
        Priority.CONFIRMATION,
        "wind",
    )
    assert (answer.figures.wind_from_mag_deg, answer.figures.wind_kt) == (243.0, 30.0)


def test_half_a_wind_is_none(inbound):
    assert given(inbound, wind_kt=30.0)[0].plan.conditions.wind == ()
    assert given(inbound, wind_from_mag_deg=243.0)[0].plan.conditions.wind == ()


@pytest.mark.parametrize(
    ("qfe_hpa", "qnh_hpa"),
    # 96 ft are 3.5 hPa near the ground: on 1013.25 the QFE is 1009.7. Within 1.5 hPa it is the same air.
    [(1009.7, 1013.25), (1011.0, 1013.25), (1008.4, 1013.25), (1011.5, 1015.0), (1008.0, 1011.5)],
)
def test_a_qfe_that_does_not_belong_to_the_days_qnh_changes_it(inbound, qfe_hpa, qnh_hpa):
    state, answer = given(inbound, qfe_hpa=qfe_hpa, datum=Datum.QFE)

    assert state.plan.conditions.qnh_hpa == pytest.approx(qnh_hpa, abs=0.06)
    assert (state.datum, state.plan.conditions.datum) == (Datum.QFE, Datum.QFE)
    assert (answer.figures.item, answer.figures.qfe_hpa, answer.figures.datum) == (
        "altimeter",
        qfe_hpa,
        Datum.QFE,
    )


def test_a_qnh_given_with_a_qfe_is_the_one_that_counts(inbound):
    assert given(inbound, qfe_hpa=980.0, qnh_hpa=1000.0)[0].plan.conditions.qnh_hpa == 1000.0


def test_standard_is_set_for_now_and_is_not_the_days_setting(inbound):
    state, _ = given(inbound, datum=Datum.STANDARD)

    assert (state.datum, state.plan.conditions.datum) == (Datum.STANDARD, Datum.QNH)
    # What names no datum leaves it.
    assert given(state, after_s=1.0, qnh_hpa=1000.0)[0].datum is Datum.STANDARD


def test_a_temperature_is_confirmed_as_one(inbound):
    state, answer = given(inbound, temperature_c=-10.0)

    assert state.plan.conditions.temperature_c == -10.0
    assert (answer.figures.item, answer.figures.temperature_c) == ("temperature", -10.0)


def test_conditions_that_nothing_can_be_flown_in_change_nothing(inbound):
    state, answer = given(inbound, wind_from_mag_deg=153.0, wind_kt=190.0)

    assert (answer.kind, answer.priority, answer.figures.item) == (
        CalloutKind.UNKNOWN,
        Priority.ANSWER,
        "conditions",
    )
    assert state.plan is inbound.plan


@pytest.mark.parametrize(
    ("name", "datum"),
    [
        ("skarrow-tacan-24", Datum.QNH),
        ("ostrey-high-tacan-13", Datum.STANDARD),  # its hold is at a flight level
        ("teskel-vortac-06", Datum.QFE),  # no hold; its first leg is a height, and QFE is what the pilot sets
    ],
)
def test_a_session_begins_on_the_datum_of_the_first_level(plan, name, datum):
    day = {"datum": Datum.QFE} if datum is Datum.QFE else {}

    assert begin(plan(name, **day)).datum is datum


def test_without_a_hold_the_first_leg_has_the_first_level(procedure):
    # Ostrey: the penetration begins at a flight level, the course after it at an altitude.
    ostrey = replace(procedure("ostrey-high-tacan-13"), hold=None)

    assert begin(compile_plan(ostrey, Conditions())).datum is Datum.STANDARD


def glance(state, *, after_s=0.0):
    engine = Engine(state.plan)
    engine.state = state
    return engine.glance(NOW_S + after_s)


def test_a_glance_is_the_event_to_come_and_how_far_it_is(inbound):
    leg = inbound.timeline
    left_s = leg.duration_s - inbound.anchor_progress_s
    seen = glance(inbound, after_s=10.0)

    assert (seen.stage, seen.event) == ("Course 243 to BESKA", "final approach fix BESKA")
    assert (seen.dme_nm, seen.radial_deg) == (6.0, None)
    assert seen.time_to_s == pytest.approx(left_s - 10.0)
    assert (seen.due_ft, seen.floor_ft, seen.datum) == (1900.0, 1900.0, Datum.QNH)


@pytest.mark.parametrize(("after_s", "known"), [(MAX_AGE_S, True), (MAX_AGE_S + 1.0, False)])
def test_a_glance_names_no_time_from_old_knowledge(inbound, after_s, known):
    assert (glance(inbound, after_s=after_s).time_to_s is not None) is known


def test_a_glance_at_the_altitudes_shows_the_one_called_for_but_never_below_the_floor(inbound):
    assert glance(inbound.but(target_ft=2600.0)).due_ft == 2600.0
    assert glance(inbound.but(target_ft=1200.0)).due_ft == 1900.0
    waiting = glance(inbound.but(established=False, target_ft=1900.0))
    # Not established, the arc's 2,500 ft are the floor.
    assert (waiting.due_ft, waiting.floor_ft) == (2500.0, 2500.0)


def test_on_final_a_glance_shows_the_height_due_here_while_the_place_is_fresh(still):
    state = placed(still, "final", 5.0, established=True, target_ft=500.0)

    # The chart prints 1570 at 5 miles; the floor to 3.5 DME is 1,000 ft.
    assert (glance(state).due_ft, glance(state).floor_ft) == (1570.0, 1000.0)
    # A place too old tells no height: the altitude called for, not below the floor.
    old = glance(state.but(observed_s=NOW_S - MAX_AGE_S - 1.0, ahead_s=200.0))
    assert old.due_ft == 1000.0


def test_where_nothing_is_to_come_a_glance_is_empty(still):
    seen = glance(placed(still, "complete", 10.0, progress_s=10.0))

    assert (seen.event, seen.dme_nm, seen.time_to_s, seen.floor_ft) == ("", None, None, None)


def test_an_engine_is_woken_for_what_comes_next_and_never_after_the_end(inbound):
    engine = Engine(inbound.plan)
    engine.state = inbound
    assert engine.wake_at_s is not None
    engine.handle(Statement(t_s=NOW_S, said=Said.LANDED))

    assert engine.wake_at_s is None


def test_the_plan_of_another_category_is_another_days(plan):
    # Category D has a minimum of its own on this chart.
    assert (
        plan("skarrow-tacan-24").minimum_ft,
        plan("skarrow-tacan-24", category=Category.D).minimum_ft,
    ) == (
        500.0,
        540.0,
    )
