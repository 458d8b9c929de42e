"""
Mutation testing: change one thing in the program, and see whether any test notices.

    COVERAGE_FILE=a.cov python -m pytest tests/engine tests/golden tests/debrief tests/properties \
        tests/simulation tests/test_*.py --cov=assistant.engine --cov-context=test --cov-report=
    python tools/mutation.py engine --covered a.cov --sample 300 --out mutants-engine.jsonl

A mutant swaps a comparison, an arithmetic or logical operator, moves a number, turns a condition or a sign
round. Text is left alone: a misspelt message is no wrong sum. All mutants of a package are listed, a sample
of a fixed seed is drawn (0: all), and each is run in a forked child that has the libraries loaded already,
stopping at the first failure. With `--covered` (what pytest-cov wrote) only the tests that run the changed
statement are run, the shortest first; a statement that none runs counts as not noticed. Several such files
may be named. A child that runs too long counts as noticed. Nothing on the disk is changed. One line a mutant
goes to the output, so that a run can be stopped and read at any time.

Others may be changing the tree meanwhile. So a failure counts only where the same test passes without the
mutant, and is passed over where it does not; a module that is no longer the one listed is void, no part of
the score.
"""

import argparse
import ast
import copy
import importlib.abc
import importlib.util
import json
import os
import random
import signal
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TESTS = {
    "nav": ("tests/nav", "tests/sums", "tests/golden", "tests/engine"),
    "engine": ("tests/golden", "tests/engine"),
}
TIMEOUT_S = 300.0
FIRST = 25
NOT_NOTICED, NOTICED, TOO_LONG, VOID = "survived", "killed", "timeout", "void"

_COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
_OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Mod: ast.Add,
    ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Div,
}


def variants(node: ast.AST) -> Iterator[ast.AST]:
    """Every changed form of one node."""
    match node:
        case ast.Compare():
            for place, operator in enumerate(node.ops):
                changed = copy.deepcopy(node)
                changed.ops[place] = _COMPARISONS[type(operator)]()
                yield changed
        case ast.BinOp() if type(node.op) in _OPERATORS and not _is_text(node):
            changed = copy.deepcopy(node)
            changed.op = _OPERATORS[type(node.op)]()
            yield changed
        case ast.BoolOp():
            changed = copy.deepcopy(node)
            changed.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield changed
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield copy.deepcopy(node.operand)
        case ast.If() | ast.IfExp() | ast.While():
            changed = copy.deepcopy(node)
            changed.test = ast.UnaryOp(op=ast.Not(), operand=changed.test)
            yield changed
        case ast.Constant(value=bool() as value):
            yield ast.Constant(value=not value)
        case ast.Constant(value=int() | float() as value):
            yield ast.Constant(value=value + 1)


def _is_text(node: ast.BinOp) -> bool:
    sides = (node.left, node.right)
    return any(isinstance(side, ast.JoinedStr | ast.Constant) and _is_string(side) for side in sides)


def _is_string(node: ast.JoinedStr | ast.Constant) -> bool:
    return isinstance(node, ast.JoinedStr) or isinstance(node.value, str)


def places(tree: ast.AST) -> Iterator[tuple[ast.AST, str, int | None, ast.AST]]:
    """Every node that runs, with where it hangs: parent, field, position; types and messages are left out."""
    for parent in _running(tree):
        for field, value in ast.iter_fields(parent):
            if field in ("annotation", "returns", "type_params", "decorator_list"):
                continue
            for position, child in enumerate(value) if isinstance(value, list) else [(None, value)]:
                if isinstance(child, ast.AST):
                    yield parent, field, position, child


def _running(tree: ast.AST) -> Iterator[ast.AST]:
    waiting = [tree]
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.Raise | ast.JoinedStr | ast.Assert):
            continue
        yield node
        for field, value in ast.iter_fields(node):
            if field not in ("annotation", "returns", "type_params", "decorator_list"):
                children = value if isinstance(value, list) else [value]
                waiting.extend(child for child in children if isinstance(child, ast.AST))


def mutants(path: Path) -> Iterator[tuple[int, str]]:
    """The line and the change of every mutant of a module, in an order that stays for the same source."""
    for _, _, _, child in places(ast.parse(path.read_text(encoding="utf-8"))):
        for changed in variants(child):
            before = ast.unparse(child).splitlines()[0]
            after = ast.unparse(ast.fix_missing_locations(changed)).splitlines()[0]
            line = getattr(child, "lineno", 0)
            yield line, f"{path.relative_to(ROOT)}:{line}: {before}  ->  {after}"


def mutant(path: Path, number: int) -> ast.Module:
    """The changed module of one mutant, by its place in that order."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for parent, field, position, child in list(places(tree)):
        for changed in variants(child):
            if number == 0:
                _put(parent, field, position, changed)
                return ast.fix_missing_locations(tree)
            number -= 1
    raise IndexError(f"{path} has no such mutant")


def _put(parent: ast.AST, field: str, position: int | None, child: ast.AST) -> None:
    if position is None:
        setattr(parent, field, child)
    else:
        getattr(parent, field)[position] = child


class Mutated(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives the changed module in place of the file's."""

    def __init__(self, name: str, path: Path, tree: ast.Module) -> None:
        self.name, self.path, self.tree = name, path, tree

    def find_spec(self, fullname: str, path: object, target: object = None) -> object:  # noqa: ARG002 - the protocol's
        """The changed module's spec, for it alone."""
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.path, loader=self)

    def create_module(self, spec: object) -> None:
        """An ordinary module."""

    def exec_module(self, module: object) -> None:
        """Run the changed module."""
        exec(compile(self.tree, str(self.path), "exec"), module.__dict__)  # noqa: S102 - what this is for


class Covered:
    """Which tests run which statement, read from what pytest-cov wrote."""

    def __init__(self, data_files: list[Path]) -> None:
        import coverage  # noqa: PLC0415 - an extra that not every machine has

        self._data = coverage.CoverageData(no_disk=True)
        for data_file in data_files:
            more = coverage.CoverageData(str(data_file))
            more.read()
            self._data.update(more)
        size: Counter[str] = Counter()
        for path in self._data.measured_files():
            for contexts in self._data.contexts_by_lineno(path).values():
                size.update(contexts)
        self._size = size

    def tests(self, path: Path, line: int) -> tuple[str, ...]:
        """The tests that run the statement at a line, shortest first; of a constant, the module's."""
        by_line = self._data.contexts_by_lineno(str(path))
        first, last = _statement(path, line)
        found = {name for at in range(first, last + 1) for name in by_line.get(at, ()) if name}
        if not found and "" in by_line.get(first, ()):
            found = {name for names in by_line.values() for name in names if name}
        ordered = sorted(found, key=lambda name: (self._size[name], name))
        return tuple(dict.fromkeys(name.rpartition("|")[0] for name in ordered))


def _statement(path: Path, line: int) -> tuple[int, int]:
    """The lines of the innermost statement at a line; of one with a body, its head alone."""
    first, last = line, line
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.stmt) and node.lineno <= line <= _head_end(node):
            first, last = node.lineno, _head_end(node)
    return first, last


def _head_end(node: ast.stmt) -> int:
    body = getattr(node, "body", None)
    return max(body[0].lineno - 1, node.lineno) if body else node.end_lineno or node.lineno


def run(path: Path, tree: ast.Module | None, tests: tuple[str, ...]) -> tuple[str, str]:
    """Whether the tests notice a mutant, and which first; without a tree, of the program as it is."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        _run_in_child(path, tree, tests, writing)
    os.close(writing)
    end_s = time.monotonic() + TIMEOUT_S
    outcome = TOO_LONG
    while time.monotonic() < end_s:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            outcome = NOT_NOTICED if status == 0 else NOTICED
            break
        time.sleep(0.05)
    else:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    with os.fdopen(reading, encoding="utf-8") as failed:
        return outcome, failed.read().partition("\n")[0]


class FirstFailure:
    """Hands the name of the first test that fails to the parent."""

    def __init__(self, writing: int) -> None:
        self._writing = writing

    def pytest_runtest_logreport(self, report: object) -> None:
        """Any part of a test: its fixtures too."""
        if getattr(report, "failed", False):
            os.write(self._writing, f"{getattr(report, 'nodeid', '')}\n".encode())


def _run_in_child(path: Path, tree: ast.Module | None, tests: tuple[str, ...], writing: int) -> None:
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    status = 1
    try:
        import pytest  # noqa: PLC0415 - loaded before the fork

        if tree is not None:
            name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            sys.meta_path.insert(0, Mutated(name, path, tree))
        quiet = ["-W", "ignore::pytest.PytestAssertRewriteWarning"]  # loaded before the fork, on purpose
        status = int(
            pytest.main(
                ["-x", "-q", "-p", "no:cacheprovider", *quiet, *tests], plugins=[FirstFailure(writing)]
            )
        )
    finally:
        os._exit(1 if status else 0)


def judge(path: Path, tree: ast.Module, tests: tuple[str, ...], broken: set[str]) -> tuple[str, str]:
    """As `run`, but void where the program as it is fails too: then no mutant was noticed."""
    # Mostly one of the shortest notices: the others need not even be collected.
    for batch in (tests[:FIRST], tests[FIRST:]):
        outcome, failed = _judge_batch(path, tree, batch, broken)
        if outcome != NOT_NOTICED:
            return outcome, failed
    return NOT_NOTICED, ""


def _judge_batch(path: Path, tree: ast.Module, tests: tuple[str, ...], broken: set[str]) -> tuple[str, str]:
    while left := tuple(test for test in tests if test not in broken):
        outcome, failed = run(path, tree, left)
        if outcome != NOTICED:
            return outcome, ""
        # Where nothing could even be collected, all of the tests are asked again.
        unchanged, _ = run(path, None, (failed,) if failed else left)
        if unchanged == NOT_NOTICED:
            return NOTICED, failed
        if failed not in left:
            return VOID, failed
        # Broken without any mutant: it says nothing, now and for the mutants to come.
        broken.add(failed)
    return NOT_NOTICED, ""


def main() -> None:
    """Draw the sample, run it, print the score."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("package", choices=sorted(TESTS))
    parser.add_argument("--sample", type=int, default=0, help="how many mutants; 0 for all")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--modules", nargs="*", default=(), help="only of these; all where none is named")
    parser.add_argument(
        "--covered", type=Path, nargs="*", default=(), help="what pytest --cov-context=test wrote"
    )
    parser.add_argument("--out", type=Path, required=True)
    arguments = parser.parse_args()
    for library in ("pytest", "hypothesis", "pydantic", "yaml", "numpy", "scipy.integrate", "typer", "rich"):
        importlib.import_module(library)
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    found = [
        (path, line, what, place)
        for path in sorted((ROOT / "assistant" / arguments.package).glob("*.py"))
        for place, (line, what) in enumerate(mutants(path))
        if not arguments.modules or path.stem in arguments.modules
    ]
    total = len(found)
    if arguments.sample and arguments.sample < total:
        found = random.Random(arguments.seed).sample(found, arguments.sample)  # noqa: S311 - a sample, no secret
    covered = Covered(arguments.covered) if arguments.covered else None
    if covered is None and run(found[0][0], None, TESTS[arguments.package])[0] != NOT_NOTICED:
        raise SystemExit("the tests fail without any mutant; nothing can be learnt from them")
    listed = {path: path.read_bytes() for path, *_ in found}
    score: Counter[str] = Counter()
    broken: set[str] = set()
    with arguments.out.open("w", encoding="utf-8") as out:
        for number, (path, line, what, place) in enumerate(found, start=1):
            tests = TESTS[arguments.package] if covered is None else covered.tests(path, line)
            outcome, failed = NOT_NOTICED, ""
            if path.read_bytes() != listed[path]:
                outcome = VOID
            elif tests:
                outcome, failed = judge(path, mutant(path, place), tests, broken)
            score[outcome] += 1
            row = {"outcome": outcome, "mutant": what, "tests": len(tests), "failed": failed}
            out.write(json.dumps(row) + "\n")
            out.flush()
            if number % 25 == 0 or number == len(found):
                valid = number - score[VOID]
                noticed = valid - score[NOT_NOTICED]
                print(f"{noticed} of {valid} noticed, {score[VOID]} void, drawn from {total}", flush=True)


if __name__ == "__main__":
    main()
