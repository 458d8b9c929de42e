"""Descents, levels and the minimum to the very edge of each rule, on a leg drawn by hand without rounding."""

from dataclasses import replace

import pytest
from on_paper import binary, in_plan, stage
from placed import NOW_S, placed

from assistant.engine.altitudes import level_moment
from assistant.engine.descents import begun, descend
from assistant.engine.events import Callout, CalloutKind, Datum, Figures, PositionReport, Priority
from assistant.engine.minimum import near_minimum
from assistant.engine.outbox import Outbox
from assistant.engine.plan import CourseFacts, Cue, Exit, Floor, Phase
from assistant.engine.state import AltitudeKnown
from assistant.engine.today import Today, published_ft, spoken_ft
from assistant.engine.triggers import DmeReached
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import Category

COURSE = CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.0, 0.0))


@pytest.fixture
def on(plan):
    """A flight on a leg of 480 s at a 32nd of a mile a second, in place of Skarrow's last course."""

    def flight(progress_s, *, ends_s=(), leg=None, category=Category.C, **changes):
        exits = tuple(
            Exit(trigger=DmeReached(dme_nm=10.0, closing=True), to="final", at_s=at_s) for at_s in ends_s
        )
        drawn = stage(
            name="course_2", timeline=binary(), tas_kt=112.5, exits=exits, course=COURSE, **leg or {}
        )
        compiled = in_plan(plan("skarrow-tacan-24", category=category), drawn)
        dme_nm = 20.0 - progress_s / 32.0
        return placed(compiled, "course_2", dme_nm, progress_s=progress_s, **changes)

    return flight


def called(state, to_ft, *, kind=CalloutKind.DESCEND, at_s=0.0, window_s=6.0, **figures):
    """The state after a descent was called now, and the callouts."""
    out = Outbox()
    cue = Cue(name="down", at_s=at_s, kind=kind, priority=Priority.ACTION, window_s=window_s, descends=True)
    state = descend(state, NOW_S, cue, Figures(altitude_ft=to_ft, **figures), out)
    return state, [one for one in out.outputs if isinstance(one, Callout)]


@pytest.mark.parametrize(("altitude_ft", "is_called"), [(2050.0, True), (2049.75, False)])
def test_just_fifty_feet_are_worth_a_descent(on, altitude_ft, is_called):
    assert bool(called(on(160.0, altitude_ft=altitude_ft), 2000.0)[1]) is is_called


@pytest.mark.parametrize(
    ("category", "lost_fpm"),
    # Nobody said at what rate: 1,500 ft/min are usual, of a light aircraft 700.
    [(Category.A, 700.0), (Category.B, 700.0), (Category.C, 1500.0), (Category.E, 1500.0)],
)
def test_a_descent_without_a_rate_is_reckoned_at_the_usual_one(on, category, lost_fpm):
    state, (callout,) = called(on(160.0, altitude_ft=3000.0, category=category), 2000.0)

    assert callout.figures.descent_fpm is None
    assert state.altitude.descent_fpm == lost_fpm


@pytest.mark.parametrize(
    ("category", "to_lose_ft", "ends_s", "fpm"),
    [
        # 83 s to the end less 8: 75 s, four fifths are a minute. The usual rate itself is named.
        (Category.C, 1500.0, (243.0,), 1500.0),
        (Category.C, 1499.0, (243.0,), None),
        (Category.B, 700.0, (243.0,), 700.0),
        (Category.B, 699.0, (243.0,), None),
        # The nearest end counts; none is known where only an altitude ends the leg.
        (Category.C, 1500.0, (400.0, 243.0), 1500.0),
        (Category.C, 1500.0, (None,), None),
        (Category.C, 1500.0, (None, 243.0), 1500.0),
        # At most 3,000, of a light aircraft 1,500; never reckoned over less than a tenth of a minute.
        (Category.C, 3500.0, (243.0,), 3000.0),
        (Category.B, 1600.0, (243.0,), 1500.0),
        (Category.C, 200.0, (160.0,), 2000.0),
        (Category.C, 200.0, (100.0,), 2000.0),
    ],
)
def test_the_rate_wanted_is_that_to_the_end_of_the_leg(on, category, to_lose_ft, ends_s, fpm):
    state = on(160.0, ends_s=ends_s, altitude_ft=2000.0 + to_lose_ft, category=category)
    state, (callout,) = called(state, 2000.0)

    assert callout.figures.descent_fpm == fpm
    assert state.altitude.descent_fpm == (fpm or (700.0 if category is Category.B else 1500.0))


@pytest.mark.parametrize(("at_s", "event"), [(154.0, "the fix"), (153.75, None)])
def test_the_fix_is_named_up_to_the_end_of_its_calls_window(on, at_s, event):
    state = on(160.0, altitude_ft=3000.0)
    figures = {"event": "the fix", "descent_fpm": 600.0}
    _, (callout,) = called(state, 2000.0, kind=CalloutKind.FINAL_DESCENT, at_s=at_s, **figures)

    assert callout.figures.event == event


@pytest.mark.parametrize(
    ("late_s", "rate", "fpm"),
    # 1,950 ft due at the fix to the 550 where the minimum is called: 140 s at 600 ft/min. Begun 8 s after its
    # call, and so much later; half of it gone, the planned rate is all that is said.
    [
        (0.0, 1.0, 600.0 * 140.0 / 132.0),
        (6.0, 1.0, 600.0 * 140.0 / 126.0),
        (5.0, 1.25, 600.0 * 140.0 / 128.0),
        (-5.0, 1.0, 600.0 * 140.0 / 132.0),
        (20.0, 1.0, 600.0 * 140.0 / 112.0),
        (40.0, 1.0, 750.0),
        (61.75, 1.0, 750.0),
        (62.0, 1.0, 600.0),
    ],
)
def test_a_final_descent_begun_after_its_place_is_steeper_by_what_is_gone(on, late_s, rate, fpm):
    state = on(160.0 + late_s, altitude_ft=3000.0, rate=rate)
    plan = replace(state.plan, profile=((2.0, 600.0), (6.0, 1950.0)))
    state, (callout,) = called(
        state.but(plan=plan),
        2000.0,
        kind=CalloutKind.FINAL_DESCENT,
        at_s=160.0,
        window_s=99.0,
        descent_fpm=600.0,
    )

    assert state.altitude.descent_fpm == pytest.approx(fpm)
    # Said up to the next fifty.
    assert 0.0 <= callout.figures.descent_fpm - fpm < 50.0
    bare = state.but(plan=replace(state.plan, profile=()), altitude=replace(state.altitude, descent_fpm=0.0))
    bare, _ = called(bare, 2000.0, kind=CalloutKind.FINAL_DESCENT, at_s=160.0, descent_fpm=600.0)
    assert bare.altitude.descent_fpm == 600.0


@pytest.mark.parametrize(
    ("said_s", "read_s", "begins"),
    # From three seconds before it was expected to twenty after; not where an altitude was read since.
    [(-3.0, -9.0, True), (-3.25, -9.0, False), (20.0, -9.0, True), (20.25, -9.0, False), (5.0, 0.0, True)],
)
def test_descending_is_believed_about_when_it_was_expected(on, said_s, read_s, begins):
    known = AltitudeKnown(altitude_ft=3000.0, t_s=NOW_S, read_s=NOW_S + read_s, descent_fpm=600.0)
    state = on(160.0, altitude=known)

    assert (begun(state, NOW_S + said_s).altitude.t_s == NOW_S + said_s) is begins
    read_since = state.but(altitude=replace(known, read_s=NOW_S + 0.25))
    assert begun(read_since, NOW_S + said_s) is read_since


# -- levels and the minimum ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("altitude_ft", "after_s"), [(2100.0, 0.0), (2050.0, 0.0), (2049.75, None), (2101.0, 0.06)]
)
def test_a_level_is_called_from_a_hundred_feet_above_it_to_fifty(on, altitude_ft, after_s):
    known = AltitudeKnown(altitude_ft=altitude_ft, t_s=NOW_S, read_s=NOW_S, descent_fpm=1000.0)
    moment = level_moment(on(160.0, altitude=known, target_ft=2000.0))

    assert moment == (None if after_s is None else (pytest.approx(NOW_S + after_s), "level"))


@pytest.mark.parametrize(("fpm", "foreseen"), [(0.5, True), (0.0, False)])
def test_however_slow_a_descent_comes_to_its_level(on, fpm, foreseen):
    known = AltitudeKnown(altitude_ft=2075.0, t_s=NOW_S, read_s=NOW_S, descent_fpm=fpm)

    assert (level_moment(on(160.0, altitude=known, target_ft=2000.0)) is not None) is foreseen


@pytest.mark.parametrize(
    ("altitude_ft", "item"),
    # Minimum 500 ft, called at 550; near it from 650. Five feet below are still reading.
    [
        (650.0, "near"),
        (650.25, None),
        (550.0, "minimum"),
        (550.25, "near"),
        (495.0, "minimum"),
        (494.75, None),
    ],
)
def test_the_minimum_is_called_just_at_its_altitudes(on, altitude_ft, item):
    out = Outbox()
    state = on(160.0, leg={"phase": Phase.FINAL}, altitude_ft=700.0, established=True)
    near_minimum(state, PositionReport(t_s=NOW_S, observed_t_s=NOW_S, indicated_ft=altitude_ft), out)
    kinds = {"near": CalloutKind.NEAR_MINIMUM, "minimum": CalloutKind.MINIMUM}

    assert [one.kind for one in out.outputs] == ([kinds[item]] if item else [])


@pytest.mark.parametrize(("floor_ft", "is_called"), [(500.5, True), (500.75, False)])
def test_half_a_foot_of_rounding_is_no_step_down_above_the_minimum(on, floor_ft, is_called):
    out = Outbox()
    floors = (Floor(altitude_ft=floor_ft),)
    state = on(160.0, leg={"phase": Phase.FINAL, "floors": floors}, altitude_ft=700.0, established=True)
    near_minimum(state, PositionReport(t_s=NOW_S, observed_t_s=NOW_S, indicated_ft=540.0), out)

    assert bool(out.outputs) is is_called


# -- what the chart prints ----------------------------------------------------------------------------------


def test_every_height_that_the_chart_prints_is_said_as_printed(procedure):
    skarrow = procedure("skarrow-tacan-24")
    printed = published_ft(skarrow)
    # Minima on QNH and as heights, the table of the final, the legs, the step-downs, the hold.
    assert {(Datum.QNH, 500.0), (Datum.QFE, 404.0), (Datum.QNH, 1570.0), (Datum.QNH, 4000.0)} <= printed
    assert {(Datum.QNH, 3500.0), (Datum.QNH, 2500.0), (Datum.QNH, 1900.0), (Datum.QNH, 1000.0)} <= printed
    # The maximum of the hold is no altitude to be called.
    assert (Datum.QNH, 8000.0) not in printed

    row = replace(skarrow.final.heights[0], altitude_ft=None, height_ft=1474.0)
    *legs, final = skarrow.legs
    heights = (row, *final.heights[1:])
    changed = replace(skarrow, legs=(*legs, replace(final, heights=heights)), hold=None)
    printed = published_ft(changed)
    assert (Datum.QFE, 1474.0) in printed
    assert (Datum.QNH, 1570.0) not in printed
    assert not any(value is None for _, value in printed)


@pytest.mark.parametrize(
    ("shown_ft", "datum", "spoken"),
    [
        (1234.0, Datum.QNH, 1234.0),  # printed: in whole feet, as the chart has it
        (1233.6, Datum.QNH, 1234.0),
        (1233.4, Datum.QNH, 1240.0),
        (1234.0, Datum.QFE, 1240.0),
        (1240.0, Datum.QFE, 1240.0),
        (1240.0004, Datum.QFE, 1240.0),  # a rounding of the sums is no foot
        (1240.001, Datum.QFE, 1250.0),
        (8000.0, Datum.STANDARD, 8000.0),
        (8001.0, Datum.STANDARD, 8100.0),
    ],
)
def test_what_is_not_printed_goes_up_to_the_next_ten_feet_or_level(shown_ft, datum, spoken):
    assert spoken_ft(shown_ft, datum, frozenset({(Datum.QNH, 1234.0)})) == spoken


def test_below_the_station_a_range_is_that_on_the_ground(on):
    state = on(160.0)
    today = Today(procedure=state.plan.procedure, conditions=state.plan.conditions)

    # The station stands 80 ft high.
    assert today.height_above_station_ft(80.0) == 0.0
    assert today.height_above_station_ft(-500.0) == 0.0
    assert today.height_above_station_ft(81.0) == 1.0
    assert today.ground_nm(5.0, 0.0) == 5.0
