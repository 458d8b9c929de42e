"""Where on an arc the aircraft is by the headings called since its last report; Skarrow in still air."""

from math import cos, radians, sin

import pytest
from placed import NOW_S, placed

from assistant.engine.along_arc import (
    arc_heading_deg,
    is_along_arc,
    is_heading_called,
    place_on_arc,
    with_heading,
)
from assistant.engine.entering import ARC_CALL_S, HEADING_CALL_S
from assistant.nav.geometry import plane_from_polar


@pytest.fixture
def on_arc(plan):
    """Reported on radial 010 at 12 DME, 100 s along the twelve mile arc, clockwise."""
    state = placed(plan("skarrow-tacan-24"), "arc_1", 12.0, progress_s=100.0)
    return state.but(point=plane_from_polar(10.0, 12.0), point_s=NOW_S)


def test_each_heading_is_flown_from_a_little_after_its_call_until_the_next(on_arc):
    state = on_arc.but(headings=((NOW_S - 60.0, 95.0), (NOW_S + 10.0, 105.0)))
    nm_s = state.stage.tas_kt / 3600.0
    first_s = 10.0 + HEADING_CALL_S
    start = plane_from_polar(10.0, 12.0)
    at_35 = place_on_arc(state, NOW_S + 35.0)

    # On 095 until the second heading is obeyed, on 105 after it.
    flown = ((95.0, first_s * nm_s), (105.0, (35.0 - first_s) * nm_s))
    assert at_35.east_nm == pytest.approx(start.east_nm + sum(nm * sin(radians(deg)) for deg, nm in flown))
    assert at_35.north_nm == pytest.approx(start.north_nm + sum(nm * cos(radians(deg)) for deg, nm in flown))
    # Before it, on the first alone.
    at_5 = place_on_arc(state, NOW_S + 5.0)
    assert at_5.east_nm == pytest.approx(start.east_nm + 5.0 * nm_s * sin(radians(95.0)))


def test_without_a_heading_or_a_report_on_the_arc_it_is_where_it_is_planned(on_arc):
    planned = on_arc.timeline.at(130.0).point

    assert place_on_arc(on_arc, NOW_S + 30.0) == planned
    called = on_arc.but(headings=((NOW_S, 95.0),))
    assert place_on_arc(called.but(point=None), NOW_S + 30.0) == planned
    assert place_on_arc(called.but(point_s=called.entered_s - 1.0), NOW_S + 30.0) == planned
    assert place_on_arc(called, NOW_S + 30.0) != planned


def test_the_heading_to_call_leads_from_there_to_the_arc_at_the_next_piece(on_arc):
    # On the arc: half-way to the next heading's radial, 020, the tangent is 90 + 15 degrees, but begun
    # HEADING_CALL_S later; within two degrees of it.
    assert arc_heading_deg(on_arc, NOW_S) == pytest.approx(105.0, abs=2.5)
    # Half a mile outside, the way back to the arc at 020, 2.1 miles on, is about atan(0.5 / 2.1) = 13 degrees
    # farther right; half a mile inside as far left.
    called = ((NOW_S - 60.0, 100.0),)
    outside = on_arc.but(point=plane_from_polar(10.0, 12.5), headings=called)
    inside = on_arc.but(point=plane_from_polar(10.0, 11.5), headings=called)
    assert arc_heading_deg(outside, NOW_S) > 113.0
    assert arc_heading_deg(inside, NOW_S) < 97.0


def test_off_an_arc_there_is_no_heading_of_one(plan, on_arc):
    assert arc_heading_deg(placed(plan("skarrow-tacan-24"), "course_2", 9.0), NOW_S) is None
    # Past the lead radial no piece is left.
    end_s = on_arc.timeline.duration_s
    assert arc_heading_deg(on_arc.but(anchor_progress_s=end_s), NOW_S) is None


@pytest.mark.parametrize(
    ("ago_s", "off_deg", "called"),
    # Within 20 s, and the same to the five degrees in which headings are said: less than half of them.
    [(19.0, 0.0, True), (21.0, 0.0, False), (5.0, 2.4, True), (5.0, -2.4, True), (5.0, 2.6, False)],
)
def test_a_heading_called_just_now_is_not_called_again(on_arc, ago_s, off_deg, called):
    state = with_heading(on_arc, NOW_S - ago_s, 100.0)

    assert is_heading_called(state, NOW_S, 100.0 + off_deg) is called
    assert not is_heading_called(on_arc, NOW_S, 100.0)


def test_only_the_last_two_headings_are_remembered(on_arc):
    state = with_heading(with_heading(with_heading(on_arc, 1.0, 90.0), 2.0, 95.0), 3.0, 100.0)

    assert state.headings == ((2.0, 95.0), (3.0, 100.0))


def test_the_turn_on_to_the_arc_is_over_by_the_place_or_by_its_time(on_arc):
    turn_s = on_arc.timeline.turn_end_s
    turning = on_arc.but(anchor_progress_s=turn_s - 5.0, entered_s=NOW_S)

    assert not is_along_arc(turning, NOW_S + 4.9)
    assert is_along_arc(turning, NOW_S + 5.0)
    # Reckoned behind: by the time since its call.
    behind = on_arc.but(anchor_progress_s=-500.0, entered_s=NOW_S)
    assert not is_along_arc(behind, NOW_S + ARC_CALL_S + turn_s - 0.1)
    assert is_along_arc(behind, NOW_S + ARC_CALL_S + turn_s)
    assert not is_along_arc(on_arc, on_arc.entered_s - 0.1)
