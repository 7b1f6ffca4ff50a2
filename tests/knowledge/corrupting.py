"""Hurting knowledge files as a slip of the hand would, to see whether the checker finds it.

A corruption is one of: a key renamed, a unit swapped for one of another dimension, a number negated, a
reference dropped. Whether the checker was right is judged by place: a new fault in the same file within a few
lines, or, where an id was renamed or an entry taken out, at a line that still points at the lost id.
"""

from __future__ import annotations

import random
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import yaml

from advisor.knowledge.base import Memory
from advisor.knowledge.check import check
from advisor.knowledge.models import TOPICS
from advisor.knowledge.models_troubles import FOLDERS
from advisor.knowledge.yaml_text import Fault
from advisor.units import UnitError, same_dimension

__all__ = ["KINDS", "Bench", "Corruption", "corruptions", "together"]

Kind = Literal["key renamed", "unit swapped", "number negated", "reference dropped"]
KINDS: tuple[Kind, ...] = ("key renamed", "unit swapped", "number negated", "reference dropped")
NEAR_LINES = 3

_Edit = tuple[int, int, str]

_NUMBER = re.compile(r"-?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")
_UNITS = ("kg", "m", "day", "m2/head", "degC", "kg/m3", "kg/day", "fraction", "ppm", "kg/ha")
_REFERENCE_KEYS = {"source", "sources", "narrower_of", "inherits", "remedies"}


@dataclass(frozen=True)
class Corruption:
    """One change of one file."""

    kind: Kind
    file: str
    line: int
    what: str
    entry: str
    lost: str  # an id that is no longer there, where there is one
    missing: str  # the way to the key: where it was taken out, that is told at the thing that lacks it
    edit: tuple[int, int, str]  # from, to, what stands there instead
    moves_lines: bool


@dataclass(frozen=True)
class _Pair:
    depth: int
    keys: tuple[str, ...]
    key: Any
    value: Any
    mapping: Any
    at: int


def corruptions(folder: Path, seed: int) -> Iterator[Corruption]:
    """Corruptions without end: kinds in turn, places at random, each key of the base as likely as any other."""
    pick = random.Random(seed)
    files = {path: path.read_text(encoding="utf-8") for path in _files(folder)}
    pairs = {path: list(_pairs(yaml.compose(text, Loader=yaml.CSafeLoader))) for path, text in files.items()}
    sites: dict[Kind, list[tuple[Path, Any]]] = {kind: [] for kind in KINDS}
    for path, found in pairs.items():
        for pair in found:
            for kind in KINDS:
                if _suits(kind, pair):
                    sites[kind].append((path, pair))
    while True:
        for kind in KINDS:
            path, pair = pick.choice(sites[kind])
            made = _corrupted(kind, files[path], pair, pick)
            if made is not None:
                what, lost, edit = made
                start, end, new = edit
                yield Corruption(
                    kind=kind,
                    file=path.relative_to(folder).as_posix(),
                    line=pair.key.start_mark.line + 1,
                    what=what,
                    entry=pair.keys[0],
                    lost=lost,
                    missing=".".join(pair.keys),
                    edit=edit,
                    moves_lines="\n" in files[path][start:end] + new,
                )


def _files(folder: Path) -> Iterator[Path]:
    for topic in TOPICS:
        at = folder / FOLDERS.get(topic, topic)
        if at.with_suffix(".yaml").is_file():
            yield at.with_suffix(".yaml")
        yield from sorted(at.rglob("*.yaml"))


def _pairs(node: Any, depth: int = 0, keys: tuple[str, ...] = ()) -> Iterator[_Pair]:
    if isinstance(node, yaml.MappingNode):
        for at, (key, value) in enumerate(node.value):
            yield _Pair(depth, (*keys, key.value), key, value, node, at)
            yield from _pairs(value, depth + 1, (*keys, key.value))
    elif isinstance(node, yaml.SequenceNode):
        for value in node.value:
            yield from _pairs(value, depth + 1, keys)


def _suits(kind: Kind, pair: _Pair) -> bool:
    scalar = isinstance(pair.value, yaml.ScalarNode)
    if kind == "key renamed":
        return len(pair.key.value) > 1
    if kind == "unit swapped":
        return scalar and pair.key.value in ("unit", "si") and bool(pair.value.value)
    if kind == "number negated":
        plain = scalar and not pair.value.style and _NUMBER.fullmatch(pair.value.value)
        return bool(plain) and float(pair.value.value) != 0
    return pair.key.value in _REFERENCE_KEYS and pair.depth > 0


def _corrupted(kind: Kind, text: str, pair: _Pair, pick: random.Random) -> tuple[str, str, _Edit] | None:
    key, value = pair.key, pair.value
    if kind == "key renamed":
        new = _misspelt(key.value, pick)
        if new in {other.value for other, _ in pair.mapping.value}:
            return None
        lost = key.value if pair.depth == 0 else ""
        return f"{'.'.join(pair.keys)} > {new}", lost, _replaced(text, key, new)
    if kind == "unit swapped":
        try:
            others = [unit for unit in _UNITS if not same_dimension(unit, value.value)]
        except UnitError:
            return None
        new = pick.choice(others)
        return f"{'.'.join(pair.keys)}: {value.value} > {new}", "", _replaced(text, value, new)
    if kind == "number negated":
        new = value.value.removeprefix("-") if value.value.startswith("-") else f"-{value.value}"
        return f"{'.'.join(pair.keys)}: {value.value} > {new}", "", _replaced(text, value, new)
    return f"{'.'.join(pair.keys)} dropped", "", _without(text, pair)


def _misspelt(word: str, pick: random.Random) -> str:
    at = pick.randrange(len(word))
    way = pick.choice(("drop", "double", "swap"))
    if way == "drop":
        return word[:at] + word[at + 1 :]
    if way == "swap" and at + 1 < len(word) and word[at] != word[at + 1]:
        return word[:at] + word[at + 1] + word[at] + word[at + 2 :]
    return word[: at + 1] + word[at:]


def _offset(text: str, mark: Any) -> int:
    start = 0
    for _ in range(mark.line):
        start = text.index("\n", start) + 1
    return start + int(mark.column)


def _replaced(text: str, node: Any, new: str) -> _Edit:
    return _offset(text, node.start_mark), _offset(text, node.end_mark), new


def _without(text: str, pair: _Pair) -> _Edit:
    """Takes out a key and its value."""
    start = _offset(text, pair.key.start_mark)
    rest = pair.mapping.value[pair.at + 1 :]
    end = _offset(text, rest[0][0].start_mark) if rest else _offset(text, pair.value.end_mark)
    if not rest and not pair.mapping.flow_style:
        start = text.rfind("\n", 0, start) + 1 if not text[:start].rstrip(" ").endswith("-") else start
    return start, end, ""


def together(hurts: list[Corruption]) -> list[list[Corruption]]:
    """Batches that can be tried at once: one an entry, and alone in its file if it moves the lines below it."""
    batches: list[list[Corruption]] = []
    for hurt in hurts:
        for batch in batches:
            beside = [other for other in batch if other.file == hurt.file]
            alone = any(other.moves_lines for other in (hurt, *beside))
            if not beside or (not alone and all(other.entry != hurt.entry for other in beside)):
                batch.append(hurt)
                break
        else:
            batches.append([hurt])
    return batches


class Bench:
    """A copy of the knowledge folder in which corruptions are tried, and the faults that it has anyway."""

    def __init__(self, source: Path, folder: Path, memory: Memory | None = None) -> None:
        shutil.copytree(source, folder)
        self.folder = folder
        self.memory: Memory = {} if memory is None else memory
        self.before = set(check(folder, self.memory).faults)

    def new_faults(self, *hurts: Corruption) -> list[Fault]:
        """What the checker finds in the base with these corruptions that it did not before."""
        sound = {hurt.file: (self.folder / hurt.file).read_text(encoding="utf-8") for hurt in hurts}
        size = len(self.memory)
        try:
            for file, text in sound.items():
                for start, end, new in sorted(
                    (hurt.edit for hurt in hurts if hurt.file == file), reverse=True
                ):
                    text = text[:start] + new + text[end:]
                (self.folder / file).write_text(text, encoding="utf-8")
            return sorted(set(check(self.folder, self.memory).faults) - self.before)
        finally:
            for file, text in sound.items():
                (self.folder / file).write_text(text, encoding="utf-8")
            for old in list(self.memory)[size:]:
                del self.memory[old]

    def caught(self, hurt: Corruption, faults: list[Fault]) -> bool:
        """Whether one of the faults tells of this corruption at the right place."""
        return any(self._tells(hurt, fault) for fault in faults)

    def _tells(self, hurt: Corruption, fault: Fault) -> bool:
        if fault.place.file == hurt.file and abs(fault.place.line - hurt.line) <= NEAR_LINES:
            return True
        if fault.place.file == hurt.file and f"'{hurt.missing}' is missing" in fault.what:
            return True
        if not hurt.lost or hurt.lost not in fault.what:
            return False
        text = (self.folder / fault.place.file).read_text(encoding="utf-8").splitlines()
        nearby = text[fault.place.line - 1 : fault.place.line + 3]
        return any(hurt.lost in line for line in nearby)
