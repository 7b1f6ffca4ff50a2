"""The farm so far: a fold of acts over a raw farm, in the form of a farm file.

Acts are plain JSON objects, kept as they were read on the day:
    {"set": "pens.pen.area", "to": {...}}   {"drop": "groups.calf"}   {"skip": question}
    {"season": {...}} and {"season_drop": id} (the season record: see advisor/record; no part of the farm)
    {"unknown": question}   {"restart": true}   {"talk": {...}} (what was last spoken of; no fact)
    {"trouble": {...}} (signs and results of looks; no fact of the farm)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

from advisor.casebook import Case, effective_events

__all__ = ["Act", "Draft", "draft_of", "fold", "holds_facts"]

Act = Mapping[str, Any]
_FACTS = ("set", "drop", "skip", "unknown", "restart", "season", "season_drop")


@dataclass(frozen=True)
class Draft:
    """What has been told. `farm` is nested by place: groups and materials by id, the rest as in a farm file."""

    farm: Mapping[str, Any] = field(default_factory=dict)
    skipped: frozenset[str] = frozenset()
    unknown: frozenset[str] = frozenset()
    talk: Mapping[str, Any] | None = None
    trouble: Mapping[str, Any] | None = None

    def at(self, place: str) -> Any:
        """What was told at a place, or None."""
        here: Any = self.farm
        for part in place.split("."):
            if not isinstance(here, Mapping) or part not in here:
                return None
            here = here[part]
        return here

    @property
    def groups(self) -> Mapping[str, Mapping[str, Any]]:
        """The groups told, by id."""
        found: Mapping[str, Mapping[str, Any]] = self.farm.get("groups", {})
        return found

    @property
    def materials(self) -> Mapping[str, Mapping[str, Any]]:
        """The materials told, by id."""
        found: Mapping[str, Mapping[str, Any]] = self.farm.get("materials", {})
        return found

    def places(self, pattern: str, key: str = "", classes: tuple[str, ...] = ()) -> tuple[str, ...]:
        """The places a path means: `{id}` is the subject asked about, `groups.*` every group (of the classes)."""
        place = pattern.replace("{id}", key)
        if place.startswith("groups.*."):
            field = place.removeprefix("groups.*.")
            meant = [key for key, told in self.groups.items() if not classes or told["class"] in classes]
            return tuple(f"groups.{group}.{field}" for group in meant)
        return (place,)

    def leaves(self) -> Iterator[str]:
        """Every place where something was told."""
        yield from _leaves(self.farm, "")


def _leaves(here: Any, place: str) -> Iterator[str]:
    if isinstance(here, Mapping) and here and "value" not in here:
        for key, value in here.items():
            yield from _leaves(value, f"{place}.{key}" if place else key)
    elif here is not None:
        yield place


def holds_facts(acts: Iterable[Act]) -> bool:
    """Whether any of the acts changes what is known, so that it may be taken back."""
    return any(name in act for act in acts for name in _FACTS)


def draft_of(case: Case, more: Iterable[Act] = ()) -> Draft:
    """The farm as told by a case, and by further acts not yet in it."""
    return fold([*(act for event in effective_events(case) for act in event.acts), *more])


def fold(acts: Iterable[Act]) -> Draft:
    """Apply acts in order to an empty farm."""
    farm: dict[str, Any] = {}
    skipped: set[str] = set()
    unknown: set[str] = set()
    talk: Mapping[str, Any] | None = None
    trouble: Mapping[str, Any] | None = None
    for act in acts:
        if "restart" in act:
            farm, skipped, unknown, talk, trouble = {}, set(), set(), None, None
        if "set" in act:
            _put(farm, act["set"].split("."), act["to"])
        if "drop" in act:
            _drop(farm, act["drop"].split("."))
        if "skip" in act:
            skipped.add(act["skip"])
        if "unknown" in act:
            unknown.add(act["unknown"])
        talk = act.get("talk", talk)
        trouble = act.get("trouble", trouble)
    return Draft(farm, frozenset(skipped), frozenset(unknown), talk, trouble)


def _put(farm: dict[str, Any], parts: list[str], value: Any) -> None:
    here = farm
    for part in parts[:-1]:
        if not isinstance(here.get(part), dict):
            here[part] = {}
        here = here[part]
    here[parts[-1]] = deepcopy(value)  # a case read twice must never share what the fold changes


def _drop(farm: dict[str, Any], parts: list[str]) -> None:
    here: Any = farm
    for part in parts[:-1]:
        here = here.get(part)
        if not isinstance(here, dict):
            return
    here.pop(parts[-1], None)
