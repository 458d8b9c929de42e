"""What the engine's tests share: the demonstration procedures, loaded once."""

import functools
from pathlib import Path

import pytest

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Category

ROOT = Path(__file__).resolve().parents[2]


@functools.cache
def demonstration(name):
    path = next(ROOT.glob(f"procedures/{name}*.yaml"))
    return load_procedure(path.read_text(encoding="utf-8"), path.name)


@pytest.fixture
def procedure():
    return demonstration


@pytest.fixture
def plan():
    def compiled(name, *, wind=None, category=Category.C, **changes):
        levels = () if wind is None else (WindAtLevel(wind_from_mag_deg=wind[0], wind_kt=wind[1]),)
        return compile_plan(demonstration(name), Conditions(wind=levels, **changes).for_category(category))

    return compiled
