"""Which tests run which statement, read from what pytest-cov wrote."""

import ast
import statistics
from collections import Counter, defaultdict
from pathlib import Path

# So many of the shortest tests come first, whatever file they are in: mostly one of them notices.
SHORTEST = 25


class Covered:
    """The tests of every statement, from one or more data files of pytest-cov with `--cov-context=test`."""

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

    def tests(self, path: Path, text: str, line: int) -> tuple[str, ...]:
        """The tests that run the statement at a line, cheap ones first; of a constant, the module's."""
        by_line = self._data.contexts_by_lineno(str(path))
        first, last = _statement(text, line)
        found = {name for at in range(first, last + 1) for name in by_line.get(at, ()) if name}
        if not found and "" in by_line.get(first, ()):
            # A module without a function of its own is everybody's; and a default or a table, which no line
            # of a function names, is tested under the module's name.
            own = f"/test_{path.stem}.py::"
            found = {name for names in by_line.values() for name in names if name} or set(self._size) - {""}
            found |= {name for name in self._size if own in name}
        size: dict[str, int] = defaultdict(int)
        for name in found:
            size[name.rpartition("|")[0]] += self._size[name]
        shortest = sorted(size, key=lambda test: (size[test], test))
        # The others file by file, since what a file's tests share is made once for all of them.
        files: dict[str, list[int]] = defaultdict(list)
        for test in shortest[SHORTEST:]:
            files[test.partition("::")[0]].append(size[test])
        middle = {file: statistics.median(sizes) for file, sizes in files.items()}
        others = sorted(
            shortest[SHORTEST:],
            key=lambda test: (middle[test.partition("::")[0]], test.partition("::")[0], size[test], test),
        )
        return (*shortest[:SHORTEST], *others)


def _statement(text: str, line: int) -> tuple[int, int]:
    """The lines of the innermost statement at a line; of one with a body, its head alone."""
    first, last = line, line
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.stmt) and node.lineno <= line <= _head_end(node):
            first, last = node.lineno, _head_end(node)
    return first, last


def _head_end(node: ast.stmt) -> int:
    body = getattr(node, "body", None)
    return max(body[0].lineno - 1, node.lineno) if body else node.end_lineno or node.lineno
