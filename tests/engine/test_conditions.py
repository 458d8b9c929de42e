"""The day's conditions: speeds by category as the table that they were taken from has them."""

import pytest

from assistant.engine.conditions import CATEGORY_SPEEDS, Conditions, Speeds
from assistant.procedure.model import Category, Datum


@pytest.mark.parametrize(
    ("category", "speeds"),
    # Within ICAO Doc 8168 Vol I's ranges: initial A 90-150, B 120-180, C 160-240, D and E 185-250; final
    # A 70-100, B 85-130, C 115-160, D 130-185, E 155-230; missed approach at most 110, 150, 240, 265, 275.
    [
        (Category.A, (100, 110, 100, 80, 95)),
        (Category.B, (140, 150, 130, 105, 130)),
        (Category.C, (210, 210, 180, 140, 200)),
        (Category.D, (220, 220, 190, 155, 220)),
        (Category.E, (230, 230, 200, 165, 230)),
    ],
)
def test_each_category_has_its_speeds(category, speeds):
    hold_kt, initial_kt, intermediate_kt, final_kt, missed_kt = speeds

    assert CATEGORY_SPEEDS[category] == Speeds(
        hold_kt=hold_kt,
        initial_kt=initial_kt,
        intermediate_kt=intermediate_kt,
        final_kt=final_kt,
        missed_kt=missed_kt,
    )
    assert Conditions().for_category(category).speeds == CATEGORY_SPEEDS[category]


def test_a_day_of_which_nothing_is_said_is_a_standard_one():
    day = Conditions()

    assert (day.wind, day.qnh_hpa, day.temperature_c, day.datum) == ((), 1013.25, None, Datum.QNH)
    assert (day.category, day.bank_deg, day.minimum_addon_ft) == (Category.C, 25.0, 50.0)
    assert not day.lights_out
    assert not day.cold_corrections
