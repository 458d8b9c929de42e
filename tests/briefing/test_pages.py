"""The pages: made in every form, with the caution, nothing over anything else, the same every time."""

import re
import struct
from itertools import combinations

import pytest
from matplotlib.transforms import Affine2D

from assistant.briefing.pages import PageError, write_page
from assistant.briefing.paper import HEIGHT_PT, WIDTH_PT
from assistant.briefing.sheet import sheet
from assistant.caution import CAUTION
from assistant.engine.conditions import WindAtLevel
from assistant.procedure.model import Datum

SMALLEST_PT = 8.0
DOTS_PER_INCH = 200.0
WIND = (WindAtLevel(wind_from_mag_deg=250.0, wind_kt=25.0),)


@pytest.fixture
def page(tmp_path, made):
    """Write Skarrow's page in a form; its bytes."""

    def write(name):
        path = tmp_path / name
        found = made("skarrow-tacan-24")
        write_page(path, found.plan, found.brief)
        return path.read_bytes()

    return write


def test_html_is_one_file_the_same_every_time(page):
    """Drawings, tables and the caution in it, nothing from elsewhere, no date."""
    text = page("page.html").decode()

    assert text == page("again.html").decode()
    assert text.count("<svg") == 3
    assert text.count("<table") >= 8
    assert CAUTION in text
    assert not re.search(r'(src|href)="(?!#)', text.replace("xlink:href", "href"))
    assert "@page" in text


def test_pdf(page):
    drawn = page("page.pdf")

    assert drawn.startswith(b"%PDF")
    assert drawn.count(b"/Type /Page\n") + drawn.count(b"/Type /Page ") == 1
    assert b"CreationDate" not in drawn


def test_png_is_a4_at_200_dots_an_inch(page):
    """210 x 297 mm: 1654 x 2339 dots, to the dot that rounding leaves."""
    width, height = struct.unpack(">II", page("page.png")[16:24])

    assert abs(width - 1654) <= 1
    assert abs(height - 2339) <= 1


@pytest.mark.parametrize("name", ["page.txt", "page", "page.jpeg"])
def test_other_endings_are_refused_in_a_sentence(page, name):
    with pytest.raises(PageError, match=r"use \.html, \.pdf or \.png\.$"):
        page(name)


def test_a_place_that_cannot_be_written_is_told(page):
    with pytest.raises(PageError, match="cannot be written"):
        page("missing/page.html")


def boxes(axes, renderer):
    """Where the texts of some axes stand on the paper, in points, a little smaller than their frames."""
    to_points = Affine2D().scale(72.0 / DOTS_PER_INCH)
    return [
        (text.get_text(), text.get_window_extent(renderer).transformed(to_points).padded(-0.7))
        for text in axes.texts
        if text.get_text()
    ]


def test_texts_stand_on_the_sheet_and_on_no_other_text(made, demonstration):
    """No text covers another, leaves the paper or is too small, on a day of much to say."""
    found = made(demonstration, datum=Datum.QFE, wind=WIND, temperature_c=-12.0)
    figure = sheet(found.plan, found.brief)
    # As printed: at 72 dots an inch letters are fitted to the dots and come out wider.
    figure.set_dpi(DOTS_PER_INCH)
    renderer = figure.canvas.get_renderer()
    for axes in figure.axes:
        placed = boxes(axes, renderer)
        for text in axes.texts:
            assert not text.get_text() or text.get_fontsize() >= SMALLEST_PT
        for (one, one_box), (other, other_box) in combinations(placed, 2):
            assert not one_box.overlaps(other_box), f"{one!r} covers {other!r}"
        for text, box in placed:
            assert box.x0 >= 0.0, text
            assert box.x1 <= WIDTH_PT, text
            assert 0.0 <= box.y0 <= box.y1 <= HEIGHT_PT, text
    assert CAUTION in [text.get_text() for text in figure.axes[0].texts]
