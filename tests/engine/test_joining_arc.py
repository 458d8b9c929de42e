"""The first heading on to an arc: from where the aircraft truly is, not from where it was planned to be."""

import pytest
from placed import NOW_S, placed

from assistant.engine.events import Figures, Turn
from assistant.engine.joining_arc import joining_figures
from assistant.engine.state import Joining
from assistant.nav.geometry import difference_deg, plane_from_polar, polar_from_plane


@pytest.fixture
def on_arc(plan):
    """On the twelve mile arc of Skarrow, clockwise, in still air."""
    state = placed(plan("skarrow-tacan-24"), "arc_1", 12.0, progress_s=100.0)
    return state.but(point=plane_from_polar(10.0, 12.0), point_s=NOW_S)


@pytest.mark.parametrize(
    ("beside_deg", "ago_s", "change_deg"),
    # Three to twelve degrees beside the planned radial the first heading turns by as much.
    [
        (2.9, 10.0, 0.0),
        (3.1, 10.0, 3.1),
        (-8.0, 10.0, -8.0),
        (11.9, 10.0, 11.9),
        (12.1, 10.0, 0.0),
        (8.0, 51.0, 0.0),
    ],
)
def test_joined_beside_its_radial_the_arc_wants_another_first_heading(on_arc, beside_deg, ago_s, change_deg):
    planned_deg = polar_from_plane(on_arc.timeline.points[0]).radial_deg
    state = on_arc.but(radial_deg=(planned_deg + beside_deg) % 360.0, point_s=NOW_S - ago_s)
    planned = Figures(heading_mag_deg=90.0, turn=Turn.LEFT)

    figures = joining_figures(state, NOW_S, planned)

    assert figures.heading_mag_deg == pytest.approx(90.0 + change_deg)
    assert figures.turn is Turn.LEFT


def test_from_outside_the_arc_on_a_cut_the_heading_leads_on_to_it(on_arc):
    """
    A mile outside on radial 350, heading 060: the point of the arc where the next heading is called lies on
    010, the first ten at least six degrees on. From (13 sin 350, 13 cos 350) = (-2.26, 12.80) to
    (12 sin 10, 12 cos 10) = (2.08, 11.82) is a bearing of 090 + atan(0.98 / 4.34) = 103. The turn of some
    forty degrees moves the aircraft on by a mile first, which makes it a few degrees more.
    """
    state = on_arc.but(joining=Joining(plane_from_polar(350.0, 13.0), 60.0))

    figures = joining_figures(state, NOW_S, Figures(heading_mag_deg=80.0, turn=Turn.LEFT))

    assert 103.0 < figures.heading_mag_deg < 112.0
    assert figures.turn is Turn.RIGHT


def test_who_heads_along_the_arc_already_is_given_no_turn(on_arc):
    """On the arc at 350 the chord to 000 (or 010) heads 085 or 090 in still air: from 088 that is no turn."""
    state = on_arc.but(joining=Joining(plane_from_polar(350.0, 12.0), 88.0))

    figures = joining_figures(state, NOW_S, Figures(heading_mag_deg=80.0, turn=Turn.RIGHT))

    assert abs(difference_deg(88.0, figures.heading_mag_deg)) < 8.0
    assert figures.turn is None
