"""
Mutation testing: change one thing in the program, and see whether any test notices.

    COVERAGE_FILE=a.cov python -m pytest tests/engine tests/golden tests/debrief tests/properties \
        tests/simulation tests/test_*.py --cov=assistant.engine --cov-context=test --cov-report=
    python tools/mutation.py engine --covered a.cov --sample 300 --out mutants-engine.jsonl

A mutant swaps a comparison, an arithmetic or logical operator, moves a number, turns a condition or a sign
round. Text is left alone: a misspelt message is no wrong sum. All mutants of a package are listed, a sample
of a fixed seed is drawn (0: all), and of each only the tests that run the changed statement are run
(`--covered`: what pytest-cov wrote), cheap ones first, up to the first failure; a statement that none runs
counts as not noticed. Nothing on the disk is changed. One line a mutant goes to the output, so that a run can
be stopped and read at any time. Mutants of which a run has told already (`--leave-out`: its output) are not
drawn again: tests may have been written for them, and a sample shall tell of the others. A sample may be
shared out (`--part 2 6`: the second of six parts), each part a process with an output of its own.

One process collects all tests once; for each mutant it is forked, and the changed function, or the changed
constants of the module wherever they were imported to, are put in place of the loaded ones. What is neither
(a default, a field of a class) wants a fresh import: such a mutant is run in a process of its own, which
collects its tests again.

A failure counts only where the same test passes without the mutant; so does a test that does not end. Others
may be changing the tree meanwhile: the first kind does not see it, and of the second kind a module that is no
longer the one listed is void, no part of the score.
"""

import argparse
import ast
import functools
import gc
import importlib
import importlib.abc
import importlib.util
import json
import os
import random
import signal
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from inspect import CO_OPTIMIZED
from pathlib import Path
from types import CodeType, FunctionType

from mutant_tests import SHORTEST, Covered
from mutants import Mutant, mutants

ROOT = Path(__file__).resolve().parent.parent
TESTS = {
    "nav": ("tests/nav", "tests/sums", "tests/golden", "tests/engine"),
    "engine": ("tests/engine", "tests/golden", "tests/debrief", "tests/properties", "tests/simulation"),
}
# Their plan is made as they are collected, before any mutant: what fails there is asked again afresh.
MADE_AT_IMPORT = ("tests/properties/test_speech_queue.py", "tests/properties/test_logged_flights.py")
# Of the processor's time, since a run may be halted for a while; no test takes half of it.
TEST_LIMIT_S = 60.0
NOT_NOTICED, NOTICED, TOO_LONG, VOID, NO_FUNCTION = "survived", "killed", "timeout", "void", "no function"
Run = Callable[[Path, Mutant | None, tuple[str, ...]], tuple[str, str]]
QUIET = ("-q", "-s", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning")


class NoFunctionError(Exception):
    """The mutant changes what runs as the module is imported."""


class Mutated(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives the changed module in place of the file's."""

    def __init__(self, path: Path, mutant: Mutant) -> None:
        self.name = module_name(path)
        self.path, self.mutant = path, mutant

    def find_spec(self, fullname: str, path: object, target: object = None) -> object:  # noqa: ARG002 - the protocol's
        """The changed module's spec, for it alone."""
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.path, loader=self)

    def create_module(self, spec: object) -> None:
        """An ordinary module."""

    def exec_module(self, module: object) -> None:
        """Run the changed module."""
        exec(compile(self.mutant.tree(), str(self.path), "exec"), module.__dict__)  # noqa: S102 - what this is for


def changed_functions(before: CodeType, after: CodeType) -> Iterator[tuple[CodeType, CodeType]]:
    """The functions that differ between two compilations; NoFunctionError where anything else does."""
    if before == after:
        return
    if before.co_flags & CO_OPTIMIZED:
        yield before, after
        return
    pairs = [code for code in zip(before.co_consts, after.co_consts, strict=False) if code[0] != code[1]]
    same_consts = len(before.co_consts) == len(after.co_consts)
    if before.co_code != after.co_code or before.co_names != after.co_names or not same_consts:
        raise NoFunctionError
    for one, other in pairs:
        if not (isinstance(one, CodeType) and isinstance(other, CodeType)):
            raise NoFunctionError
        yield from changed_functions(one, other)


def changed_constants(path: Path, mutant: Mutant) -> dict[str, tuple[object, object]]:
    """The module's constants before and after; NoFunctionError where anything but one assignment differs."""
    before, after = ast.parse(mutant.text), mutant.tree()
    differing = [
        one for one, other in zip(before.body, after.body, strict=True) if ast.dump(one) != ast.dump(other)
    ]
    if len(differing) != 1 or not isinstance(differing[0], ast.Assign | ast.AnnAssign):
        raise NoFunctionError
    values: list[dict[str, object]] = []
    for tree in (before, after):
        namespace: dict[str, object] = {"__name__": module_name(path)}
        exec(compile(tree, str(path), "exec"), namespace)  # noqa: S102 - what this is for
        values.append(namespace)
    plain = (int, float, str, tuple, dict, frozenset, list, set)
    return {
        name: (value, values[1][name])
        for name, value in values[0].items()
        if isinstance(value, plain) and not name.startswith("__") and value != values[1][name]
    }


def key(path: Path, mutant: Mutant) -> tuple[str, str, str]:
    """What a mutant is known by, though lines are put in before it: module, source line, change."""
    return str(path.relative_to(ROOT)), mutant.text.splitlines()[mutant.line - 1].strip(), mutant.what


def judged(outputs: list[Path]) -> set[tuple[str, str, str]]:
    """The mutants of which earlier runs have told."""
    rows = [json.loads(line) for path in outputs for line in path.read_text(encoding="utf-8").splitlines()]
    return {(row["path"], row["code"], row["what"]) for row in rows}


def module_name(path: Path) -> str:
    """As it is imported."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


class Collected:
    """Within pytest, in place of its loop: waits for requests, and forks a child for each."""

    def __init__(self, requests: int, answers: int) -> None:
        self._requests, self._answers, self._failures = requests, answers, -1
        self._loaded: dict[tuple[str, str, int], list[FunctionType]] = defaultdict(list)
        self._caches: list[functools._lru_cache_wrapper[object]] = []

    def pytest_runtestloop(self, session: object) -> bool:
        """Answer until there are no more requests."""
        for thing in gc.get_objects():
            if type(thing) is FunctionType:
                code = thing.__code__
                self._loaded[code.co_filename, code.co_qualname, code.co_firstlineno].append(thing)
            elif isinstance(thing, functools._lru_cache_wrapper):  # noqa: SLF001 - it has no public name
                self._caches.append(thing)
        items = {item.nodeid: item for item in session.items}
        with os.fdopen(self._requests, encoding="utf-8") as requests:
            for line in requests:
                path, mutant, tests = json.loads(line)
                chosen = [items[test] for test in tests if test in items]
                answer = self._answer(Path(path), None if mutant is None else Mutant(*mutant), chosen)
                os.write(self._answers, (json.dumps(answer) + "\n").encode())
        return True

    def _answer(self, path: Path, mutant: Mutant | None, items: list[object]) -> tuple[str, str]:
        pairs: list[tuple[CodeType, CodeType]] = []
        constants: dict[str, tuple[object, object]] = {}
        if mutant is not None:
            before, after = (compile(code, str(path), "exec") for code in (mutant.text, mutant.tree()))
            try:
                pairs = list(changed_functions(before, after))
            except NoFunctionError:
                try:
                    constants = changed_constants(path, mutant)
                except NoFunctionError:
                    return NO_FUNCTION, ""
        changes = functools.partial(self._change, path, pairs, constants)
        return in_a_child(lambda failures: self._run(changes, items, failures))

    def _change(
        self,
        path: Path,
        pairs: list[tuple[CodeType, CodeType]],
        constants: dict[str, tuple[object, object]],
    ) -> None:
        for before, after in pairs:
            key = before.co_filename, before.co_qualname, before.co_firstlineno
            for function in self._loaded[key]:
                function.__code__ = after
        home = vars(sys.modules[module_name(path)]) if constants else {}
        loaded = {name: home[name] for name in constants}
        for module in list(sys.modules.values()):
            here = getattr(module, "__dict__", {})
            for name, (_, value) in constants.items():
                if here.get(name) is loaded[name]:
                    here[name] = value

    def _run(self, change: Callable[[], None], items: list[object], failures: int) -> None:
        change()
        for cache in self._caches:
            cache.cache_clear()
        self._failures = failures
        for number, item in enumerate(items):
            following = items[number + 1] if number + 1 < len(items) else None
            say(failures, "begun", item.nodeid)
            signal.setitimer(signal.ITIMER_PROF, TEST_LIMIT_S)
            item.ihook.pytest_runtest_protocol(item=item, nextitem=following)

    def pytest_runtest_logreport(self, report: object) -> None:
        """The first failure is all that is wanted to know."""
        if self._failures >= 0 and getattr(report, "failed", False):
            say(self._failures, "failed", report.nodeid)
            os._exit(1)


class Afresh:
    """A run of pytest that imports and collects for itself; as `Collected` it tells of the first failure."""

    def __init__(self, failures: int) -> None:
        self._failures = failures

    def pytest_runtest_setup(self, item: object) -> None:
        """No test may go on for ever."""
        say(self._failures, "begun", item.nodeid)
        signal.setitimer(signal.ITIMER_PROF, TEST_LIMIT_S)

    def pytest_runtest_logreport(self, report: object) -> None:
        """Any part of a test: its fixtures too."""
        if getattr(report, "failed", False):
            say(self._failures, "failed", report.nodeid)


def say(pipe: int, what: str, test: str) -> None:
    """One line to the parent."""
    os.write(pipe, f"{what} {test}\n".encode())


def in_a_child(work: Callable[[int], int | None]) -> tuple[str, str]:
    """What came of work that was done in a forked child, and the test that failed or did not end."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        status = 1
        try:
            silence = os.open(os.devnull, os.O_WRONLY)
            os.dup2(silence, 1)
            os.dup2(silence, 2)
            status = int(work(writing) or 0)
        finally:
            os._exit(1 if status else 0)
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8") as lines:
        said = [line.rstrip("\n").partition(" ") for line in lines]
    _, status = os.waitpid(child, 0)
    failed = next((test for what, _, test in said if what == "failed"), "")
    if os.WIFSIGNALED(status):
        last = next((test for what, _, test in reversed(said) if what == "begun"), "")
        return TOO_LONG, failed or last
    return (NOTICED if status else NOT_NOTICED), failed


class Runner:
    """Runs tests with a mutant in place, or without one."""

    def __init__(self, package: str) -> None:
        self._broken: set[str] = set()
        requests_in, requests = os.pipe()
        answers, answers_out = os.pipe()
        self._child = os.fork()
        if self._child == 0:
            os.close(requests)
            os.close(answers)
            import pytest  # noqa: PLC0415 - loaded before the fork

            files = [str(path) for path in sorted(Path("tests").glob("test_*.py"))]
            os._exit(pytest.main([*QUIET, *TESTS[package], *files], [Collected(requests_in, answers_out)]))
        os.close(requests_in)
        os.close(answers_out)
        self._requests = os.fdopen(requests, "w", encoding="utf-8")
        self._answers = os.fdopen(answers, encoding="utf-8")

    def collected(self, path: Path, mutant: Mutant | None, tests: tuple[str, ...]) -> tuple[str, str]:
        """What came of tests that were collected before the mutant; NO_FUNCTION where that will not do."""
        self._requests.write(json.dumps((str(path), mutant, tests)) + "\n")
        self._requests.flush()
        outcome, failed = json.loads(self._answers.readline())
        return outcome, failed

    def afresh(self, path: Path, mutant: Mutant | None, tests: tuple[str, ...]) -> tuple[str, str]:
        """What came of tests in a process that imports for itself."""

        def work(failures: int) -> int:
            import pytest  # noqa: PLC0415 - loaded before the fork

            if mutant is not None:
                sys.meta_path.insert(0, Mutated(path, mutant))
            return int(pytest.main(["-x", *QUIET, *tests], [Afresh(failures)]))

        return in_a_child(work)

    def judge(self, path: Path, mutant: Mutant, tests: tuple[str, ...]) -> tuple[str, str]:
        """Whether the tests notice a mutant, and which first; void where they fail without it too."""
        run = self.collected
        while tests := tuple(test for test in tests if test not in self._broken):
            outcome, failed = run(path, mutant, tests)
            if outcome == NO_FUNCTION or (run == self.collected and failed.startswith(MADE_AT_IMPORT)):
                if path.read_text(encoding="utf-8") != mutant.text:
                    return VOID, ""
                run = self._in_two
                continue
            if outcome == NOT_NOTICED or self._passes_without(run, path, failed, tests):
                return outcome, failed
            if failed not in tests:
                return VOID, failed
            # Broken without any mutant: it says nothing, now and for those to come. The ones before passed.
            self._broken.add(failed)
            tests = tests[tests.index(failed) + 1 :]
        return NOT_NOTICED, ""

    def _passes_without(self, run: Run, path: Path, failed: str, tests: tuple[str, ...]) -> bool:
        return run(path, None, (failed,) if failed else tests)[0] == NOT_NOTICED

    def _in_two(self, path: Path, mutant: Mutant | None, tests: tuple[str, ...]) -> tuple[str, str]:
        """Afresh; mostly one of the shortest notices, and the others need not even be collected."""
        for batch in (tests[:SHORTEST], tests[SHORTEST:]):
            if batch:
                outcome, failed = self.afresh(path, mutant, batch)
                if outcome != NOT_NOTICED:
                    return outcome, failed
        return NOT_NOTICED, ""

    def close(self) -> None:
        """No more requests."""
        self._requests.close()
        os.waitpid(self._child, 0)


def main() -> None:
    """Draw the sample, run it, print the score."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("package", choices=sorted(TESTS))
    parser.add_argument("--sample", type=int, default=0, help="how many mutants; 0 for all")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--modules", nargs="*", default=(), help="only of these; all where none is named")
    parser.add_argument("--covered", type=Path, nargs="+", required=True, help="what pytest-cov wrote")
    parser.add_argument("--part", type=int, nargs=2, default=(1, 1), help="which part of how many")
    parser.add_argument("--leave-out", type=Path, nargs="*", default=(), help="what earlier runs wrote")
    parser.add_argument("--out", type=Path, required=True)
    arguments = parser.parse_args()
    covered = Covered([path.resolve() for path in arguments.covered])
    out_path = arguments.out.resolve()
    left_out = judged(arguments.leave_out)
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    for library in ("pytest", "hypothesis", "pydantic", "yaml", "numpy", "scipy.integrate", "typer", "rich"):
        importlib.import_module(library)
    hypothesis = importlib.import_module("hypothesis")
    # What fails with a mutant is no example to be kept for the program as it is.
    hypothesis.settings.register_profile("mutation", database=None)
    hypothesis.settings.load_profile("mutation")
    found = [
        (path, one)
        for path in sorted((ROOT / "assistant" / arguments.package).glob("*.py"))
        if not arguments.modules or path.stem in arguments.modules
        for one in mutants(path.read_text(encoding="utf-8"))
        if key(path, one) not in left_out
    ]
    total = len(found)
    if arguments.sample and arguments.sample < total:
        found = random.Random(arguments.seed).sample(found, arguments.sample)  # noqa: S311 - a sample, no secret
    part, parts = arguments.part
    found = found[part - 1 :: parts]
    runner = Runner(arguments.package)
    score: Counter[str] = Counter()
    with out_path.open("w", encoding="utf-8") as out:
        for number, (path, mutant) in enumerate(found, start=1):
            begun_s = time.monotonic()
            tests = covered.tests(path, mutant.text, mutant.line)
            outcome, failed = runner.judge(path, mutant, tests) if tests else (NOT_NOTICED, "")
            score[outcome] += 1
            module, code, what = key(path, mutant)
            row = {
                "outcome": outcome,
                "mutant": f"{module}:{mutant.line}: {mutant.what}",
                "path": module,
                "code": code,
                "what": what,
                "tests": len(tests),
                "failed": failed,
                "took_s": round(time.monotonic() - begun_s, 1),
            }
            out.write(json.dumps(row) + "\n")
            out.flush()
            if number % 25 == 0 or number == len(found):
                valid = number - score[VOID]
                noticed = valid - score[NOT_NOTICED]
                print(f"{noticed} of {valid} noticed, {score[VOID]} void, drawn from {total}", flush=True)
    runner.close()


if __name__ == "__main__":
    main()
