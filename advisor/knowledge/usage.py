"""Where an entry is used: by other entries, by conditions and prose, and by the formulas."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from advisor.knowledge.base import Knowledge
from advisor.knowledge.models import TOPICS

__all__ = ["used_by"]

_WORD = re.compile(r"[A-Za-z0-9_-]+")


def used_by(knowledge: Knowledge, topic: str, key: str) -> list[str]:
    """What uses an entry, in words: 'rule grain_bury', 'formula heap_water_kg'."""
    found = [
        f"{singular(other)} {name}"
        for other in TOPICS
        for name, entry in knowledge.topic(other).items()
        if (other, name) != (topic, key) and key in _mentions(entry)
    ]
    if topic in ("figures", "facts"):
        found += [f"formula {name}" for name in _formulas_reading(key)]
    return found


def singular(topic: str) -> str:
    """The topic's name for one entry."""
    return {"animals": "animal class", "remedies": "remedy"}.get(topic, topic.rstrip("s"))


def _mentions(entry: Any) -> set[str]:
    return set(_words(entry))


def _words(value: Any) -> Iterator[str]:
    """Ids that an entry may point at: short texts, keys, and what stands in conditions and {references}."""
    if isinstance(value, str):
        yield value
        yield from re.findall(r"\{(\w+)\}", value)
    elif isinstance(value, BaseModel):
        for name in type(value).model_fields:
            inner = getattr(value, name)
            if name == "when" and isinstance(inner, str):
                yield from _WORD.findall(inner)
            elif name not in ("words", "unit"):
                yield from _words(inner)
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield str(key)
            yield from _words(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from _words(inner)


def _formulas_reading(name: str) -> list[str]:
    import advisor.plan.results  # noqa: F401  importing it registers every formula
    from advisor.reasoning.derivations import derive

    return sorted(found.name for found in derive.by_name.values() if name in found.parameters)
