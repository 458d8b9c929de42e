"""
The rules that the design stands on, checked by walking the package.

The import contracts are in pyproject.toml and run by `lint-imports` (CI); here is what no linter knows.
"""

import ast
import inspect
import typing
from dataclasses import fields
from pathlib import Path

import pytest

from assistant.engine import events
from assistant.engine.core import Engine
from assistant.engine.outbox import Outbox

ROOT = Path(__file__).resolve().parents[1]
PURE = ("nav", "procedure", "engine", "language", "sums")

# The units of the design's list, and those that the trade measures other things in.
UNITS = [
    "_nm",
    "_ft",
    "_kt",
    "_fpm",
    "_deg",
    "_s",
    "_hpa",
    "_c",
    "_m",
    "_mhz",
    "_percent",
    "_per_nm",
    "_deg_s",
    "_min",
    "_inhg",
    "_mmhg",
    "_ft_per_hpa",
    "_ft_per_nm",
]

# Floats that are ratios, or whose unit is the trade's own and unmistakable. Each with its reason.
UNITLESS = {
    "confidence": "a ratio",
    "rate": "a ratio: faster than planned",
    "share": "a ratio",
    "mach": "a ratio",
    "score": "a recogniser's own scale, which has no unit",
    "tie": "on a recogniser's own scale",
    "ask": "on a recogniser's own scale",
    "nonsense": "on a recogniser's own scale",
    "strangeness": "on a recogniser's own scale",
    "sure": "a natural logarithm of a ratio of probabilities",
    "opinion": "a natural logarithm of a probability",
    "slack": "in the unit of the number beside it",
    "level": "hundreds of feet on standard, by definition",
    "flight_level": "hundreds of feet on standard, by definition",
    "drift_factor": "a ratio",
    "pull_up_g": "in units of g",
    "run_on": "a number of samples",
    "low": "bounds of a named value that carries the unit",
    "high": "bounds of a named value that carries the unit",
    "lowest": "bounds of a number word, whatever it counts",
    "highest": "bounds of a number word, whatever it counts",
    "factor": "a ratio",
    "step": "a number word's step, whatever it counts",
    "number": "a number word, whatever it counts",
    "value": "a number word, whatever it counts",
    "exact": "the unit is in the figure's own name",
    "rule": "the unit is in the figure's own name",
}


def modules():
    return sorted(path for part in PURE for path in (ROOT / "assistant" / part).rglob("*.py"))


def _is_float(annotation):
    return annotation is not None and ast.unparse(annotation) in {"float", "float | None"}


def _floats(tree):
    """Every float with a name: parameters of functions, and fields of classes."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            for argument in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs):
                if _is_float(argument.annotation):
                    yield argument.arg, argument.lineno
        elif isinstance(node, ast.ClassDef):
            for item in node.body:
                if (
                    isinstance(item, ast.AnnAssign)
                    and isinstance(item.target, ast.Name)
                    and _is_float(item.annotation)
                ):
                    yield item.target.id, item.lineno


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(ROOT)))
def test_every_float_in_a_pure_module_carries_its_unit(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    bare = [
        f"{path.name}:{line}: {name}"
        for name, line in _floats(tree)
        if name.lstrip("_") not in UNITLESS and not name.endswith(tuple(UNITS)) and f"_{name}" not in UNITS
    ]

    assert bare == []


def test_no_exemption_from_units_is_left_over():
    used = {
        name.lstrip("_")
        for path in modules()
        for name, _ in _floats(ast.parse(path.read_text(encoding="utf-8")))
    }

    assert sorted(set(UNITLESS) - used) == []


def test_no_module_answers_too_many_questions():
    long = {
        str(path.relative_to(ROOT)): lines
        for path in (ROOT / "assistant").rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }

    assert long == {}


BROAD = {
    "assistant/adapters/speech_in/vosk_recogniser.py": "vosk raises bare Exception for a bad model",
    "assistant/adapters/speech_in/general_model.py": "tokenizers raises bare Exception for a damaged file",
}


def test_nothing_is_caught_to_keep_going():
    """A broad `except` belongs in `cli` alone, where errors become one line; or it has its reason above."""
    found = []
    for path in (ROOT / "assistant").rglob("*.py"):
        if path.is_relative_to(ROOT / "assistant" / "cli") or str(path.relative_to(ROOT)) in BROAD:
            continue
        handlers = (
            node
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.ExceptHandler)
        )
        found.extend(
            f"{path.relative_to(ROOT)}:{node.lineno}"
            for node in handlers
            if node.type is None or ast.unparse(node.type) in {"Exception", "BaseException"}
        )

    assert found == []


def test_what_crosses_the_engines_boundary_is_frozen():
    crossing = (*typing.get_args(events.EngineInput), *typing.get_args(events.EngineOutput))

    assert all(kind.__dataclass_params__.frozen for kind in crossing)
    assert all("t_s" in {field.name for field in fields(kind)} for kind in crossing)


def test_the_engine_takes_no_clock_and_no_file():
    assert list(inspect.signature(Engine.handle).parameters) == ["self", "event", "unsaid"]
    assert list(inspect.signature(Outbox.drop).parameters) == ["self", "t_s", "cue", "reason"]
