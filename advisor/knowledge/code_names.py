"""Which names the program itself uses: the facts it works out, the sentences it asks for and what it fills in."""

from __future__ import annotations

import ast
import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

__all__ = ["SentenceCall", "names_in_code", "sentence_calls"]


@dataclass(frozen=True)
class SentenceCall:
    """A place in the program that asks for a sentence and fills these names in."""

    sentence: str
    filled: frozenset[str]
    anything: bool  # passes **more, so that what is filled in cannot be told here
    asked_of: str  # the function or method called


@cache
def _trees() -> tuple[ast.Module, ...]:
    package = Path(__file__).resolve().parent.parent
    trees = []
    for path in sorted(package.rglob("*.py")):
        with contextlib.suppress(SyntaxError):  # a module that somebody is writing at this moment
            trees.append(ast.parse(path.read_text(encoding="utf-8")))
    return tuple(trees)


@cache
def names_in_code() -> frozenset[str]:
    """Every name, argument and short text in the program: where a fact is neither, nothing supplies it."""
    return frozenset(_names())


def _names() -> Iterator[str]:
    for tree in _trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.Name):
                yield node.id
            elif isinstance(node, ast.arg):
                yield node.arg
            elif isinstance(node, ast.FunctionDef):
                yield node.name
            elif isinstance(node, ast.Attribute):
                yield node.attr
            elif isinstance(node, ast.Constant) and isinstance(node.value, str) and len(node.value) < 60:
                yield node.value


@cache
def sentence_calls() -> tuple[SentenceCall, ...]:
    """Calls like voice.text("bed_base", depth=...) and sentence("welcome")."""
    return tuple(_calls())


def _calls() -> Iterator[SentenceCall]:
    for tree in _trees():
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            first = node.args[0]
            if isinstance(first, ast.Constant) and isinstance(first.value, str):
                filled = frozenset(keyword.arg for keyword in node.keywords if keyword.arg)
                anything = any(keyword.arg is None for keyword in node.keywords)
                yield SentenceCall(first.value, filled, anything, called)
