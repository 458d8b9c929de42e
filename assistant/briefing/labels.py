"""
Placing labels on a drawing so that they cover neither each other nor the lines.

Each label tries places around its point, nearest first, and takes the one that costs least: covering another
label or leaving the frame costs most, covering a line some, standing far off a little. Order decides who
chooses first, so the important ones come first. Everything is in points (the figure's dpi is 72), and nothing
is random.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import cos, hypot, pi, radians, sin

from matplotlib.axes import Axes
from matplotlib.font_manager import FontProperties

from assistant.briefing.measure import text_size_pt

_DIRECTIONS = 16
_PLACES_ACROSS = 8
_DISTANCES_PT = (5.0, 10.0, 17.0, 26.0, 38.0, 52.0, 70.0, 90.0)
_LEADER_FROM_PT = 14.0
_COVERS_LABEL = 400.0
_OUTSIDE = 1500.0
_COVERS_LINE = 9.0
_FAR_OFF = 0.35
_STEP_PT = 4.0
_NEAR_PT = 2.5
_CELL_PT = 24.0
_PAD_PT = 1.5

Box = tuple[float, float, float, float]
Line = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A text for a point in the axes' own units."""

    x: float
    y: float
    text: str
    size_pt: float = 8.0
    bold: bool = False
    colour: str = "#1b1f24"


@dataclass(slots=True)
class Placer:
    """The axes to draw on, and what is drawn there already, in points. Mutable: it fills with labels."""

    axes: Axes
    boxes: list[Box] = field(default_factory=list)
    dots: dict[tuple[int, int], list[tuple[float, float]]] = field(default_factory=dict)

    def _mark(self, points: Iterable[tuple[float, float]]) -> None:
        """Keep points in the cells of a grid, so that a box need only look at those near it."""
        for x, y in points:
            self.dots.setdefault((int(x // _CELL_PT), int(y // _CELL_PT)), []).append((x, y))

    def _marked_in(self, box: Box) -> int:
        """How many points lie in a box."""
        columns = range(int(box[0] // _CELL_PT), int(box[2] // _CELL_PT) + 1)
        rows = range(int(box[1] // _CELL_PT), int(box[3] // _CELL_PT) + 1)
        return sum(
            box[0] <= x <= box[2] and box[1] <= y <= box[3]
            for column in columns
            for row in rows
            for x, y in self.dots.get((column, row), ())
        )

    def avoid_line(self, points: Line) -> None:
        """Keep labels off a line through points in the axes' units."""
        on_figure = [self._on_figure(x, y) for x, y in points]
        for (ax, ay), (bx, by) in pairwise(on_figure):
            steps = max(1, int(hypot(bx - ax, by - ay) / _STEP_PT))
            self._mark(
                (ax + (bx - ax) * step / steps, ay + (by - ay) * step / steps) for step in range(steps + 1)
            )

    def avoid_disc(self, x: float, y: float, radius_pt: float) -> None:
        """Keep labels off a symbol or an area."""
        middle_x, middle_y = self._on_figure(x, y)
        steps = max(1, int(radius_pt / _STEP_PT))
        for ring in range(1, steps + 1):
            around = 6 * ring
            self._mark(
                (
                    middle_x + radius_pt * ring / steps * cos(2.0 * pi * number / around),
                    middle_y + radius_pt * ring / steps * sin(2.0 * pi * number / around),
                )
                for number in range(around)
            )

    def is_free(self, x: float, y: float, width_pt: float, height_pt: float) -> bool:
        """Whether a box in the middle of a point is empty and in the frame; if so it is taken."""
        at_x, at_y = self._on_figure(x, y)
        box = (at_x - width_pt / 2.0, at_y - height_pt / 2.0, at_x + width_pt / 2.0, at_y + height_pt / 2.0)
        if self._cost(box) > 0.0:
            return False
        self.boxes.append(box)
        return True

    def free_place(self, width_pt: float, height_pt: float) -> tuple[float, float]:
        """Lower left, in points, of the emptiest place for a box, a corner if one is; taken from now on."""
        frame = self.axes.get_window_extent()
        gap = 4.0
        left, right = frame.x0 + gap, frame.x1 - gap - width_pt
        low, high = frame.y0 + gap, frame.y1 - gap - height_pt
        corners = [(right, high), (left, high), (right, low), (left, low)]
        shares = [step / _PLACES_ACROSS for step in range(_PLACES_ACROSS + 1)]
        inside = [
            (left + x * (right - left), low + y * (high - low)) for y in reversed(shares) for x in shares
        ]

        def cost(corner: tuple[float, float]) -> float:
            box = (*corner, corner[0] + width_pt, corner[1] + height_pt)
            # Two of these boxes in one place would be worse than any line below them.
            return self._cost(box) + (
                _OUTSIDE * 10.0 if any(_overlap(box, other) for other in self.boxes) else 0.0
            )

        x, y = min((*corners, *inside), key=cost)
        self.boxes.append((x, y, x + width_pt, y + height_pt))
        return x, y

    def put(self, labels: Iterable[Label]) -> None:
        """Draw the labels, each at its best place, with a thin line to a point that is not close by."""
        for label in labels:
            self._put(label)

    def _put(self, label: Label) -> None:
        font = FontProperties(size=label.size_pt, weight="bold" if label.bold else "normal")
        width, height = text_size_pt(label.text, font)
        at = self._on_figure(label.x, label.y)
        _, distance, box = self._best(at, width + 2.0 * _PAD_PT, height + 2.0 * _PAD_PT)
        self.boxes.append(box)
        to_data = self.axes.transData.inverted()
        self._mark(_leader(at, box) if distance >= _LEADER_FROM_PT else ())
        middle = ((box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0)
        x, y = to_data.transform(middle)
        if distance >= _LEADER_FROM_PT:
            edge = to_data.transform(_nearest(at, box))
            self.axes.plot(
                [label.x, edge[0]], [label.y, edge[1]], color=label.colour, linewidth=0.5, zorder=5
            )
        self.axes.text(
            x,
            y,
            label.text,
            fontproperties=font,
            color=label.colour,
            ha="center",
            va="center",
            linespacing=1.1,
            zorder=7,
            bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "alpha": 0.85, "linewidth": 0.0},
        )

    def _best(self, at: tuple[float, float], width: float, height: float) -> tuple[float, float, Box]:
        """The place that costs least: its cost, its distance and its box."""
        best: tuple[float, float, Box] | None = None
        for distance, box in _places(at, width, height):
            cost = self._cost(box) + distance * _FAR_OFF
            if best is None or cost < best[0]:
                cost += self._leader_cost(at, box, distance)
                if best is None or cost < best[0]:
                    best = cost, distance, box
        if best is None:
            raise ValueError("there are no places round a point")
        return best

    def _leader_cost(self, at: tuple[float, float], box: Box, distance: float) -> float:
        """What a thin line from point to label would run through."""
        if distance < _LEADER_FROM_PT:
            return 0.0
        dots = _leader(at, box)
        through = sum(
            1.0
            for other in self.boxes
            if any(other[0] <= x <= other[2] and other[1] <= y <= other[3] for x, y in dots)
        )
        # It begins on the line that it is for; only what it meets further on is in its way.
        along = sum(
            1.0
            for x, y in dots[1:]
            if self._marked_in((x - _NEAR_PT, y - _NEAR_PT, x + _NEAR_PT, y + _NEAR_PT))
        )
        return _COVERS_LABEL / 4.0 * through + _COVERS_LINE * along

    def _on_figure(self, x: float, y: float) -> tuple[float, float]:
        on_figure = self.axes.transData.transform((x, y))
        return float(on_figure[0]), float(on_figure[1])

    def _cost(self, box: Box) -> float:
        frame = self.axes.get_window_extent()
        outside = max(frame.x0 - box[0], 0.0) + max(box[2] - frame.x1, 0.0)
        outside += max(frame.y0 - box[1], 0.0) + max(box[3] - frame.y1, 0.0)
        covered = sum(1.0 for other in self.boxes if _overlap(box, other))
        lines = self._marked_in(box)
        return covered * _COVERS_LABEL + lines * _COVERS_LINE + (_OUTSIDE + outside if outside > 0.0 else 0.0)


def _nearest(at: tuple[float, float], box: Box) -> tuple[float, float]:
    """The point of a box's edge nearest to a point outside it."""
    return min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3])


def _leader(at: tuple[float, float], box: Box) -> list[tuple[float, float]]:
    """The line from a point to its label, as dots."""
    edge = _nearest(at, box)
    steps = max(1, int(hypot(edge[0] - at[0], edge[1] - at[1]) / _STEP_PT))
    return [
        (at[0] + (edge[0] - at[0]) * step / steps, at[1] + (edge[1] - at[1]) * step / steps)
        for step in range(1, steps)
    ]


def _places(at: tuple[float, float], width: float, height: float) -> Iterator[tuple[float, Box]]:
    """Boxes round a point, nearest first; the box's near edge stands at the distance."""
    for distance in _DISTANCES_PT:
        for direction in range(_DIRECTIONS):
            angle = radians(direction * 360.0 / _DIRECTIONS)
            x = at[0] + cos(angle) * (distance + width / 2.0)
            y = at[1] + sin(angle) * (distance + height / 2.0)
            yield distance, (x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0)


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
