"""YAML as people write it: safe, strict, and able to say which line a thing stands on.

Differences from plain YAML 1.1, each closing a trap: `25:1` stays text (not 1501), `no` and `on` stay
text, dates stay text, `012` is 12, `1e3` is 1000, and a key written twice is a fault.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

__all__ = ["Fault", "Located", "Place", "parse_yaml", "read_yaml"]

Path_ = tuple[str | int, ...]


@dataclass(frozen=True, order=True)
class Place:
    """A line in a file, as people quote it: `materials/straws.yaml:12`."""

    file: str
    line: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}"


@dataclass(frozen=True, order=True)
class Fault:
    """Something wrong in a file: where, what, and how to mend it."""

    place: Place
    what: str
    mend: str = ""

    def __str__(self) -> str:
        return f"{self.place}: {self.what}" + (f" ({self.mend})" if self.mend else "")


@dataclass
class Located:
    """Parsed YAML with the place of every value and the faults met on the way."""

    data: Any
    places: dict[Path_, Place] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    file: str = ""

    def place(self, path: Path_) -> Place:
        """The place of a value, or of the nearest thing above it that exists."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path, Place(self.file, 1))


_SCALARS = [
    (re.compile(r"[-+]?[0-9]+"), int),
    (re.compile(r"[-+]?(?:[0-9]+\.[0-9]*|\.[0-9]+|[0-9]+)(?:[eE][-+]?[0-9]+)?"), float),
]
_WORDS: dict[str, Any] = {"true": True, "false": False, "null": None, "~": None, "": None}


def _scalar(node: yaml.ScalarNode) -> Any:
    text = node.value
    if node.style in ("'", '"', "|", ">"):
        return text
    if text in _WORDS:
        return _WORDS[text]
    for pattern, kind in _SCALARS:
        if len(text) <= 30 and pattern.fullmatch(text):
            return kind(text)
    return text


def _build(node: yaml.Node, path: Path_, out: Located, depth: int = 0) -> Any:
    out.places[path] = Place(out.file, node.start_mark.line + 1)
    if depth > 40:
        out.faults.append(Fault(out.places[path], "nested too deeply", "use fewer levels"))
        return None
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node)
    if isinstance(node, yaml.SequenceNode):
        return [_build(item, (*path, i), out, depth + 1) for i, item in enumerate(node.value)]
    mapping: dict[Any, Any] = {}
    for key_node, value_node in node.value:
        here = Place(out.file, key_node.start_mark.line + 1)
        if not isinstance(key_node, yaml.ScalarNode):
            out.faults.append(Fault(here, "a key must be a plain word", "write it as `word: value`"))
            continue
        key = _scalar(key_node) if key_node.style is None and key_node.value.isdigit() else key_node.value
        if key in mapping:
            first = out.places[(*path, key)].line
            out.faults.append(
                Fault(here, f"'{key}' is written twice (first on line {first})", "keep one of the two")
            )
        mapping[key] = _build(value_node, (*path, key), out, depth + 1)
        out.places[(*path, key)] = here
    return mapping


def parse_yaml(text: str, file: str) -> Located:
    """Parse YAML text. Never raises: what is wrong stands in `faults`."""
    out = Located(None, file=file)
    loader_class = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        loader = loader_class(text)
        try:
            node = loader.get_single_node()
        finally:
            loader.dispose()
    except yaml.MarkedYAMLError as fault:
        line = fault.problem_mark.line + 1 if fault.problem_mark else 1
        what = " ".join(str(part) for part in (fault.context, fault.problem) if part)
        out.faults.append(
            Fault(Place(file, line), f"not readable as YAML: {what}", "check the indent, colons and quotes")
        )
        return out
    except (yaml.YAMLError, ValueError, RecursionError) as fault:
        out.faults.append(
            Fault(
                Place(file, 1),
                f"not readable as YAML: {str(fault).splitlines()[0]}",
                "save it as plain UTF-8",
            )
        )
        return out
    if node is not None:
        aliases = text.count("*") and _has_alias(node)
        if aliases:
            out.faults.append(
                Fault(Place(file, 1), "aliases (*name) are not used here", "write the value out")
            )
            return out
        out.data = _build(node, (), out)
    return out


def _has_alias(root: yaml.Node) -> bool:
    """Whether a node is reached twice: the only way an alias shows once composed."""
    seen: set[int] = set()
    todo: list[yaml.Node] = [root]
    while todo:
        node = todo.pop()
        if id(node) in seen:
            return True
        seen.add(id(node))
        if isinstance(node, yaml.SequenceNode):
            todo.extend(node.value)
        elif isinstance(node, yaml.MappingNode):
            todo.extend(part for pair in node.value for part in pair)
    return False


def read_yaml(path: Path, shown_as: str | None = None) -> Located:
    """Read a YAML file. An unreadable file becomes a fault, not an exception."""
    name = shown_as or str(path)
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return Located(
            None, faults=[Fault(Place(name, 1), "not plain text in UTF-8", "save it as UTF-8")], file=name
        )
    except OSError as fault:
        reason = fault.strerror or str(fault)
        return Located(None, faults=[Fault(Place(name, 1), f"cannot be read: {reason}")], file=name)
    return parse_yaml(text.removeprefix("\ufeff"), name)
