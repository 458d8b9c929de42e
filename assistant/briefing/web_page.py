"""
The page for a browser: one file, the drawings in it as SVG and the tables as tables.

Printed it is the very sheet that the other forms are, which is in the file for that alone: a browser would
not keep tables and drawings on one page.
"""

import re
from collections.abc import Callable, Iterable
from html import escape
from io import StringIO

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from assistant.briefing.content import Brief
from assistant.briefing.plan_view import draw_plan
from assistant.briefing.profile_view import draw_profile
from assistant.briefing.sheet import sheet
from assistant.briefing.tables import (
    Table,
    arc_table,
    change_table,
    event_table,
    height_table,
    hold_table,
    minima_in_short,
    minimum_table,
    rate_table,
    setting_up,
    surroundings,
)
from assistant.engine.plan import Plan

_PLAN_PT = (400.0, 330.0)
_PROFILE_PT = (400.0, 150.0)
# The drawing's own edge, so that labels at the rim are not cut.
_RIM = 0.01
_RANGES_BELOW = 0.1
# A cell of so few characters, a place or an altitude, is not broken.
_SHORT = 18
_WHOLE = ' class="whole"'

_STYLE = """
:root { --ink: #14181d; --soft: #4c5661; --accent: #0b4f8a; --warn: #b0431d; --band: #eef3f8; }
* { box-sizing: border-box; }
body { font: 15px/1.35 "DejaVu Sans", Verdana, sans-serif; color: var(--ink); max-width: 62rem;
  margin: 1rem auto; padding: 0 1rem; }
h1 { font-size: 1.7rem; margin: 0; }
h2 { font-size: 1rem; color: var(--accent); border-top: 2px solid var(--accent); margin: .8rem 0 .2rem;
  padding-top: .15rem; }
p { margin: .15rem 0; }
.station { font-size: 1.15rem; font-weight: bold; color: var(--accent); }
.caution { font-weight: bold; color: var(--warn); border-top: 2px solid var(--warn); padding-top: .2rem; }
.beside { display: grid; grid-template-columns: 2fr 1.25fr; gap: 0 1.2rem; }
.halves { columns: 2; column-gap: 1.2rem; }
section { break-inside: avoid; }
svg { width: 100%; height: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .1rem .5rem .1rem .15rem; }
thead th { color: var(--soft); font-weight: normal; }
tbody tr:nth-child(odd) { background: var(--band); }
.whole { white-space: nowrap; }
tr.today td { font-weight: bold; background: #d5e3f1; }
@media (max-width: 50rem) { .beside { display: block; } .halves { columns: 1; } }
.sheet { display: none; }
@media print {
  @page { size: A4 portrait; margin: 0; }
  body { margin: 0; padding: 0; max-width: none; }
  .screen { display: none; }
  .sheet { display: block; }
  .sheet svg { display: block; width: 100%; max-height: 296mm; }
}
"""


def web_page(plan: Plan, brief: Brief) -> str:
    """The whole file, without anything from elsewhere and without a date."""
    hold = () if brief.hold is None else (hold_table(brief.hold),)
    rest = (*hold, *(arc_table(arc) for arc in brief.arcs), change_table(brief), minima_in_short(brief))
    notes = Table(title="Notes", columns=(), rows=tuple(("-", note) for note in brief.notes))
    parts = (
        '<div class="screen">',
        f"<h1>{escape(brief.title)}</h1>",
        f'<p class="station">{escape(brief.station)}</p>',
        f"<p>{escape(brief.airport)} · {escape(brief.edition)}</p>",
        f"<p>Today: {escape('; '.join(brief.conditions))}</p>",
        f'<p class="caution">{escape(brief.caution)}</p>',
        '<div class="beside"><div>',
        _svg("plan", _PLAN_PT, (_RIM, _RIM), lambda axes: draw_plan(axes, plan, brief)),
        "</div><div>",
        *_sections((setting_up(brief), minimum_table(brief))),
        "</div></div>",
        *_sections((event_table(brief),)),
        '<div class="beside"><div>',
        _svg("profile", _PROFILE_PT, (_RIM, _RANGES_BELOW), lambda axes: draw_profile(axes, plan, brief)),
        "</div><div>",
        *_sections((height_table(brief), rate_table(brief))),
        '</div></div><div class="halves">',
        *_sections((*rest, surroundings(brief), *((notes,) if brief.notes else ()))),
        "</div>",
        f"<p><b>Missed approach, in the chart's words:</b> {escape(brief.missed_approach)}</p>",
        f'<p class="caution">{escape(brief.caution)}</p>',
        '</div><div class="sheet">',
        _inline(sheet(plan, brief), "sheet"),
        "</div>",
    )
    head = (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(brief.title)}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<style>{_STYLE}</style></head><body>\n"
    )
    return head + "\n".join(parts) + "\n</body></html>\n"


def _svg(
    name: str, size_pt: tuple[float, float], rim: tuple[float, float], draw: Callable[[Axes], None]
) -> str:
    """One drawing by itself."""
    figure = Figure(figsize=(size_pt[0] / 72.0, size_pt[1] / 72.0), dpi=72)
    FigureCanvasAgg(figure)
    draw(figure.add_axes((rim[0], rim[1], 1.0 - 2.0 * rim[0], 0.99 - rim[1])))
    return _inline(figure, name)


def _inline(figure: Figure, name: str) -> str:
    """A figure as SVG to stand inside HTML, its ids its own: the browser looks them up in the whole file."""
    text = StringIO()
    figure.savefig(text, format="svg", metadata={"Date": None})
    drawn = text.getvalue()
    return re.sub(r'( id="|href="#|url\(#)', rf"\1{name}-", drawn[drawn.index("<svg") :])


def _sections(tables: Iterable[Table]) -> Iterable[str]:
    for table in tables:
        yield f"<section><h2>{escape(table.title)}</h2>{_table(table)}</section>"


def _table(table: Table) -> str:
    titles = "".join(f"<th>{escape(column)}</th>" for column in table.columns)
    head = f"<thead><tr>{titles}</tr></thead>" if titles else ""
    rows = "".join(_row(table, number) for number in range(len(table.rows)))
    return f"<table>{head}<tbody>{rows}</tbody></table>"


def _row(table: Table, number: int) -> str:
    today = ' class="today"' if number in table.strong_rows else ""
    tags = ("td" if table.columns else "th", *("td" for _ in table.rows[number][1:]))
    cells = "".join(
        f"<{tag}{_WHOLE if len(cell) <= _SHORT else ''}>{escape(cell)}</{tag}>"
        for tag, cell in zip(tags, table.rows[number], strict=True)
    )
    return f"<tr{today}>{cells}</tr>"
