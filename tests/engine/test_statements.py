"""What a pilot states moves the flight along the plan or back, and is answered; Skarrow, from the chart."""

import pytest
from placed import NOW_S, placed

from assistant.engine.core import begin, step
from assistant.engine.events import (
    Callout,
    CalloutKind,
    PositionReport,
    Priority,
    Said,
    StageEntered,
    Statement,
)


def state_that(state, said, *, after_s=0.0):
    """The state after a statement, and the callouts."""
    state, outputs = step(state, Statement(t_s=NOW_S + after_s, said=said))
    return state, [output for output in outputs if isinstance(output, Callout)]


def confirmed(callouts):
    return [callout.figures.item for callout in callouts if callout.kind is CalloutKind.CONFIRM]


@pytest.mark.parametrize(
    ("said", "left", "item"),
    [(Said.LEAVING, 0, "leaving at the fix"), (Said.ONE_MORE, 1, "one more circuit")],
)
def test_in_the_hold_a_pilot_leaves_at_the_fix_or_after_one_more(still, said, left, item):
    state, callouts = state_that(placed(still, "hold_outbound", 19.0), said)

    assert state.circuits_left == left
    assert confirmed(callouts) == [item]


@pytest.mark.parametrize("said", [Said.LEAVING, Said.ONE_MORE])
def test_after_the_hold_there_is_no_circuit_to_count(still, said):
    state, callouts = state_that(placed(still, "course_2", 9.0), said)

    assert state.circuits_left is None
    assert confirmed(callouts) == ["roger"]


def test_without_a_hold_on_the_chart_there_is_none_to_leave_or_enter(plan):
    for said in (Said.LEAVING, Said.ENTERING_HOLD):
        state, callouts = state_that(begin(plan("teskel-vortac-06")), said)
        assert state.stage_name == "arrival"
        assert confirmed(callouts) == ["roger"]


def test_entering_the_hold_on_the_arrival_is_by_the_heading_read(still):
    # The hold is inbound 165, right turns: crossed on 165 the entry is direct.
    state, _ = state_that(begin(still).but(heading_mag_deg=165.0), Said.ENTERING_HOLD)

    assert state.stage_name == "hold_entry_direct"


def test_entering_the_hold_is_only_noted_on_the_approach(still):
    state, callouts = state_that(placed(still, "course_2", 9.0), Said.ENTERING_HOLD)

    assert state.stage_name == "course_2"
    assert confirmed(callouts) == ["roger"]


@pytest.mark.parametrize(
    ("stage", "dme_nm", "said", "came_to", "established"),
    [
        ("course_2", 9.0, Said.ESTABLISHED, "course_2", True),
        ("course_2", 9.0, Said.INBOUND, "course_2", False),
        ("final", 4.0, Said.ESTABLISHED, "final", True),
        ("course_0", 15.0, Said.ON_ARC, "arc_1", True),
        ("hold_outbound", 19.0, Said.INBOUND, "hold_inbound", False),
        ("hold_inbound", 19.0, Said.OUTBOUND, "hold_outbound", False),
        ("course_2", 9.0, Said.ON_ARC, "course_2", False),
    ],
)
def test_who_has_joined_a_leg_is_on_it_or_on_the_next(still, stage, dme_nm, said, came_to, established):
    state, _ = state_that(placed(still, stage, dme_nm), said)

    assert state.stage_name == came_to
    assert state.established is established


def test_established_in_the_middle_of_an_arc_means_the_arc(still):
    state, _ = state_that(placed(still, "arc_1", 12.0, progress_s=100.0), Said.ESTABLISHED)

    assert (state.stage_name, state.established) == ("arc_1", True)


def test_a_statement_of_a_leg_ends_being_lost_there(still):
    state, _ = state_that(placed(still, "course_0", 15.0, lost=True), Said.ON_ARC)

    assert not state.lost
    assert state.observed_s == NOW_S


def test_visual_before_final_is_noted_and_floors_still_hold(still):
    state, callouts = state_that(placed(still, "course_2", 9.0), Said.VISUAL)

    assert confirmed(callouts) == ["visual"]
    assert (state.stage_name, state.visual) == ("course_2", False)


def test_visual_on_final_is_the_landing_with_the_rate_to_the_threshold(still):
    state, callouts = state_that(
        placed(still, "final", 2.0, altitude_ft=600.0, established=True), Said.VISUAL
    )
    (land,) = [callout for callout in callouts if callout.kind is CalloutKind.LAND]

    assert (state.stage_name, state.visual) == ("landing", True)
    assert land.priority is Priority.ACTION
    # The slope of 323.8 ft a mile at some 143 kt true: 770 ft/min, up to the next fifty.
    assert land.figures.descent_fpm == pytest.approx(800.0, abs=50.0)


def test_visual_without_an_altitude_names_no_rate(still):
    _, callouts = state_that(placed(still, "final", 2.0, established=True), Said.VISUAL)

    assert [callout.figures.descent_fpm for callout in callouts if callout.kind is CalloutKind.LAND] == [None]


def test_visual_again_on_the_landing_changes_nothing(still):
    state, callouts = state_that(placed(still, "landing", 1.0, visual=True), Said.VISUAL)

    assert state.stage_name == "landing"
    assert callouts == []


@pytest.mark.parametrize(
    ("dme_nm", "established", "altitude_ft"),
    # The chart: 1900 until established, 1000 to 3.5 DME, then the MDA of 500.
    [(5.0, True, 1000.0), (5.0, False, 1900.0), (2.5, True, 500.0)],
)
def test_not_visual_on_final_is_level_at_the_floor_to_the_missed_approach_point(
    still, dme_nm, established, altitude_ft
):
    state, callouts = state_that(placed(still, "final", dme_nm, established=established), Said.NOT_VISUAL)
    (maintain,) = [callout for callout in callouts if callout.kind is CalloutKind.MAINTAIN]

    assert maintain.figures.altitude_ft == altitude_ft
    assert maintain.figures.item == "until the missed approach point"
    assert state.stage_name == "final"


def test_not_visual_on_the_landing_is_going_around(still):
    state, callouts = state_that(placed(still, "landing", 1.0, visual=True), Said.NOT_VISUAL)

    assert state.stage_name == "missed_0"
    assert callouts[0].kind is CalloutKind.GO_AROUND


@pytest.mark.parametrize(
    ("name", "stage", "dme_nm", "came_to"),
    [
        # Skarrow climbs straight on first: no turn to be kept for the missed approach point.
        ("skarrow-tacan-24", "final", 4.0, "missed_0"),
        ("skarrow-tacan-24", "course_2", 9.0, "missed_0"),
        ("skarrow-tacan-24", "landing", 1.0, "missed_0"),
    ],
)
def test_going_around_climbs_to_the_charts_altitude(plan, name, stage, dme_nm, came_to):
    state, callouts = state_that(placed(plan(name), stage, dme_nm, altitude_ft=1000.0), Said.GOING_AROUND)
    going = callouts[0]

    assert state.stage_name == came_to
    assert (going.kind, going.figures.event) == (CalloutKind.GO_AROUND, None)
    # "Climb on track 243 to 1500 … climbing to 4000": the altitude cleared to is 4000.
    assert going.figures.altitude_ft == 4000.0
    assert state.target_ft == 4000.0
    assert state.altitude.descent_fpm == 0.0
    assert going.cue in state.fired


@pytest.mark.parametrize(("stage", "dme_nm"), [("hold_outbound", 19.0), ("hold_inbound", 19.0)])
def test_there_is_nothing_to_go_around_from_in_the_hold(still, stage, dme_nm):
    state, callouts = state_that(placed(still, stage, dme_nm), Said.GOING_AROUND)

    assert state.stage_name == stage
    assert confirmed(callouts) == ["not on the approach"]


def test_going_around_again_changes_nothing(still):
    going, _ = state_that(placed(still, "final", 4.0), Said.GOING_AROUND)
    again, callouts = state_that(going, Said.GOING_AROUND, after_s=3.0)

    assert again.stage_name == going.stage_name
    assert CalloutKind.GO_AROUND not in [callout.kind for callout in callouts]


def test_landed_ends_the_flight_and_is_confirmed(still):
    state, callouts = state_that(placed(still, "landing", 1.0), Said.LANDED)

    assert state.ended
    assert confirmed(callouts) == ["landed"]


def test_a_needle_that_moves_is_not_asked_about_and_level_ends_a_descent(still):
    needle, _ = state_that(placed(still, "course_2", 9.0), Said.NEEDLE_MOVING)
    assert "needle" in needle.fired

    going_down = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    going_down = going_down.but(
        altitude=type(going_down.altitude)(altitude_ft=1900.0, t_s=NOW_S, read_s=NOW_S, descent_fpm=800.0)
    )
    level, _ = state_that(going_down, Said.LEVEL)
    assert level.altitude.descent_fpm == 0.0


def test_disregard_takes_back_the_report_and_the_stage_it_brought(still):
    before = placed(still, "course_2", 6.4, altitude_ft=1900.0, established=True)
    report = PositionReport(t_s=NOW_S + 5.0, observed_t_s=NOW_S + 5.0, radial_deg=63.0, dme_nm=5.9)
    passed, _ = step(before, report)
    assert passed.stage_name == "final"
    state, outputs = step(passed, Statement(t_s=NOW_S + 6.0, said=Said.DISREGARD))

    assert (state.stage_name, state.dme_nm) == ("course_2", 6.4)
    assert any(isinstance(output, StageEntered) and output.stage == "course_2" for output in outputs)
    assert confirmed([output for output in outputs if isinstance(output, Callout)]) == ["disregarded"]


def test_disregard_with_nothing_before_drops_the_doubt(still):
    state, callouts = state_that(placed(still, "course_2", 9.0), Said.DISREGARD)

    assert state.doubt is None
    assert confirmed(callouts) == ["disregarded"]


@pytest.mark.parametrize(("said", "read_nm"), [(Said.AFFIRM, 6.5), (Said.NEGATIVE, 9.0)])
def test_a_challenged_range_is_taken_when_affirmed_and_dropped_when_denied(still, said, read_nm):
    doubted, _ = step(
        placed(still, "course_2", 9.0),
        PositionReport(t_s=NOW_S, observed_t_s=NOW_S, radial_deg=63.0, dme_nm=6.5),
    )
    assert doubted.doubt is not None
    state, _ = state_that(doubted, said, after_s=3.0)

    assert state.doubt is None
    assert state.dme_nm == read_nm


@pytest.mark.parametrize(("said", "came_to"), [(Said.AFFIRM, "landing"), (Said.NEGATIVE, "final")])
def test_yes_or_no_at_the_minimum_answers_whether_visual(still, said, came_to):
    at_minimum = placed(
        still, "final", 2.0, altitude_ft=550.0, established=True, asked=frozenset({"minimum"})
    )

    assert state_that(at_minimum, said)[0].stage_name == came_to


def test_yes_to_nothing_changes_nothing(still):
    state, callouts = state_that(placed(still, "final", 4.0), Said.AFFIRM)

    assert state.stage_name == "final"
    assert callouts == []
