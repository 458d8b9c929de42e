"""A briefing on the screen: the tables in the order of flight, within the width of the terminal."""

from rich.console import Console
from rich.table import Table as ScreenTable
from rich.text import Text

from assistant.briefing.content import Brief
from assistant.briefing.tables import Table, all_tables

# Columns that must not be broken: a place or an altitude over two lines is read wrongly.
_WHOLE = frozenset(
    {"Time", "Where", "At", "Floor", "DME", "Due", "Or", "Cold air", "GS kt", "ft/min", "Cat", "Minimum"}
)
_NAME_WIDTH = 24


def print_brief(brief: Brief, console: Console) -> None:
    """The briefing, caution first; without colour where the console has none."""
    console.print(Text(brief.title, style="bold"), Text(f"({brief.edition})"))
    console.print(Text(f"{brief.station} · {brief.airport}"))
    console.print(Text("Today: " + "; ".join(brief.conditions)))
    console.print(Text(brief.caution, style="italic"))
    for table in all_tables(brief):
        console.print()
        console.print(Text(table.title.upper(), style="bold"))
        console.print(_on_screen(table))
    console.print()
    console.print(Text("MISSED APPROACH", style="bold"))
    console.print(Text(brief.missed_approach))
    if brief.notes:
        console.print()
        console.print(Text("NOTES", style="bold"))
        for note in brief.notes:
            console.print(Text(f"- {note}"))


def _on_screen(table: Table) -> ScreenTable:
    drawn = ScreenTable(box=None, show_header=bool(table.columns), pad_edge=False, header_style="dim")
    if table.columns:
        for column in table.columns:
            drawn.add_column(column, no_wrap=column in _WHOLE)
    else:
        drawn.add_column(max_width=_NAME_WIDTH)
        drawn.add_column()
    for number, row in enumerate(table.rows):
        style = "bold" if number in table.strong_rows else None
        # Without colour a bold row looks like any other, so today's carries a mark.
        first = f"{row[0]} <" if number in table.strong_rows else row[0]
        drawn.add_row(*(Text(cell) for cell in (first, *row[1:])), style=style)
    return drawn
