"""A recipe file: what is to be mixed, how much of it, and what the mix should come to."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from advisor.farm.model import Kg, Measure, Part, ShareOf, read_measure
from advisor.farm.reading import FarmError, find_id
from advisor.knowledge import Fault, Knowledge
from advisor.knowledge.base import validate
from advisor.knowledge.yaml_text import Located, Place, parse_yaml, read_yaml
from advisor.units import UnitError, same_dimension

__all__ = [
    "WATER", "Heap", "RecipeFile", "RecipeMaterial", "Targets", "read_recipe", "read_recipe_text", "recipe_schema",
]  # fmt: skip

WATER = "water"
_RATIO = (0.1, 5000.0)


class Heap(Part):
    """An amount by weight or by loose volume."""

    measure: Measure
    unit: Literal["kg", "m3"]


def _read_heap(raw: Any) -> Any:
    """'2 t', '3 m3', '400 lb', or a number of kilograms; the word 'unknown' is no amount."""
    if isinstance(raw, Heap) or raw is None or raw == "unknown":
        return None if raw == "unknown" else raw
    unit: Literal["kg", "m3"] = "kg"
    told = raw.get("unit", "") if isinstance(raw, dict) else str(raw).strip().split(" ", 1)[-1]
    try:
        if same_dimension(str(told), "m3"):
            unit = "m3"
    except UnitError:
        pass  # read_measure says what is wrong with it
    return Heap(measure=read_measure(raw, unit, 0.0, 1e8), unit=unit)


def _read_ratio(raw: Any) -> Any:
    """30, '30:1' or '25 to 30:1'."""
    text = raw.replace(" :", ":").replace(": ", ":").replace(":1", "") if isinstance(raw, str) else raw
    return _read_band(text, "fraction", *_RATIO)


def _read_band(raw: Any, unit: str, least: float, most: float) -> Any:
    """As a measure; {low, high} alone is a band too."""
    if isinstance(raw, dict) and {"low", "high"} <= raw.keys() and "value" not in raw:
        try:
            raw = {**raw, "value": (float(raw["low"]) + float(raw["high"])) / 2}
        except (TypeError, ValueError):
            raise ValueError("low and high must be numbers") from None
    return read_measure(raw, unit, least, most)


_SCHEMA: Any = float | str | dict | None
Amounted = Annotated[Heap | None, BeforeValidator(_read_heap, json_schema_input_type=_SCHEMA)]
Ratio = Annotated[Measure, BeforeValidator(_read_ratio, json_schema_input_type=_SCHEMA)]
Wetness = Annotated[
    Measure,
    BeforeValidator(lambda raw: _read_band(raw, "fraction", 0.0, 1.0), json_schema_input_type=_SCHEMA),
]
Density = Annotated[
    Measure,
    BeforeValidator(lambda raw: read_measure(raw, "kg/m3", 1.0, 3000.0), json_schema_input_type=_SCHEMA),
]


class RecipeMaterial(Part):
    """One material. What is not told is taken from the knowledge base, if the name is known there."""

    name: str = Field(min_length=1)
    amount: Amounted = Field(None, description="weight or loose volume; left out or 'unknown': to be found")
    volume: Amounted = Field(None, description="loose volume, instead of amount")
    least: Amounted = Field(None, description="use at least this much")
    most: Amounted = Field(None, description="use no more than this")
    moisture: ShareOf | None = Field(None, description="water as share of the whole")
    carbon: ShareOf | None = None
    nitrogen: ShareOf | None = None
    c_to_n: Ratio | None = None
    density: Density | None = Field(None, description="loose, as it lies")
    share_of: Literal["dry_matter", "whole"] = Field(
        "dry_matter", description="what carbon and nitrogen told here are a share of"
    )

    @model_validator(mode="after")
    def _agrees(self) -> RecipeMaterial:
        if self.volume and self.volume.unit != "m3":
            raise ValueError("volume is given as a weight; write it under `amount:`")
        if self.amount and self.volume:
            raise ValueError("give the amount by weight or by volume, not both")
        if (self.amount or self.volume) and (self.least or self.most):
            raise ValueError("a known amount takes no `least` or `most`; leave out one of them")
        least, most = self.least, self.most
        if least and most and least.unit == most.unit and least.measure.value > most.measure.value:
            raise ValueError("`least` is more than `most`")
        return self

    @property
    def known(self) -> Heap | None:
        """The amount told, by weight or by volume."""
        return self.amount or self.volume

    @property
    def own_ratio(self) -> bool:
        """Whether carbon and nitrogen are told as far as a ratio needs."""
        return self.c_to_n is not None or (self.carbon is not None and self.nitrogen is not None)


class Targets(Part):
    """What the mix should come to: one value or a range each."""

    c_to_n: Ratio | None = None
    moisture: Wetness | None = None


class RecipeFile(Part):
    """A recipe: materials with known and unknown amounts, and targets."""

    schema_version: Literal[1] = 1
    name: str = ""
    note: str = ""
    units: Literal["metric", "us"] = "metric"
    materials: tuple[RecipeMaterial, ...] = Field(min_length=1)
    targets: Targets | None = Field(
        None, description="left out: what a heap needs, where an amount is unknown"
    )
    total: Kg | None = Field(None, description="weight of the whole mix")


def read_recipe(path: Path, knowledge: Knowledge) -> RecipeFile:
    """Read and check a recipe file. Raises FarmError with every fault at once."""
    return _checked(read_yaml(path), knowledge)


def read_recipe_text(text: str, knowledge: Knowledge, name: str = "recipe") -> RecipeFile:
    """As read_recipe, from text."""
    return _checked(parse_yaml(text, name), knowledge)


def recipe_schema() -> dict[str, Any]:
    """The JSON Schema of a recipe file, made from the model; `recipe.schema.json` is kept in step by a test."""
    return {
        **RecipeFile.model_json_schema(),
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A recipe, as byrewise mix reads it",
        "description": (
            "Amounts are text with a unit, by weight or by loose volume ('2 t', '3 m3', '400 lb'), or a number of "
            "kilograms. Shares are '35 %' or 0.35; ratios are 30, '30:1' or '25 to 30'. Materials go by their plain "
            "names; one that the adviser does not know needs figures of its own."
        ),
    }


def _checked(text: Located, knowledge: Knowledge) -> RecipeFile:
    if text.faults:
        raise FarmError(text.faults)
    if not isinstance(text.data, dict):
        raise FarmError([Fault(Place(text.file, 1), "is empty or not a recipe", "start with `materials:`")])
    recipe: RecipeFile | None
    recipe, faults = validate(RecipeFile, text.data, text, ())
    if recipe is None:
        rows = text.data.get("materials")
        faults += _unknown_names(rows if isinstance(rows, list) else [], text, knowledge)
    else:
        faults += list(_contradictions(recipe, text, knowledge))
    if faults or recipe is None:
        raise FarmError(sorted(set(faults)))
    return recipe


def _unknown_names(rows: list[Any], text: Located, knowledge: Knowledge) -> list[Fault]:
    """Names that mean nothing and have nothing of their own, where the file cannot be read as a whole."""
    return [
        _unknown_name(row["name"], i, text, knowledge)
        for i, row in enumerate(rows)
        if isinstance(row, dict)
        and isinstance(row.get("name"), str)
        and not {"moisture", "carbon", "nitrogen", "c_to_n", "density"} & row.keys()
        and row["name"].strip().lower() != WATER
        and find_id(row["name"], knowledge.materials)[0] is None
    ]


def _unknown_name(name: str, row: int, text: Located, knowledge: Knowledge) -> Fault:
    _, near = find_id(name, knowledge.materials)
    mend = f"did you mean '{near}'? " if near else ""
    return Fault(
        text.place(("materials", row, "name")),
        f"unknown material '{name}'",
        f"{mend}A material of your own needs `moisture:` and `c_to_n:` beside its name",
    )


def _contradictions(recipe: RecipeFile, text: Located, knowledge: Knowledge) -> Iterator[Fault]:
    """What is well formed but cannot be true, or is not enough to reckon with."""
    unknown = any(row.known is None for row in recipe.materials)
    asks_ratio = bool(recipe.targets and recipe.targets.c_to_n) or (recipe.targets is None and unknown)
    asks_water = bool(recipe.targets and recipe.targets.moisture) or (recipe.targets is None and unknown)
    for i, row in enumerate(recipe.materials):
        if row.name.strip().lower() == WATER:
            continue
        key = find_id(row.name, knowledge.materials)[0]
        place = text.place(("materials", i))
        if key is None and not (row.moisture or row.own_ratio or row.carbon or row.nitrogen):
            yield _unknown_name(row.name, i, text, knowledge)
            continue
        entry = knowledge.materials[key] if key else None
        by_volume = [h for h in (row.known, row.least, row.most) if h is not None and h.unit == "m3"]
        if by_volume and row.density is None and not (entry and (entry.density_loose or entry.density_laid)):
            yield Fault(
                place, f"how heavy is a cubic metre of {row.name}?", "add `density:`, such as 250 kg/m3"
            )
        if entry is None and asks_ratio and not row.own_ratio:
            yield Fault(place, f"the carbon and nitrogen of {row.name} are not known", "add `c_to_n:`")
        needs_water = asks_water or (asks_ratio and row.share_of == "dry_matter")
        if entry is None and needs_water and row.moisture is None:
            yield Fault(
                place, f"the moisture of {row.name} is not known",
                "add `moisture:`, or `share_of: whole` where its shares are of the whole weight",
            )  # fmt: skip
        bare = row.moisture is None and row.carbon is None and row.nitrogen is None
        if entry is None and row.c_to_n and row.share_of == "whole" and bare:
            yield Fault(
                place, f"a ratio alone does not say how much carbon {row.name} holds",
                "add `carbon:`, or `moisture:` and leave out `share_of:`",
            )  # fmt: skip
        if row.c_to_n and row.carbon and row.nitrogen and row.nitrogen.value > 0:
            ratio = row.carbon.value / row.nitrogen.value
            if not row.c_to_n.low * 0.9 <= ratio <= row.c_to_n.high * 1.1:
                yield Fault(
                    text.place(("materials", i, "c_to_n")),
                    f"carbon over nitrogen is {ratio:.3g}, but c_to_n says {row.c_to_n.value:g}",
                    "leave out one of the three",
                )
    given = any(row.known and row.known.measure.value > 0 for row in recipe.materials)
    floor = any(row.least and row.least.measure.value > 0 for row in recipe.materials)
    room = any(
        row.known is None and not (row.most and row.most.measure.value == 0) for row in recipe.materials
    )
    if not given and not floor and not (room and recipe.total and recipe.total.value > 0):
        yield Fault(
            text.place(("materials",)), "nothing says how big the mix is", "give one amount, or `total:`"
        )
