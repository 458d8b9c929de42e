"""What happens as it comes due, with no report between; Skarrow in still air, by hand."""

import pytest
from placed import NOW_S, placed

from assistant.engine.core import step
from assistant.engine.events import Callout, CalloutKind, CueDropped, StageEntered, Tick


def run(state, seconds):
    """Everything that comes out in the seconds from NOW on."""
    return step(state, Tick(t_s=NOW_S + seconds))


def kinds(outputs):
    return [output.kind for output in outputs if isinstance(output, Callout)]


def quiet(state):
    """With all that the plan calls said already: only time is left to speak."""
    names = {cue.name for cue in state.stage.cues} | {f"exit {leaving.to}" for leaving in state.stage.exits}
    return state.but(fired=frozenset(names), established=True)


@pytest.mark.parametrize(
    ("stage", "dme_nm", "silence_s"),
    [("course_2", 9.0, 75.0), ("final", 5.5, 40.0), ("hold_outbound", 19.0, 100.0)],
)
def test_who_is_silent_is_asked_for_a_report_once(still, stage, dme_nm, silence_s):
    state = quiet(placed(still, stage, dme_nm))
    before, outputs = run(state, silence_s - 0.5)
    assert CalloutKind.SAY_POSITION not in kinds(outputs)
    asked, outputs = run(state, silence_s)
    (question,) = [
        one for one in outputs if isinstance(one, Callout) and one.kind is CalloutKind.SAY_POSITION
    ]

    assert question.t_s == NOW_S + silence_s
    assert question.figures.item == "range"
    assert "position" in asked.asked
    assert CalloutKind.SAY_POSITION not in kinds(step(asked, Tick(t_s=NOW_S + 500.0))[1])
    assert "position" not in before.asked


def test_on_an_arc_it_is_the_radial_that_is_asked_for(still):
    state = quiet(placed(still, "arc_1", 12.0, progress_s=60.0))
    (question,) = [one for one in run(state, 75.0)[1] if isinstance(one, Callout)]

    assert question.figures.item == "radial"


def test_on_the_landing_nobody_is_asked(still):
    assert kinds(run(quiet(placed(still, "landing", 1.4)), 300.0)[1]) == []


def test_a_leg_is_left_by_dead_reckoning_at_its_place(still):
    # 30 s before the final fix: final is entered then, and only predicted.
    leg = still.stage("course_2").timeline
    state = placed(still, "course_2", leg.at(leg.duration_s - 30.0).dme_nm, established=True)
    _, outputs = run(state, 31.0)
    (entered,) = [one for one in outputs if isinstance(one, StageEntered)]

    assert entered.stage == "final"
    assert entered.predicted
    assert entered.t_s == pytest.approx(NOW_S + 30.0, abs=0.1)


@pytest.mark.parametrize(("age_s", "left"), [(20.0, True), (45.0, False)])
def test_past_a_minute_of_age_no_turn_is_called_but_a_report_asked_for(still, age_s, left):
    # The lead radial is called 8 s before its place, 30 s ahead: 22 s on. The report is 42 or 67 s old then.
    arc = still.stage("arc_1").timeline
    state = quiet(placed(still, "arc_1", 12.0, progress_s=arc.duration_s - 30.0))
    state = state.but(fired=state.fired - {"exit course_2"}, observed_s=NOW_S - age_s)
    after, outputs = run(state, 23.0)

    assert (after.stage_name == "course_2") is left
    assert (CalloutKind.SAY_POSITION in kinds(outputs)) is not left


@pytest.mark.parametrize(("age_s", "said"), [(39.0, True), (41.0, False)])
def test_a_preparation_past_a_minute_of_age_is_not_said(still, age_s, said):
    leg = still.stage("course_2")
    (prepare,) = [cue for cue in leg.cues if cue.kind is CalloutKind.PREPARE]
    state = quiet(placed(still, "course_2", 9.0, progress_s=prepare.at_s - 20.0))
    state = state.but(fired=state.fired - {prepare.name}, observed_s=NOW_S - age_s)
    _, outputs = run(state, 20.5)

    assert (CalloutKind.PREPARE in kinds(outputs)) is said
    assert any(isinstance(one, CueDropped) and "too old" in one.reason for one in outputs) is not said


@pytest.mark.parametrize(("late_s", "said"), [(7.5, True), (8.5, False)])
def test_a_call_whose_moment_has_passed_is_dropped(still, late_s, said):
    # Six seconds late and two of spread are still in time.
    (prepare,) = [cue for cue in still.stage("course_2").cues if cue.kind is CalloutKind.PREPARE]
    state = quiet(placed(still, "course_2", 9.0, progress_s=prepare.at_s + late_s))
    _, outputs = run(state.but(fired=state.fired - {prepare.name}), 0.0)

    assert (CalloutKind.PREPARE in kinds(outputs)) is said
    assert any(isinstance(one, CueDropped) and "passed" in one.reason for one in outputs) is not said


def test_of_two_altitudes_due_at_once_only_the_last_is_called(still):
    (at_four,) = [cue for cue in still.stage("final").cues if cue.name == "due at 4"]
    state = quiet(placed(still, "final", 4.0, progress_s=at_four.at_s - 1.0))
    state = state.but(fired=state.fired - {"due at 5", "due at 4"}, anchor_progress_s=at_four.at_s + 0.1)
    _, outputs = run(state, 0.0)

    assert [one.figures.dme_nm for one in outputs if isinstance(one, Callout)] == [4.0]


def test_near_the_minimum_no_altitude_due_is_called(still):
    (at_two,) = [cue for cue in still.stage("final").cues if cue.name == "due at 2"]
    state = quiet(
        placed(still, "final", 2.5, progress_s=at_two.at_s - 1.0, asked=frozenset({"near minimum"}))
    )
    _, outputs = run(state.but(fired=state.fired - {"due at 2"}), 3.0)

    assert CalloutKind.ALTITUDE_DUE not in kinds(outputs)


def test_a_descent_is_called_when_its_fix_is_surely_passed_less_the_words(still):
    # A second after the fix of 6 DME was read with nothing to doubt: 4 s are words that nobody obeys yet, so
    # the spread of a fresh report delays nothing.
    state = placed(still, "final", 6.0, progress_s=0.0, established=True, altitude_ft=1900.0)
    _, outputs = run(state.but(ahead_s=8.5), 20.0)
    (descent,) = [
        one for one in outputs if isinstance(one, Callout) and one.kind is CalloutKind.FINAL_DESCENT
    ]

    # A reading that may be 8.5 s too far on: 8.5 / 0.85 = 10 s later, less 4 s.
    assert descent.t_s == pytest.approx(NOW_S + 6.0)
    _, outputs = run(state, 20.0)
    (descent,) = [
        one for one in outputs if isinstance(one, Callout) and one.kind is CalloutKind.FINAL_DESCENT
    ]
    assert descent.t_s == NOW_S


def test_a_missed_approach_point_not_visual_is_gone_around_at(still):
    final = still.stage("final")
    state = quiet(placed(still, "final", 1.8, progress_s=final.exits[0].at_s - 10.0))
    state = state.but(fired=state.fired - {"exit missed_0"})
    after, outputs = run(state, 12.0)

    assert after.stage_name == "missed_0"
    assert CalloutKind.GO_AROUND in kinds(outputs)
    stays, _ = run(state.but(visual=True), 12.0)
    assert stays.stage_name == "final"


@pytest.mark.parametrize(("age_s", "said"), [(100.0, True), (100.5, False)])
def test_the_next_heading_of_an_arc_is_called_from_a_minute_and_a_half_ago(still, age_s, said):
    arc = still.stage("arc_1")
    heading = next(cue for cue in arc.cues if cue.name == "heading at 020")
    state = quiet(placed(still, "arc_1", 12.0, progress_s=heading.at_s - 5.0))
    state = state.but(
        fired=state.fired - {heading.name}, observed_s=NOW_S + 5.0 - age_s, asked=frozenset({"position"})
    )
    _, outputs = run(state, 5.5)

    assert (CalloutKind.HEADING in kinds(outputs)) is said
