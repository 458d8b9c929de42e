"""Loads the published check values and keeps the register of the checks made against them."""

from collections.abc import Callable
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

import pytest
import yaml

Entry = dict[str, Any]
Check = Callable[[Entry], None]

_HERE = Path(__file__).parent
CHECKS: dict[str, Check] = {}


def entries(name: str) -> list[Entry]:
    return yaml.safe_load((_HERE / name).read_text(encoding="utf-8"))


def published(*patterns: str) -> Callable[[Check], Check]:
    """Registers a check for the ids that match; each id must end up with one check only."""

    def register(check: Check) -> Check:
        CHECKS.update(dict.fromkeys(patterns, check))
        return check

    return register


def check_for(ident: str) -> Check | None:
    """The check registered for an id: its own name first, else the one pattern that matches."""
    if ident in CHECKS:
        return CHECKS[ident]
    matching = {pattern: check for pattern, check in CHECKS.items() if fnmatchcase(ident, pattern)}
    assert len(matching) <= 1, f"{ident} has several checks: {sorted(matching)}"
    return next(iter(matching.values()), None)


def tolerance(entry: Entry, field: str, expected: float) -> float:
    """The entry's own tolerance for one field, in the field's units."""
    given = entry["tolerance"]
    if given == "exact":
        return 1e-9
    given = given.get(field, given)
    if not isinstance(given, dict):
        return float(given)
    if "abs" in given:
        # A thousandth of the tolerance is rounding of the printed figure, as in 0.05 against 10.80 - 10.75.
        return given["abs"] * 1.001 + 1e-9
    if "abs_s" in given:
        return float(given["abs_s"])
    return given["rel"] * abs(expected)


def near(entry: Entry, field: str, actual: float, expected: float | None = None) -> None:
    """Asserts that a figure is the published one, within the entry's tolerance."""
    wanted = entry["expected"][field] if expected is None else expected
    assert actual == pytest.approx(wanted, rel=0.0, abs=tolerance(entry, field, wanted)), entry["id"]


def exact_is(entry: Entry, field: str, actual: float, places: int = 2) -> None:
    """Asserts our figure where the publication's differs: the independent one kept with the entry."""
    wanted = entry["physics_check"]["computed"][field]
    assert actual == pytest.approx(wanted, rel=0.0, abs=0.6 * 10.0**-places), entry["id"]
