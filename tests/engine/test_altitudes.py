"""Levelling off and the minimum are called before the level is reached; Skarrow in still air, by hand."""

from dataclasses import replace

import pytest
from placed import NOW_S, placed, said

from assistant.engine.altitudes import level_moment, say_level
from assistant.engine.events import CalloutKind, CueDropped, Priority
from assistant.engine.outbox import Outbox
from assistant.engine.state import AltitudeKnown


@pytest.fixture
def still(plan):
    """Skarrow in still air, category C: minimum 500 ft, "minimum" called 50 ft above it."""
    return plan("skarrow-tacan-24")


def descending(altitude_ft, fpm, *, read_ago_s=0.0):
    return AltitudeKnown(altitude_ft=altitude_ft, t_s=NOW_S, read_s=NOW_S - read_ago_s, descent_fpm=fpm)


@pytest.fixture
def to_level(still):
    """On the way down to 1,900 ft on the course to BESKA."""
    return placed(still, "course_2", 9.0, altitude=descending(2800.0, 1000.0), target_ft=1900.0)


@pytest.fixture
def on_final(still):
    """Past the last step-down at 3.5 DME."""
    return placed(still, "final", 3.2, altitude=descending(900.0, 800.0), target_ft=500.0, established=True)


@pytest.mark.parametrize(
    ("altitude_ft", "fpm", "after_s"),
    [
        # A tenth of the rate before the level, but no less than 100 ft: at 2,000 ft, at 2,100, at 2,000.
        (2800.0, 1000.0, 48.0),
        (2800.0, 2000.0, 21.0),
        (2200.0, 600.0, 20.0),
        # Within 150 ft of the level it is called at once; nearer than 50 ft there is nothing to warn of.
        (1990.0, 1000.0, 0.0),
        (1951.0, 1000.0, 0.0),
        (1949.0, 1000.0, None),
    ],
)
def test_a_level_is_called_a_tenth_of_the_rate_before_it(to_level, altitude_ft, fpm, after_s):
    moment = level_moment(to_level.but(altitude=descending(altitude_ft, fpm)))

    assert moment == (None if after_s is None else (pytest.approx(NOW_S + after_s), "level"))


@pytest.mark.parametrize(("read_ago_s", "foreseen"), [(0.0, True), (12.0, True), (12.1, False)])
def test_an_altitude_foresees_no_more_than_a_minute(to_level, read_ago_s, foreseen):
    # 2,000 ft in 48 s: at most 12 s after the reading.
    moment = level_moment(to_level.but(altitude=descending(2800.0, 1000.0, read_ago_s=read_ago_s)))

    assert (moment is not None) is foreseen


@pytest.mark.parametrize(
    "changes",
    [
        {"altitude": None},
        {"altitude": descending(2800.0, 0.0)},
        {"altitude": descending(2800.0, -500.0)},
        {"visual": True},
        {"target_ft": None},
        {"asked": frozenset({"level"})},
    ],
)
def test_nothing_is_foreseen_where_no_level_is_being_come_to(to_level, changes):
    assert level_moment(to_level.but(**changes)) is None


def test_in_the_missed_approach_no_level_is_foreseen(still):
    going_up = placed(
        still, "missed_1", 10.0, progress_s=20.0, altitude=descending(2800.0, 500.0), target_ft=1900.0
    )

    assert level_moment(going_up) is None


def test_the_minimum_is_called_100_ft_before_and_then_at_the_decision(on_final):
    # 900 to 650 ft and to 550 ft at 800 ft/min: 18.75 s and 26.25 s.
    assert level_moment(on_final) == (pytest.approx(NOW_S + 18.75), "near minimum")
    near = on_final.but(asked=frozenset({"near minimum"}))
    assert level_moment(near) == (pytest.approx(NOW_S + 26.25), "minimum")
    assert level_moment(on_final.but(asked=frozenset({"near minimum", "minimum"}))) is None


def test_who_is_not_established_or_sees_the_runway_hears_of_no_minimum(on_final):
    assert level_moment(on_final.but(established=False)) is None
    assert level_moment(on_final.but(visual=True)) is None


def test_the_minimum_is_no_level_before_the_last_step_down_is_surely_passed(still):
    # 40 s before 3.5 DME: surely passed after 40 / 0.85 s, while 650 ft are reached in 3.75 s.
    until_s = still.stage("final").floors[0].until_s
    state = placed(
        still,
        "final",
        4.0,
        progress_s=until_s - 40.0,
        altitude=descending(700.0, 800.0),
        target_ft=500.0,
        established=True,
    )

    assert level_moment(state) == (pytest.approx(NOW_S + 40.0 / 0.85), "near minimum")


@pytest.mark.parametrize(("read_ago_s", "after_s"), [(0.0, 60.0), (45.0, 15.0), (70.0, 0.0)])
def test_on_final_an_altitude_a_minute_old_is_asked_for_once(on_final, read_ago_s, after_s):
    # 1,900 to 650 ft at 800 ft/min would be 93.75 s.
    state = on_final.but(altitude=descending(1900.0, 800.0, read_ago_s=read_ago_s))

    assert level_moment(state) == (pytest.approx(NOW_S + after_s), "altitude?")
    assert level_moment(state.but(asked=frozenset({"altitude?"}))) is None


@pytest.mark.parametrize(
    ("name", "kind", "priority", "figures"),
    [
        ("near minimum", CalloutKind.NEAR_MINIMUM, Priority.PREPARATION, (100.0, 550.0, None)),
        ("minimum", CalloutKind.MINIMUM, Priority.ACTION, (None, 500.0, None)),
        ("altitude?", CalloutKind.SAY_POSITION, Priority.PREPARATION, (None, None, "altitude")),
        ("level", CalloutKind.LEVEL_OFF, Priority.PREPARATION, (None, 500.0, None)),
    ],
)
def test_each_altitude_call_says_its_own(on_final, name, kind, priority, figures):
    (callout,) = said(say_level, on_final, NOW_S, name)

    assert (callout.kind, callout.priority, callout.cue) == (kind, priority, name)
    found = callout.figures
    assert (found.difference_ft, found.altitude_ft, found.item) == figures


def test_a_height_that_was_lost_since_a_later_moment_counts_from_there(to_level):
    # The descent was called 20 s after the reading: 2,800 ft at NOW + 20.
    later = replace(descending(2800.0, 1000.0), t_s=NOW_S + 20.0, read_s=NOW_S + 20.0)

    assert level_moment(to_level.but(altitude=later)) == (pytest.approx(NOW_S + 68.0), "level")


def test_a_level_below_a_floor_that_holds_again_is_not_called(to_level):
    # Told to go down past the fix, which a report has put ahead again: 2,500 ft hold there.
    ahead = to_level.but(floor_carried_ft=2500.0, established=False)
    out = Outbox()

    state = say_level(ahead, NOW_S, "level", out)

    assert [type(output) for output in out.outputs] == [CueDropped]
    assert "level" in state.asked
    (called,) = said(say_level, to_level.but(established=True), NOW_S, "level")
    assert called.kind is CalloutKind.LEVEL_OFF


def test_no_minimum_is_near_before_the_fix_of_a_final_without_step_downs_is_surely_passed(plan):
    # Quorrel's final begins over the station; come to by the clock, reckoning may be 20 s ahead: 20 / 0.85.
    quorrel = plan("quorrel-vor-dme-20")
    before = placed(quorrel, "course_1", 1.0, altitude_ft=2400.0)
    state = placed(
        quorrel, "final", None, progress_s=0.0, altitude=descending(1200.0, 900.0), established=True,
        observed_s=NOW_S, ahead_s=20.0,
    )  # fmt: skip

    assert level_moment(state).t_s < NOW_S + 10.0
    assert level_moment(state.but(predicted=True, confirmed=before)).t_s == pytest.approx(NOW_S + 20.0 / 0.85)
