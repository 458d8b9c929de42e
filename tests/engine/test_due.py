"""What comes due next by the clock, and when a turn is called; Skarrow in still air, by hand."""

from dataclasses import replace

import pytest
from placed import NOW_S, placed

from assistant.engine.core import begin
from assistant.engine.due import call_before_s, holds, next_moment
from assistant.engine.entering import ARC_CALL_S, TURN_CALL_S
from assistant.engine.events import PositionReport
from assistant.engine.plan import Exit, When
from assistant.engine.state import Doubt


def test_before_the_first_report_the_clock_brings_nothing(still):
    assert next_moment(begin(still)) is None


def test_after_the_end_nothing_comes(still):
    assert next_moment(placed(still, "final", 5.0, ended=True)) is None


@pytest.mark.parametrize(
    ("when", "changes", "true"),
    [
        (When.ALWAYS, {}, True),
        (When.STAYING, {}, True),
        (When.STAYING, {"circuits_left": 1}, True),
        (When.STAYING, {"circuits_left": 0}, False),
        (When.LEAVING, {"circuits_left": 0}, True),
        (When.LEAVING, {"circuits_left": 1}, False),
        (When.LEAVING, {}, False),
        (When.ESTABLISHED, {"established": True}, True),
        (When.ESTABLISHED, {}, False),
        (When.NOT_ESTABLISHED, {}, True),
        (When.NOT_ESTABLISHED, {"established": True}, False),
        (When.RELEASED, {}, True),
        (When.RELEASED, {"floor_carried_ft": 3000.0}, False),
        (When.RELEASED, {"floor_carried_ft": 3000.0, "established": True}, True),
        (When.NOT_VISUAL, {}, True),
        (When.NOT_VISUAL, {"visual": True}, False),
    ],
)
def test_the_conditions_of_a_plan(still, when, changes, true):
    assert holds(placed(still, "hold_inbound", 19.0, **changes), when) is true


@pytest.mark.parametrize(
    ("stage", "dme_nm", "to", "led_s"),
    [
        ("arc_1", 12.0, "course_2", TURN_CALL_S),
        ("course_0", 15.0, "arc_1", ARC_CALL_S),  # that on to an arc has more words
        ("course_2", 9.0, "final", 0.0),  # where a descent begins the place itself binds
        ("final", 4.0, "missed_0", 0.0),
        ("missed_1", 10.0, "hold_entry", TURN_CALL_S),
        ("hold_outbound", 19.0, "hold_inbound", TURN_CALL_S),
    ],
)
def test_a_turn_is_called_so_long_before_its_place_that_the_aircraft_turns_there(
    still, stage, dme_nm, to, led_s
):
    state = placed(still, stage, dme_nm, progress_s=60.0)
    (leaving,) = [leaving for leaving in state.stage.exits if leaving.to == to]

    assert call_before_s(state, leaving) == led_s


@pytest.mark.parametrize(
    ("straight_s", "established", "called_s"),
    # The turn on to an arc is called 10.5 s before it. Out of a turn just flown the pilot still cuts to the
    # needle: 6.5 s more, where less than 45 s are straight, else 1.5; no more than there is room. Established
    # there is no cut.
    [
        (100.0, False, 12.0),
        (45.1, False, 12.0),
        (44.9, False, 17.0),
        (5.0, False, 11.5),
        (-10.0, False, 0.0),
        (100.0, True, 10.5),
        (5.0, True, 5.0),
    ],
)
def test_the_turn_on_to_an_arc_out_of_a_turn_is_called_earlier(plan, straight_s, established, called_s):
    brennok = plan("brennok-vortac-33")
    inbound = brennok.stage("hold_inbound")
    state = placed(brennok, "hold_inbound", 17.0, progress_s=60.0, circuits_left=0, established=established)
    leaving = next(leaving for leaving in inbound.exits if leaving.to == "arc_0")
    leaving = replace(leaving, at_s=inbound.timeline.turn_end_s + straight_s)

    assert call_before_s(state, leaving) == pytest.approx(called_s)


@pytest.mark.parametrize("item", ["range", "radial"])
def test_no_descent_is_called_while_a_place_is_in_doubt(still, item):
    on_final = placed(still, "final", 6.0, progress_s=1.0, altitude_ft=1900.0, established=True)
    asked = PositionReport(t_s=NOW_S + 2.0, observed_t_s=NOW_S, dme_nm=9.0, radial_deg=63.0)
    doubted = on_final.but(doubt=Doubt(report=asked, item=item), since_s=NOW_S + 2.0)

    assert next_moment(on_final).t_s < NOW_S + 15.0
    # A quarter of a minute for the answer to "Say again range".
    assert next_moment(doubted).what.name == "final descent"
    assert next_moment(doubted).t_s == NOW_S + 17.0


def test_a_doubted_altitude_holds_up_nothing(still):
    on_final = placed(still, "final", 6.0, progress_s=1.0, altitude_ft=1900.0, established=True)
    asked = PositionReport(t_s=NOW_S + 2.0, observed_t_s=NOW_S, indicated_ft=900.0)

    assert next_moment(on_final.but(doubt=Doubt(report=asked, item="altitude"))) == next_moment(on_final)


def test_no_hold_is_left_while_a_place_is_in_doubt_but_another_leg_is(still):
    asked = PositionReport(t_s=NOW_S, observed_t_s=NOW_S, dme_nm=9.0)
    for name, waits in (("hold_inbound", True), ("course_2", False)):
        state = placed(still, name, None, progress_s=still.stage(name).timeline.duration_s - 9.0)
        called = frozenset(cue.name for cue in still.stage(name).cues)
        state = state.but(doubt=Doubt(report=asked, item="range"), established=True, fired=called)

        moment = next_moment(state)

        assert isinstance(moment.what, Exit)
        assert (moment.t_s == NOW_S + 15.0) is waits
        assert moment.t_s >= NOW_S + 1.0
