"""Reads the case tables into diagnoses."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

from advisor.knowledge import Knowledge
from advisor.troubles import Diagnosis, start
from advisor.troubles.weigh import ABSENT, PRESENT, WHERE

__all__ = ["CASES", "PUBLISHED", "UNSEEN", "UNSEEN_SOURCES", "diagnosis"]

_HERE = Path(__file__).parent
_TABLE: dict[str, dict[str, dict[str, Any]]] = yaml.safe_load((_HERE / "cases.yaml").read_text("utf-8"))
CASES: dict[str, dict[str, Any]] = {key: case for part in _TABLE.values() for key, case in part.items()}
PUBLISHED: list[dict[str, Any]] = yaml.safe_load((_HERE / "published.yaml").read_text("utf-8"))
_UNSEEN: dict[str, Any] = yaml.safe_load((_HERE / "published_unseen.yaml").read_text("utf-8"))
UNSEEN: list[dict[str, Any]] = _UNSEEN["rows"]
UNSEEN_SOURCES: dict[str, dict[str, str]] = _UNSEEN["sources"]


def diagnosis(known: Knowledge, row: dict[str, Any]) -> Diagnosis:
    """The diagnosis of a row: its signs present and absent, its checks, its place and facts."""
    told = dict.fromkeys(row.get("signs", ()), PRESENT) | dict.fromkeys(row.get("absent", ()), ABSENT)
    told |= row.get("checks", {})
    if "place" in row:
        told[WHERE] = row["place"]
    return start(known, told, row.get("facts", {}))
