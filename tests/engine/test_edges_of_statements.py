"""
What a statement means to the very edge of its time; on legs drawn without rounding, by hand.

The drawn legs run at a 32nd of a mile a second, in place of Skarrow's last course and of what follows it.
"""

from dataclasses import replace

import pytest
from on_paper import binary, in_plan, stage
from placed import NOW_S, placed

from assistant.engine.core import begin, step
from assistant.engine.events import Callout, Said, Statement
from assistant.engine.plan import ArcFacts, CourseFacts, Exit, Phase
from assistant.engine.triggers import DmeReached
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import ArcDirection

COURSE = CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.0, 0.0))
ARC = ArcFacts(arc_dme_nm=12.0, direction=ArcDirection.CLOCKWISE)
ESTABLISHED = (Said.ESTABLISHED,)


def stated(state, said, *, after_s=0.0):
    state, outputs = step(state, Statement(t_s=NOW_S + after_s, said=said))
    return state, [one for one in outputs if isinstance(one, Callout)]


def leg(name, to=None, **changes):
    """A leg of 480 s; it ends at 400 s."""
    exits = () if to is None else (Exit(trigger=DmeReached(dme_nm=7.5, closing=True), to=to, at_s=400.0),)
    known = {"phase": Phase.INTERMEDIATE, "timeline": binary(), "tas_kt": 112.5, "exits": exits}
    return stage(name=name, **known | changes)


def chain(still, first, second, third):
    """Three legs drawn one after the other: course_0, arc_1, course_2."""
    compiled = in_plan(still, leg("course_0", "arc_1", **first))
    compiled = in_plan(compiled, leg("arc_1", "course_2", **second))
    return in_plan(compiled, leg("course_2", "final", **third))


@pytest.mark.parametrize(
    ("left_s", "turn_s", "came_to"),
    # In the last forty seconds, where the next leg begins with a turn of less than 35 s.
    [(39.75, 34.0, "arc_1"), (40.0, 34.0, "course_0"), (39.75, 35.0, "course_0")],
)
def test_established_near_the_end_of_a_course_is_of_the_next_after_a_short_turn(
    still, left_s, turn_s, came_to
):
    short = {"turns": True, "timeline": binary(turn_end_s=turn_s), "joined_by": ESTABLISHED}
    compiled = chain(still, {"course": COURSE}, short | {"course": COURSE}, {})
    state, _ = stated(placed(compiled, "course_0", None, progress_s=400.0 - left_s), Said.ESTABLISHED)

    assert (state.stage_name, state.established) == (came_to, True)


def test_from_a_course_established_is_no_more_than_the_next_leg(still):
    """Two legs on, a descent would be released that is still a leg away."""
    short = {"turns": True, "timeline": binary(turn_end_s=30.0)}
    compiled = chain(still, {"course": COURSE}, short, {"joined_by": ESTABLISHED})
    near_end = placed(compiled, "course_0", None, progress_s=390.0)

    assert stated(near_end, Said.ESTABLISHED)[0].stage_name == "course_0"


def test_other_words_may_be_of_the_leg_after_the_next(still):
    compiled = chain(still, {"course": COURSE}, {}, {"joined_by": (Said.ON_ARC, Said.INBOUND), "arc": ARC})
    state = placed(compiled, "course_0", None, progress_s=200.0)

    assert stated(state, Said.ON_ARC)[0].stage_name == "course_2"
    assert stated(state, Said.INBOUND)[0].stage_name == "course_2"
    # Not of one still farther on: the final, two legs after this.
    far = chain(still, {"course": COURSE}, {}, {})
    final = replace(far.stage("final"), joined_by=(Said.INBOUND,))
    state = placed(in_plan(far, final), "course_0", None, progress_s=200.0)
    assert stated(state, Said.INBOUND)[0].stage_name == "course_0"


def test_off_a_leg_with_neither_course_nor_arc_established_may_be_two_legs_on(still):
    compiled = chain(still, {}, {}, {"joined_by": ESTABLISHED})
    state = placed(compiled, "course_0", None, progress_s=200.0)

    assert stated(state, Said.ESTABLISHED)[0].stage_name == "course_2"


@pytest.mark.parametrize(("after_s", "established"), [(31.75, False), (32.0, True)])
def test_half_way_through_a_turn_established_is_of_this_leg(still, after_s, established):
    turning = {"turns": True, "timeline": binary(turn_end_s=64.0), "course": COURSE}
    compiled = chain(still, {}, {}, turning | {"joined_by": ESTABLISHED})
    state = placed(compiled, "course_2", None, progress_s=after_s, entered_s=NOW_S - after_s)

    assert stated(state, Said.ESTABLISHED)[0].established is established
    # A leg straight on is joined as soon as it is called.
    straight = chain(still, {}, {}, {"course": COURSE, "joined_by": ESTABLISHED})
    state = placed(straight, "course_2", None, progress_s=1.0, entered_s=NOW_S)
    assert stated(state, Said.ESTABLISHED)[0].established


@pytest.mark.parametrize(("after_s", "came_to"), [(239.75, "arc_1"), (240.0, "course_2")])
def test_half_way_through_a_leg_that_is_all_turn_established_is_of_the_next(still, after_s, came_to):
    compiled = chain(still, {}, {"turns": True}, {"joined_by": ESTABLISHED, "course": COURSE})
    state = placed(compiled, "arc_1", None, progress_s=after_s, entered_s=NOW_S - after_s)

    assert stated(state, Said.ESTABLISHED)[0].stage_name == came_to


@pytest.mark.parametrize(("before_s", "came_to"), [(0.25, "missed_early"), (0.0, "missed_0")])
def test_from_the_missed_approach_point_itself_it_is_turned_at_once(still, before_s, came_to):
    early = still.stage("missed_early")
    point = replace(early, exits=(replace(early.exits[0], at_s=400.0),))
    first = replace(still.stage("missed_0"), turns=True)
    final = leg("final", phase=Phase.FINAL, course=COURSE)
    compiled = in_plan(in_plan(in_plan(still, point), first), final)
    state = placed(compiled, "final", None, progress_s=400.0 - before_s)

    assert stated(state, Said.GOING_AROUND)[0].stage_name == came_to


def test_where_only_an_altitude_ends_the_final_a_missed_approach_is_flown_at_once(still):
    early = still.stage("missed_early")
    nowhere = replace(early, exits=(replace(early.exits[0], at_s=None),))
    turning = in_plan(in_plan(still, nowhere), replace(still.stage("missed_0"), turns=True))

    assert stated(placed(turning, "final", 4.0), Said.GOING_AROUND)[0].stage_name == "missed_0"


def test_from_the_way_in_no_more_than_the_first_two_legs_are_joined(still):
    compiled = chain(still, {}, {}, {"joined_by": ESTABLISHED})
    assert stated(begin(compiled), Said.ESTABLISHED)[0].stage_name == "arrival"

    second = chain(still, {}, {"joined_by": ESTABLISHED}, {})
    assert stated(begin(second), Said.ESTABLISHED)[0].stage_name == "arc_1"


@pytest.mark.parametrize(
    ("said", "came_to"),
    [(Said.VISUAL, "landing"), (Said.GOING_AROUND, "missed_0"), (Said.NOT_VISUAL, "final")],
)
def test_what_a_pilot_states_is_not_predicted_however_old_the_last_report(still, said, came_to):
    state, _ = stated(placed(still, "final", 3.0, established=True), said, after_s=15.0)

    assert (state.stage_name, state.predicted, state.confirmed) == (came_to, False, None)
