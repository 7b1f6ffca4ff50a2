"""The word tables of knowledge/words: their form, and reading them with the place of every fault."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

from pydantic import Field, TypeAdapter, ValidationError

from advisor.knowledge import Fault
from advisor.knowledge.figure import Strict
from advisor.knowledge.yaml_text import read_yaml

__all__ = [
    "AnimalWords",
    "Asked",
    "Breed",
    "Choice",
    "DangerPoints",
    "MaterialWords",
    "Outside",
    "Signs",
    "Tables",
    "Unasked",
    "Unit",
    "split_words",
]


class AnimalWords(Strict):
    """Names for one class of animal."""

    species: str
    words: str
    only_counted: str = ""
    not_alone: str = ""


class MaterialWords(Strict):
    """Names for one material."""

    words: str
    only_counted: str = ""


class Breed(Strict):
    """Breeds of one kind, and what they make of a general word."""

    words: str
    narrows: dict[str, str]
    alone: str


class Unit(Strict):
    """A unit as written after a number."""

    measures: Literal[
        "mass", "length", "distance", "area", "volume", "temperature", "degrees", "fraction", "ppm", "clock",
        "hours", "time", "age", "money", "other", "pack",
    ]  # fmt: skip
    words: str
    factor: float = 1.0
    alt: dict[str, float] = Field(default_factory=dict)
    system: str = ""
    land: bool = False
    vague: bool = False


class Signs(Strict):
    """Patterns that raise a meaning, and those that cancel it."""

    signs: str
    calm: str = ""


class DangerPoints(Strict):
    """How far each word speaks for an emergency, and for which."""

    base: int
    enough: int = Field(description="points from which it is taken for an emergency without any sign")
    calmed: int = Field(description="points taken off for a turn of speech, a 'what if' or the past")
    doubtful: int = Field(description="points below which a sign alone is not believed")
    points: dict[str, int]
    kinds: dict[str, dict[str, int]]


class Alarm(Signs):
    """Signs of an emergency; `always` are those that no turn of speech and no 'what if' calms."""

    always: str = ""


class Choice(Strict):
    """A choice: words for it when it was asked about, and anywhere."""

    signs: str
    anywhere: str = ""
    # `for` is a word of Python, so the field is read through its alias below.
    questions: tuple[str, ...] = ()


class Unasked(Strict):
    """An answer told in passing: whose it is, what it says, and the patterns that say it."""

    question: str
    signs: str
    choice: str = ""
    sets: dict[str, bool | float | str] = Field(default_factory=dict)
    # `with` is a word of Python, so the field is read through its alias below.
    beside: str = ""


class Outside(Strict):
    """A matter for someone else."""

    who: str
    signs: str


class Asked(Strict):
    """How the answer to one question is read."""

    slot: Literal[
        "animals", "count", "weight", "hours", "yes_no", "period", "days", "start", "end", "area", "choice",
        "temperature", "materials", "amount", "quantity", "depth", "rate", "moisture", "option", "name",
    ]  # fmt: skip
    words: str
    of: str = ""
    measures: str = ""
    unit_range: dict[str, tuple[float, float]] = Field(default_factory=dict)
    most_m: float = 0.0
    yes: str = ""
    no: str = ""


class Numbers(Strict):
    """Number words."""

    small: dict[str, float]
    multiplier: dict[str, float]
    couple: dict[str, float]
    fraction: dict[str, float]
    ordinal: dict[str, int]
    about: tuple[str, ...]
    pointing: tuple[str, ...]
    every_days: dict[str, float]
    vague: str


class Dates(Strict):
    """Months, feasts and parts of a month."""

    months: dict[str, int]
    unsure_months: tuple[str, ...]
    seasons: dict[str, str]
    feasts: dict[str, tuple[str, str]]
    parts: dict[str, tuple[int, int]]
    weekdays: dict[str, int]
    no_day: str


class Plausible(Strict):
    """Weights between which a number can be meant."""

    class_kg: dict[str, tuple[float, float]]
    species_kg: dict[str, tuple[float, float]]
    never_kg: dict[str, tuple[float, float]]
    grown_kg: dict[str, float]


class Tables(Strict):
    """Every word table, one field a file."""

    spelling: dict[str, str]
    numbers: Numbers
    units: dict[str, Unit]
    dates: Dates
    groups: dict[str, str]
    symptoms: dict[str, str]
    alarms: dict[str, Alarm]
    danger_points: DangerPoints
    acts: dict[str, str]
    navigation: dict[str, str]
    choices: dict[str, Choice]
    outside: dict[str, Outside]
    unasked: dict[str, Unasked]
    topics: dict[str, str]
    asked: dict[str, Asked]
    breeds: dict[str, Breed]
    extra_animals: dict[str, AnimalWords]
    extra_materials: dict[str, MaterialWords]
    lists: dict[str, str]
    plausible: Plausible


def split_words(text: str) -> list[str]:
    """The words of a comma list."""
    return [word.strip() for word in text.split(",") if word.strip()]


def read_tables(folder: Path) -> tuple[Tables | None, list[Fault]]:
    """Read knowledge/words. Faults are returned, all of them, each with its line."""
    faults: list[Fault] = []
    raw: dict[str, Any] = {}
    places = {}
    for path in sorted(folder.glob("*.yaml")):
        located = read_yaml(path, str(path.relative_to(folder.parent)))
        faults += located.faults
        raw[path.stem] = located.data
        places[path.stem] = located
    for entry in (raw.get("choices") or {}).values():
        if isinstance(entry, dict) and "for" in entry:
            entry["questions"] = entry.pop("for")
    for entry in (raw.get("unasked") or {}).values():
        if isinstance(entry, dict) and "with" in entry:
            entry["beside"] = entry.pop("with")
    try:
        return TypeAdapter(Tables).validate_python(raw), faults
    except ValidationError as wrong:
        for error in wrong.errors():
            name, *path_in = error["loc"]
            located_file = places.get(str(name))
            if located_file is None:
                raise
            place = located_file.place(tuple(path_in))
            faults.append(Fault(place, f"'{'.'.join(map(str, error['loc']))}': {error['msg']}"))
        return None, faults
