"""The knowledge base in memory: found, read, checked for form, and looked up by id or by word."""

from __future__ import annotations

import gc
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import BaseModel, ValidationError

from advisor.knowledge.compiled import content_key, load, store
from advisor.knowledge.models import (
    TOPICS,
    AnimalClass,
    Caution,
    Fact,
    GlobalFigure,
    Material,
    Question,
    Region,
    Rule,
    Source,
    Term,
)
from advisor.knowledge.models_asked import Asked
from advisor.knowledge.models_troubles import FOLDERS, Cause, Check, Danger, Never, Remedy, Sign
from advisor.knowledge.stored import StoredPlaces, StoredTopic, as_plain
from advisor.knowledge.yaml_text import Fault, Located, Place, read_yaml

__all__ = ["Knowledge", "KnowledgeError", "knowledge", "knowledge_folder", "plain_data", "read_knowledge"]


class KnowledgeError(Exception):
    """The knowledge base has faults; all of them are in `faults`."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


def knowledge_folder() -> Path:
    """`knowledge/` beside the package in a checkout (so edits show at once), else the copy in the wheel."""
    package = Path(__file__).resolve().parent.parent
    live = package.parent / "knowledge"
    if (live / "sources").is_dir() and (package.parent / "pyproject.toml").is_file():
        return live
    return package / "_data"


@dataclass(frozen=True)
class Knowledge:
    """Every topic as a read-only mapping from id to entry."""

    facts: Mapping[str, Fact]
    sources: Mapping[str, Source]
    materials: Mapping[str, Material]
    animals: Mapping[str, AnimalClass]
    figures: Mapping[str, GlobalFigure]
    regions: Mapping[str, Region]
    cautions: Mapping[str, Caution]
    rules: Mapping[str, Rule]
    questions: Mapping[str, Question]
    glossary: Mapping[str, Term]
    asked: Mapping[str, Asked] = field(default_factory=dict)
    signs: Mapping[str, Sign] = field(default_factory=dict)
    causes: Mapping[str, Cause] = field(default_factory=dict)
    checks: Mapping[str, Check] = field(default_factory=dict)
    remedies: Mapping[str, Remedy] = field(default_factory=dict)
    dangers: Mapping[str, Danger] = field(default_factory=dict)
    nevers: Mapping[str, Never] = field(default_factory=dict)
    places: Mapping[tuple[str, str], Place] = field(default_factory=dict)
    folder: Path = field(default_factory=Path)

    def topic(self, name: str) -> Mapping[str, Any]:
        """A topic by its folder name."""
        found: Mapping[str, Any] = getattr(self, name)
        return found


def topic_files(folder: Path, topic: str) -> Iterator[Path]:
    """The YAML files of a topic: `topic.yaml` and everything in `topic/`, in a fixed order."""
    at = FOLDERS.get(topic, topic)
    single = folder / f"{at}.yaml"
    if single.is_file():
        yield single
    yield from sorted((folder / at).rglob("*.yaml"))


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Reading makes a hundred thousand small things, none of them garbage: looking for some doubles the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@dataclass(frozen=True)
class FileRead:
    """A file of a topic as read: each entry (None where it is broken) with its faults."""

    text: Located
    entries: tuple[tuple[str, Any, tuple[Fault, ...]], ...]


#: (topic, file, its bytes): what it read as
Memory = dict[tuple[str, str, bytes], FileRead]


@_no_collecting()
def read_knowledge(
    folder: Path, memory: Memory | None = None
) -> tuple[Knowledge, list[Fault], dict[tuple[str, str], Located]]:
    """Read and validate every file. Faults are returned, all of them; broken entries are left out.

    With a memory, files whose bytes are in it are not parsed again: for checking many versions of one base.
    """
    faults: list[Fault] = []
    entries: dict[str, dict[str, Any]] = {}
    places: dict[tuple[str, str], Place] = {}
    located: dict[tuple[str, str], Located] = {}
    for topic in TOPICS:
        entries[topic] = {}
        for path in topic_files(folder, topic):
            read = _read_file(topic, path, path.relative_to(folder).as_posix(), memory)
            faults += read.text.faults
            for key, entry, found in read.entries:
                place = read.text.place((key,))
                if (topic, key) in places:
                    what = f"'{key}' already stands at {places[topic, key]}"
                    faults.append(Fault(place, what, "rename one, or merge them"))
                    continue
                places[topic, key] = place
                located[topic, key] = read.text
                faults += found
                if entry is not None:
                    entries[topic][key] = entry
    frozen = {topic: MappingProxyType(found) for topic, found in entries.items()}
    return Knowledge(**frozen, places=places, folder=folder), faults, located


def _read_file(topic: str, path: Path, shown_as: str, memory: Memory | None) -> FileRead:
    key = (topic, shown_as, path.read_bytes()) if memory is not None else None
    if memory is not None and key in memory:
        return memory[key]
    text = read_yaml(path, shown_as)
    entries: list[tuple[str, Any, tuple[Fault, ...]]] = []
    if isinstance(text.data, dict):
        for name, raw in text.data.items():
            entry, found = validate(TOPICS[topic], raw, text, (name,))
            entries.append((name, entry, tuple(found)))
    elif text.data is not None:
        text.faults.append(Fault(Place(text.file, 1), "must hold entries, each `id: {...}`"))
    read = FileRead(text, tuple(entries))
    if memory is not None and key is not None:
        memory[key] = read
    return read


def validate(
    model: type[BaseModel], raw: Any, text: Located, at: tuple[str | int, ...]
) -> tuple[Any, list[Fault]]:
    """Check one entry against its model; every fault gets the line it stands on."""
    try:
        return model.model_validate(raw), []
    except ValidationError as wrong:
        errors = _of_the_branch_meant(wrong.errors())
        return None, [
            _fault(error, model, text, at, part)
            for error in errors
            if error["type"] != "too_short" or not _follows(error, errors)
            for part in getattr(error.get("ctx", {}).get("error"), "parts", ((),)) or ((),)
        ]


def _of_the_branch_meant(errors: list[Any]) -> list[Any]:
    """Where a value may be of several kinds, the faults of the kind it comes nearest to: those found deepest.

    A part of a place such as `tuple[Addition, ...]` names a kind, not a key.
    """
    deepest: dict[tuple[Any, ...], int] = {}
    fork = [next((i for i, part in enumerate(e["loc"]) if _names_a_kind(part)), None) for e in errors]
    for error, at in zip(errors, fork, strict=True):
        if at is not None:
            above = error["loc"][:at]
            deepest[above] = max(deepest.get(above, 0), len(error["loc"]))
    return [
        error
        for error, at in zip(errors, fork, strict=True)
        if at is None or len(error["loc"]) == deepest[error["loc"][:at]]
    ]


def _names_a_kind(part: Any) -> bool:
    return isinstance(part, str) and "[" in part


def _follows(error: Any, errors: Iterable[Any]) -> bool:
    """Whether a list is too short only because what stood in it was wrong."""
    loc = error["loc"]
    return any(len(other["loc"]) > len(loc) and other["loc"][: len(loc)] == loc for other in errors)


def _fault(
    error: Any,
    model: type[BaseModel],
    text: Located,
    at: tuple[str | int, ...],
    part: tuple[str | int, ...] = (),
) -> Fault:
    loc = tuple(part for part in error["loc"] if not _names_a_kind(part))
    where = ".".join(str(part) for part in (*at, *loc))
    kind, message = error["type"], error["msg"].removeprefix("Value error, ")
    place = text.place((*at, *loc, *part))
    if kind == "extra_forbidden":
        import difflib

        known = _keys_at(model, loc[:-1])
        close = difflib.get_close_matches(str(loc[-1]), known, 1)
        mend = f"did you mean '{close[0]}'?" if close else f"known keys: {', '.join(known)}"
        return Fault(place, f"unknown key '{where}'", mend)
    if kind == "literal_error":
        import difflib

        allowed = re.findall(r"'([^']*)'", message) or [error["ctx"]["expected"]]
        close = difflib.get_close_matches(str(error["input"]), allowed, 1)
        mend = f"did you mean '{close[0]}'?" if close else f"one of: {', '.join(allowed)}"
        return Fault(place, f"'{where}' cannot be '{_short(error['input'])}'", mend)
    if kind == "missing":
        return Fault(place, f"'{where}' is missing", "add it")
    for kinds, plain, mend in _PLAIN:
        if kind.startswith(kinds):
            limits = {name: value for name, value in error.get("ctx", {}).items() if name != "error"}
            return Fault(place, f"'{where}' {plain}", mend.format(told=_short(error["input"]), **limits))
    return Fault(place, f"'{where}': {message}")


# What the checker of types says, in a keeper's words: its kinds, what is wrong, what would be right.
_PLAIN: tuple[tuple[tuple[str, ...], str, str], ...] = (
    (("int_",), "must be a whole number", "'{told}' is none; write it like 12"),
    (("float_", "finite_number"), "must be a number", "'{told}' is none; write it like 12.5"),
    (("bool_",), "must be yes or no", "'{told}' is neither"),
    (("greater_than_equal",), "is too small", "'{told}' should be at least {ge:g}"),
    (("less_than_equal",), "is too large", "'{told}' should be at most {le:g}"),
    (("too_short",), "is empty", "give at least one"),
    (("string_too_long",), "is too long", "at most {max_length} letters"),
    (("string_",), "must be text", "put it in quotes"),
    (("tuple_", "list_", "set_"), "must be a list", "start each part with '- '"),
    (("dict_", "model_"), "must be a block of 'key: value' lines", "'{told}' is none"),
)


def _short(told: Any) -> str:
    text = str(told)
    return text if len(text) <= 40 else text[:37] + "..."


def _keys_at(model: type[BaseModel], loc: tuple[Any, ...]) -> list[str]:
    """The keys allowed where a fault stands, found by walking the model's fields."""
    from typing import get_args

    here: Any = model
    for part in loc:
        if isinstance(part, int):
            continue
        fields = getattr(here, "model_fields", {})
        if part not in fields:
            continue
        todo, here = [fields[part].annotation], None
        while todo:
            kind = todo.pop()
            if isinstance(kind, type) and issubclass(kind, BaseModel):
                here = kind
                break
            todo += get_args(kind)
        if here is None:
            return []
    return list(getattr(here, "model_fields", {}))


@cache
def knowledge(folder: Path | None = None) -> Knowledge:
    """The knowledge base, read once: from its compiled copy where that is sound and of the same content.

    Raises KnowledgeError with every fault.
    """
    folder = folder or knowledge_folder()
    parts = _compiled(folder)
    if parts is None:
        found, faults, _ = read_knowledge(folder)
        if faults:
            raise KnowledgeError(faults)
        return found
    topics = {topic: StoredTopic(model, parts[topic]) for topic, model in TOPICS.items()}
    return Knowledge(**topics, places=StoredPlaces(parts[_PLACES]), folder=folder)


def plain_data(file: str, folder: Path | None = None) -> Any:
    """The content of a YAML file that is no topic, such as 'documents/plan.yaml': to be read, not changed.

    Comes out of the compiled copy where it can. Raises KnowledgeError where the file cannot be read.
    """
    folder = folder or knowledge_folder()
    parts = _compiled(folder) or {}
    if file in parts:
        return json.loads(parts[file])
    text = read_yaml(folder / file, file)
    if text.faults:
        raise KnowledgeError(text.faults)
    return text.data


_PLACES = "places"


@cache
def _compiled(folder: Path) -> Mapping[str, bytes] | None:
    """The parts of the compiled copy, made now where there is none of this content; None if it has faults."""
    try:
        key = content_key(folder)
    except OSError:
        return None
    parts = load(folder, key)
    if parts is not None:
        return parts
    found, faults, _ = read_knowledge(folder)
    if faults:
        return None
    content: dict[str, Any] = {
        topic: {name: as_plain(entry) for name, entry in found.topic(topic).items()} for topic in TOPICS
    }
    content[_PLACES] = [[*key, place.file, place.line] for key, place in found.places.items()]
    of_topics = {path for topic in TOPICS for path in topic_files(folder, topic)}
    for path in sorted(set(folder.rglob("*.yaml")) - of_topics):
        text = read_yaml(path)
        if not text.faults and json.loads(json.dumps(text.data)) == text.data:
            content[path.relative_to(folder).as_posix()] = text.data
    if content_key(folder) != key:  # somebody is writing at this moment: what was read may be a mixture
        return None
    return store(folder, key, content)
