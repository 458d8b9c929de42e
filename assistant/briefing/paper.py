"""A sheet of paper to write on: headings, lines and tables in points, their heights known beforehand."""

from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from assistant.briefing.content import Item
from assistant.briefing.measure import width_pt, wrapped
from assistant.briefing.style import BAND, FAINT, INK, LINE_COLOURS, SOFT
from assistant.briefing.tables import Table
from assistant.briefing.tracks import Kind

# A4, upright.
WIDTH_PT, HEIGHT_PT = 595.28, 841.89
BODY_PT = 8.0
PITCH_PT = 9.9
LARGE_PT = 11.0
_LARGE_PITCH_PT = 14.0
_HEADING_PT = 9.0
_HEADING_ROOM_PT = 13.5
_GAP_PT = 7.0
_ACCENT = LINE_COLOURS[Kind.APPROACH]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A table broken into lines for a width: per row the lines of each cell; column widths in points."""

    table: Table
    widths_pt: tuple[float, ...]
    rows: tuple[tuple[list[str], ...], ...]
    size_pt: float

    @property
    def pitch_pt(self) -> float:
        """From line to line."""
        return self.size_pt * PITCH_PT / BODY_PT

    @property
    def height_pt(self) -> float:
        """Heading, column titles and rows."""
        lines = sum(max(len(cell) for cell in row) for row in self.rows) + (1 if self.table.columns else 0)
        return _HEADING_ROOM_PT + lines * self.pitch_pt + 2.0


def block(table: Table, room_pt: float, size_pt: float = BODY_PT) -> Block:
    """
    A table made to fit a width.

    Columns take what they need; where that is too much, the widest gives way and its cells are broken.
    """
    strong = set(table.strong_rows)
    heads = [table.columns] if table.columns else []
    widths = [0.0] * max(len(row) for row in (*heads, *table.rows))
    for number, row in enumerate(table.rows):
        for column, cell in enumerate(row):
            bold = number in strong or (not table.columns and column == 0)
            widths[column] = max(widths[column], width_pt(cell, size_pt, bold=bold))
    for head in heads:
        for column, cell in enumerate(head):
            widths[column] = max(widths[column], width_pt(cell, size_pt))
    too_much = sum(widths) + _GAP_PT * (len(widths) - 1) - room_pt
    if too_much > 0.0:
        widest = widths.index(max(widths))
        widths[widest] = max(widths[widest] - too_much, 40.0)
    rows = tuple(
        tuple(
            wrapped(
                cell, size_pt, widths[column], bold=number in strong or (not table.columns and column == 0)
            )
            for column, cell in enumerate(row)
        )
        for number, row in enumerate(table.rows)
    )
    return Block(table=table, widths_pt=tuple(widths), rows=rows, size_pt=size_pt)


@dataclass(frozen=True, slots=True, kw_only=True)
class LargeBlock:
    """A list to be read at arm's length: names small, texts large, details small beside or below them."""

    title: str
    items: tuple[Item, ...]
    room_pt: float
    text_x_pt: float

    def is_beside(self, item: Item) -> bool:
        """Whether the detail fits on the line of the text."""
        used_pt = self.text_x_pt + width_pt(item.text, LARGE_PT, bold=True) + 5.0
        return used_pt + width_pt(item.detail, BODY_PT) <= self.room_pt

    def below(self, item: Item) -> list[str]:
        """The lines of a detail that stands below."""
        if not item.detail or self.is_beside(item):
            return []
        return wrapped(item.detail, BODY_PT, self.room_pt - self.text_x_pt)

    @property
    def height_pt(self) -> float:
        """Heading and lines."""
        return (
            _HEADING_ROOM_PT
            + sum(_LARGE_PITCH_PT + len(self.below(item)) * PITCH_PT for item in self.items)
            + 2.0
        )


def large_block(title: str, items: tuple[Item, ...], room_pt: float) -> LargeBlock:
    """A list made to fit a width."""
    names_pt = max(width_pt(item.name, BODY_PT, bold=True) for item in items)
    return LargeBlock(title=title, items=items, room_pt=room_pt, text_x_pt=names_pt + _GAP_PT)


class Paper:
    """Writes on axes that cover the whole figure and count in points from the lower left."""

    def __init__(self, axes: Axes) -> None:
        self._axes = axes

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size_pt: float = BODY_PT,
        bold: bool = False,
        colour: str = INK,
        right: bool = False,
    ) -> None:
        """One line; y is the base line."""
        self._axes.text(
            x,
            y,
            words,
            fontsize=size_pt,
            fontweight="bold" if bold else "normal",
            color=colour,
            ha="right" if right else "left",
            va="baseline",
        )

    def rule(
        self, x: float, y: float, width_pt_: float, *, colour: str = FAINT, thick_pt: float = 0.7
    ) -> None:
        """A horizontal line."""
        self._axes.plot([x, x + width_pt_], [y, y], color=colour, linewidth=thick_pt)

    def heading(self, x: float, top: float, words: str, room_pt: float) -> None:
        """A block's title with a rule over it."""
        self.rule(x, top - 1.0, room_pt, colour=_ACCENT, thick_pt=1.2)
        size_pt = _HEADING_PT
        while width_pt(words, size_pt, bold=True) > room_pt and size_pt > BODY_PT:
            size_pt -= 0.25
        self.text(x, top - 10.5, words, size_pt=size_pt, bold=True, colour=_ACCENT)

    def put(self, drawn: Block, x: float, top: float, room_pt: float) -> float:
        """Draw a block below a height; the height of its foot."""
        self.heading(x, top, drawn.table.title, room_pt)
        y = top - _HEADING_ROOM_PT
        lefts = [
            x + sum(drawn.widths_pt[:column]) + _GAP_PT * column for column in range(len(drawn.widths_pt))
        ]
        if drawn.table.columns:
            y -= drawn.pitch_pt
            for left, title in zip(lefts, drawn.table.columns, strict=True):
                self.text(left, y + 2.4, title, size_pt=drawn.size_pt, colour=SOFT)
        for number, row in enumerate(drawn.rows):
            lines = max(len(cell) for cell in row)
            strong = number in drawn.table.strong_rows
            if strong or (drawn.table.columns and number % 2 == 0):
                self._band(x, y - lines * drawn.pitch_pt, room_pt, lines * drawn.pitch_pt, strong=strong)
            for column, (left, cell) in enumerate(zip(lefts, row, strict=True)):
                bold = strong or (not drawn.table.columns and column == 0)
                for line, words in enumerate(cell):
                    self.text(
                        left, y - (line + 1) * drawn.pitch_pt + 2.4, words, size_pt=drawn.size_pt, bold=bold
                    )
            y -= lines * drawn.pitch_pt
        return y - 2.0

    def put_large(self, drawn: LargeBlock, x: float, top: float) -> float:
        """Draw a block of large texts below a height; the height of its foot."""
        self.heading(x, top, drawn.title, drawn.room_pt)
        y = top - _HEADING_ROOM_PT
        for item in drawn.items:
            y -= _LARGE_PITCH_PT
            self.text(x, y + 3.0, item.name, bold=True)
            self.text(x + drawn.text_x_pt, y + 3.0, item.text, size_pt=LARGE_PT, bold=True)
            if drawn.is_beside(item):
                self.text(x + drawn.room_pt, y + 3.0, item.detail, colour=SOFT, right=True)
            for line in drawn.below(item):
                y -= PITCH_PT
                self.text(x + drawn.text_x_pt, y + 3.0, line, colour=SOFT)
        return y - 2.0

    def _band(self, x: float, y: float, width: float, height: float, *, strong: bool) -> None:
        colour = "#d5e3f1" if strong else BAND
        self._axes.fill_between([x - 2.0, x + width], y, y + height, color=colour, linewidth=0.0, zorder=0)


def page() -> tuple[Figure, Paper]:
    """An empty sheet of A4 at 72 dots an inch, so that a dot is a point, and what writes on it."""
    figure = Figure(figsize=(WIDTH_PT / 72.0, HEIGHT_PT / 72.0), dpi=72)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, WIDTH_PT)
    axes.set_ylim(0.0, HEIGHT_PT)
    axes.axis("off")
    return figure, Paper(axes)


def box(figure: Figure, x: float, y: float, width: float, height: float) -> Axes:
    """Axes of their own on a page, for a drawing; points from the lower left."""
    return figure.add_axes((x / WIDTH_PT, y / HEIGHT_PT, width / WIDTH_PT, height / HEIGHT_PT))
