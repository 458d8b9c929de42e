"""Cuts, arcs and turns to the very edge of each rule; drawn without rounding, or by hand on the chart."""

from dataclasses import replace

import pytest
from on_paper import drawn, in_plan, stage
from placed import NOW_S, demonstration, placed

from assistant.engine.along_arc import (
    heading_to_arc_deg,
    is_along_arc,
    is_heading_called,
    place_on_arc,
    turn_on_to_arc_s,
    with_heading,
)
from assistant.engine.conditions import Conditions
from assistant.engine.cues import next_figures, turned_from, with_rhythm
from assistant.engine.draft import Draft, entry_turn, fix_trigger
from assistant.engine.events import CalloutKind, Figures, Priority, Turn
from assistant.engine.intercept import intercept
from assistant.engine.joining_arc import joining_figures
from assistant.engine.needle_ahead import foreseen, turn_begins_s
from assistant.engine.plan import CourseFacts, Cue, Exit, Phase
from assistant.engine.state import Joining
from assistant.engine.today import Today
from assistant.engine.triggers import DmeReached, RadialReached, TimeElapsed
from assistant.nav.geometry import PlanePoint, move, plane_from_polar

STATION = PlanePoint(0.0, 0.0)


@pytest.fixture
def draft():
    return Draft(Today(procedure=demonstration("skarrow-tacan-24"), conditions=Conditions()))


# -- cuts on to a course ------------------------------------------------------------------------------------


def cut(draft, turn, *, heading_deg, start, missed_nm=1.0):
    """A cut on to a course that runs north through the station, at 150 kt in still air."""
    draft.start(PlanePoint(*start), heading_deg, 3000.0)
    return intercept(
        draft,
        anchor=STATION,
        course_mag_deg=360.0,
        altitude_ft=3000.0,
        tas_kt=150.0,
        turn=turn,
        missed_nm=missed_nm,
    )


@pytest.mark.parametrize(("heading_deg", "flown"), [(299.5, True), (300.0, True), (300.5, False)])
def test_a_turn_of_up_to_330_degrees_is_a_way_to_a_cut(draft, heading_deg, flown):
    # By the left to 330.
    assert (cut(draft, Turn.LEFT, heading_deg=heading_deg, start=(2.0, -15.0)) is not None) is flown


@pytest.mark.parametrize(("heading_deg", "turned_s"), [(330.0, 0.0), (60.0, 30.0)])
def test_four_hundred_seconds_of_a_cut_count_from_the_end_of_the_turn(draft, heading_deg, turned_s):
    # 80 miles beside the course; a quarter of a circle at rate one takes half a minute.
    flight, cut_deg, calls = cut(draft, Turn.LEFT, heading_deg=heading_deg, start=(80.0, -90.0))
    timeline = flight.timeline()
    on_cut_s = [
        at_s
        for at_s, flown_deg in zip(timeline.times_s, timeline.headings_deg, strict=True)
        if flown_deg == pytest.approx(cut_deg)
    ]

    assert on_cut_s[-1] == pytest.approx(turned_s + 400.0, abs=0.05)
    assert calls == ()


# -- the way ahead ------------------------------------------------------------------------------------------

BRENNOK_KT = 225.7


@pytest.fixture
def brennok(plan):
    """Inbound 035 to the arc of 14 miles, 4,680 ft above the station; see `test_needle_ahead`."""
    return plan("brennok-vortac-33")


def inbound(brennok, distance_nm, *, left_nm=0.0, stage_name="hold_inbound", **changes):
    along_nm = (distance_nm**2 - left_nm**2) ** 0.5
    point = move(plane_from_polar(215.0, along_nm), 35.0 - 90.0, left_nm)
    state = placed(brennok, stage_name, None, progress_s=95.0, circuits_left=0)
    return state.but(**{"seen": (NOW_S, point), "dme_s": NOW_S} | changes)


@pytest.mark.parametrize(
    ("read_after_s", "left_nm"),
    # A range read so long after the place was seen, between two steps of two seconds and on one.
    [(0.5, 0.0), (1.5, 0.0), (20.0, 0.0), (19.5, 0.0)],
)
def test_a_range_read_between_two_steps_puts_the_place_right_at_its_own_moment(
    brennok, read_after_s, left_nm
):
    # 18 NM on the ground then, whatever was reckoned; 40 s on at 225.7 kt.
    slant_nm = (18.0**2 + (4680.0 / 6076.115) ** 2) ** 0.5
    state = inbound(brennok, 19.7, left_nm=left_nm, dme_nm=slant_nm, dme_s=NOW_S + read_after_s)
    there = foreseen(state.but(reached_s=NOW_S + 40.0), NOW_S + 40.0).point

    expected = plane_from_polar(215.0, 18.0 - BRENNOK_KT / 3600.0 * (40.0 - read_after_s))
    assert there.east_nm == pytest.approx(expected.east_nm, abs=0.004)
    assert there.north_nm == pytest.approx(expected.north_nm, abs=0.004)


@pytest.mark.parametrize(("cut_deg", "flown"), [(24.5, False), (25.5, True)])
def test_a_heading_more_than_25_degrees_off_the_course_is_a_cut_flown_on(brennok, cut_deg, flown):
    leg = brennok.stage("hold_inbound")
    cues = tuple(
        replace(cue, figures=replace(cue.figures, heading_mag_deg=35.0 + cut_deg))
        if cue.name == "turn"
        else cue
        for cue in leg.cues
    )
    changed = in_plan(brennok, replace(leg, cues=cues))
    # Three miles left of the needle: that heading at once, or the course and a turn to the usual cut.
    heading_deg = foreseen(inbound(changed, 19.985, left_nm=3.0), NOW_S).heading_mag_deg

    assert heading_deg == pytest.approx(35.0 + (cut_deg if flown else 0.0), abs=0.01)


def test_a_leg_to_an_arc_without_a_turn_to_make_has_no_lead(brennok):
    arc = brennok.stage("arc_0")
    straight = replace(arc.cues[0], figures=replace(arc.cues[0].figures, turn=None))
    changed = in_plan(brennok, replace(arc, cues=(straight, *arc.cues[1:])))
    state = inbound(changed, 19.985)
    leaving = next(one for one in state.stage.exits if one.to == "arc_0")

    assert turn_begins_s(state, leaving) is None
    assert turn_begins_s(inbound(brennok, 19.985), leaving) is not None


# -- along an arc -------------------------------------------------------------------------------------------


@pytest.fixture
def on_arc(plan):
    """Reported on radial 010 at 12 DME, 100 s along the arc of Skarrow, clockwise, in still air."""
    state = placed(plan("skarrow-tacan-24"), "arc_1", 12.0, progress_s=100.0)
    return state.but(point=plane_from_polar(10.0, 12.0), point_s=NOW_S)


@pytest.mark.parametrize(
    ("ago_s", "off_deg", "called"),
    [(19.75, 0.0, True), (20.0, 0.0, False), (5.0, 2.25, True), (5.0, 2.5, False), (5.0, -2.5, False)],
)
def test_a_heading_is_called_again_after_just_twenty_seconds_or_half_a_step(on_arc, ago_s, off_deg, called):
    assert is_heading_called(with_heading(on_arc, NOW_S - ago_s, 100.0), NOW_S, 100.0 + off_deg) is called


@pytest.mark.parametrize("after_s", [0.25, 0.5, 8.0])
def test_from_the_first_moment_on_the_aircraft_moves_along_its_heading(on_arc, after_s):
    state = with_heading(on_arc, NOW_S - 60.0, 90.0)
    there = place_on_arc(state, NOW_S + after_s)
    start = plane_from_polar(10.0, 12.0)

    assert there.east_nm - start.east_nm == pytest.approx(state.stage.tas_kt * after_s / 3600.0)
    assert there.north_nm == pytest.approx(start.north_nm)


@pytest.mark.parametrize(
    ("radial_deg", "to_deg"),
    # The next heading is called on 010, on 020: six degrees before it is near enough to be past.
    [(3.5, 10.0), (3.9, 10.0), (4.1, 20.0), (13.9, 20.0), (14.1, 30.0)],
)
def test_the_heading_leads_to_the_next_point_at_least_six_degrees_on(on_arc, radial_deg, to_deg):
    # The chord between two radials of a circle is square to the one half-way.
    found = heading_to_arc_deg(on_arc, plane_from_polar(radial_deg, ground_nm(on_arc)))

    assert found == pytest.approx(90.0 + (radial_deg + to_deg) / 2.0, abs=0.02)


def ground_nm(state):
    last = state.timeline.points[-1]
    return (last.east_nm**2 + last.north_nm**2) ** 0.5


def test_only_headings_and_the_lead_radial_are_points_of_the_arc(on_arc):
    leg = on_arc.stage
    other = Cue(
        name="beside",
        at_s=120.0,
        kind=CalloutKind.ALTITUDE_DUE,
        priority=Priority.PREPARATION,
        figures=Figures(radial_deg=15.0),
    )
    nowhere = replace(other, kind=CalloutKind.HEADING, figures=Figures(heading_mag_deg=100.0))
    timed = Exit(trigger=TimeElapsed(time_s=300.0), to="course_2", at_s=300.0)
    changed = replace(leg, cues=(*leg.cues, other, nowhere), exits=(*leg.exits, timed))
    state = on_arc.but(plan=in_plan(on_arc.plan, changed))
    point = plane_from_polar(4.5, ground_nm(on_arc))

    assert heading_to_arc_deg(state, point) == heading_to_arc_deg(on_arc, point)


def test_who_was_not_on_the_arc_yet_is_not_along_it(on_arc):
    over = on_arc.but(entered_s=NOW_S)

    assert is_along_arc(over, NOW_S)
    assert not is_along_arc(over, NOW_S - 0.25)


def test_the_turn_on_to_an_arc_takes_as_long_as_from_the_heading_it_begins_with(on_arc):
    assert turn_on_to_arc_s(on_arc) == on_arc.timeline.turn_end_s
    joining = Joining(plane_from_polar(350.0, 13.0), 60.0)
    assert turn_on_to_arc_s(on_arc.but(joining=joining)) == on_arc.timeline.turn_end_s
    # From 060 to 100 are 40 degrees: 219.2 kt and 25 degrees of bank turn by g tan 25 / V = 2.323 degrees a
    # second.
    turning = with_heading(on_arc.but(joining=joining), NOW_S, 100.0)
    assert turn_on_to_arc_s(turning) == pytest.approx(40.0 / 2.323, abs=0.02)
    # It is the first heading called that ends the turn, not the one after it.
    later = with_heading(turning, NOW_S + 40.0, 130.0)
    assert turn_on_to_arc_s(later) == pytest.approx(40.0 / 2.323, abs=0.02)


@pytest.mark.parametrize(
    ("beside_deg", "ago_s", "turned"),
    [
        (3.0, 0.0, True),
        (2.75, 0.0, False),
        (12.0, 0.0, True),
        (12.25, 0.0, False),
        (-3.0, 0.0, True),
        (-12.0, 0.0, True),
        (5.0, 49.75, True),
        (5.0, 50.0, False),
    ],
)
def test_an_arc_joined_three_to_twelve_degrees_beside_its_radial_has_another_heading(
    on_arc, beside_deg, ago_s, turned
):
    # Drawn from due north of the station, radial 000.
    leg = replace(on_arc.stage, timeline=drawn([(0.0, 12.0), (1.0, 12.0), (2.0, 12.0)]))
    state = on_arc.but(plan=in_plan(on_arc.plan, leg), radial_deg=beside_deg % 360.0, point_s=NOW_S - ago_s)
    figures = joining_figures(state, NOW_S, Figures(heading_mag_deg=90.0))

    assert figures.heading_mag_deg == 90.0 + (beside_deg if turned else 0.0)
    # As planned, too, where no place is known, or nothing was read.
    assert (
        joining_figures(state.but(observed_s=None), NOW_S, Figures(heading_mag_deg=90.0)).heading_mag_deg
        == 90
    )
    assert joining_figures(state, NOW_S, Figures()) == Figures()


# -- turns and fixes of the plan ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("to_deg", "published", "turn"),
    [(8.0, None, Turn.RIGHT), (7.75, None, None), (8.0, Turn.LEFT, Turn.LEFT), (7.75, Turn.LEFT, None)],
)
def test_eight_degrees_are_a_turn_and_eight_from_all_round_too(draft, to_deg, published, turn):
    draft.start(PlanePoint(0.0, 10.0), 0.0, 2000.0)

    assert entry_turn(draft, draft.flight(2000.0), to_deg, 120.0, published) is turn


@pytest.mark.parametrize(
    ("course_deg", "trigger"),
    # BESKA lies on radial 063 at 6: the radial shows it from just over 45 degrees across it to 135.
    [
        (108.0, DmeReached(dme_nm=6.0, closing=False)),
        (108.25, RadialReached(radial_deg=63.0)),
        (153.0, RadialReached(radial_deg=63.0)),
        (197.75, RadialReached(radial_deg=63.0)),
        (198.0, DmeReached(dme_nm=6.0, closing=True)),
    ],
)
def test_a_fix_crossed_by_more_than_half_a_right_angle_is_shown_by_its_radial(draft, course_deg, trigger):
    assert fix_trigger(draft, "BESKA", course_deg, 1900.0) == trigger


@pytest.mark.parametrize(("heading_deg", "turn"), [(82.0, Turn.RIGHT), (82.25, None), (98.0, Turn.LEFT)])
def test_from_the_heading_flown_eight_degrees_are_a_turn(heading_deg, turn):
    assert turned_from(Figures(turn=Turn.RIGHT, heading_mag_deg=90.0), heading_deg).turn is turn


@pytest.mark.parametrize(
    ("course_deg", "anchor", "named"),
    [
        # South or west past the station: three tenths of a mile beside it are no radial.
        (180.0, (0.0, 10.0), True),
        (180.0, (0.25, 10.0), True),
        (180.0, (0.3, 10.0), False),
        (270.0, (10.0, 0.0), True),
        (270.0, (10.0, -0.25), True),
        (270.0, (10.0, 0.3125), False),
    ],
)
def test_a_course_is_named_where_the_needle_can_show_it(course_deg, anchor, named):
    course = CourseFacts(course_mag_deg=course_deg, anchor=PlanePoint(*anchor))
    figures = next_figures(stage(course=course, phase=Phase.INITIAL))

    assert figures.course_mag_deg == (course_deg if named else None)


@pytest.mark.parametrize(("at_s", "called_s"), [(52.0, 12.0), (51.75, 31.75), (32.0, 12.0), (31.75, None)])
def test_twelve_seconds_after_a_stage_began_there_is_room_for_a_preparation(at_s, called_s):
    # At 60 kt the mile would be a minute: 40 s are the most, half of them 20.
    slow = drawn([(0.0, 20.0 - 0.0625 * number) for number in range(41)], step_s=3.75)
    leaving = Exit(trigger=TimeElapsed(time_s=at_s), to="following", at_s=at_s)
    found = with_rhythm(stage(timeline=slow, exits=(leaving,)), {"following": stage(name="following")})
    prepared = [cue.at_s for cue in found.cues if cue.kind is CalloutKind.PREPARE]

    assert prepared == ([] if called_s is None else [pytest.approx(called_s)])
