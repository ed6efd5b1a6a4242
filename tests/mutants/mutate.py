"""Small wrong changes to a Python file: one operator, number or argument at a time.

Left alone is what cannot make a result wrong: words of any kind, raised errors, annotations,
decorators, defaults, and the quantities and fields that are declared.
"""

import ast
import copy
import hashlib
import itertools
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

# Each operator with those that may wrongly stand in its place.
SWAPS = (
    *((ast.Lt, ast.LtE, ast.Gt), (ast.LtE, ast.Lt, ast.GtE)),
    *((ast.Gt, ast.GtE, ast.Lt), (ast.GtE, ast.Gt, ast.LtE)),
    *((ast.Eq, ast.NotEq), (ast.NotEq, ast.Eq), (ast.Is, ast.IsNot), (ast.IsNot, ast.Is)),
    *((ast.In, ast.NotIn), (ast.NotIn, ast.In), (ast.And, ast.Or), (ast.Or, ast.And)),
    *((ast.Add, ast.Sub), (ast.Sub, ast.Add), (ast.Mult, ast.Div), (ast.Div, ast.Mult)),
    *((ast.FloorDiv, ast.Div), (ast.Mod, ast.Mult), (ast.Pow, ast.Mult)),
)
OPERATORS: dict[Any, Any] = {operator: others for operator, *others in SWAPS}
TWINS = (("min", "max"), ("minimum", "maximum"), ("argmin", "argmax"), ("floor", "ceil"))
TWIN = {one: other for pair in TWINS for one, other in (pair, pair[::-1])}
# Calls that declare a quantity or what it is by default: bounds and guesses, no arithmetic.
DECLARATIONS = {"quantity", "fraction", "count", "Range"}
LEFT_ALONE = (ast.Raise, ast.JoinedStr, ast.Import, ast.ImportFrom)
# Too small a piece to tell a change by.
SMALL = (ast.UnaryOp, ast.Slice, ast.Tuple)
Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True, kw_only=True)
class Mutant:
    """One wrong change: the lines it stands on, what stood there and stands there now.

    ``lines`` are those of the changed piece, ``statement`` the first of the statement around it.
    ``constants`` are the names that a statement outside every function gives a value. ``number``
    counts changes of the same words in one function.
    """

    file: str
    function: str
    lines: range
    statement: int
    was: str
    now: str
    number: int
    constants: tuple[str, ...]
    source: Callable[[], str]

    @property
    def named(self) -> tuple[str, str, str, str]:
        """What it is known by, whatever is edited around it."""
        return self.file, self.function, self.was, self.now

    @property
    def words(self) -> str:
        """Where it is and what it changes, on one line."""
        return f"{self.file}:{self.lines.start} {self.function}: `{self.was}` -> `{self.now}`"

    def rank(self, seed: int) -> str:
        """An order by chance in which a mutant keeps its place when other code is edited."""
        return hashlib.sha256(f"{seed} {self.named} {self.number}".encode()).hexdigest()


def mutants(file: Path, name: str) -> Iterator[Mutant]:
    """Every mutant of one file, which is called by the name."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    seen: Counter[tuple[str, ...]] = Counter()
    for place in _places(tree, _Around()):
        for now in _changes(place.node):
            mutant = place.mutant(tree, name, now, seen)
            seen[mutant.named] += 1
            yield mutant


@dataclass(frozen=True)
class _Around:
    """The function or class, the statement and the expression that a node stands in."""

    function: str = ""
    statement: ast.stmt | None = None
    shown: ast.AST | None = None


@dataclass(frozen=True)
class _Place:
    """Where a node hangs in the tree."""

    node: ast.expr | ast.Slice
    parent: ast.AST
    field: str
    number: int | None
    around: _Around

    def mutant(self, tree: ast.Module, name: str, now: ast.AST, seen: Counter[Any]) -> Mutant:
        """The mutant with another node in this place, told with what stands around it."""
        statement = self.around.statement
        assert statement is not None
        shown = self.around.shown
        was_words = ast.unparse(shown or self.node)
        now_words = self._while_put(now, lambda: ast.unparse(shown or now))
        named = name, self.around.function, was_words, now_words
        return Mutant(
            file=name,
            function=self.around.function,
            lines=range(self.node.lineno, (self.node.end_lineno or 0) + 1),
            statement=statement.lineno,
            was=was_words,
            now=now_words,
            number=seen[named],
            constants=() if self.around.function else tuple(_names_given(statement)),
            source=lambda: self._while_put(now, lambda: ast.unparse(tree)),
        )

    def _while_put(self, node: ast.AST, told: Callable[[], str]) -> str:
        self._put(ast.fix_missing_locations(node))
        words = told()
        self._put(self.node)
        return words

    def _put(self, node: ast.AST) -> None:
        if self.number is None:
            setattr(self.parent, self.field, node)
        else:
            getattr(self.parent, self.field)[self.number] = node


def _places(parent: ast.AST, around: _Around) -> Iterator[_Place]:
    """Every place below a node where something may be changed."""
    for field, number, node in _children(parent):
        if isinstance(node, LEFT_ALONE) or _is_left_alone(parent, field, node):
            continue
        inside = around
        if isinstance(node, Function | ast.ClassDef):
            inside = _Around(".".join(filter(None, (around.function, node.name))), node)
        elif isinstance(node, ast.stmt):
            inside = _Around(around.function, node)
        elif isinstance(parent, ast.expr) and not isinstance(parent, SMALL):
            inside = replace(around, shown=parent)
        if isinstance(node, ast.expr | ast.Slice):
            yield _Place(node, parent, field, number, inside)
        yield from _places(node, inside)


def _children(parent: ast.AST) -> Iterator[tuple[str, int | None, ast.AST]]:
    for field, value in ast.iter_fields(parent):
        if isinstance(value, list):
            yield from ((field, at, node) for at, node in enumerate(value) if _is_node(node))
        elif _is_node(value):
            yield field, None, value


def _is_node(value: object) -> bool:
    return isinstance(value, ast.AST)


def _is_left_alone(parent: ast.AST, field: str, node: ast.AST) -> bool:
    declared = isinstance(parent, ast.ClassDef) and not isinstance(node, Function)
    typed = field in ("annotation", "returns", "decorator_list", "args", "type_params")
    if isinstance(parent, ast.Call):
        return ast.unparse(parent.func) in DECLARATIONS
    return declared or typed or "TYPE_CHECKING" in _test_of(node)


def _test_of(node: ast.AST) -> str:
    return ast.unparse(node.test) if isinstance(node, ast.If) else ""


def _names_given(statement: ast.stmt) -> Iterator[str]:
    for node in ast.walk(statement):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id


def _changes(node: ast.AST) -> Iterator[ast.AST]:
    """Each node that may wrongly stand in the place of this one."""
    if isinstance(node, ast.Compare):
        for place, operator in enumerate(node.ops):
            for other in OPERATORS[type(operator)]:
                yield _with(node, ops=[*node.ops[:place], other(), *node.ops[place + 1 :]])
    elif isinstance(node, ast.BoolOp | ast.BinOp) and not _is_words(node):
        yield from (_with(node, op=other()) for other in OPERATORS.get(type(node.op), ()))
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield node.operand
    elif isinstance(node, ast.Constant):
        if type(node.value) in (int, float) and node.value in (0, 1):
            yield ast.Constant(1 - node.value)
    elif isinstance(node, ast.Name) and node.id in TWIN:
        yield _with(node, id=TWIN[node.id])
    elif isinstance(node, ast.Attribute) and node.attr in TWIN:
        yield _with(node, attr=TWIN[node.attr])
    elif isinstance(node, ast.Slice):
        for field, bound in (("lower", node.lower), ("upper", node.upper)):
            if bound is not None:
                yield _with(node, **{field: ast.BinOp(bound, ast.Add(), ast.Constant(1))})
    elif isinstance(node, ast.Call):
        yield from _swapped(node)


def _swapped(call: ast.Call) -> Iterator[ast.Call]:
    """The call with two neighbouring arguments exchanged, if their names end in the same unit."""
    for place, (one, two) in enumerate(itertools.pairwise(call.keywords)):
        same_unit = one.arg and two.arg and one.arg.split("_")[-1] == two.arg.split("_")[-1]
        if same_unit and ast.dump(one.value) != ast.dump(two.value):
            pair = [ast.keyword(one.arg, two.value), ast.keyword(two.arg, one.value)]
            yield _with(call, keywords=[*call.keywords[:place], *pair, *call.keywords[place + 2 :]])


def _is_words(node: ast.AST) -> bool:
    """Whether words are joined."""
    return any(
        isinstance(side, ast.JoinedStr | ast.Constant) and not isinstance(_value(side), int | float)
        for side in ast.iter_child_nodes(node)
    )


def _value(node: ast.AST) -> Any:
    return getattr(node, "value", None)


def _with(node: Any, **changes: Any) -> Any:
    changed = copy.copy(node)
    for field, value in changes.items():
        setattr(changed, field, value)
    return changed
