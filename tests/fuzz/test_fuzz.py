"""Damaged input brings no exception but a parser's own (the bounded form of tools/fuzz.py)."""

import importlib.util
import random

import pytest
from driver import ROOT

_SPEC = importlib.util.spec_from_file_location("fuzz", ROOT / "tools" / "fuzz.py")
fuzz = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(fuzz)


def test_ten_thousand_damaged_inputs_bring_nothing_but_the_parsers_own_errors():
    assert sum(fuzz.fuzz(10_000, seed=3).values()) >= 9_900


@pytest.mark.parametrize("name", fuzz.PARSERS)
def test_every_seed_itself_is_taken(name):
    parse, seeds, _ = fuzz.PARSERS[name]

    for seed in seeds():
        parse(seed)


def test_inputs_are_damaged_and_the_same_for_the_same_seed():
    seeds = fuzz.PARSERS["procedure"][1]()

    def some():
        chance = random.Random(5)  # noqa: S311 - to be repeatable, not secret
        return [fuzz.grown(seeds, chance) for _ in range(3)]

    first = some()

    assert first == some()
    assert all(one not in seeds for one in first)
