"""Values of facts that a checker should try on a condition: those around each of its turning points."""

from __future__ import annotations

import ast
from collections.abc import Collection, Iterator, Mapping
from itertools import combinations, product
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from advisor.reasoning.expressions import Condition

__all__ = ["neighbours"]

Role = Literal["flag", "number", "text", "list"]

NUDGE = 1e-6  # how far "just below" lies, as a share of the number or of one
OTHER_WORD = "(another)"
MOST_WORDS = 6  # up to here every subset of a list is tried
TRUTH_WORDS = {"true", "false"}


def neighbours(
    *conditions: Condition, choices: Mapping[str, Collection[str]] | None = None
) -> Iterator[dict[str, object]]:
    """Facts around every turning point of the conditions, in all combinations, lazily.

    A number is tried just below, at and just above each number it is compared with; a word as each word it
    is compared with (or each of its `choices`) and as another one; a list with every subset of its words; a
    flag both ways. A condition that none of these makes true will very likely never be true; two conditions
    that none of these makes true together very likely never meet.
    """
    trees = [condition.tree for condition in conditions]
    roles: dict[str, Role] = {}
    for tree in trees:
        roles.update(_roles(tree))
    compared = [node for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Compare)]
    asked = {name for tree in trees for name in _asked_if_known(tree)}
    values: list[list[object]] = []
    for name, role in roles.items():
        beside = [node for node in compared if name in _names(node)]
        found = _trials(role, beside, (choices or {}).get(name, [OTHER_WORD]))
        values.append([*dict.fromkeys(found), None] if name in asked else list(dict.fromkeys(found)))
    for row in product(*values):
        yield dict(zip(roles, row, strict=True))


def _names(tree: ast.expr) -> set[str]:
    """Names of facts in a part: not those of functions, not true and false."""
    leaves = list(ast.walk(tree))
    called = {id(leaf.func) for leaf in leaves if isinstance(leaf, ast.Call)}
    names = {leaf.id for leaf in leaves if isinstance(leaf, ast.Name) and id(leaf) not in called}
    return names - TRUTH_WORDS


def _asked_if_known(tree: ast.expr) -> set[str]:
    asked: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "known":
            asked |= _names(node)
    return asked


def _constants(node: ast.expr) -> list[object]:
    """Every number and word in a part; a number with a minus sign counts both ways."""
    found: list[object] = []
    for leaf in ast.walk(node):
        if isinstance(leaf, ast.Constant):
            found.append(leaf.value)
        elif isinstance(leaf, ast.Name) and leaf.id in TRUTH_WORDS:
            found.append(leaf.id == "true")
        elif isinstance(leaf, ast.UnaryOp) and isinstance(leaf.operand, ast.Constant):
            value = leaf.operand.value
            if isinstance(leaf.op, ast.USub) and isinstance(value, int | float):
                found.append(-value)
    return found


def _roles(tree: ast.expr) -> dict[str, Role]:
    """How each name is used: as a number, a word, a list or a flag, in the order of first use."""
    roles: dict[str, Role] = dict.fromkeys(sorted(_names(tree)), "flag")
    for node in ast.walk(tree):
        if not isinstance(node, ast.Compare):
            continue
        constants = _constants(node)
        if any(isinstance(value, bool) for value in constants):
            continue
        words = any(isinstance(value, str) for value in constants)
        roles.update(dict.fromkeys(_names(node), "text" if words else "number"))
        for op, right in zip(node.ops, node.comparators, strict=True):
            if isinstance(op, ast.In | ast.NotIn) and isinstance(right, ast.Name):
                roles[right.id] = "list"
    return roles


def _trials(role: Role, beside: list[ast.Compare], others: Collection[str]) -> list[object]:
    """The values to try for a name, from the comparisons it stands in."""
    constants = [value for node in beside for value in _constants(node)]
    if role == "flag":
        return [False, True]
    if role == "number":
        marks = [float(value) for value in constants if isinstance(value, int | float)]
        if not marks or any(len(_names(node)) > 1 for node in beside):
            marks += [0.0, 1.0]  # names compared with each other meet here
        return [mark + way * NUDGE * max(1.0, abs(mark)) for mark in marks for way in (-1, 0, 1)]
    words = list(dict.fromkeys(value for value in constants if isinstance(value, str)))
    rest = [word for word in others if word not in words]
    if role == "text":
        return [*words, *rest]
    sizes = range(len(words) + 1) if len(words) <= MOST_WORDS else (0, 1, len(words))
    return [*(group for size in sizes for group in combinations(words, size)), *((word,) for word in rest)]
