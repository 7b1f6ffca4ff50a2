"""The file of signs that `byrewise diagnose` reads (see advisor/contracts/diagnosis_in.schema.json)."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.knowledge import Fault, Knowledge, KnowledgeError
from advisor.knowledge.base import validate
from advisor.knowledge.yaml_text import Located, Place, parse_yaml, read_yaml
from advisor.troubles.diagnosis import Diagnosis, UnknownEvidence, start
from advisor.troubles.weigh import PRESENT, WHERE

__all__ = ["Signs", "SignsError", "diagnosis_of", "read_signs"]

Number = float | list[float]


class SignsError(KnowledgeError):
    """A file of signs that cannot be used; every fault is in `faults`."""


class Signs(BaseModel):
    """What a keeper has seen, checked and knows."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    schema_version: Literal[1] = 1
    place: Literal["bed", "heap", "land"] | None = None
    signs: tuple[str, ...] | dict[str, Literal["present", "absent", "unknown"]] = Field(
        (), description="signs that are there, or each with present, absent or unknown"
    )
    checks: dict[str, str] = Field(default_factory=dict, description="check: its result, or unknown")
    facts: dict[str, bool | str | Number | list[str]] = Field(
        default_factory=dict, description="facts and numbers of the farm; a range as [low, value, high]"
    )
    farm: str | None = Field(None, description="farm file, beside this one or in full")


def read_signs(source: Path | str, name: str = "standard input") -> tuple[Signs, Located]:
    """Read a file (Path) or text (str). Raises SignsError."""
    text = read_yaml(source) if isinstance(source, Path) else parse_yaml(source, name)
    if text.faults:
        raise SignsError(text.faults)
    if not isinstance(text.data, dict):
        raise SignsError([Fault(Place(text.file, 1), "holds no signs", "start with `signs: [wet surface]`")])
    raw: Any = {
        **text.data,
        **({"checks": _yes_no(text.data["checks"])} if isinstance(text.data.get("checks"), dict) else {}),
    }
    signs, faults = validate(Signs, raw, text, ())
    if faults:
        raise SignsError(faults)
    return signs, text


def diagnosis_of(knowledge: Knowledge, signs: Signs, text: Located, facts: dict[str, Any]) -> Diagnosis:
    """The diagnosis for a file of signs; the file's own facts beat those of the farm. Raises SignsError."""
    told: dict[str, str] = {}
    if signs.place:
        told[WHERE] = signs.place
    named = signs.signs if isinstance(signs.signs, dict) else dict.fromkeys(signs.signs, PRESENT)
    faults = []
    for key, entries in (("signs", named), ("checks", signs.checks)):
        for name, state in entries.items():
            try:
                if key == "checks" and name not in knowledge.checks:
                    raise UnknownEvidence(f"no check is called '{name}'")
                start(knowledge, {name: state})
            except UnknownEvidence as fault:
                path: tuple[str | int, ...] = (key, name) if isinstance(entries, dict) else (key,)
                faults.append(Fault(text.place(path), str(fault)))
            else:
                told[name] = state
    if faults:
        raise SignsError(faults)
    return start(knowledge, told, {**facts, **signs.facts})


def _yes_no(checks: dict[Any, Any]) -> dict[Any, Any]:
    """YAML reads a bare yes or no as true or false."""
    words = {True: "yes", False: "no"}
    return {k: words[v] if isinstance(v, bool) else v for k, v in checks.items()}
