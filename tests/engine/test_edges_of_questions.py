"""What is asked, hurried or held back, to the very edge of each rule; on a leg drawn by hand."""

import pytest
from on_paper import binary, in_plan, stage
from placed import NOW_S, placed, report, said

from assistant.engine.advice import advise
from assistant.engine.along_arc import Within, is_heading_called, with_heading
from assistant.engine.altitudes import is_minimum_called
from assistant.engine.compile_final import VISUAL_QUESTION
from assistant.engine.core import step
from assistant.engine.cues import with_rhythm
from assistant.engine.descents import faster
from assistant.engine.events import (
    Callout,
    CalloutKind,
    CueDropped,
    Figures,
    Priority,
    Said,
    Statement,
    Tick,
)
from assistant.engine.outbox import Outbox
from assistant.engine.plan import CourseFacts, Cue, Exit, Floor, Phase, When
from assistant.engine.radial_again import radial_again
from assistant.engine.state import AltitudeKnown
from assistant.engine.triggers import DmeReached, TimeElapsed
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import Category

COURSE = CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.0, 0.0))


@pytest.fixture
def on(plan):
    """A flight 160 s along a leg of 480 s at a 32nd of a mile a second, in place of Skarrow's last course."""

    def flight(*cues, leg=None, ends_s=(), category=Category.C, **changes):
        exits = tuple(
            Exit(trigger=DmeReached(dme_nm=15.0, closing=True), to="final", at_s=at_s) for at_s in ends_s
        )
        known = {"name": "course_2", "phase": Phase.INTERMEDIATE, "timeline": binary(), "tas_kt": 112.5}
        drawn = stage(**known | {"course": COURSE, "cues": cues, "exits": exits} | (leg or {}))
        compiled = in_plan(plan("skarrow-tacan-24", category=category), drawn)
        return placed(compiled, "course_2", 15.0, progress_s=160.0, **{"established": True} | changes)

    return flight


def going_down(altitude_ft, fpm):
    return AltitudeKnown(altitude_ft=altitude_ft, t_s=NOW_S, read_s=NOW_S, descent_fpm=fpm)


# -- a descent that will not be over in time ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("altitude_ft", "fpm", "end_s", "wanted_fpm"),
    [
        # 83 s to the end, less 8, four fifths: a minute. A quarter more than the rate flown is worth a call.
        (3500.0, 1199.0, 243.0, 1500.0),
        (3500.0, 1200.0, 243.0, None),
        (3600.0, 1200.0, 243.0, 1600.0),
        # Less than the usual 1,500 ft/min nobody needs to be told.
        (3499.0, 500.0, 243.0, None),
        # Twenty seconds and 150 ft are worth it, just; 12 s, four fifths, are 0.16 min.
        (2320.0, 500.0, 180.0, 2000.0),
        (2320.0, 500.0, 179.75, None),
        (2150.0, 0.0, 166.0, None),
        (2150.0, 500.0, 180.0, None),
    ],
)
def test_a_descent_too_slow_for_its_leg_is_called_with_its_rate(on, altitude_ft, fpm, end_s, wanted_fpm):
    state = on(ends_s=(end_s,), altitude=going_down(altitude_ft, fpm), target_ft=2000.0)
    out = Outbox()
    found = faster(state, report(indicated_ft=altitude_ft), out)

    rates = [one.figures.descent_fpm for one in out.outputs]
    assert rates == ([] if wanted_fpm is None else [pytest.approx(wanted_fpm, abs=50.0)])
    if wanted_fpm is None:
        assert found is state
    else:
        assert found.altitude.descent_fpm == pytest.approx(wanted_fpm)
        assert faster(found, report(indicated_ft=altitude_ft), Outbox()) is found


@pytest.mark.parametrize(
    ("to_lose_ft", "hurried"),
    # 150 ft in 20 s of a light aircraft, whose usual rate is 700: 150 / 0.16 = 937 ft/min.
    [(150.0, True), (149.75, False)],
)
def test_just_150_feet_too_high_are_worth_hurrying(on, to_lose_ft, hurried):
    state = on(
        ends_s=(180.0,),
        altitude=going_down(2000.0 + to_lose_ft, 300.0),
        target_ft=2000.0,
        category=Category.B,
    )

    assert (faster(state, report(indicated_ft=2000.0), Outbox()) is not state) is hurried


def test_nobody_is_hurried_below_a_floor_off_the_intermediate_or_without_an_altitude_read(on):
    descending = {"altitude": going_down(3500.0, 500.0), "target_ft": 2000.0, "ends_s": (243.0,)}

    def is_hurried(state, **read):
        return faster(state, report(**read or {"indicated_ft": 3500.0}), Outbox()) is not state

    assert is_hurried(on(**descending))
    assert not is_hurried(on(**descending), dme_nm=15.0)
    assert not is_hurried(on(**descending, leg={"phase": Phase.INITIAL}))
    assert not is_hurried(on(**descending, asked=frozenset({"faster"})))
    assert not is_hurried(on(**descending | {"target_ft": None}))
    assert not is_hurried(on(**descending | {"altitude": None}))
    assert not is_hurried(on(**descending | {"ends_s": ()}))
    assert is_hurried(on(**descending, leg={"floors": (Floor(altitude_ft=2000.0),)}))
    assert not is_hurried(on(**descending, leg={"floors": (Floor(altitude_ft=2000.25),)}))


# -- the radial, once more ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "asked_ago_s", "read", "said_", "open_"),
    [
        ({}, 2.0, {"dme_nm": 15.0}, True, False),
        ({}, 1.75, {"dme_nm": 15.0}, False, True),  # begun before the question was out
        ({}, 5.0, {"indicated_ft": 2000.0}, False, True),
        ({}, 5.0, {"dme_nm": 15.0, "radial_deg": 1.0}, False, False),
        ({"established": True}, 5.0, {"dme_nm": 15.0}, False, False),
        ({"lost": True}, 5.0, {"dme_nm": 15.0}, False, True),
    ],
)
def test_a_radial_not_read_in_answer_is_asked_for_once_more(on, changes, asked_ago_s, read, said_, open_):
    out = Outbox()
    state = on(**{"established": False, "radial_asked_s": NOW_S - asked_ago_s} | changes)
    state = radial_again(state, report(**read), out)

    assert [one.figures.item for one in out.outputs] == (["radial"] if said_ else [])
    assert (state.radial_asked_s is not None) is open_
    never = on(established=False)
    assert radial_again(never, report(dme_nm=15.0), Outbox()) is never


# -- the question whether the runway is seen ----------------------------------------------------------------


def visual_question(at_s):
    return Cue(
        name=VISUAL_QUESTION,
        at_s=at_s,
        kind=CalloutKind.SAY_POSITION,
        priority=Priority.ACTION,
        figures=Figures(item="visual"),
        when=When.NOT_VISUAL,
        needs_position=False,
    )


@pytest.mark.parametrize(
    ("minimum_in_s", "asked"),
    # 1,000 ft/min to the 550 ft at which the minimum is called: within five seconds that is the question.
    [(5.0, False), (5.25, True), (2.0, False)],
)
def test_the_runway_is_asked_for_where_the_minimum_will_not_ask_it(on, minimum_in_s, asked):
    known = going_down(550.0 + minimum_in_s * 1000.0 / 60.0, 1000.0)
    state = on(
        visual_question(160.0), leg={"phase": Phase.FINAL}, altitude=known, asked=frozenset({"near minimum"})
    )
    state, outputs = step(state, Tick(t_s=NOW_S))
    items = [one.figures.item for one in outputs if isinstance(one, Callout)]

    assert items == (["visual"] if asked else [])
    assert ("visual" in state.asked) is asked
    dropped = [one.reason for one in outputs if isinstance(one, CueDropped)]
    assert dropped == ([] if asked else ["it is asked at the minimum"])


@pytest.mark.parametrize(("asked", "answered"), [("visual", True), ("minimum", True), ("position", False)])
def test_yes_to_the_question_for_the_runway_is_the_runway_in_sight(on, asked, answered):
    state = on(leg={"phase": Phase.FINAL}, asked=frozenset({asked}))
    state, _ = step(state, Statement(t_s=NOW_S, said=Said.AFFIRM))

    assert (state.stage_name == "landing") is answered


def test_the_minimum_is_called_by_a_moment_that_it_is_foreseen_for(on):
    final = on(
        leg={"phase": Phase.FINAL}, altitude=going_down(1550.0, 1000.0), asked=frozenset({"near minimum"})
    )

    assert is_minimum_called(final, by_s=NOW_S + 60.0)
    assert not is_minimum_called(final, by_s=NOW_S + 59.75)
    # The hundred feet before it are not the minimum.
    assert not is_minimum_called(final.but(asked=frozenset()), by_s=NOW_S + 60.0)
    assert is_minimum_called(final.but(asked=frozenset({"minimum"})), by_s=NOW_S)


# -- what is too late to be said ----------------------------------------------------------------------------


def preparing(at_s, trigger):
    priority = Priority.PREPARATION
    return Cue(name="prepare", at_s=at_s, kind=CalloutKind.PREPARE, priority=priority, trigger=trigger)


@pytest.mark.parametrize(
    ("at_s", "shelf_s"),
    # The leg's end is called at its place, 200 s; a preparation waits no longer, nor than eight seconds.
    [(190.0, 8.0), (192.0, 8.0), (195.0, 5.0), (199.75, 0.25)],
)
def test_what_is_prepared_is_not_said_after_it_was_called(on, at_s, shelf_s):
    trigger = DmeReached(dme_nm=15.0, closing=True)
    state = on(preparing(at_s, trigger), ends_s=(200.0,), asked=frozenset({"position"}))
    _, outputs = step(state, Tick(t_s=NOW_S + at_s - 160.0))
    (callout,) = [one for one in outputs if isinstance(one, Callout)]

    assert callout.expires_t_s - callout.t_s == shelf_s
    # Another exit's moment is no matter.
    other = on(preparing(at_s, TimeElapsed(time_s=200.0)), ends_s=(200.0,), asked=frozenset({"position"}))
    _, outputs = step(other, Tick(t_s=NOW_S + at_s - 160.0))
    (callout,) = [one for one in outputs if isinstance(one, Callout)]
    assert callout.expires_t_s - callout.t_s == 8.0


@pytest.mark.parametrize(
    ("descends_at_s", "when", "next_s"),
    # The next event is named eight seconds after a leg began; a descent within six seconds comes first, and
    # it a second after that.
    [
        (7.75, When.ALWAYS, 8.0),
        (8.0, When.ALWAYS, 9.0),
        (13.75, When.ALWAYS, 14.75),
        (14.0, When.ALWAYS, 8.0),
        (10.0, When.ESTABLISHED, 8.0),
    ],
)
def test_the_next_event_waits_for_a_descent_that_would_cut_it_short(descends_at_s, when, next_s):
    descent = Cue(
        name="descend",
        at_s=descends_at_s,
        kind=CalloutKind.DESCEND,
        priority=Priority.ACTION,
        figures=Figures(altitude_ft=1000.0),
        when=when,
        descends=True,
    )
    leaving = Exit(trigger=TimeElapsed(time_s=150.0), to="following", at_s=150.0)
    found = with_rhythm(stage(cues=(descent,), exits=(leaving,)), {})

    assert [cue.at_s for cue in found.cues if cue.kind is CalloutKind.NEXT] == [next_s]


@pytest.mark.parametrize(("kind", "shelf_s"), [(CalloutKind.HEADING, 14.0), (CalloutKind.TURN, 8.0)])
def test_a_heading_may_be_said_a_quarter_of_a_minute_late(on, kind, shelf_s):
    out = Outbox()
    out.say(on(), NOW_S, kind, Priority.ACTION, "cue")
    assert out.outputs[0].expires_t_s == NOW_S + shelf_s
    out.say(on(), NOW_S, kind, Priority.ACTION, "cue", until_s=NOW_S + 3.0)
    assert out.outputs[1].expires_t_s == NOW_S + 3.0


# -- on an arc and off it -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ago_s", "off_deg", "called"),
    [(7.75, 11.75, True), (8.0, 0.0, False), (5.0, 12.0, False), (5.0, -12.0, False), (5.0, -11.75, True)],
)
def test_a_heading_is_near_one_called_lately_within_what_is_asked(plan, ago_s, off_deg, called):
    state = placed(plan("skarrow-tacan-24"), "arc_1", 12.0, progress_s=100.0)
    state = with_heading(state, NOW_S - ago_s, 100.0)
    within = Within(called_s=8.0, apart_deg=12.0)

    assert is_heading_called(state, NOW_S, 100.0 + off_deg, within=within) is called


@pytest.mark.parametrize(("ago_s", "answered"), [(7.75, False), (8.0, True)])
def test_right_after_a_heading_another_one_near_it_is_not_called(plan, ago_s, answered):
    # Half a mile outside the arc; a heading along it was called just now.
    state = placed(plan("skarrow-tacan-24"), "arc_1", 12.0, progress_s=100.0, established=True)
    heading_deg = state.timeline.at(100.0).radial_deg + 100.0
    headed = with_heading(state, NOW_S - ago_s, heading_deg)

    assert bool(said(advise, headed, report(dme_nm=12.5))) is answered


# -- a turn to come, and what follows a descent -------------------------------------------------------------


@pytest.mark.parametrize(
    ("to", "end_s", "answered"),
    # The turn on to an arc is called 10.5 s before its place; an offset's words and the hand take eight.
    [
        ("arc_1", 178.5, True),
        ("arc_1", 178.25, False),
        ("arc_1", 170.0, False),
        # Where no turn is called the needle is answered to the end.
        ("final", 161.0, True),
        ("missed_0", 161.0, True),
    ],
)
def test_just_before_the_turn_off_a_leg_no_offset_is_told(on, to, end_s, answered):
    leaving = Exit(trigger=DmeReached(dme_nm=14.0, closing=True), to=to, at_s=end_s)
    state = on(leg={"exits": (leaving,)})

    assert bool(said(advise, state, report(radial_deg=4.0, dme_nm=15.0))) is answered
    # An exit that is not taken now, or that only an altitude shows, is no turn to come.
    not_now = on(leg={"exits": (Exit(trigger=leaving.trigger, to=to, at_s=end_s, when=When.LEAVING),)})
    assert said(advise, not_now, report(radial_deg=4.0, dme_nm=15.0))
    nowhere = on(leg={"exits": (Exit(trigger=leaving.trigger, to=to, at_s=None),)})
    assert said(advise, nowhere, report(radial_deg=4.0, dme_nm=15.0))


def following(after, at_s):
    priority = Priority.PREPARATION
    return Cue(
        name="next", at_s=at_s, kind=CalloutKind.CHECK, priority=priority, window_s=30.0, follows=after
    )


@pytest.mark.parametrize(
    ("ahead_s", "own_s", "said_s"),
    [
        # A report that may be 8.5 s too far on: the place is surely passed 8.5 / 0.85 = 10 s later, less the
        # 2 s of words; what follows comes a second after that, or at its own place.
        (8.5, 161.0, 9.0),
        (0.0, 161.0, 1.0),
        (8.5, 170.0, 10.0),
    ],
)
def test_what_follows_a_descent_comes_a_second_after_it(on, ahead_s, own_s, said_s):
    down = Cue(
        name="down",
        at_s=160.0,
        kind=CalloutKind.DESCEND,
        priority=Priority.ACTION,
        figures=Figures(altitude_ft=1000.0),
        descends=True,
    )
    state = on(down, following("down", own_s), ahead_s=ahead_s)
    _, outputs = step(state, Tick(t_s=NOW_S + 30.0))
    times = {one.cue: one.t_s - NOW_S for one in outputs if isinstance(one, Callout)}

    assert times["next"] == pytest.approx(said_s)
    # Where what it follows is not there, or cannot be called for want of a place, at its own.
    _, outputs = step(on(following("down", own_s)), Tick(t_s=NOW_S + 30.0))
    assert [one.t_s - NOW_S for one in outputs if isinstance(one, Callout)] == [own_s - 160.0]
