"""What becomes of a cue when its moment comes: said, dropped, asked for first; on a leg drawn by hand."""

from dataclasses import replace

import pytest
from on_paper import stage, straight
from placed import NOW_S, placed

from assistant.engine.core import step
from assistant.engine.estimate import floor_ft
from assistant.engine.events import Callout, CalloutKind, CueDropped, Figures, Priority, StageEntered, Tick
from assistant.engine.plan import CourseFacts, Cue, Exit, Floor, When
from assistant.engine.triggers import RadialReached, TimeElapsed
from assistant.nav.geometry import PlanePoint


@pytest.fixture
def on(plan):
    """A flight 100 s along a straight leg of 200 s, in place of Skarrow's last course, with these cues."""
    compiled = plan("skarrow-tacan-24")

    def flight(*cues, progress_s=100.0, exits=(), floors=(), **changes):
        leg = stage(
            name="course_2",
            timeline=straight(),
            cues=cues,
            exits=exits,
            floors=floors,
            course=CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.0, 10.0)),
        )
        stages = tuple(leg if one.name == leg.name else one for one in compiled.stages)
        state = placed(replace(compiled, stages=stages), "course_2", 16.0, progress_s=progress_s)
        return state.but(**{"established": True} | changes)

    return flight


def cue(name, at_s, kind=CalloutKind.CHECK, **changes):
    return Cue(**{"name": name, "at_s": at_s, "kind": kind, "priority": Priority.PREPARATION} | changes)


def outcome(state, seconds=0.0):
    """The cues said and those dropped, with the reason."""
    _, outputs = step(state, Tick(t_s=NOW_S + seconds))
    said = [one.cue for one in outputs if isinstance(one, Callout)]
    return said, {one.cue: one.reason for one in outputs if isinstance(one, CueDropped)}


def test_a_cue_is_said_at_its_place_and_once(on):
    state, outputs = step(on(cue("here", 110.0)), Tick(t_s=NOW_S + 30.0))
    (callout,) = outputs

    assert (callout.t_s, callout.cue) == (NOW_S + 10.0, "here")
    assert step(state, Tick(t_s=NOW_S + 60.0))[1] == ()


@pytest.mark.parametrize(
    ("at_s", "window_s", "rate", "said"),
    # Late by its window and two seconds; who flies faster comes farther in the same time.
    [
        (92.1, 6.0, 1.0, True),
        (91.9, 6.0, 1.0, False),
        (82.1, 16.0, 1.0, True),
        (90.6, 6.0, 1.25, True),
        (90.4, 6.0, 1.25, False),
    ],
)
def test_a_cue_whose_moment_is_over_is_dropped(on, at_s, window_s, rate, said):
    found, dropped = outcome(on(cue("late", at_s, window_s=window_s), rate=rate))

    assert found == (["late"] if said else [])
    assert dropped == ({} if said else {"late": "its moment had passed"})


def test_of_one_kind_due_at_once_the_last_is_said(on):
    first, second = cue("first", 97.0), cue("second", 99.0)

    assert outcome(on(first, second)) == (["second"], {"first": "overtaken by a later one"})
    assert outcome(on(first, replace(second, at_s=100.0)))[0] == ["second"]
    # Not by one of another kind, one that has been called, one still to come, or one whose time is not now.
    assert outcome(on(first, replace(second, kind=CalloutKind.TURN))) == (["first", "second"], {})
    assert outcome(on(first, second, fired=frozenset({"second"}))) == (["first"], {})
    assert outcome(on(first, replace(second, at_s=101.0))) == (["first"], {})
    assert outcome(on(first, replace(second, when=When.NOT_ESTABLISHED))) == (["first"], {})


def test_what_is_asked_for_already_is_not_asked_again(on):
    question = cue("radial?", 99.0, CalloutKind.SAY_POSITION, figures=Figures(item="radial"))

    assert outcome(on(question)) == (["radial?"], {})
    asked = on(question, asked=frozenset({"position"}))
    assert outcome(asked) == ([], {"radial?": "a report was asked for already"})


@pytest.mark.parametrize(
    ("changes", "age_s", "said"),
    [
        ({}, 60.0, True),
        ({}, 60.5, False),
        # By the clock alone a place holds four minutes.
        ({"trigger": TimeElapsed(time_s=99.0)}, 240.0, True),
        ({"trigger": TimeElapsed(time_s=99.0)}, 240.5, False),
        # What needs no place is said from whatever age.
        ({"needs_position": False}, 1000.0, True),
        # A radial ages as a range does where no arc is flown.
        ({"trigger": RadialReached(radial_deg=360.0)}, 60.5, False),
    ],
)
def test_from_old_knowledge_a_report_is_asked_for_instead(on, changes, age_s, said):
    state = on(cue("here", 99.0, **changes), observed_s=NOW_S - age_s)
    _, outputs = step(state, Tick(t_s=NOW_S))
    (callout,) = [one for one in outputs if isinstance(one, Callout)][:1]

    assert callout.cue == "here"
    assert (callout.kind is CalloutKind.CHECK) is said
    if not said:
        assert (callout.kind, callout.figures.item) == (CalloutKind.SAY_POSITION, "range")


def test_the_first_call_of_a_stage_needs_no_fresh_place(on):
    turn = cue("turn", 0.0, CalloutKind.TURN)

    assert outcome(on(turn, progress_s=1.0, observed_s=NOW_S - 500.0, asked=frozenset({"position"})))[0] == [
        "turn"
    ]


def test_near_the_minimum_no_altitude_due_is_news(on):
    due = cue("due at 4", 99.0, CalloutKind.ALTITUDE_DUE, figures=Figures(dme_nm=4.0, altitude_ft=1250.0))
    point = cue("visual descent point", 99.0, CalloutKind.VISUAL_DESCENT_POINT)
    near = frozenset({"near minimum"})

    assert outcome(on(due))[0] == ["due at 4"]
    assert outcome(on(due, asked=near)) == ([], {"due at 4": "the minimum was called"})
    assert outcome(on(point, asked=near)) == ([], {"visual descent point": "the minimum was called"})
    assert outcome(on(cue("other", 99.0), asked=near))[0] == ["other"]


@pytest.mark.parametrize(
    ("own_ft", "floor_ft", "said_ft"),
    [(1900.0, 1500.0, 1900.0), (1900.0, 2500.0, 2500.0), (None, 2500.0, 2500.0)],
)
def test_an_altitude_to_be_kept_is_never_below_the_floor_in_force(on, own_ft, floor_ft, said_ft):
    keep = cue("keep", 99.0, CalloutKind.MAINTAIN, figures=Figures(altitude_ft=own_ft))
    _, outputs = step(on(keep, floors=(Floor(altitude_ft=floor_ft),)), Tick(t_s=NOW_S))
    (callout,) = [one for one in outputs if isinstance(one, Callout)]

    assert callout.figures.altitude_ft == said_ft


@pytest.mark.parametrize(("entered_ago_s", "left"), [(239.0, True), (241.0, False)])
def test_a_leg_that_ends_by_the_clock_ends_so_for_one_who_is_lost_on_it(on, entered_ago_s, left):
    leaving = Exit(trigger=TimeElapsed(time_s=110.0), to="final", at_s=110.0)
    state = on(exits=(leaving,), observed_s=NOW_S - 1000.0, entered_s=NOW_S + 10.0 - entered_ago_s)
    state, outputs = step(state.but(asked=frozenset()), Tick(t_s=NOW_S + 10.5))

    assert (StageEntered(t_s=NOW_S + 10.0, stage="final", predicted=True) in outputs) is left
    assert ("exit final" in state.fired) is not left


def test_a_missed_approach_point_is_gone_around_at_from_whatever_knowledge(on):
    leaving = Exit(trigger=RadialReached(radial_deg=360.0), to="missed_0", at_s=110.0, when=When.NOT_VISUAL)
    state = on(exits=(leaving,), observed_s=NOW_S - 1000.0)
    state, _ = step(state, Tick(t_s=NOW_S + 11.0))

    assert state.stage_name == "missed_0"
    stays, _ = step(
        on(exits=(replace(leaving, when=When.ALWAYS),), observed_s=NOW_S - 1000.0), Tick(t_s=NOW_S + 11.0)
    )
    assert stays.stage_name == "course_2"


def test_time_that_was_reached_is_not_reached_again(on):
    state = on(reached_s=NOW_S + 5.0)

    assert step(state, Tick(t_s=NOW_S + 8.0))[0].reached_s == NOW_S + 8.0
    assert step(state, Tick(t_s=NOW_S + 5.0))[0].reached_s == NOW_S + 5.0


def test_a_leg_without_floors_has_none(on):
    assert floor_ft(on(), NOW_S) is None
    assert floor_ft(on(established=False, floor_carried_ft=2500.0), NOW_S) == 2500.0
