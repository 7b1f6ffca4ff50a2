"""JSON Schemas of the topics, made from the models, so that an editor completes and checks while one types."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema

from advisor.knowledge.base import Knowledge
from advisor.knowledge.models import TOPICS

__all__ = ["IDS_FILE", "kept_ids", "schema_of", "schema_texts", "write_ids", "write_schemas"]

IDS_FILE = "schema/ids.txt"
_KEPT = ("facts", "regions", "animals", "materials", "figures", "cautions", "rules", "glossary")

_FIGURE_NOTE = "A number with its range, unit and evidence. A single `value` stands for its own low and high."


def schema_of(model: type[BaseModel]) -> dict[str, Any]:
    """The schema of a file of entries: `id: {...}`, each as the model says."""
    entry = model.model_json_schema(schema_generator=GenerateJsonSchema)
    definitions = entry.pop("$defs", {})
    figure = definitions.get("Figure")
    if figure is not None:
        figure["required"] = [name for name in figure["required"] if name not in ("low", "high")]
        figure["description"] = _FIGURE_NOTE
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "description": " ".join((model.__doc__ or "").split()),
        "type": "object",
        "propertyNames": {"pattern": "^[A-Za-z][A-Za-z0-9_.-]*$"},
        "additionalProperties": entry,
        "$defs": definitions,
    }


def schema_texts() -> dict[str, str]:
    """file name: text, for every topic."""
    return {
        f"{topic}.schema.json": json.dumps(schema_of(model), indent=1, ensure_ascii=False) + "\n"
        for topic, model in TOPICS.items()
    }


def kept_ids(folder: Path) -> list[tuple[str, str]]:
    """(topic, id) of every id that must not go, as listed in schema/ids.txt."""
    try:
        lines = (folder / IDS_FILE).read_text(encoding="utf-8").splitlines()
    except OSError:
        return []
    return [(topic, key) for topic, _, key in (line.partition(" ") for line in lines)]


def write_ids(folder: Path, knowledge: Knowledge) -> Path:
    """Add new ids to schema/ids.txt. None is ever taken out here: that is for a person to decide."""
    kept = dict.fromkeys(kept_ids(folder))
    kept |= dict.fromkeys((topic, key) for topic in _KEPT for key in knowledge.topic(topic))
    path = folder / IDS_FILE
    path.write_text("".join(f"{topic} {key}\n" for topic, key in sorted(kept)), encoding="utf-8")
    return path


def write_schemas(folder: Path) -> list[Path]:
    """Write knowledge/schema/*.schema.json; take away those of topics that are gone."""
    place = folder / "schema"
    place.mkdir(exist_ok=True)
    texts = schema_texts()
    for old in place.glob("*.schema.json"):
        if old.name not in texts:
            old.unlink()
    for name, text in texts.items():
        (place / name).write_text(text, encoding="utf-8")
    return [place / name for name in texts]
