"""What the state tells of a moment between two events; every number a multiplication."""

import pytest
from placed import NOW_S, placed

from assistant.engine.core import begin
from assistant.engine.state import AltitudeKnown


@pytest.fixture
def state(plan):
    return placed(plan("skarrow-tacan-24"), "course_2", 9.0, progress_s=100.0)


def known(altitude_ft, fpm):
    return AltitudeKnown(altitude_ft=altitude_ft, t_s=NOW_S, read_s=NOW_S, descent_fpm=fpm)


@pytest.mark.parametrize(
    ("altitude_ft", "fpm", "target_ft", "then_ft"),
    # A minute and a half later.
    [
        (3000.0, 600.0, None, 2100.0),
        (3000.0, 600.0, 1900.0, 2100.0),
        (3000.0, 600.0, 2500.0, 2500.0),  # not through the altitude called for
        (3000.0, 600.0, 3500.0, 3000.0),  # below it already: not taken to go lower
        (3000.0, -600.0, None, 3900.0),
        (3000.0, -600.0, 4000.0, 3900.0),
        (3000.0, -600.0, 3500.0, 3500.0),
        (3000.0, -600.0, 2500.0, 3000.0),
        (3000.0, 0.0, 1900.0, 3000.0),
    ],
)
def test_the_altitude_is_the_last_read_less_what_was_lost_to_the_one_called_for(
    state, altitude_ft, fpm, target_ft, then_ft
):
    state = state.but(altitude=known(altitude_ft, fpm), target_ft=target_ft)

    assert state.altitude_ft(NOW_S + 90.0) == pytest.approx(then_ft)


def test_before_the_descent_begins_nothing_is_lost(state):
    state = state.but(altitude=known(3000.0, 600.0))

    assert state.altitude_ft(NOW_S - 30.0) == 3000.0
    assert state.but(altitude=None).altitude_ft(NOW_S) is None


@pytest.mark.parametrize(
    ("rate", "after_s", "progress_s"), [(1.0, 40.0, 140.0), (1.25, 40.0, 150.0), (0.8, 40.0, 132.0)]
)
def test_progress_runs_with_the_clock_at_the_pace_flown_and_back(state, rate, after_s, progress_s):
    state = state.but(rate=rate)

    assert state.progress_s(NOW_S + after_s) == pytest.approx(progress_s)
    assert state.time_of(progress_s) == pytest.approx(NOW_S + after_s)


def test_a_place_is_as_old_as_the_report_that_showed_it(state):
    assert state.age_s(NOW_S + 12.0) == 12.0
    assert state.age_s(NOW_S - 5.0) == 0.0
    assert state.but(observed_s=None).age_s(NOW_S) == float("inf")


def test_on_an_arrival_without_a_place_none_is_known(plan):
    assert begin(plan("skarrow-tacan-24")).place(NOW_S) is None


def test_only_what_a_state_has_can_be_changed_and_the_old_one_stays(state):
    later = state.but(dme_nm=8.0)

    assert (state.dme_nm, later.dme_nm) == (9.0, 8.0)
    with pytest.raises(TypeError, match="a state has no colour, sound"):
        state.but(dme_nm=7.0, sound=1, colour=2)


def test_history_is_one_step_deep(state):
    kept = state.but(before_report=state, confirmed=state).without_history()

    assert (kept.before_report, kept.confirmed) == (None, None)


def test_at_the_beginning_nothing_is_known(plan):
    state = begin(plan("skarrow-tacan-24"))

    times = (state.since_s, state.reached_s, state.entered_s, state.anchor_s, state.anchor_progress_s)
    assert (*times, state.ahead_s, state.point_s, state.dme_s, state.floor_carried_ft) == (0.0,) * 9
    assert state.rate == 1.0
    flags = (state.predicted, state.held_back, state.established, state.lost, state.visual, state.ended)
    assert flags == (False,) * 6
    unknown = (state.observed_s, state.joining, state.seen, state.point, state.dme_nm, state.radial_deg)
    assert (*unknown, state.heading_mag_deg, state.altitude, state.target_ft, state.circuits_left) == (
        None,
    ) * 10
    assert (state.headings, state.fired, state.asked) == ((), frozenset(), frozenset())
