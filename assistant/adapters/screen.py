"""
The cockpit's screen: for a glance at most, so it is small, stands still, and the large things are at the top.

    SKARROW TACAN RWY 24                                   12:34

    NEXT   lead radial R055                           in 0:42
    DO     TURN LEFT HEADING 215
    DUE    2500 QNH                       FLOOR  2000 QNH

    said   Lead radial in two zero seconds.
    heard  16.4 4800
    mic    off
    > 15.1 2500_
"""

from collections.abc import Callable
from types import TracebackType
from typing import Self

from rich.console import Console, Group, RenderableType
from rich.live import Live
from rich.table import Table
from rich.text import Text

from assistant.adapters.console import level_text, next_text, visible
from assistant.adapters.transcript_file import clock_text
from assistant.engine.core import Glance
from assistant.engine.events import Priority, StageEntered
from assistant.flight_log import Heard, Record, Spoken
from assistant.language.phraseology import short

_REDRAWN_PER_S = 4
_WIDEST = 76
_HINT = '   type what you read, as 16.4 4800; or "next"; Ctrl-D ends'
"""Until something was heard: who flies for the first time sees an empty line and knows no word."""


class CockpitScreen:
    """
    Draws the flight in place on a terminal, a few times a second, while it is entered as a context.

    glance: the flight at a moment. now_s: the session's clock. microphone: its state in a word or two.
    """

    def __init__(
        self,
        console: Console,
        *,
        title: str,
        glance: Callable[[float], Glance],
        now_s: Callable[[], float],
        microphone: Callable[[], str] = lambda: "off",
    ) -> None:
        self._title = title
        self._glance = glance
        self._now_s = now_s
        self._microphone = microphone
        self._action = ""
        self._action_style = "bold"
        self._said = self._heard = self._typed = self._told = ""
        self._live = Live(
            console=console,
            get_renderable=self.drawn,
            refresh_per_second=_REDRAWN_PER_S,
            screen=True,
            redirect_stdout=False,
            redirect_stderr=False,
        )

    def __enter__(self) -> Self:
        self._live.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._live.stop()

    def watch(self, records: tuple[Record, ...]) -> None:
        """Take in what happened; drawn at the next redrawing."""
        for record in records:
            match record:
                case Heard(transcript=transcript):
                    self._heard = transcript.text
                case Spoken(text=text, callout=callout):
                    self._said = text
                    if callout.priority <= Priority.ACTION:
                        self._action = short(callout)
                        is_safety = callout.priority is Priority.SAFETY
                        self._action_style = "bold white on red" if is_safety else "bold"
                case StageEntered():
                    self._action_style = "bold"  # a warning of the stage before is over
                case _:
                    pass

    def typing(self, text: str) -> None:
        """Show the line being typed."""
        self._typed = text
        self._live.refresh()

    def tell(self, sentence: str) -> None:
        """Show a sentence about the program itself (a device that was lost), until the end."""
        self._told = sentence

    def drawn(self) -> RenderableType:
        """The screen as it is now."""
        now_s = self._now_s()
        glance = self._glance(now_s)
        head = Table.grid(expand=True)
        head.add_column()
        head.add_column(justify="right")
        head.add_row(Text(self._title.upper()), Text(clock_text(now_s)))
        large = Table.grid(padding=(0, 3, 0, 0))
        large.add_column(style="dim")
        large.add_column(overflow="fold")
        large.add_row("NEXT", Text(next_text(glance), style="bold"))
        large.add_row("DO", Text(self._action, style=self._action_style))
        levels = Text(_level(glance.due_ft, glance), style="bold")
        levels.append("     FLOOR  ", style="not bold dim").append(_level(glance.floor_ft, glance))
        large.add_row("DUE", levels)
        small = Table.grid(padding=(0, 2, 0, 0))
        small.add_column()
        small.add_column(overflow="fold")
        for name, text in (("said", self._said), ("heard", self._heard), ("mic", self._microphone())):
            small.add_row(name, Text(visible(text)))
        parts: list[RenderableType] = [head, "", large, "", small]
        if self._told:
            parts.append(Text(visible(self._told), style="yellow"))
        line = Text(f"> {visible(self._typed)}_")
        if not self._heard and not self._typed:
            line.append(_HINT, style="dim")
        parts.append(line)
        framed = Table.grid(expand=False)
        framed.add_column(width=_WIDEST, max_width=_WIDEST)
        framed.add_row(Group(*parts))
        return framed


def _level(indicated_ft: float | None, glance: Glance) -> str:
    return "-" if indicated_ft is None else level_text(indicated_ft, glance.datum)
