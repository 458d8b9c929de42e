"""How much room a text takes on paper."""

from functools import lru_cache

from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.font_manager import FontProperties

# Measured large and scaled down, so that the rounding to whole dots does not add up along a line.
_MEASURED_DPI = 720.0
_POINTS_PER_DOT = 72.0 / _MEASURED_DPI
_LINE_PITCH = 1.2
# On coarser devices letters are fitted to the dots and come out a little wider.
_FITTED = 1.015


@lru_cache(maxsize=1)
def _renderer() -> RendererAgg:
    return RendererAgg(16, 16, _MEASURED_DPI)  # type: ignore[no-untyped-call]  # matplotlib does not type it


@lru_cache(maxsize=4096)
def _width_pt(text: str, size_pt: float, weight: str) -> float:
    font = FontProperties(family="DejaVu Sans", size=size_pt, weight=weight)
    measure = _renderer().get_text_width_height_descent
    width, _, _ = measure(text, font, ismath=False)  # type: ignore[no-untyped-call]  # as above
    return float(width) * _POINTS_PER_DOT * _FITTED


def width_pt(text: str, size_pt: float, *, bold: bool = False) -> float:
    """The width of one line, points."""
    return _width_pt(text, size_pt, "bold" if bold else "normal")


def text_size_pt(text: str, font: FontProperties) -> tuple[float, float]:
    """Width and height of a text of one or more lines, points."""
    lines = text.split("\n")
    size_pt, weight = font.get_size_in_points(), str(font.get_weight())
    return max(_width_pt(line, size_pt, weight) for line in lines), len(lines) * size_pt * _LINE_PITCH


def wrapped(text: str, size_pt: float, room_pt: float, *, bold: bool = False) -> list[str]:
    """A text broken between words into lines that fit a width; too wide a word keeps its own line."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and width_pt(longer, size_pt, bold=bold) > room_pt:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
