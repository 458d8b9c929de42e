"""An altitude read at or near the minimum is called at once; Skarrow: minimum 500 ft, decision at 550."""

import pytest
from placed import NOW_S, placed, said

from assistant.engine.core import step
from assistant.engine.events import Callout, CalloutKind, PositionReport, Priority, Tick
from assistant.engine.minimum import near_minimum
from assistant.engine.outbox import Outbox


@pytest.fixture
def low(plan):
    """Level at 700 ft past the last step-down: the clock foresees nothing."""
    return placed(plan("skarrow-tacan-24"), "final", 2.6, altitude_ft=700.0, established=True)


def read(altitude_ft, **more):
    return PositionReport(t_s=NOW_S, observed_t_s=NOW_S, indicated_ft=altitude_ft, **more)


@pytest.mark.parametrize(
    ("altitude_ft", "kind"),
    [
        (651.0, None),
        (650.0, CalloutKind.NEAR_MINIMUM),
        (551.0, CalloutKind.NEAR_MINIMUM),
        (550.0, CalloutKind.MINIMUM),
        (495.0, CalloutKind.MINIMUM),
        (494.0, None),  # below it: the floor's warning is what to hear
    ],
)
def test_what_is_read_decides_the_call(low, altitude_ft, kind):
    kinds = [callout.kind for callout in said(near_minimum, low, read(altitude_ft))]

    assert kinds == ([] if kind is None else [kind])


def test_near_it_the_height_left_is_named(low):
    (callout,) = said(near_minimum, low, read(580.0))

    assert (callout.figures.difference_ft, callout.figures.altitude_ft) == (30.0, 550.0)
    assert (callout.priority, callout.cue) == (Priority.PREPARATION, "near minimum")


def test_at_it_the_minimum_itself_is_named(low):
    (callout,) = said(near_minimum, low, read(540.0))

    assert callout.figures.altitude_ft == 500.0
    assert (callout.priority, callout.cue) == (Priority.ACTION, "minimum")


def test_each_is_called_once(low):
    after = near_minimum(low, read(600.0), Outbox())
    assert after.asked == {"near minimum"}
    assert said(near_minimum, after, read(590.0)) == []
    below = near_minimum(after, read(540.0), Outbox())
    assert below.asked == {"near minimum", "minimum"}
    assert said(near_minimum, below, read(530.0)) == []
    # Straight to it: what comes before it is no news any more.
    assert near_minimum(low, read(540.0), Outbox()).asked == {"near minimum", "minimum"}


def test_while_a_higher_floor_binds_there_is_no_minimum_to_call(low, plan):
    before = placed(plan("skarrow-tacan-24"), "final", 4.0, altitude_ft=1000.0, established=True)

    assert said(near_minimum, before, read(540.0)) == []
    assert said(near_minimum, low.but(established=False), read(540.0)) == []


def test_a_report_without_an_altitude_says_nothing_of_it(low):
    no_altitude = PositionReport(t_s=NOW_S, observed_t_s=NOW_S, dme_nm=2.6)

    assert said(near_minimum, low, no_altitude) == []


@pytest.mark.parametrize(("visual", "called"), [(False, True), (True, False)])
def test_a_report_at_the_minimum_is_called_to_who_does_not_see_the_runway(low, visual, called):
    _, outputs = step(low.but(visual=visual), read(540.0, radial_deg=63.0, dme_nm=2.6))

    kinds = [output.kind for output in outputs if isinstance(output, Callout)]
    assert (CalloutKind.MINIMUM in kinds) is called


def test_before_final_nothing_is_said_of_the_minimum(plan):
    level = placed(plan("skarrow-tacan-24"), "course_2", 9.0, altitude_ft=700.0, established=True)
    _, outputs = step(level, read(540.0, dme_nm=9.0))

    assert CalloutKind.MINIMUM not in [output.kind for output in outputs if isinstance(output, Callout)]


def test_the_runway_is_asked_for_on_old_knowledge_too(plan):
    """Ten seconds before the missed approach point: an answer is wanted, however long nothing was read."""
    final = plan("skarrow-tacan-24").stage("final")
    state = placed(
        plan("skarrow-tacan-24"),
        "final",
        None,
        progress_s=final.exits[0].at_s - 11.0,
        altitude_ft=700.0,
        established=True,
        observed_s=NOW_S - 600.0,
    )
    asked = [
        (one.kind, one.figures.item)
        for one in step(state, Tick(t_s=NOW_S + 2.0))[1]
        if isinstance(one, Callout)
    ]

    assert (CalloutKind.SAY_POSITION, "visual") in asked
