"""What the checks look at: the entries as read, and where each part of them stands."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from advisor.knowledge.base import Knowledge
from advisor.knowledge.figure import Figure
from advisor.knowledge.yaml_text import Fault, Located, Place

__all__ = ["Steps", "Subject", "close_to", "figures_in", "raw_figure", "walk"]

Steps = tuple[str | int, ...]


@dataclass(frozen=True)
class Subject:
    """A knowledge base under check. Entries that did not read are missing from `knowledge`, not from `raw`."""

    knowledge: Knowledge
    located: Mapping[tuple[str, str], Located]

    @property
    def folder(self) -> Path:
        """Where its files stand."""
        return self.knowledge.folder

    @cached_property
    def raw(self) -> dict[str, dict[str, Any]]:
        """topic: id: the entry as written."""
        found: dict[str, dict[str, Any]] = {}
        for (topic, key), text in self.located.items():
            found.setdefault(topic, {})[key] = text.data[key]
        return found

    def ids(self, topic: str) -> Collection[str]:
        """Every id of a topic, those of broken entries too, so that one fault does not look like ten."""
        return self.raw.get(topic, {}).keys()

    def place(self, topic: str, key: str, steps: Steps = ()) -> Place:
        """Where a part of an entry stands."""
        return self.located[topic, key].place((key, *steps))

    def fault(self, topic: str, key: str, steps: Steps, what: str, mend: str = "") -> Fault:
        """A fault in a part of an entry."""
        return Fault(self.place(topic, key, steps), what, mend)

    def entries(self) -> Iterator[tuple[str, str, Any]]:
        """(topic, id, entry as written) of everything."""
        for topic, held in self.raw.items():
            for key, entry in held.items():
                yield topic, key, entry


def walk(value: Any) -> Iterator[tuple[Steps, Any]]:
    """Every part of written data with the way to it, outermost first."""
    todo: list[tuple[Steps, Any]] = [((), value)]
    while todo:
        steps, here = todo.pop()
        yield steps, here
        if isinstance(here, dict):
            todo += [((*steps, key), inner) for key, inner in here.items()]
        elif isinstance(here, list):
            todo += [((*steps, number), inner) for number, inner in enumerate(here)]


def figures_in(entry: Any, steps: Steps = ()) -> Iterator[tuple[Steps, Figure]]:
    """Every figure of an entry with the way to it."""
    if isinstance(entry, Figure):
        yield steps, entry
    elif isinstance(entry, BaseModel):
        for name in type(entry).model_fields:
            yield from figures_in(getattr(entry, name), (*steps, name))
    elif isinstance(entry, Mapping):
        for key, inner in entry.items():
            yield from figures_in(inner, (*steps, key))
    elif isinstance(entry, tuple):
        for number, inner in enumerate(entry):
            yield from figures_in(inner, (*steps, number))


def raw_figure(value: Any) -> bool:
    """Whether written data is a figure: its words are for whoever checks it, not for the keeper."""
    return isinstance(value, dict) and "evidence" in value


def close_to(word: str, known: Collection[str]) -> str:
    """'did you mean ...?' where something known is near, else nothing."""
    close = difflib.get_close_matches(str(word), [str(one) for one in known], 1)
    return f"did you mean '{close[0]}'?" if close else ""
