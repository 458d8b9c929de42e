"""
The debrief on one page, to be read in a minute: what to practise first, the flown way, marks and events.

From the top: what was flown and the rating in one line; the two or three things to practise; the plan view
with the track, the marks beside it; the final approach from the side; the events, numbered as drawn.
"""

import re
from collections.abc import Sequence
from html import escape
from io import StringIO
from pathlib import Path

import matplotlib as mpl
from matplotlib.figure import Figure

from assistant.briefing.compose import brief_for
from assistant.briefing.content import Brief
from assistant.briefing.measure import width_pt, wrapped
from assistant.briefing.pages import PageError
from assistant.briefing.paper import BODY_PT, HEIGHT_PT, WIDTH_PT, Block, Paper, block, box, page
from assistant.briefing.style import MISSED, SOFT
from assistant.briefing.tables import Table
from assistant.briefing.words import clock
from assistant.debrief.content import Debrief
from assistant.debrief.drawing import FLOWN, draw_flown_plan, draw_flown_profile
from assistant.debrief.words import EVENT_COLUMNS, end_lines, event_cells, headline, talk_lines, worst
from assistant.engine.compiler import compile_plan
from assistant.engine.plan import Plan
from assistant.flight_log import Header
from assistant.procedure.load import load_procedure

_EDGE_PT = 24.0
_ROOM_PT = WIDTH_PT - 2.0 * _EDGE_PT
_GUTTER_PT = 12.0
_SIDE_PT = 236.0
_PLAN_PT = 290.0
_PROFILE_PT = 126.0
_FOOT_PT = 24.0
_DOTS_PER_INCH = 200
_EVENT_PT = 7.5
_ENDINGS = (".html", ".pdf", ".png")
_PRACTISE_PT = 10.0


def write_debrief(path: Path, header: Header, made: Debrief) -> None:
    """Write the page, of the kind of the file's ending; PageError where that, or the place, is no use."""
    ending = path.suffix.lower()
    if ending not in _ENDINGS:
        shown = repr(ending) if ending else "no ending"
        raise PageError(f"{path}: cannot write a page with {shown}; use .html, .pdf or .png.")
    procedure = load_procedure(header.procedure_text, header.procedure_name)
    plan = compile_plan(procedure, header.conditions)
    with mpl.rc_context({"font.family": "DejaVu Sans", "svg.hashsalt": "leadradial", "pdf.fonttype": 42}):
        drawn = sheet(plan, brief_for(plan), made)
        title = f"Debrief: {made.title}"
        try:
            if ending == ".html":
                path.write_text(_html(drawn, title, made), encoding="utf-8")
            elif ending == ".pdf":
                drawn.savefig(path, format="pdf", metadata={"CreationDate": None, "Title": title})
            else:
                drawn.savefig(path, format="png", dpi=_DOTS_PER_INCH, metadata={"Title": title})
        except OSError as error:
            raise PageError(
                f"{path}: cannot be written ({error.strerror or error}); choose another place."
            ) from error


def sheet(plan: Plan, brief: Brief, made: Debrief) -> Figure:
    """The page as a figure of A4."""
    figure, paper = page()
    top = _head(paper, made)
    top = _practise(paper, made, top)
    left_pt = _ROOM_PT - _SIDE_PT - _GUTTER_PT
    side_x = _EDGE_PT + left_pt + _GUTTER_PT
    below_marks = paper.put(block(_mark_table(made), _SIDE_PT, 7.5), side_x, top, _SIDE_PT) - 4.0
    draw_flown_plan(box(figure, _EDGE_PT, top - _PLAN_PT, left_pt, _PLAN_PT), plan, brief, made)
    paper.text(
        _EDGE_PT,
        top - _PLAN_PT - 9.0,
        f"flown: line reckoned, dots reported{_truth(made)}; numbers: the events below, filled where late",
        size_pt=7.0,
        colour=FLOWN,
    )
    top -= _PLAN_PT + 16.0
    draw_flown_profile(
        box(figure, _EDGE_PT, top - _PROFILE_PT + 12.0, left_pt, _PROFILE_PT - 14.0), plan, brief, made
    )
    talk = _lines_block("The end, and the talk", (*end_lines(made), *talk_lines(made)), _SIDE_PT)
    paper.put(talk, side_x, below_marks, _SIDE_PT)
    top -= _PROFILE_PT + 6.0
    wrong = _lines_block(
        "What went wrong",
        [f"{clock(found.t_s)}  {found.text}" for found in made.findings] or ["Nothing."],
        _ROOM_PT,
    )
    top = paper.put(wrong, _EDGE_PT, top, _ROOM_PT) - 4.0
    _put_events(paper, made, top)
    _foot(paper, made)
    return figure


def _truth(made: Debrief) -> str:
    return ", pale band true" if any(place.source == "truth" for place in made.track) else ""


def _head(paper: Paper, made: Debrief) -> float:
    y = HEIGHT_PT - _EDGE_PT - 12.0
    paper.text(_EDGE_PT, y, f"Debrief: {made.title}", size_pt=16.0, bold=True)
    when = made.started_utc[:16].replace("T", " ")
    paper.text(WIDTH_PT - _EDGE_PT, y, f"{when} UTC", size_pt=BODY_PT, colour=SOFT, right=True)
    y -= 13.0
    paper.text(_EDGE_PT, y, "; ".join(made.conditions), size_pt=8.5)
    paper.text(WIDTH_PT - _EDGE_PT, y, made.edition, size_pt=BODY_PT, colour=SOFT, right=True)
    y -= 15.0
    paper.text(_EDGE_PT, y, headline(made), size_pt=11.0, bold=True, colour=FLOWN)
    if made.notice:
        y -= 11.0
        paper.text(_EDGE_PT, y, made.notice, size_pt=8.0, colour=MISSED)
    return y - 8.0


def _practise(paper: Paper, made: Debrief, top: float) -> float:
    """The two or three things to practise, large enough for a minute at arm's length."""
    paper.heading(_EDGE_PT, top, "Practise first", _ROOM_PT)
    y = top - 14.0
    if not made.practise:
        y -= 13.0
        paper.text(
            _EDGE_PT,
            y,
            "Nothing stands out. Fly it again in more wind, or with less prompting.",
            size_pt=_PRACTISE_PT,
        )
    for number, practice in enumerate(made.practise, start=1):
        y -= 14.0
        paper.text(_EDGE_PT, y, f"{number}", size_pt=15.0, bold=True, colour=FLOWN)
        for line in wrapped(practice.text, _PRACTISE_PT, _ROOM_PT - 18.0, bold=True):
            paper.text(_EDGE_PT + 18.0, y, line, size_pt=_PRACTISE_PT, bold=True)
            y -= 12.5
        for line in wrapped(f"{practice.because}.", 8.5, _ROOM_PT - 18.0):
            paper.text(_EDGE_PT + 18.0, y + 1.5, line, size_pt=8.5, colour=SOFT)
            y -= 10.5
        y += 9.0
    return y - 16.0


def _mark_table(made: Debrief) -> Table:
    rows = tuple(
        (
            "met" if mark.is_met else "NOT",
            mark.what,
            worst(mark),
            mark.allowed + ("" if mark.is_standard else " *"),
        )
        for mark in made.marks
    )
    return Table(
        title="Marks (* our own tolerance)",
        columns=("", "What", "Worst", "Allowed"),
        rows=rows,
        strong_rows=tuple(number for number, mark in enumerate(made.marks) if not mark.is_met),
    )


def _lines_block(title: str, lines: Sequence[str], room_pt: float) -> Block:
    """A list; its lines are not names, so they stand in the second column."""
    return block(Table(title=title, columns=(), rows=tuple(("", line) for line in lines)), room_pt)


def _put_events(paper: Paper, made: Debrief, top: float) -> None:
    """The events; where they are too many for the page, the earliest are left out, and that is said."""
    rows = [event_cells(row) for row in made.events]
    if not rows:
        return
    half = (_ROOM_PT - _GUTTER_PT) / 2.0
    left_out = 0
    parts = _event_blocks(rows, left_out, half)
    while max(part.height_pt for part in parts) > top - _FOOT_PT and left_out < len(rows) - 1:
        left_out += 1
        parts = _event_blocks(rows, left_out, half)
    for number, part in enumerate(parts):
        paper.put(part, _EDGE_PT + number * (half + _GUTTER_PT), top, half)


def _event_blocks(rows: Sequence[tuple[str, ...]], left_out: int, half_pt: float) -> list[Block]:
    """The events but for the first ones, in two columns."""
    title = "Events" if not left_out else f"Events ({left_out} before these left out)"
    keep = rows[left_out:]
    middle = (len(keep) + 1) // 2
    return [
        block(Table(title=name, columns=EVENT_COLUMNS, rows=tuple(part)), half_pt, _EVENT_PT)
        for name, part in ((title, keep[:middle]), (" ", keep[middle:]))
        if part
    ]


def _foot(paper: Paper, made: Debrief) -> None:
    paper.rule(_EDGE_PT, _FOOT_PT, _ROOM_PT, colour=MISSED, thick_pt=0.8)
    size_pt = 8.5
    while width_pt(made.caution, size_pt, bold=True) > _ROOM_PT and size_pt > 6.0:
        size_pt -= 0.1
    paper.text(_EDGE_PT, _FOOT_PT - 10.0, made.caution, size_pt=size_pt, bold=True, colour=MISSED)


def _html(figure: Figure, title: str, made: Debrief) -> str:
    """One file for a browser: the sheet as a drawing, and what to practise as text before it."""
    text = StringIO()
    figure.savefig(text, format="svg", metadata={"Date": None})
    drawn = text.getvalue()
    svg = re.sub(r"<svg ", '<svg role="img" ', drawn[drawn.index("<svg") :], count=1)
    items = "".join(
        f"<li><b>{escape(practice.text)}</b> {escape(practice.because)}.</li>" for practice in made.practise
    )
    style = (
        "body{font:15px/1.4 sans-serif;max-width:60rem;margin:1rem auto;padding:0 1rem}"
        "svg{width:100%;height:auto}@media print{@page{size:A4;margin:0}.text{display:none}"
        "body{margin:0;padding:0;max-width:none}}"
    )
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<style>{style}</style></head><body>\n<div class="text"><h1>{escape(title)}</h1>'
        f"<p>{escape(headline(made))}</p><ol>{items}</ol><p><b>{escape(made.caution)}</b></p></div>\n"
        f"{svg}\n</body></html>\n"
    )
