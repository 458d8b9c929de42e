"""
The page: one sheet of A4, upright, drawn in a layout of our own.

From the top as a pilot needs it: what is flown and today's conditions; the plan view with what to set up and
the minimum beside it; the events; the profile with heights and rates; the rest in two columns. Texts are
measured first, and the drawings take the room that is left, so that a long procedure still fits on one sheet.
"""

from collections.abc import Sequence

from matplotlib.figure import Figure

from assistant.briefing.content import Brief
from assistant.briefing.measure import width_pt, wrapped
from assistant.briefing.paper import (
    BODY_PT,
    HEIGHT_PT,
    PITCH_PT,
    WIDTH_PT,
    Block,
    Paper,
    block,
    box,
    large_block,
    page,
)
from assistant.briefing.plan_view import draw_plan
from assistant.briefing.profile_view import draw_profile
from assistant.briefing.style import LINE_COLOURS, MISSED, SOFT
from assistant.briefing.tables import (
    Table,
    arc_strip,
    change_table,
    event_table,
    frequencies,
    height_strip,
    hold_table,
    minima_in_short,
    minimum_table,
    rate_strip,
)
from assistant.briefing.tracks import Kind
from assistant.engine.plan import Plan

_EDGE_PT = 22.0
_ROOM_PT = WIDTH_PT - 2.0 * _EDGE_PT
_SIDE_PT = 196.0
_GUTTER_PT = 12.0
_BELOW_PT = 4.5
_PROFILE_SHARE = 0.33
_LARGEST_PROFILE_PT = 160.0
_FOOT_PT = 22.0


def sheet(plan: Plan, brief: Brief) -> Figure:
    """The page as a figure of A4 at 72 dots an inch, so that a dot is a point."""
    figure, paper = page()
    top = _head(paper, brief)
    left_pt = _ROOM_PT - _SIDE_PT - _GUTTER_PT
    side_x = _EDGE_PT + left_pt + _GUTTER_PT
    set_up = large_block("Set up", brief.setting_up, _SIDE_PT)
    minimum = block(minimum_table(brief), _SIDE_PT)
    figures_side = [block(height_strip(brief), _SIDE_PT), block(rate_strip(brief), _SIDE_PT)]
    flown = block(event_table(brief), _ROOM_PT)
    columns = _columns(brief)
    free_pt = top - _FOOT_PT - flown.height_pt - max(_height(column) for column in columns) - 3.0 * _BELOW_PT
    # The profile is as high as the figures beside it, and takes its share where there is more room.
    profile_pt = max(_height(figures_side), min(_PROFILE_SHARE * free_pt, _LARGEST_PROFILE_PT))
    plan_pt = free_pt - profile_pt

    draw_plan(box(figure, _EDGE_PT, top - plan_pt, left_pt, plan_pt), plan, brief)
    below = paper.put_large(set_up, side_x, top) - _BELOW_PT
    paper.put(minimum, side_x, below, _SIDE_PT)
    top -= plan_pt + _BELOW_PT
    top = paper.put(flown, _EDGE_PT, top, _ROOM_PT) - _BELOW_PT
    draw_profile(box(figure, _EDGE_PT, top - profile_pt + 12.0, left_pt, profile_pt - 12.0), plan, brief)
    _column(paper, figures_side, side_x, top, _SIDE_PT)
    top -= profile_pt + _BELOW_PT
    half_pt = (_ROOM_PT - _GUTTER_PT) / 2.0
    for number, column in enumerate(columns):
        _column(paper, column, _EDGE_PT + number * (half_pt + _GUTTER_PT), top, half_pt)
    _foot(paper, brief)
    return figure


def _head(paper: Paper, brief: Brief) -> float:
    """Title, station and conditions; the height below them."""
    y = HEIGHT_PT - _EDGE_PT - 12.0
    paper.text(_EDGE_PT, y, brief.title, size_pt=17.0, bold=True)
    paper.text(WIDTH_PT - _EDGE_PT, y, brief.edition, size_pt=BODY_PT, colour=SOFT, right=True)
    y -= 15.0
    paper.text(_EDGE_PT, y, brief.station, size_pt=11.0, bold=True, colour=LINE_COLOURS[Kind.APPROACH])
    left = width_pt(brief.station, 11.0, bold=True)
    if left + width_pt(brief.airport, BODY_PT) + 10.0 < _ROOM_PT:
        paper.text(WIDTH_PT - _EDGE_PT, y, brief.airport, size_pt=BODY_PT, colour=SOFT, right=True)
    for line in wrapped("; ".join(brief.conditions), 8.5, _ROOM_PT):
        y -= 10.8
        paper.text(_EDGE_PT, y, line, size_pt=8.5)
    return y - 6.0


def _columns(brief: Brief) -> tuple[list[Block], list[Block]]:
    """The rest in two columns of about equal height."""
    half_pt = (_ROOM_PT - _GUTTER_PT) / 2.0
    tables = [] if brief.hold is None else [hold_table(brief.hold)]
    tables += [arc_strip(arc) for arc in brief.arcs]
    tables += [change_table(brief), minima_in_short(brief), frequencies(brief)]
    if brief.notes:
        tables.append(Table(title="Notes", columns=(), rows=tuple(("-", note) for note in brief.notes)))
    left: list[Block] = []
    right: list[Block] = []
    for drawn in sorted((block(table, half_pt) for table in tables), key=lambda one: -one.height_pt):
        (left if _height(left) <= _height(right) else right).append(drawn)
    return left, right


def _height(blocks: Sequence[Block]) -> float:
    return sum(drawn.height_pt + _BELOW_PT for drawn in blocks)


def _column(paper: Paper, blocks: Sequence[Block], x: float, top: float, room_pt: float) -> None:
    for drawn in blocks:
        top = paper.put(drawn, x, top, room_pt) - _BELOW_PT


def _foot(paper: Paper, brief: Brief) -> None:
    paper.rule(_EDGE_PT, _FOOT_PT + 1.0, _ROOM_PT, colour=MISSED, thick_pt=0.8)
    size_pt = 8.5
    while width_pt(brief.caution, size_pt, bold=True) > _ROOM_PT and size_pt > BODY_PT:
        size_pt -= 0.1
    paper.text(_EDGE_PT, _FOOT_PT - PITCH_PT, brief.caution, size_pt=size_pt, bold=True, colour=MISSED)
