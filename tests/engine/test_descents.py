"""What a descent's call says, and what it makes the flight do; rates worked out by hand."""

import pytest
from placed import NOW_S, placed

from assistant.engine.descents import altimeter_figures, begun, climbing, descend, qfe_hpa
from assistant.engine.events import Callout, CalloutKind, CueDropped, Datum, Figures, Priority
from assistant.engine.outbox import Outbox
from assistant.engine.plan import Cue
from assistant.procedure.model import Category


def called(state, to_ft, *, kind=CalloutKind.DESCEND, after_s=0.0, at_s=0.0, **figures):
    """The state after a descent was called, and what came out."""
    out = Outbox()
    figures = Figures(altitude_ft=to_ft, **figures)
    cue = Cue(name="descend", at_s=at_s, kind=kind, priority=Priority.ACTION, figures=figures, descends=True)
    return descend(state, NOW_S + after_s, cue, figures, out), out.outputs


def callouts(outputs):
    return [output for output in outputs if isinstance(output, Callout)]


@pytest.mark.parametrize(
    ("to_lose_ft", "rate_fpm"),
    # 60 s before the leg's end less 8 s until it begins, four fifths of that: 0.6933 min. The usual rate of
    # category C is 1500 ft/min (below it none is named), the most 3000.
    [
        (600.0, None),
        (1039.0, None),
        (1041.0, 1550.0),
        (1387.0, 2050.0),
        (2500.0, 3000.0),
        (50.0, None),
        (49.0, "there"),
    ],
)
def test_a_rate_is_named_where_the_usual_one_would_not_do(still, to_lose_ft, rate_fpm):
    leg = still.stage("course_2").timeline
    state = placed(still, "course_2", 9.0, progress_s=leg.duration_s - 60.0, altitude_ft=1900.0 + to_lose_ft)
    state, outputs = called(state, 1900.0)

    assert state.target_ft == 1900.0
    if rate_fpm == "there":
        assert callouts(outputs) == []
        assert [output.reason for output in outputs if isinstance(output, CueDropped)]
        return
    (callout,) = callouts(outputs)
    # Said up to the next fifty.
    assert callout.figures.descent_fpm == rate_fpm
    # Lost from three seconds after the call, at the rate named or the usual one.
    assert state.altitude.t_s == NOW_S + 3.0
    expected_fpm = to_lose_ft / (0.8 * 52.0 / 60.0) if rate_fpm is not None else 1500.0
    assert state.altitude.descent_fpm == pytest.approx(min(expected_fpm, 3000.0), rel=1e-3)


@pytest.mark.parametrize(("to_lose_ft", "rate_fpm"), [(480.0, None), (490.0, 750.0), (2500.0, 1500.0)])
def test_a_light_aircraft_goes_down_slower(plan, to_lose_ft, rate_fpm):
    light = plan("skarrow-tacan-24", category=Category.B)
    leg = light.stage("course_2").timeline
    state = placed(light, "course_2", 9.0, progress_s=leg.duration_s - 60.0, altitude_ft=1900.0 + to_lose_ft)

    # 700 ft/min is usual, 1500 the most: 700 * 0.6933 min = 485 ft.
    (callout,) = callouts(called(state, 1900.0)[1])
    assert callout.figures.descent_fpm == rate_fpm


def test_one_who_flies_faster_than_planned_has_less_time(still):
    leg = still.stage("course_2").timeline
    state = placed(still, "course_2", 9.0, progress_s=leg.duration_s - 60.0, altitude_ft=2900.0, rate=1.25)

    # 60 s of the plan are flown in 48: 40 s remain, four fifths are 0.5333 min: 1875 ft/min, said as 1900.
    assert callouts(called(state, 1900.0)[1])[0].figures.descent_fpm == 1900.0


def test_without_an_altitude_read_the_descent_is_called_with_no_rate(still):
    state, outputs = called(placed(still, "course_2", 9.0), 1900.0)

    assert callouts(outputs)[0].figures.descent_fpm is None
    assert (state.target_ft, state.altitude) == (1900.0, None)


def test_a_descent_without_an_altitude_is_no_descent(still):
    with pytest.raises(ValueError, match="altitude to descend to"):
        called(placed(still, "course_2", 9.0), None)


@pytest.mark.parametrize(("late_s", "event"), [(2.0, "the fix"), (7.0, None)])
def test_the_final_descent_called_late_does_not_say_that_the_fix_has_come(still, late_s, event):
    state = placed(still, "final", 5.9, progress_s=0.0, altitude_ft=1900.0)
    _, outputs = called(
        state, 1000.0, kind=CalloutKind.FINAL_DESCENT, after_s=late_s, event="the fix", descent_fpm=770.0
    )

    assert callouts(outputs)[0].figures.event == event


@pytest.mark.parametrize("late_s", [0.0, 5.0, 10.0, 30.0])
def test_a_final_descent_begun_late_is_as_much_steeper_as_the_time_left_is_shorter(still, late_s):
    state = placed(still, "final", 5.9, progress_s=0.0, altitude_ft=1900.0)
    state, outputs = called(state, 1000.0, kind=CalloutKind.FINAL_DESCENT, after_s=late_s, descent_fpm=770.0)

    # From 1900 ft, near enough what is due at the fix, to "minimum" at 550: 1350 ft in 105 s at 770 ft/min.
    # It begins 8 s after the call, and so much later: no steeper than a quarter more.
    sloping_s = (still.altitude_due_ft(still.profile[-1][0]) - 550.0) / 770.0 * 60.0
    steeper_fpm = min(770.0 * sloping_s / (sloping_s - late_s - 8.0), 770.0 * 1.25)
    assert state.altitude.descent_fpm == pytest.approx(steeper_fpm)
    assert callouts(outputs)[0].figures.descent_fpm - steeper_fpm < 50.0
    # One descent to the minimum.
    assert state.target_ft == 500.0


def test_with_half_of_the_slope_gone_the_planned_rate_is_all_that_is_said(still):
    state = placed(still, "final", 5.9, progress_s=0.0, altitude_ft=1900.0)
    state, _ = called(state, 1000.0, kind=CalloutKind.FINAL_DESCENT, after_s=60.0, descent_fpm=770.0)

    assert state.altitude.descent_fpm == 770.0


def test_a_call_to_descend_ends_the_question_whether_it_is_level(still):
    state = placed(still, "course_2", 9.0, asked=frozenset({"level", "position"}))

    assert called(state, 1900.0)[0].asked == {"position"}


@pytest.mark.parametrize(("to_ft", "set_first"), [(9000.0, True), (10000.0, True), (11000.0, False)])
def test_from_standard_the_days_setting_comes_before_a_descent_below_transition(still, to_ft, set_first):
    # The chart's transition altitude is 10,000 ft.
    state = placed(still, "course_2", 9.0, altitude_ft=14000.0, datum=Datum.STANDARD)
    state, outputs = called(state, to_ft)
    kinds = [callout.kind for callout in callouts(outputs)]

    assert kinds == ([CalloutKind.SET_ALTIMETER] if set_first else []) + [CalloutKind.DESCEND]
    assert state.datum is (Datum.QNH if set_first else Datum.STANDARD)


def test_an_altimeter_is_set_to_the_value_of_its_datum(plan):
    state = placed(plan("skarrow-tacan-24", qnh_hpa=1003.0), "course_2", 9.0)

    assert altimeter_figures(state, Datum.QNH).qnh_hpa == 1003.0
    assert altimeter_figures(state, Datum.STANDARD).qnh_hpa == 1013.25
    # The threshold is at 96 ft: 27.3 ft an hPa near the ground, 3.5 hPa less.
    assert altimeter_figures(state, Datum.QFE).qfe_hpa == pytest.approx(999.5, abs=0.05)
    assert altimeter_figures(state, Datum.QFE).qnh_hpa is None
    assert qfe_hpa(state) == pytest.approx(999.5, abs=0.05)


def test_a_climb_ends_a_descent_where_it_has_come_to(still):
    state = placed(still, "final", 4.0, altitude_ft=1200.0, target_ft=500.0)
    going_down, _ = called(state, 500.0, kind=CalloutKind.FINAL_DESCENT, descent_fpm=600.0)
    climbed = climbing(going_down, NOW_S + 33.0, Figures(altitude_ft=4000.0))

    assert climbed.target_ft == 4000.0
    assert climbed.altitude.descent_fpm == 0.0
    # The rate is made steeper by a late begin; 30 s of it were lost.
    assert climbed.altitude.altitude_ft == pytest.approx(1200.0 - going_down.altitude.descent_fpm / 2.0)


@pytest.mark.parametrize(
    ("after_s", "at_60_ft"),
    # 3,000 to 1,900 ft at 1,500 ft/min, taken to begin 3 s after its call: in the minute after the call 57 s
    # of it, 1,425 ft, but not below 1,900. Begun 20 s after the call, 40 s of it: 1,000 ft; after 22.5 s,
    # 937.5 ft. More than 20 s after it was expected, height has been lost already: it changes nothing.
    [(None, 1900.0), (20.0, 2000.0), (1.0, 1900.0), (22.5, 2062.5), (23.5, 1900.0)],
)
def test_descending_says_when_it_began(still, after_s, at_60_ft):
    state, _ = called(placed(still, "course_2", 11.0, altitude_ft=3000.0), 1900.0)
    if after_s is not None:
        state = begun(state, NOW_S + after_s)

    assert state.altitude_ft(NOW_S + 60.0) == pytest.approx(at_60_ft)


def test_descending_before_any_descent_was_called_changes_nothing(still):
    level = placed(still, "course_2", 11.0, altitude_ft=3000.0)

    assert begun(level, NOW_S + 5.0) == level
    assert begun(level.but(altitude=None), NOW_S + 5.0).altitude is None
