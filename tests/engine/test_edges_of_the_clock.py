"""What the clock brings at the very edge of a limit, and in which order; on a leg drawn without rounding."""

from dataclasses import replace

import pytest
from on_paper import binary, in_plan, stage
from placed import NOW_S, placed

from assistant.engine.core import begin, step
from assistant.engine.due import call_before_s, next_moment
from assistant.engine.events import (
    Callout,
    CalloutKind,
    CueDropped,
    Figures,
    PositionReport,
    Priority,
    Tick,
)
from assistant.engine.plan import CourseFacts, Cue, Exit, Phase
from assistant.engine.state import AltitudeKnown
from assistant.engine.triggers import DmeReached, TimeElapsed
from assistant.nav.geometry import PlanePoint


@pytest.fixture
def on(plan):
    """A flight 160 s along a leg of 480 s at a 32nd of a mile a second, in place of Skarrow's last course."""
    compiled = plan("skarrow-tacan-24")

    def flight(*cues, progress_s=160.0, leg=None, **changes):
        drawn_stage = stage(
            **{
                "name": "course_2",
                "timeline": binary(),
                "tas_kt": 112.5,
                "cues": cues,
                "course": CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.0, 0.0)),
            }
            | (leg or {})
        )
        state = placed(in_plan(compiled, drawn_stage), "course_2", 15.0, progress_s=progress_s)
        return state.but(**{"established": True} | changes)

    return flight


def cue(name, at_s, kind=CalloutKind.CHECK, **changes):
    return Cue(**{"name": name, "at_s": at_s, "kind": kind, "priority": Priority.PREPARATION} | changes)


def descent(at_s, **changes):
    figures = Figures(altitude_ft=1000.0)
    return cue("down", at_s, CalloutKind.DESCEND, figures=figures, descends=True, **changes)


def outcome(state, seconds=0.0):
    """What was said or entered, in order, and what was dropped, with the reason."""
    _, outputs = step(state, Tick(t_s=NOW_S + seconds))
    done = [one.cue if isinstance(one, Callout) else one.stage for one in outputs if not is_drop(one)]
    return done, {one.cue: one.reason for one in outputs if is_drop(one)}


def is_drop(output):
    return isinstance(output, CueDropped)


@pytest.mark.parametrize(
    ("at_s", "rate", "said"),
    # Just eight seconds late, the window's six and two of spread; at a quarter faster nine and a half.
    [(152.0, 1.0, True), (151.75, 1.0, False), (150.5, 1.25, True), (150.25, 1.25, False)],
)
def test_a_cue_just_as_late_as_it_may_be_is_said(on, at_s, rate, said):
    found, dropped = outcome(on(cue("late", at_s), rate=rate))

    assert found == (["late"] if said else [])
    assert dropped == ({} if said else {"late": "its moment had passed"})


def test_a_cue_is_overtaken_by_one_just_here_and_not_by_one_of_its_own_place(on):
    assert outcome(on(cue("a", 158.0), cue("b", 160.0))) == (["b"], {"a": "overtaken by a later one"})
    assert outcome(on(cue("a", 158.0), cue("b", 158.0))) == (["a", "b"], {})


@pytest.mark.parametrize(("at_s", "needs_place"), [(0.0, False), (0.5, True), (1.0, True)])
def test_only_what_a_stage_begins_with_needs_no_fresh_place(on, at_s, needs_place):
    state = on(cue("early", at_s), progress_s=0.0, observed_s=NOW_S - 100.0)
    _, dropped = outcome(state, 1.0)

    assert dropped == ({"early": "the last report is too old"} if needs_place else {})


@pytest.mark.parametrize(
    ("observed_after_entry_s", "progress_s", "waits"),
    # Read ten seconds before the leg's beginning, just, after it was called; or before it was called.
    [(1.0, -10.0, False), (1.0, -10.25, True), (0.0, -40.0, False), (-1.0, -40.0, False)],
)
def test_a_descent_waits_where_a_report_since_the_call_lay_ten_seconds_before_the_leg(
    on, observed_after_entry_s, progress_s, waits
):
    state = on(descent(0.0), progress_s=progress_s, entered_s=NOW_S - observed_after_entry_s)
    _, dropped = outcome(state, 59.0)

    assert dropped == ({"down": "the last report is from before the leg"} if waits else {})


def test_who_was_not_seen_at_all_is_not_sent_down_by_the_clock(on):
    # Dead reckoning alone never surely passes a place.
    assert outcome(on(descent(100.0), observed_s=None), 500.0) == ([], {})


def leaving(to, at_s, **changes):
    return Exit(**{"trigger": DmeReached(dme_nm=15.0, closing=True), "to": to, "at_s": at_s} | changes)


def test_of_a_cue_and_an_exit_at_one_moment_the_cue_comes_first(on):
    state = on(cue("here", 200.0), leg={"exits": (leaving("final", 200.0),)}, asked=frozenset({"position"}))

    assert outcome(state, 40.0)[0][:2] == ["here", "final"]


def test_of_two_cues_or_exits_at_one_moment_the_first_on_the_plan_comes_first(on):
    assert outcome(on(cue("a", 200.0), cue("b", 200.0, CalloutKind.MAINTAIN)), 40.0)[0] == ["a", "b"]
    two = (leaving("final", 200.0), leaving("missed_0", 200.0))
    assert outcome(on(leg={"exits": two}), 40.0)[0][0] == "final"


def test_a_level_comes_before_a_cue_of_the_same_moment(on):
    # 1,000 ft to lose at 1,000 ft/min to the level's call at 2,100 ft: at 60 s, as the cue.
    known = AltitudeKnown(altitude_ft=3100.0, t_s=NOW_S, read_s=NOW_S, descent_fpm=1000.0)
    state = on(cue("here", 220.0), altitude=known, target_ft=2000.0)

    assert outcome(state, 60.0)[0] == ["level", "here"]
    # And a cue before the question that a long silence brings: on this leg after 75 s.
    assert outcome(on(cue("here", 235.0, needs_position=False)), 75.0)[0] == ["here", "silence"]


def test_an_exit_is_taken_before_a_silence_of_the_same_moment_is_broken(on):
    timed = leaving("final", 235.0, trigger=TimeElapsed(time_s=235.0))
    state = on(leg={"exits": (timed,)})

    assert outcome(state, 75.0)[0][0] == "final"


@pytest.mark.parametrize(
    ("phase", "silence_s"),
    [(Phase.INITIAL, 75.0), (Phase.INTERMEDIATE, 75.0), (Phase.FINAL, 40.0), (Phase.HOLD, 100.0)],
)
def test_silence_is_broken_after_its_time_on_each_part_of_the_approach(on, phase, silence_s):
    state = on(leg={"phase": phase})

    assert next_moment(state) == (NOW_S + silence_s, "silence")
    # Not before something else was said or done.
    assert next_moment(state.but(since_s=NOW_S + 300.0)).t_s == NOW_S + 300.0
    assert next_moment(state.but(observed_s=None)) is None


@pytest.mark.parametrize(("age_s", "left"), [(60.0, True), (60.25, False)])
def test_a_place_just_a_minute_old_ends_a_leg(on, age_s, left):
    state = on(leg={"exits": (leaving("final", 200.0),)}, observed_s=NOW_S + 40.0 - age_s)
    found, _ = outcome(state.but(asked=frozenset({"position"})), 40.0)

    assert ("final" in found) is left


@pytest.mark.parametrize(("entered_ago_s", "left"), [(240.0, True), (240.25, False)])
def test_a_timed_leg_ends_by_the_clock_up_to_four_minutes_after_it_began(on, entered_ago_s, left):
    # Nobody has seen the flight for much longer; since the leg began is what counts.
    timed = leaving("final", 200.0, trigger=TimeElapsed(time_s=200.0))
    state = on(leg={"exits": (timed,)}, observed_s=NOW_S - 900.0, asked=frozenset({"position"}))
    found, _ = outcome(state.but(entered_s=NOW_S + 40.0 - entered_ago_s), 40.0)

    assert ("final" in found) is left


@pytest.mark.parametrize(
    ("straight_s", "called_s"),
    # A turn is called 8 s before its place, on a leg that is nearly all turn in the middle of what is left.
    [(30.0, 8.0), (16.0, 8.0), (10.0, 5.0), (0.0, 0.0), (-20.0, 0.0)],
)
def test_a_turn_off_a_leg_that_is_nearly_all_turn_is_called_half_way_through_the_rest(
    plan, straight_s, called_s
):
    still = plan("skarrow-tacan-24")
    outbound = still.stage("hold_outbound")
    shorter = replace(outbound.exits[0], at_s=outbound.timeline.turn_end_s + straight_s)

    assert call_before_s(placed(still, "hold_outbound", 19.0), shorter) == pytest.approx(called_s)
    # Nothing is known of how much is straight where only an altitude ends the leg.
    assert call_before_s(placed(still, "hold_outbound", 19.0), replace(shorter, at_s=None)) == 0.0


@pytest.mark.parametrize(("straight_s", "called_s"), [(45.0, 12.0), (44.75, 17.0)])
def test_just_forty_five_seconds_after_a_turn_the_cut_is_over(plan, straight_s, called_s):
    brennok = plan("brennok-vortac-33")
    inbound = brennok.stage("hold_inbound")
    timeline = replace(inbound.timeline, turn_end_s=64.0)
    state = placed(in_plan(brennok, replace(inbound, timeline=timeline)), "hold_inbound", 17.0)
    to_arc = next(one for one in inbound.exits if one.to == "arc_0")

    assert call_before_s(state, replace(to_arc, at_s=64.0 + straight_s)) == called_s


def test_on_the_arrival_it_is_the_whole_position_that_is_asked_for(plan):
    state = begin(plan("skarrow-tacan-24"))
    read = PositionReport(t_s=NOW_S, observed_t_s=NOW_S, radial_deg=345.0, dme_nm=60.0)
    state, _ = step(state, read)
    _, outputs = step(state, Tick(t_s=NOW_S + 75.0))
    (question,) = [one for one in outputs if getattr(one, "kind", None) is CalloutKind.SAY_POSITION]

    assert (question.t_s, question.figures.item) == (NOW_S + 75.0, "position")


def test_it_is_remembered_that_the_radial_was_asked_for_and_no_other_question(plan):
    still = plan("skarrow-tacan-24")

    def asked(state):
        names = {cue.name for cue in state.stage.cues}
        blocked = {f"exit {leaving.to}" for leaving in state.stage.exits}
        return step(state.but(fired=frozenset(names | blocked)), Tick(t_s=NOW_S + 76.0))[0].radial_asked_s

    assert asked(placed(still, "arc_1", 12.0, progress_s=60.0)) == NOW_S + 75.0
    assert asked(placed(still, "course_0", 15.0)) is None
