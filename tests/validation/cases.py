"""The comparisons as data: trials and tables read from YAML, each turned into farms and measured values."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from advisor.knowledge import knowledge

__all__ = ["Case", "Comparison", "Trial", "table_cases", "trials"]

FOLDER = Path(__file__).parent / "data"
_IDENTITY = {"table", "pack", "lesson", "set_from"}


@dataclass(frozen=True)
class Comparison:
    """One measured value. `change` compares the change against another case of the same trial."""

    measure: str
    low: float
    high: float
    at_least: float | None = None
    change: bool = False
    set_from: bool = False
    lesson: str = ""

    @property
    def middle(self) -> float:
        """What must lie inside: the value, or the middle of a measured range."""
        return (self.low + self.high) / 2


@dataclass(frozen=True)
class Case:
    """A farm and what was measured on it."""

    name: str
    farm: dict[str, Any]
    comparisons: tuple[Comparison, ...]
    against: str = ""


@dataclass(frozen=True)
class Trial:
    """A publication with one or more cases."""

    id: str
    title: str
    cite: str
    address: str
    seen: str
    quality: str
    assumed: tuple[str, ...]
    cases: tuple[Case, ...]


def _comparison(raw: dict[str, Any]) -> Comparison:
    least = raw.get("at_least")
    middle: Any = raw.get("value", least)
    return Comparison(
        measure=raw["measure"],
        low=float(raw.get("low", middle)),
        high=float(raw.get("high", middle)),
        at_least=least,
        change=raw.get("change", False),
        set_from=raw.get("set_from", False),
        lesson=raw.get("lesson", "").strip(),
    )


def trials() -> list[Trial]:
    """Every trial of data/trials.yaml."""
    out = []
    for raw in yaml.safe_load((FOLDER / "trials.yaml").read_text("utf-8")):
        variants = raw.get("variants") or [{"name": "", "farm": raw["farm"], "compare": raw["compare"]}]
        cases = tuple(
            Case(v["name"], v["farm"], tuple(map(_comparison, v["compare"])), v.get("against", ""))
            for v in variants
        )
        told = {key: raw[key] for key in ("id", "title", "cite", "address", "seen", "quality")}
        out.append(Trial(**told, assumed=tuple(raw["assumed"]), cases=cases))
    return out


Told = dict[str, dict[str, Any]]


def table_cases() -> tuple[Told, dict[str, dict[str, str]], list[tuple[str, str, Comparison]]]:
    """Farms by pack, tables by id, and rows (table, pack, comparison) of data/tables.yaml."""
    raw = yaml.safe_load((FOLDER / "tables.yaml").read_text("utf-8"))
    rows = []
    for row in raw["rows"]:
        for measure, value in row.items():
            if measure in _IDENTITY:
                continue
            low, high = value if isinstance(value, list) else (value, value)
            told = {"measure": measure, "low": low, "high": high}
            told |= {key: row[key] for key in ("lesson", "set_from") if key in row}
            rows.append((row["table"], row["pack"], _comparison(told)))
    farms = {name: _pack_farm(pack) for name, pack in raw["packs"].items()}
    return farms, {t["id"]: t for t in raw["tables"]}, rows


def _pack_farm(pack: dict[str, Any]) -> dict[str, Any]:
    """The farm of a typical pack: room and bedding as the class has them, with their ranges."""
    heads = pack["groups"][0]["count"]
    animal = knowledge().animals[pack["groups"][0]["class"]]
    bedding = pack.get("bedding", "straw")
    area: Any
    area, rate = (
        {end: getattr(figure, end) * heads for end in ("value", "low", "high")}
        for figure in (animal.litter_space, animal.bedding_rate)
    )
    if "area" in pack:
        area = pack["area"] * heads
    return {
        "days": pack.get("days", 150),
        "temperature": pack.get("temperature", 5),
        "groups": pack["groups"],
        "pens": [{"area": area}],
        "base": {"depth": pack.get("base", 0.15)},
        "materials": [{"name": bedding, "for_sale": True}],
        "bedding": [{"material": bedding, "rate": rate}],
    }
