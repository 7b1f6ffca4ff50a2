"""What a keeper notes through the winter: typed entries, each of one day and one pen.

An entry never changes. A correction is an entry with the same `id`; taking one back names its id. As JSON
objects the entries are the acts that stand in a case: `{"season": {...}}` and `{"season_drop": id}`.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, TypeAdapter, model_validator

from advisor.farm.model import Day, Measure, Part, read_measure

__all__ = [
    "Ammonia", "Bedding", "Bought", "Depth", "Dirt", "Entry", "Grass", "Heads", "Heap", "Incident", "Lab",
    "Moisture", "Noted", "Price", "Rain", "Record", "RecordFile", "Squeeze", "Stock", "Temperature", "Weighed",
    "dump", "entry_id", "read_entry", "with_ids",
]  # fmt: skip


def _in(unit: str, least: float | None = 0.0, most: float | None = None) -> BeforeValidator:
    return BeforeValidator(
        lambda raw: read_measure(raw, unit, least, most), json_schema_input_type=float | str | dict
    )


Mass = Annotated[Measure, _in("kg", 0, 1e6)]
Volume = Annotated[Measure, _in("m3", 0, 1e5)]
Share = Annotated[Measure, _in("fraction", 0, 1)]
Length = Annotated[Measure, _in("m", 0, 20)]
PerTonne = Annotated[Measure, _in("kg/t", 0, 200)]
Celsius = Annotated[Measure, _in("degC", -50, 130)]
RainDepth = Annotated[Measure, _in("mm", 0, 1000)]


class Noted(Part):
    """What every entry has."""

    id: str = Field("", description="stays the same when the entry is corrected; made where it is left out")
    date: Day
    pen: str = Field("", description="empty: the only pen, or all pens together")
    note: str = ""
    said: str = Field("", description="the keeper's own words")


class _Amount(Noted):
    material: str
    packs: float | None = Field(None, ge=0, le=100_000, description="bales, bags or loads")
    pack: str | None = Field(None, description="kind of bale, bag or load, as in the knowledge base")
    mass: Mass | None = None
    volume: Volume | None = None

    @model_validator(mode="after")
    def _one_amount(self) -> _Amount:
        told = [each for each in (self.packs, self.mass, self.volume) if each is not None]
        if len(told) != 1:
            raise ValueError("give the amount once: as packs, mass or volume")
        return self


class Bedding(_Amount):
    """Bedding put on the bed: the amount of one day, the same on each of `days` days. Zero says: none."""

    kind: Literal["bedding"] = "bedding"
    days: int = Field(1, ge=1, le=366)
    moisture: Share | None = Field(None, description="where it was wetter or drier than usual")
    wet: bool = Field(False, description="it was wet when it was put on, by how much nobody measured")
    base: bool = Field(False, description="the first layer, which the plan already holds as its base")


class Bought(_Amount):
    """Supply brought in, with what it cost where told."""

    kind: Literal["bought"] = "bought"
    price: float | None = Field(None, ge=0, description="per tonne")
    cost: float | None = Field(None, ge=0, description="for all of it")


class Stock(_Amount):
    """What is left of a material, counted."""

    kind: Literal["stock"] = "stock"


class Weighed(Noted):
    """What one bale, bag or load weighs."""

    kind: Literal["weighed"] = "weighed"
    material: str
    pack: str | None = None
    mass: Mass


class Price(Noted):
    """A new price."""

    kind: Literal["price"] = "price"
    material: str
    price: float = Field(ge=0, description="per tonne")


class Heads(Noted):
    """Animals that came or went, or how many there are now."""

    kind: Literal["heads"] = "heads"
    group: str = Field("", description="group or class; empty: the only group")
    change: int | None = Field(None, ge=-100_000, le=100_000)
    count: int | None = Field(None, ge=0, le=100_000)
    why: str = ""

    @model_validator(mode="after")
    def _one_number(self) -> Heads:
        if (self.change is None) == (self.count is None):
            raise ValueError("give either the change or the count")
        return self


class Grass(Noted):
    """Days on which animals were off the bed."""

    kind: Literal["grass"] = "grass"
    group: str = ""
    days: int = Field(1, ge=1, le=366)
    share: float = Field(1.0, gt=0, le=1, description="of the day")


class Depth(Noted):
    """Depth of the pack, base included."""

    kind: Literal["depth"] = "depth"
    depth: Length


class Squeeze(Noted):
    """What a squeezed handful of the top does."""

    kind: Literal["squeeze"] = "squeeze"
    result: Literal["crumbles", "holds", "drips"]


class Moisture(Noted):
    """Measured moisture, wet basis."""

    kind: Literal["moisture"] = "moisture"
    moisture: Share
    of: Literal["top", "whole"] = "top"


class Temperature(Noted):
    """Temperature inside the bed."""

    kind: Literal["temperature"] = "temperature"
    temperature: Celsius
    depth: Length | None = None


class Ammonia(Noted):
    """Ammonia at animal height: read off a tube, or by the nose from 0 (none) to 3 (eyes sting)."""

    kind: Literal["ammonia"] = "ammonia"
    ppm: float | None = Field(None, ge=0, le=2000)
    nose: int | None = Field(None, ge=0, le=3)

    @model_validator(mode="after")
    def _one_reading(self) -> Ammonia:
        if (self.ppm is None) == (self.nose is None):
            raise ValueError("give either ppm or the nose score")
        return self


class Dirt(Noted):
    """How dirty the animals are, from 1 (clean and dry) to 5 (filthy and wet)."""

    kind: Literal["dirt"] = "dirt"
    score: int = Field(ge=1, le=5)


class Rain(Noted):
    """Water that came onto the bed: rain in millimetres over the floor, or a volume from a leak."""

    kind: Literal["rain"] = "rain"
    rain: RainDepth | None = None
    volume: Volume | None = None

    @model_validator(mode="after")
    def _one_amount(self) -> Rain:
        if (self.rain is None) == (self.volume is None):
            raise ValueError("give either the depth of rain or a volume")
        return self


class Incident(Noted):
    """Something that happened. A frost stops the bed from drying for `days` days."""

    kind: Literal["incident"] = "incident"
    what: Literal["frozen", "births", "sickness", "injury", "escape", "machine", "other"]
    days: int = Field(1, ge=1, le=366)


class Heap(Noted):
    """A heap after digging out: its temperature, and whether it was turned that day."""

    kind: Literal["heap"] = "heap"
    temperature: Celsius | None = None
    where: Literal["core", "edge"] = "core"
    turned: bool = False

    @model_validator(mode="after")
    def _something(self) -> Heap:
        if self.temperature is None and not self.turned:
            raise ValueError("give a temperature, or say that it was turned")
        return self


class Lab(Noted):
    """A laboratory's result, of the pack or of the compost, per tonne as it lies."""

    kind: Literal["lab"] = "lab"
    of: Literal["pack", "compost"] = "pack"
    moisture: Share | None = None
    nitrogen: PerTonne | None = None
    phosphorus: PerTonne | None = None
    potassium: PerTonne | None = None
    c_to_n: Annotated[Measure, _in("fraction", 1, 500)] | None = None

    @model_validator(mode="after")
    def _something(self) -> Lab:
        told = (self.moisture, self.nitrogen, self.phosphorus, self.potassium, self.c_to_n)
        if not any(each is not None for each in told):
            raise ValueError("give at least one number")
        return self


Entry = (
    Bedding | Bought | Stock | Weighed | Price | Heads | Grass | Depth | Squeeze | Moisture | Temperature | Ammonia
    | Dirt | Rain | Incident | Heap | Lab
)  # fmt: skip
_AnyEntry = Annotated[Entry, Field(discriminator="kind")]
_ONE: TypeAdapter[Entry] = TypeAdapter(_AnyEntry)


class RecordFile(Part):
    """A season record in a file."""

    schema_version: Literal[1] = 1
    note: str = ""
    entries: tuple[_AnyEntry, ...] = ()


@dataclass(frozen=True)
class Record:
    """Entries in one fixed order, whatever order they were told in."""

    entries: tuple[Entry, ...] = field(default=())

    @classmethod
    def of(cls, entries: Iterable[Entry]) -> Record:
        """A record: the last of those with the same id counts."""
        held: dict[str, Entry] = {}
        for entry in with_ids(entries):
            held[entry.id] = entry
        return cls(tuple(sorted(held.values(), key=lambda entry: (entry.date, entry.kind, entry.id))))

    def until(self, day: dt.date) -> Record:
        """What was noted of days up to and with this one."""
        return Record(tuple(entry for entry in self.entries if entry.date <= day))

    def latest(self, kind: type[Any], since: dt.date, until: dt.date) -> Any:
        """The newest entry of a kind between two days, or None."""
        found = [e for e in self.entries if isinstance(e, kind) and since <= e.date <= until]
        return found[-1] if found else None

    def find(self, id_: str) -> Entry | None:
        """The entry of an id, or None."""
        return next((entry for entry in self.entries if entry.id == id_), None)

    def __iter__(self) -> Iterator[Entry]:
        return iter(self.entries)

    def __len__(self) -> int:
        return len(self.entries)


def read_entry(raw: Mapping[str, Any]) -> Entry:
    """An entry from plain data. Raises ValidationError."""
    return _ONE.validate_python(dict(raw))


def dump(entry: Entry) -> dict[str, Any]:
    """An entry as plain JSON data, without what was left at its usual value."""
    data = entry.model_dump(mode="json", exclude_defaults=True)
    return {"kind": entry.kind, **{k: v for k, v in data.items() if v is not None}}


def entry_id(entry: Entry, number: int = 1) -> str:
    """An id from what the entry says; `number` tells apart entries that say the same."""
    told = {k: v for k, v in dump(entry).items() if k not in ("id", "said", "note")}
    for key, value in told.items():
        if isinstance(value, dict):
            told[key] = {k: v for k, v in value.items() if k != "said"}
    text = json.dumps(told, sort_keys=True) + (f"#{number}" if number > 1 else "")
    return hashlib.blake2b(text.encode(), digest_size=5).hexdigest()


def with_ids(entries: Iterable[Entry], taken: Iterable[str] = ()) -> list[Entry]:
    """The entries with an id each. Two that say the same are two entries; ids in `taken` are not used again."""
    used, out = set(taken), []
    for entry in entries:
        number, id_ = 1, entry.id
        while not id_ or (id_ in used and not entry.id):
            id_ = entry_id(entry, number)
            if id_ in used:
                id_, number = "", number + 1
        used.add(id_)
        out.append(entry if entry.id else entry.model_copy(update={"id": id_}))
    return out
