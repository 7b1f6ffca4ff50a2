"""The JSON Schemas of every file that is read or written, each with an example in `examples/`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

__all__ = ["farm_schema", "schema", "season_entries_schema"]

_FOLDER = Path(__file__).parent


def schema(name: str) -> dict[str, Any]:
    """A schema by name: `schema("plan_result")`."""
    found: dict[str, Any] = json.loads((_FOLDER / f"{name}.schema.json").read_text(encoding="utf-8"))
    return found


def farm_schema() -> dict[str, Any]:
    """The farm file's schema, made from the model that reads it; `farm.schema.json` is kept in step by a test."""
    from advisor.farm.model import Farm

    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A farm, as byrewise plan reads it",
        "description": (
            "Amounts are numbers in the unit the field names, or text with a unit: '96 m2', '8 m x 12 m', "
            "'600 to 650 kg', or {value, low, high, unit}. Classes, materials and regions go by their plain names."
        ),
        **Farm.model_json_schema(by_alias=True),
    }


def season_entries_schema() -> dict[str, Any]:
    """The season record's schema, made from the models that read it."""
    from advisor.record.entries import RecordFile

    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A season record, as byrewise season reads it",
        "description": (
            "Amounts are numbers in the unit the field names, or text with a unit: '45 cm', '200 kg', "
            "or {value, low, high}. Nutrients are elemental. Materials and groups go by their plain names."
        ),
        **RecordFile.model_json_schema(by_alias=True),
    }
