"""The first altitude of a flight, where it lies far below the floor; Teskel's arrival, by hand."""

from dataclasses import replace

import pytest
from placed import NOW_S

from assistant.engine.core import begin, step
from assistant.engine.events import Callout, CalloutKind, PositionReport, Said, Statement

# All sectors of a chart have a floor while no radial is known; this one's only one is 3,300 ft.
FLOOR_FT = 3300.0


@pytest.fixture
def unknown(plan):
    """A flight that has reported nothing yet."""
    state = begin(plan("teskel-vortac-06"))
    assert max(sector.minimum_altitude_ft for sector in state.plan.procedure.sectors) == FLOOR_FT
    return state


def read(altitude_ft, at_s=NOW_S):
    return PositionReport(t_s=at_s, observed_t_s=at_s, indicated_ft=altitude_ft)


def kinds(outputs):
    return [output.kind for output in outputs if isinstance(output, Callout)]


@pytest.mark.parametrize(
    ("altitude_ft", "asked_back", "warned"),
    # 380 heard of 3,880 is no altitude to come in with; 200 ft below the floor is, and is warned of at once.
    [(380.0, True, False), (2299.0, True, False), (2300.0, False, True), (3100.0, False, True)],
)
def test_more_than_the_obstacle_clearance_below_the_floor_is_asked_back(
    unknown, altitude_ft, asked_back, warned
):
    _, outputs = step(unknown, read(altitude_ft))

    assert (CalloutKind.CHALLENGE in kinds(outputs)) is asked_back
    assert (CalloutKind.BELOW_FLOOR in kinds(outputs)) is warned


def test_the_question_names_what_was_heard(unknown):
    _, outputs = step(unknown, read(380.0))
    (asked,) = [one for one in outputs if isinstance(one, Callout) and one.kind is CalloutKind.CHALLENGE]

    assert (asked.figures.item, asked.figures.indicated_ft) == ("altitude", 380.0)


@pytest.mark.parametrize(
    "answer",
    [Statement(t_s=NOW_S + 5.0, said=Said.AFFIRM), read(400.0, NOW_S + 5.0)],
    ids=["affirm", "the same again"],
)
def test_who_means_it_is_warned(unknown, answer):
    asked, _ = step(unknown, read(380.0))
    state, outputs = step(asked, answer)

    assert CalloutKind.BELOW_FLOOR in kinds(outputs)
    assert state.altitude is not None


def test_the_true_altitude_settles_it(unknown):
    asked, _ = step(unknown, read(380.0))
    state, outputs = step(asked, read(3880.0, NOW_S + 5.0))

    assert state.altitude.altitude_ft == 3880.0
    assert not {CalloutKind.CHALLENGE, CalloutKind.BELOW_FLOOR} & set(kinds(outputs))


def test_a_later_altitude_so_low_is_warned_of_at_once(unknown):
    state, _ = step(unknown, read(3600.0))
    _, outputs = step(state, replace(read(2200.0), t_s=NOW_S + 60.0, observed_t_s=NOW_S + 60.0))

    assert CalloutKind.BELOW_FLOOR in kinds(outputs)
