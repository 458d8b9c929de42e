"""The numbers of events on the debrief's drawings: each can be read, and hides nothing."""

import itertools
import math

import pytest
from flights import good_log

from assistant.briefing.compose import brief_for
from assistant.debrief.compose import debrief_of
from assistant.debrief.drawing import FLOWN
from assistant.debrief.pages import sheet
from assistant.debrief.standards import ACS
from assistant.engine.compiler import compile_plan
from assistant.flight_log import read_log
from assistant.procedure.load import load_procedure

DISC_PT = 9.0
"""A disc's least width: figures of 6.5 pt with a quarter of that about them."""
WAY = 10
"""The layer of the flown way; the thin lines from a number to its event lie above it."""


# Where the numbers once lay on WENTA, HADIN, and on the names of fixes in the profile; and the flown way once
# on the names JULOM and FERRU.
FLIGHTS = {
    "pellow-vor-dme-28": "--wind 250/25 --qnh 996",
    "lunmar-vor-dme-10": "--wind 250/25 --qnh 996",
    "ostrey-high-tacan-13": "--wind 18000:290/45 --wind 2000:260/20 --qnh 987",
    "sarnet-tacan-25": "--wind 300/25",
}


@pytest.fixture(scope="module", params=FLIGHTS)
def drawings(request):
    record = read_log(good_log(request.param, FLIGHTS[request.param]), "flight.jsonl")
    header = record.header
    plan = compile_plan(load_procedure(header.procedure_text, header.procedure_name), header.conditions)
    _, *drawn = sheet(plan, brief_for(plan), debrief_of(record, ACS)).axes
    return drawn


def _discs(axes):
    return [text for text in axes.texts if text.get_text().isdigit() and text.get_color() == FLOWN]


def _words(axes):
    discs = _discs(axes)
    return [text for text in axes.texts if text.get_text() and text not in discs]


def _flown_dots(axes):
    """The flown way as points of the figure, one a dot apart."""
    for line in axes.lines:
        if line.get_color() == FLOWN and line.get_linestyle() == "-" and line.get_zorder() == WAY:
            corners = [axes.transData.transform(point) for point in zip(*line.get_data(), strict=True)]
            for (ax, ay), (bx, by) in itertools.pairwise(corners):
                steps = int(math.dist((ax, ay), (bx, by))) + 1
                for step in range(steps + 1):
                    yield ax + (bx - ax) * step / steps, ay + (by - ay) * step / steps


def _centre(text):
    return text.axes.transData.transform(text.get_position())


def test_every_event_on_a_drawing_has_its_number_within_it(drawings):
    assert len(drawings) == 2
    for axes in drawings:
        assert len(_discs(axes)) >= 3
        for disc in _discs(axes):
            assert axes.get_window_extent().contains(*_centre(disc))


def test_no_number_covers_another(drawings):
    for axes in drawings:
        for one, other in itertools.combinations(_discs(axes), 2):
            assert math.dist(_centre(one), _centre(other)) >= DISC_PT


def test_no_number_covers_a_word(drawings):
    for axes in drawings:
        for disc, word in itertools.product(_discs(axes), _words(axes)):
            box = word.get_window_extent()
            x, y = _centre(disc)
            assert not (box.x0 - 4.0 < x < box.x1 + 4.0 and box.y0 - 4.0 < y < box.y1 + 4.0), (
                disc.get_text(),
                word.get_text(),
            )


def test_the_flown_way_runs_through_no_word(drawings):
    for axes in drawings:
        dots = list(_flown_dots(axes))
        assert len(dots) > 100
        for word in _words(axes):
            box = word.get_window_extent()
            through = [(x, y) for x, y in dots if box.x0 < x < box.x1 and box.y0 < y < box.y1]
            assert not through, word.get_text()
