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


# Where the numbers once lay on WENTA, HADIN, and on the names of fixes in the profile.
@pytest.fixture(scope="module", params=["pellow-vor-dme-28", "lunmar-vor-dme-10"])
def drawings(request):
    record = read_log(good_log(request.param, "--wind 250/25 --qnh 996"), "flight.jsonl")
    header = record.header
    plan = compile_plan(load_procedure(header.procedure_text, header.procedure_name), header.conditions)
    _, *drawn = sheet(plan, brief_for(plan), debrief_of(record, ACS)).axes
    return drawn


def _discs(axes):
    return [text for text in axes.texts if text.get_text().isdigit() and text.get_color() == FLOWN]


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
        discs = _discs(axes)
        words = [text for text in axes.texts if text.get_text() and text not in discs]
        for disc, word in itertools.product(discs, words):
            box = word.get_window_extent()
            x, y = _centre(disc)
            assert not (box.x0 - 4.0 < x < box.x1 + 4.0 and box.y0 - 4.0 < y < box.y1 + 4.0), (
                disc.get_text(),
                word.get_text(),
            )
