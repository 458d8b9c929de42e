"""A debrief on the screen: what to practise first, then marks, findings, events, talk."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from assistant.briefing.words import clock
from assistant.debrief.content import Debrief
from assistant.debrief.words import EVENT_COLUMNS, end_lines, event_cells, headline, talk_lines, worst


def print_debrief(made: Debrief, console: Console) -> None:
    """The debrief; says without colour what it says with it."""
    console.print(Text(f"Debrief: {made.title}", style="bold"), Text(f"({made.edition})"))
    console.print(Text(f"{made.started_utc[:16].replace('T', ' ')} UTC, {'; '.join(made.conditions)}"))
    console.print(Text(made.caution, style="italic"))
    if made.notice:
        console.print(Text(made.notice, style="bold"))
    console.print()
    console.print(Text(headline(made), style="bold"))
    _practise(made, console)
    _marks(made, console)
    _findings(made, console)
    _events(made, console)
    _lines("THE END OF THE APPROACH", end_lines(made), console)
    _lines("TALK", talk_lines(made), console)


def _practise(made: Debrief, console: Console) -> None:
    console.print()
    console.print(Text("PRACTISE FIRST", style="bold"))
    if not made.practise:
        console.print(Text("Nothing stands out. Fly it again in more wind, or with less prompting."))
    for number, practice in enumerate(made.practise, start=1):
        console.print(Text(f"{number}. {practice.topic.value}: {practice.because}."))
        console.print(Text(f"   {practice.text}"))


def _marks(made: Debrief, console: Console) -> None:
    console.print()
    console.print(Text("MARKS", style="bold"), Text("(* this program's own tolerance)"))
    table = Table(box=None, pad_edge=False, header_style="dim")
    for title in ("", "What", "Worst", "Allowed", "At"):
        table.add_column(title, no_wrap=title != "What")
    for mark in made.marks:
        own = "" if mark.is_standard else " *"
        table.add_row(
            Text("met" if mark.is_met else "NOT", style="" if mark.is_met else "bold"),
            Text(mark.what),
            Text(worst(mark)),
            Text(mark.allowed + own),
            Text("" if mark.is_met and mark.worst == 0.0 else clock(mark.t_s)),
        )
    console.print(table)


def _findings(made: Debrief, console: Console) -> None:
    console.print()
    console.print(Text("WHAT WENT WRONG", style="bold"))
    if not made.findings:
        console.print(Text("Nothing."))
    for found in made.findings:
        console.print(Text(f"{clock(found.t_s):>6}  {found.text}"))


def _events(made: Debrief, console: Console) -> None:
    if not made.events:
        return
    console.print()
    console.print(Text("EVENTS", style="bold"))
    table = Table(box=None, pad_edge=False, header_style="dim")
    for title in EVENT_COLUMNS:
        table.add_column(title, no_wrap=title != "Event")
    for row in made.events:
        table.add_row(*(Text(cell) for cell in event_cells(row)))
    console.print(table)


def _lines(title: str, lines: tuple[str, ...], console: Console) -> None:
    if not lines:
        return
    console.print()
    console.print(Text(title, style="bold"))
    for line in lines:
        console.print(Text(line))
