"""Names of animals and materials as people write them, to their ids."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from advisor.dialogue.phrases import normal
from advisor.knowledge import Knowledge
from advisor.knowledge.models import AnimalClass, Material

__all__ = ["Names"]


@dataclass(frozen=True)
class Names:
    """Every name of every class and material."""

    animals: Mapping[str, str]
    materials: Mapping[str, str]

    @classmethod
    def of(cls, knowledge: Knowledge) -> Names:
        """Read them off the knowledge base."""
        return cls(_names(knowledge.animals), _names(knowledge.materials))

    def animal(self, word: str) -> str | None:
        """The id of a class."""
        return _found(word, self.animals)

    def material(self, word: str) -> str | None:
        """The id of a material."""
        return _found(word, self.materials)


def _names(entries: Mapping[str, AnimalClass] | Mapping[str, Material]) -> dict[str, str]:
    """An entry's own name beats another's word for it."""
    names: dict[str, str] = {}
    for key, entry in entries.items():
        plural = entry.plural if isinstance(entry, AnimalClass) else ""
        for word in (*entry.words, plural, key.replace("_", " ")):
            names.setdefault(normal(word), key)
    for key, entry in entries.items():
        names[normal(entry.name)] = key
    names.pop("", None)
    return names


def _found(word: str, names: Mapping[str, str]) -> str | None:
    asked = normal(word)
    return names.get(asked) or names.get(asked.removesuffix("s"))
