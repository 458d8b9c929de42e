"""
YAML text to plain values with the line of each, under YAML 1.2 rules.

PyYAML follows YAML 1.1, under which `010` is eight, `090` is text, `NO` is false and `1:30` is ninety.
Radials are written 010 and fixes are called NO, so scalars are resolved here, by the core schema of YAML
1.2.2 (chapter 10.3): only the plain forms null, true/false, decimal, 0o, 0x and floating point are anything
but text.

Left out on purpose: tags, anchors and aliases (a chart needs none, and an alias can expand a small file
without bound).
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

import yaml
from yaml.composer import Composer
from yaml.parser import Parser
from yaml.reader import Reader, ReaderError
from yaml.resolver import BaseResolver
from yaml.scanner import Scanner

from assistant.procedure.findings import Finding, Path, ProcedureError, field_name, shown

LONGEST_TEXT = 256 * 1024
"""Characters; the largest chart is a tenth of this."""
DEEPEST_NESTING = 32
LONGEST_NUMBER = 40
"""Characters of a number; Python refuses to convert very long ones."""

_NULL = re.compile(r"(?:null|Null|NULL|~|)\Z")
_TRUE = re.compile(r"(?:true|True|TRUE)\Z")
_FALSE = re.compile(r"(?:false|False|FALSE)\Z")
_DECIMAL = re.compile(r"[-+]?[0-9]+\Z")
_OCTAL = re.compile(r"0o[0-7]+\Z")
_HEXADECIMAL = re.compile(r"0x[0-9a-fA-F]+\Z")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?\Z")
_INFINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)\Z|\.(?:nan|NaN|NAN)\Z")


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """The plain values of a file, and the line on which each key or item stands."""

    name: str
    data: object
    lines: Mapping[Path, int]

    def line_of(self, path: Path) -> int:
        """The line of a path, or of the nearest thing around it that is written."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)


class _Refused(yaml.MarkedYAMLError):
    """A construct that we do not read, though YAML has it."""


class _Loader(Reader, Scanner, Parser, Composer, BaseResolver):
    """Composes nodes with their marks, without tags, anchors and aliases, to a limited depth."""

    def __init__(self, text: str) -> None:
        Reader.__init__(self, text)
        Scanner.__init__(self)
        Parser.__init__(self)
        Composer.__init__(self)
        BaseResolver.__init__(self)
        self._depth = 0

    def compose_node(self, parent: yaml.Node | None, index: int) -> yaml.Node | None:
        """PyYAML's hook for every node; refuses before anything is built."""
        event = self.peek_event()  # type: ignore[no-untyped-call]  # the stubs leave it untyped
        mark: yaml.Mark = event.start_mark
        if isinstance(event, yaml.AliasEvent):
            raise _Refused(problem="an alias (*) is not read here", problem_mark=mark)
        if event.anchor is not None:
            raise _Refused(problem="an anchor (&) is not read here", problem_mark=mark)
        if event.tag is not None:
            raise _Refused(problem="a tag (!) is not read here", problem_mark=mark)
        if self._depth >= DEEPEST_NESTING:
            raise _Refused(problem="nested too deeply", problem_mark=mark)
        self._depth += 1
        node = super().compose_node(parent, index)
        self._depth -= 1
        return node


def read_yaml(text: str, name: str) -> Document:
    """The document in a text; ProcedureError with every finding where it is not the YAML that we read."""
    if len(text) > LONGEST_TEXT:
        raise ProcedureError(
            (_finding(name, 1, "the file is longer than 256 KiB", "give the file of one procedure"),)
        )
    try:
        node = _Loader(text).get_single_node()
    except _Refused as error:
        line = error.problem_mark.line + 1 if error.problem_mark else 1
        raise ProcedureError((_finding(name, line, str(error.problem), "write the values out"),)) from None
    except ReaderError as error:
        line = text.count("\n", 0, error.position) + 1
        raise ProcedureError(
            (_finding(name, line, "a character that text may not hold", "save it as plain UTF-8"),)
        ) from None
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        problem = f"not YAML: {error.problem or error.context}"
        remedy = "check indentation, colons, quotes and brackets here and just above"
        raise ProcedureError((_finding(name, mark.line + 1 if mark else 1, problem, remedy),)) from None
    if node is None:
        raise ProcedureError((_finding(name, 1, "the file is empty", "begin with ident, title and edition"),))
    builder = _Builder(name)
    data = builder.value(node, ())
    if builder.findings:
        raise ProcedureError(tuple(builder.findings))
    return Document(name=name, data=data, lines=builder.lines)


def _finding(name: str, line: int, problem: str, remedy: str, path: Path = ()) -> Finding:
    return Finding(file=name, line=line, field=field_name(path), problem=problem, remedy=remedy)


class _Builder:
    """Walks composed nodes once, collecting values, lines and findings."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.lines: dict[Path, int] = {}
        self.findings: list[Finding] = []

    def value(self, node: yaml.Node, path: Path) -> object:
        line = node.start_mark.line + 1
        self.lines.setdefault(path, line)
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            return [self.value(item, (*path, index)) for index, item in enumerate(node.value)]
        if not isinstance(node, yaml.ScalarNode) or node.style is not None:
            return str(node.value)
        if len(node.value) > LONGEST_NUMBER:
            return str(node.value)
        return resolve_plain(node.value)

    def _mapping(self, node: yaml.MappingNode, path: Path) -> dict[str, object]:
        mapping: dict[str, object] = {}
        for key_node, value_node in node.value:
            line = key_node.start_mark.line + 1
            if not isinstance(key_node, yaml.ScalarNode):
                problem = "a key that is itself a list or group"
                self.findings.append(_finding(self.name, line, problem, "use a single word as the key", path))
                continue
            key = str(key_node.value)
            if key in mapping:
                problem = f"the key {shown(key)} is given twice (first on line {self.lines[*path, key]})"
                self.findings.append(_finding(self.name, line, problem, "keep one of the two", (*path, key)))
                continue
            self.lines[*path, key] = line
            mapping[key] = self.value(value_node, (*path, key))
        return mapping


def resolve_plain(text: str) -> str | float | bool | None:
    """A plain (unquoted) scalar by the core schema of YAML 1.2.2: `010` is ten, `NO` is text."""
    if _NULL.match(text):
        return None
    if _TRUE.match(text):
        return True
    if _FALSE.match(text):
        return False
    if _DECIMAL.match(text):
        return int(text)
    if _OCTAL.match(text):
        return int(text, 0)
    if _HEXADECIMAL.match(text):
        return int(text, 0)
    if _FLOAT.match(text):
        return float(text)
    if _INFINITE.match(text):
        return float(text.lower().replace(".", "", 1))
    return text
