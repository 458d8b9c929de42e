"""Briefings of the demonstration procedures, made once for a set of conditions."""

from functools import cache
from pathlib import Path
from types import SimpleNamespace

import pytest

from assistant.briefing.compose import brief_for
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.procedure.load import load_procedure

FOLDER = Path(__file__).parents[2] / "procedures"
DEMONSTRATIONS = sorted(path.stem for path in FOLDER.glob("*.yaml"))
WINDY = (WindAtLevel(wind_from_mag_deg=250.0, wind_kt=25.0),)


@cache
def _made(name, **conditions):
    path = FOLDER / f"{name}.yaml"
    plan = compile_plan(load_procedure(path.read_text(encoding="utf-8"), str(path)), Conditions(**conditions))
    return SimpleNamespace(plan=plan, brief=brief_for(plan))


@pytest.fixture(scope="session")
def made():
    """A function from a procedure's name and conditions to its plan and brief."""
    return _made


@pytest.fixture(scope="session")
def skarrow():
    """Hold, arc, lead radial, offset final approach; calm, on QNH, category C."""
    return _made("skarrow-tacan-24").brief


@pytest.fixture(params=DEMONSTRATIONS)
def demonstration(request):
    """The name of every demonstration procedure in turn."""
    return request.param


@pytest.fixture(params=[(), WINDY], ids=["calm", "windy"])
def wind(request):
    """Calm, then a wind."""
    return request.param
