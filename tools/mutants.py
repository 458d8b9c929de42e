"""Every mutant of a module: one comparison, operator, number, condition or sign changed."""

import ast
import copy
from collections.abc import Iterator
from typing import NamedTuple

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


class Mutant(NamedTuple):
    """One change: the module's text, the line, the change in words, and its place in the order of them."""

    text: str
    line: int
    what: str
    place: int

    def tree(self) -> ast.Module:
        """The changed module."""
        tree, left = ast.parse(self.text), self.place
        for parent, field, position, child in list(places(tree)):
            for changed in variants(child):
                if left == 0:
                    _put(parent, field, position, changed)
                    return ast.fix_missing_locations(tree)
                left -= 1
        raise IndexError(f"there is no such mutant: {self.what}")


def mutants(text: str) -> Iterator[Mutant]:
    """Every mutant of a module, in an order that stays for the same source."""
    place = 0
    for _, _, _, child in places(ast.parse(text)):
        for changed in variants(child):
            before = ast.unparse(child).splitlines()[0]
            after = ast.unparse(ast.fix_missing_locations(changed)).splitlines()[0]
            yield Mutant(text, getattr(child, "lineno", 0), f"{before}  ->  {after}", place)
            place += 1


def _put(parent: ast.AST, field: str, position: int | None, child: ast.AST) -> None:
    if position is None:
        setattr(parent, field, child)
    else:
        getattr(parent, field)[position] = child
