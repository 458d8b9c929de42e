"""What the engine's tests share: the demonstration procedures, loaded once."""

import pytest
from placed import demonstration, placed

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.procedure.model import Category


@pytest.fixture
def procedure():
    return demonstration


@pytest.fixture
def plan():
    def compiled(name, *, wind=None, category=Category.C, **changes):
        levels = () if wind is None else (WindAtLevel(wind_from_mag_deg=wind[0], wind_kt=wind[1]),)
        return compile_plan(demonstration(name), Conditions(wind=levels, **changes).for_category(category))

    return compiled


@pytest.fixture
def still(plan):
    """Skarrow in still air, category C: 180 kt indicated on the course 243 to BESKA, 140 on final."""
    return plan("skarrow-tacan-24")


@pytest.fixture
def inbound(still):
    """On the course to BESKA, level at 1,900 ft, nine miles out."""
    return placed(still, "course_2", 9.0, altitude_ft=1900.0)
