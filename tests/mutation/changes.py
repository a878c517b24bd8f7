"""The small faults that are put into a module, one at a time, to see whether a test notices.

Left alone on purpose: annotations, decorators, imports, docstrings, the words of a refusal, and the `strict` of zip.
"""

import ast
import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass

SIGNS: dict[type, tuple[type, ...]] = {
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.FloorDiv: (ast.Div,),
    ast.Mod: (ast.Mult,),
    ast.Pow: (ast.Mult,),
    ast.BitAnd: (ast.BitOr,),
    ast.BitOr: (ast.BitAnd,),
    ast.BitXor: (ast.BitOr,),
    ast.LShift: (ast.RShift,),
    ast.RShift: (ast.LShift,),
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
}
OTHER_NAMES = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}
ORDER_IS_NOTHING = {"min", "max", "minimum", "maximum", "isclose", "hypot", "gcd"}
ONLY_A_TYPE = {
    "float",
    "int",
    "str",
    "bool",
    "tuple",
    "list",
    "set",
    "frozenset",
    "dict",
    "range",
    "enumerate",
    "zip",
}
GUARDS = {"within", "above", "whole"}
NOT_CHANGED = {"annotation", "returns", "decorator_list"}
TOLERANCE = 1e-3


@dataclass(frozen=True)
class Mutant:
    """One fault: where it is, what stood there and what stands there now."""

    scope: str
    line: int
    before: str
    after: str
    place: int
    at_import: bool
    put_in: Callable[[], None]

    @property
    def name(self) -> str:
        """The same from run to run, whatever else in the file has moved."""
        again = f" [{self.place}]" if self.place > 1 else ""
        return f"{self.scope}: {self.before} -> {self.after}{again}"


def mutants(tree: ast.Module) -> Iterator[Mutant]:
    """Every fault of a module; each changes the tree itself when it is put in."""
    seen: dict[tuple[str, str, str], int] = {}
    for parent, field, index, node, scope, inside in _walk(tree, "", inside=False):
        if isinstance(node, ast.Call) and isinstance(parent, ast.Expr):
            continue  # the whole statement goes
        for after in _changes(node):
            shown = _shown(node), _shown(after)
            place = seen[(scope, *shown)] = seen.get((scope, *shown), 0) + 1
            line = getattr(node, "lineno", getattr(parent, "lineno", 0))
            yield Mutant(scope, line, *shown, place, not inside, _setter(parent, field, index, node, after))


def _setter(
    parent: ast.AST, field: str, index: int | None, node: ast.AST, after: ast.AST
) -> Callable[[], None]:
    def put_in() -> None:
        ast.copy_location(after, node)
        if index is None:
            setattr(parent, field, after)
        else:
            getattr(parent, field)[index] = after
        ast.fix_missing_locations(parent)

    return put_in


def _shown(node: ast.AST) -> str:
    if isinstance(node, ast.operator | ast.cmpop | ast.boolop):
        return type(node).__name__
    return " ".join(ast.unparse(node).split())


def _walk(
    node: ast.AST, scope: str, *, inside: bool
) -> Iterator[tuple[ast.AST, str, int | None, ast.AST, str, bool]]:
    if isinstance(node, ast.FunctionDef | ast.ClassDef) and not inside:
        scope = f"{scope}.{node.name}".lstrip(".")
        inside = isinstance(node, ast.FunctionDef)
    for field, value in ast.iter_fields(node):
        if field in NOT_CHANGED:
            continue
        for index, child in enumerate(value) if isinstance(value, list) else ((None, value),):
            if not isinstance(child, ast.AST) or _left_alone(node, field, index, child):
                continue
            yield node, field, index, child, scope, inside
            if not isinstance(child, ast.Raise):
                yield from _walk(child, scope, inside=inside)


def _left_alone(parent: ast.AST, field: str, index: int | None, child: ast.AST) -> bool:
    if isinstance(child, ast.Import | ast.ImportFrom):
        return True
    if isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant):
        return True
    if isinstance(parent, ast.JoinedStr) and isinstance(child, ast.Constant):
        return True
    if isinstance(parent, ast.FormattedValue) and field == "format_spec":
        return True
    if isinstance(child, ast.keyword):
        return child.arg == "strict"
    if isinstance(parent, ast.Call) and _called(parent) in GUARDS and field == "args":
        return index in (0, 4)
    return False


def _changes(node: ast.AST) -> Iterator[ast.AST]:
    if type(node) in SIGNS:
        yield from (other() for other in SIGNS[type(node)])
    elif isinstance(node, ast.Constant):
        yield from map(ast.Constant, _other_values(node.value))
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield copy.deepcopy(node.operand)
    elif isinstance(node, ast.Call):
        yield from _other_calls(node)
    elif isinstance(node, ast.stmt | ast.IfExp):
        yield from _other_statements(node)


def _other_statements(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.If | ast.IfExp | ast.While):
        if not isinstance(node.test, ast.Compare | ast.BoolOp | ast.UnaryOp | ast.Constant):
            turned = copy.deepcopy(node)
            turned.test = ast.UnaryOp(ast.Not(), turned.test)
            yield turned
    elif isinstance(node, ast.Return) and node.value is not None and not _is_none(node.value):
        yield ast.Return(ast.Constant(None))
    elif isinstance(node, ast.Raise) or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Call)):
        yield ast.Pass()
    elif isinstance(node, ast.Break):
        yield ast.Continue()
    elif isinstance(node, ast.Continue):
        yield ast.Break()


def _other_values(value: object) -> Iterator[object]:
    if isinstance(value, bool):
        yield not value
    elif isinstance(value, int | float) and value == int(value):
        yield value + 1
        yield value - 1
    elif isinstance(value, float) and abs(value) < TOLERANCE:
        yield 1000 * value
        yield 0.0
    elif isinstance(value, float):
        yield float(f"{1.1 * value:.9g}")
        yield float(f"{0.9 * value:.9g}")
    elif isinstance(value, str):
        yield "" if value else "x"


def _other_calls(call: ast.Call) -> Iterator[ast.AST]:
    name = _called(call)
    if name in OTHER_NAMES:
        other = copy.deepcopy(call)
        if isinstance(other.func, ast.Name):
            other.func.id = OTHER_NAMES[name]
        elif isinstance(other.func, ast.Attribute):
            other.func.attr = OTHER_NAMES[name]
        yield other
    plain = [each for each in call.args if not isinstance(each, ast.Starred)]
    if not plain or name in ONLY_A_TYPE or name[:1].isupper():
        return
    if not isinstance(plain[0], ast.GeneratorExp):
        yield copy.deepcopy(plain[1] if name in GUARDS else plain[0])
    if len(plain) > 1 and name not in ORDER_IS_NOTHING | GUARDS and len(plain) == len(call.args):
        swapped = copy.deepcopy(call)
        swapped.args[:2] = swapped.args[1::-1]
        yield swapped


def _called(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")


def _is_none(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value is None
