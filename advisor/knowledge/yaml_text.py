"""YAML as people write it: safe, strict, and able to say which line a thing stands on.

Differences from plain YAML 1.1, each closing a trap: `25:1` stays text (not 1501), `no` and `on` stay
text, dates stay text, `012` is 12, `1e3` is 1000, and a key written twice is a fault.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path
from typing import Any

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
    """Parsed YAML that can tell the place of every value, and the faults met on the way."""

    data: Any
    faults: list[Fault] = field(default_factory=list)
    file: str = ""
    text: str = field(default="", repr=False)
    key_lines: dict[Any, int] = field(default_factory=dict, repr=False)  # of the outermost mapping

    @cached_property
    def _root(self) -> Any:
        """The nodes with their marks: composed again when first asked for, as most files are never asked."""
        return _composed(self.text) if self.text and self.data is not None else None

    def place(self, path: Path_) -> Place:
        """The place of a value (of its key, where it has one), or of the nearest thing above it that exists."""
        if len(path) == 1 and path[0] in self.key_lines:
            return Place(self.file, self.key_lines[path[0]])
        if self._root is None:
            return Place(self.file, 1)
        node, line = self._root, self._root.start_mark.line
        for part in path:
            if isinstance(node.value, str):
                break
            if node.id == "sequence":
                if not isinstance(part, int) or not -len(node.value) <= part < len(node.value):
                    break
                node = node.value[part]
                line = node.start_mark.line
                continue
            found = [(key, value) for key, value in node.value if _is_key(key, part)]
            if not found:
                break
            key, node = found[-1]
            line = key.start_mark.line
        return Place(self.file, line + 1)


_INTEGER = re.compile(r"[-+]?[0-9]+")
_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.[0-9]*|\.[0-9]+|[0-9]+)(?:[eE][-+]?[0-9]+)?")
_NUMBER_STARTS = frozenset("+-.0123456789")
_WORDS: dict[str, Any] = {"true": True, "false": False, "null": None, "~": None, "": None}


def _scalar(node: Any) -> Any:
    text = node.value
    if node.style in ("'", '"', "|", ">"):
        return text
    if text in _WORDS:
        return _WORDS[text]
    if text[0] in _NUMBER_STARTS and len(text) <= 30 and _NUMBER.fullmatch(text):
        return int(text) if _INTEGER.fullmatch(text) else float(text)
    return text


def _key(node: Any) -> Any:
    return _scalar(node) if node.style is None and node.value.isdigit() else node.value


def _is_key(node: Any, wanted: str | int) -> bool:
    return node.id == "scalar" and bool(_key(node) == wanted)


def _build(node: Any, out: Located, depth: int = 0) -> Any:
    if depth > 40:
        place = Place(out.file, node.start_mark.line + 1)
        out.faults.append(Fault(place, "nested too deeply", "use fewer levels"))
        return None
    if node.id == "scalar":
        return _scalar(node)
    if node.id == "sequence":
        return [_build(item, out, depth + 1) for item in node.value]
    mapping: dict[Any, Any] = {}
    lines: dict[Any, int] = {}
    for key_node, value_node in node.value:
        line = key_node.start_mark.line + 1
        if key_node.id != "scalar":
            fault = Fault(Place(out.file, line), "a key must be a plain word", "write it as `word: value`")
            out.faults.append(fault)
            continue
        key = _key(key_node)
        if key in mapping:
            twice = f"'{key}' is written twice (first on line {lines[key]})"
            out.faults.append(Fault(Place(out.file, line), twice, "keep one of the two"))
        lines.setdefault(key, line)
        mapping[key] = _build(value_node, out, depth + 1)
    if depth == 0:
        out.key_lines = lines
    return mapping


@cache
def _loader() -> Any:
    """A composer without YAML's own guesses at what a plain word means: those are made in `_scalar`."""
    import yaml

    class Untyped:
        def resolve(self, kind: Any, value: Any, implicit: Any) -> str:
            return ""

        def descend_resolver(self, current: Any, index: Any) -> None:
            pass

        def ascend_resolver(self) -> None:
            pass

        def check_resolver_prefix(self, depth: Any, path: Any, kind: Any, current: Any, index: Any) -> bool:
            return False

    if not hasattr(yaml, "CSafeLoader"):
        return yaml.SafeLoader

    class Loader(Untyped, yaml.CSafeLoader):
        pass

    return Loader


def _composed(text: str) -> Any:
    loader = _loader()(text)
    try:
        node = loader.get_single_node()
    finally:
        loader.dispose()
    return node


def parse_yaml(text: str, file: str) -> Located:
    """Parse YAML text. Never raises: what is wrong stands in `faults`."""
    import yaml

    out = Located(None, file=file, text=text)
    try:
        node = _composed(text)
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
                f"not readable as YAML: {next(iter(str(fault).splitlines()), type(fault).__name__)}",
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
        out.data = _build(node, out)
    return out


def _has_alias(root: Any) -> bool:
    """Whether a node is reached twice: the only way an alias shows once composed."""
    seen: set[int] = set()
    todo = [root]
    while todo:
        node = todo.pop()
        if id(node) in seen:
            return True
        seen.add(id(node))
        if node.id == "sequence":
            todo.extend(node.value)
        elif node.id == "mapping":
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
