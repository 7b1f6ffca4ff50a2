"""The condition language of rules, cautions and questions: small, safe, and honest about what is not known.

`'sheep' in species and grain_in_bed`, `space_ratio < 1`, `turned_by == 'pigs' and not pigs_allowed`.
A condition is true, false or not yet known (None). It is known as soon as the facts at hand settle it:
`False and x` is false whatever x will be (Kleene's three-valued logic).

Allowed: and, or, not; < <= > >= == != (chained too); in, not in; + - * /, unary minus; names of facts;
numbers, 'strings', [lists] after `in`, true, false; and calls to the functions in FUNCTIONS, of which
known(name) alone always has an answer. Everything else is refused, with the column it stands in.
"""

from __future__ import annotations

import ast
import difflib
import math
import operator
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from advisor.reasoning.neighbours import neighbours

__all__ = ["FUNCTIONS", "Condition", "ConditionError", "Facts", "Kind", "compile_condition", "neighbours"]

Facts = Mapping[str, object]
Kind = Literal["flag", "number", "text", "list", "date", "any"]
Step = Callable[[Facts], Any]

MOST_CHARACTERS = 400
MOST_NODES = 100
MOST_DEPTH = 20

#: pure functions over numbers that a condition may call; known(name) is apart, as it reads a name
FUNCTIONS: Mapping[str, Callable[..., float]] = {"min": min, "max": max, "abs": abs}

_TRUTH_WORDS = {"true": True, "false": False}
_ARITHMETIC: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}
_ORDER: dict[type[ast.cmpop], Callable[[Any, Any], bool]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
}
_EQUAL: dict[type[ast.cmpop], Callable[[Any, Any], bool]] = {ast.Eq: operator.eq, ast.NotEq: operator.ne}
_KIND_WORDS = {
    "flag": "a yes or no",
    "number": "a number",
    "text": "a word",
    "list": "a list",
    "date": "a date",
}
_REFUSED = {
    ast.Attribute: "dots are not used here",
    ast.Subscript: "square brackets make lists, they do not look things up",
    ast.IfExp: "if and else are not used here",
    ast.List: "a list may stand only after in or not in",
    ast.JoinedStr: "f-strings are not used here",
    ast.NamedExpr: ":= is not used here",
}


class ConditionError(Exception):
    """A condition that cannot be used: what is wrong, and the 1-based column where."""

    def __init__(self, message: str, column: int) -> None:
        self.message = message
        self.column = column
        super().__init__(f"column {column}: {message}")


@dataclass(frozen=True)
class Condition:
    """A compiled condition. Calling it never raises: a fact of the wrong kind counts as not known."""

    text: str
    names: frozenset[str]
    tree: ast.expr
    _run: Step

    def __call__(self, facts: Facts) -> bool | None:
        found: bool | None = self._run(facts)
        return found


def compile_condition(text: str, kinds: Mapping[str, Kind] | None = None) -> Condition:
    """Compile a condition. With `kinds` (fact name -> kind) unknown names and kinds that clash are refused.

    Raises ConditionError and nothing else.
    """
    if len(text) > MOST_CHARACTERS:
        raise ConditionError(f"longer than {MOST_CHARACTERS} characters: split it", MOST_CHARACTERS)
    flat = "".join(" " if char.isspace() else char for char in text)
    compiler = _Compiler(flat.lstrip(), len(flat) - len(flat.lstrip()), kinds)
    tree = compiler.parse()
    run = compiler.truth(tree, 1)
    return Condition(text.strip(), frozenset(compiler.names), tree, run)


class _Compiler:
    """Turns the tree into nested functions from facts to a value, or None where it is not known."""

    def __init__(self, text: str, indent: int, kinds: Mapping[str, Kind] | None) -> None:
        self.text = text
        self.indent = indent
        self.kinds = kinds
        self.names: set[str] = set()

    def parse(self) -> ast.expr:
        if not self.text:
            raise ConditionError("there is no condition here", 1)
        if "\0" in self.text:
            raise ConditionError("a NUL character cannot stand here", self.text.index("\0") + 1 + self.indent)
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                tree = ast.parse(self.text, mode="eval").body
        except SyntaxError as fault:
            column = min(fault.offset or len(self.text) + 1, len(self.text) + 1) + self.indent
            raise ConditionError(f"not readable as a condition: {fault.msg}", column) from None
        except (ValueError, RecursionError, MemoryError, OverflowError, Warning):
            raise ConditionError("not readable as a condition", 1) from None
        end = self.characters(tree.end_col_offset or 0)
        if comment := self.text[end:].strip(" )"):
            column = self.text.index(comment, end) + 1 + self.indent
            raise ConditionError("a comment cannot stand here", column)
        if sum(isinstance(node, ast.expr) for node in ast.walk(tree)) > MOST_NODES:
            raise ConditionError(f"more than {MOST_NODES} parts: split it", 1)
        return tree

    def characters(self, offset: int) -> int:
        """Python counts columns in bytes; people count characters."""
        return len(self.text.encode()[:offset].decode(errors="ignore"))

    def refuse(self, node: ast.expr, message: str) -> ConditionError:
        return ConditionError(message, self.characters(node.col_offset) + 1 + self.indent)

    def truth(self, node: ast.expr, depth: int) -> Step:
        """A part that must be a yes or no."""
        step, kind = self.build(node, depth)
        if kind not in ("flag", "any"):
            raise self.refuse(node, f"this is {_KIND_WORDS[kind]} where a yes or no is needed")
        return step if kind == "flag" and not isinstance(node, ast.Name) else _only(bool, step)

    def number(self, node: ast.expr, depth: int) -> Step:
        """A part that must be a number."""
        step, kind = self.build(node, depth)
        if kind not in ("number", "any"):
            raise self.refuse(node, f"this is {_KIND_WORDS[kind]} where a number is needed")
        return lambda facts: _as_number(step(facts))

    def build(self, node: ast.expr, depth: int) -> tuple[Step, Kind]:
        """The function for a part, and its kind as far as the text alone tells it."""
        if depth > MOST_DEPTH:
            raise self.refuse(node, f"nested deeper than {MOST_DEPTH}")
        match node:
            case ast.BoolOp(op=op, values=values):
                parts = [self.truth(value, depth + 1) for value in values]
                return (_all_of(parts) if isinstance(op, ast.And) else _any_of(parts)), "flag"
            case ast.UnaryOp(op=ast.Not(), operand=operand):
                return _negated(self.truth(operand, depth + 1)), "flag"
            case ast.UnaryOp(op=ast.USub(), operand=operand):
                return _applied(operator.neg, [self.number(operand, depth + 1)]), "number"
            case ast.BinOp(op=op, left=left, right=right) if type(op) in _ARITHMETIC:
                sides = [self.number(left, depth + 1), self.number(right, depth + 1)]
                return _applied(_ARITHMETIC[type(op)], sides), "number"
            case ast.Compare(left=left, ops=ops, comparators=rights):
                lefts = [left, *rights[:-1]]
                links = [self.compare(*link, depth) for link in zip(lefts, ops, rights, strict=True)]
                return (links[0] if len(links) == 1 else _all_of(links)), "flag"
            case ast.Call(func=ast.Name(id=name), args=args, keywords=[]):
                return self.call(node, name, args, depth)
            case ast.Name(id=name):
                return self.name(node, name)
            case ast.Constant(value=value):
                return self.constant(node, value)
        raise self.refuse(node, _REFUSED.get(type(node), "this is not part of the condition language"))

    def name(self, node: ast.expr, name: str) -> tuple[Step, Kind]:
        if name in _TRUTH_WORDS:
            fixed = _TRUTH_WORDS[name]
            return (lambda facts: fixed), "flag"
        if self.kinds is not None and name not in self.kinds:
            close = difflib.get_close_matches(name, self.kinds, 1)
            hint = f"; did you mean '{close[0]}'?" if close else ""
            raise self.refuse(node, f"no fact is called '{name}'{hint}")
        self.names.add(name)
        return (lambda facts: facts.get(name)), self.kinds[name] if self.kinds is not None else "any"

    def constant(self, node: ast.expr, value: object) -> tuple[Step, Kind]:
        if isinstance(value, bool):
            return (lambda facts: value), "flag"
        if isinstance(value, str):
            return (lambda facts: value), "text"
        number = _as_number(value)
        if number is None:
            raise self.refuse(node, "only finite numbers, 'words', true and false may stand here")
        return (lambda facts: number), "number"

    def call(self, node: ast.expr, name: str, args: list[ast.expr], depth: int) -> tuple[Step, Kind]:
        if name == "known":
            if len(args) != 1 or not isinstance(args[0], ast.Name) or args[0].id in _TRUTH_WORDS:
                raise self.refuse(node, "known() takes the name of one fact")
            step, _ = self.name(args[0], args[0].id)
            return (lambda facts: step(facts) is not None), "flag"
        if name not in FUNCTIONS:
            allowed = ", ".join(["known", *FUNCTIONS])
            raise self.refuse(node, f"no function is called '{name}'; there are {allowed}")
        wanted = 1 if name == "abs" else 2
        if len(args) < wanted or (name == "abs" and len(args) > 1):
            takes = "one number" if wanted == 1 else "two numbers or more"
            raise self.refuse(node, f"{name}() takes {takes}")
        return _applied(FUNCTIONS[name], [self.number(arg, depth + 1) for arg in args]), "number"

    def compare(self, left: ast.expr, op: ast.cmpop, right: ast.expr, depth: int) -> Step:
        if type(op) in _ORDER:
            sides = [self.number(left, depth + 1), self.number(right, depth + 1)]
            return _related(_ORDER[type(op)], *sides)
        one, one_kind = self.build(left, depth + 1)
        if isinstance(op, ast.In | ast.NotIn):
            if one_kind not in ("text", "number", "any"):
                raise self.refuse(left, "only a word or a number can be looked for in a list")
            inside = self.membership(one, one_kind, right, depth)
            return inside if isinstance(op, ast.In) else _negated(inside)
        if type(op) not in _EQUAL:
            raise self.refuse(left, "use == or != here")
        other, other_kind = self.build(right, depth + 1)
        self.agree(right, one_kind, other_kind)
        return _related(_EQUAL[type(op)], one, other)

    def agree(self, node: ast.expr, one: Kind, other: Kind) -> None:
        for kind in (one, other):
            if kind in ("list", "date"):
                raise self.refuse(node, f"{_KIND_WORDS[kind]} cannot be compared; use in, or another fact")
        if "any" not in (one, other) and one != other:
            raise self.refuse(node, f"{_KIND_WORDS[other]} cannot equal {_KIND_WORDS[one]}")

    def membership(self, item: Step, item_kind: Kind, where: ast.expr, depth: int) -> Step:
        if isinstance(where, ast.List):
            options: list[Step] = []
            for element in where.elts:
                option, kind = self.build(element, depth + 1)
                self.agree(element, item_kind, kind)
                options.append(_related(operator.eq, item, option))
            return _any_of(options)
        if not isinstance(where, ast.Name):
            raise self.refuse(where, "after in stands a [list] or the name of a list")
        holder, kind = self.name(where, where.id)
        if kind not in ("list", "any"):
            raise self.refuse(where, f"'{where.id}' is {_KIND_WORDS[kind]}, not a list")
        return _held(item, holder)


def _only(kind: type, step: Step) -> Step:
    def run(facts: Facts) -> Any:
        value = step(facts)
        return value if isinstance(value, kind) else None

    return run


def _as_number(value: object) -> float | None:
    """The value as a finite float, or None: True is not 1 here, and nan and infinity tell nothing."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def _all_of(parts: list[Step]) -> Step:
    def run(facts: Facts) -> bool | None:
        truth: bool | None = True
        for part in parts:
            found = part(facts)
            if found is False:
                return False
            if found is None:
                truth = None
        return truth

    return run


def _negated(part: Step) -> Step:
    def run(facts: Facts) -> bool | None:
        found = part(facts)
        return None if found is None else not found

    return run


def _any_of(parts: list[Step]) -> Step:
    """`a or b` is `not (not a and not b)`, so both keep the same idea of not known."""
    return _negated(_all_of([_negated(part) for part in parts]))


def _applied(function: Callable[..., float], parts: list[Step]) -> Step:
    def run(facts: Facts) -> float | None:
        values = [part(facts) for part in parts]
        if any(value is None for value in values):
            return None
        try:
            return _as_number(function(*values))
        except ZeroDivisionError:
            return None

    return run


def _related(relation: Callable[[Any, Any], bool], one: Step, other: Step) -> Step:
    def run(facts: Facts) -> bool | None:
        left, right = one(facts), other(facts)
        for kind in (bool, str):
            if isinstance(left, kind) and isinstance(right, kind):
                return relation(left, right)
        left, right = _as_number(left), _as_number(right)
        return None if left is None or right is None else relation(left, right)

    return run


def _held(item: Step, holder: Step) -> Step:
    def run(facts: Facts) -> bool | None:
        value, group = item(facts), holder(facts)
        if isinstance(group, list | tuple | set | frozenset):
            if not group:
                return False
            if isinstance(value, str | int | float) and not isinstance(value, bool):
                return value in group
        return None

    return run
