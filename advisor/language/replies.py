"""What the user would see for a message read on its own: templates from knowledge/phrases."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from advisor.knowledge import Fault, KnowledgeError, knowledge_folder
from advisor.knowledge.base import plain_data
from advisor.knowledge.figure import Strict
from advisor.knowledge.stored import maker
from advisor.knowledge.yaml_text import read_yaml
from advisor.language.lexicon import Lexicon
from advisor.language.reading import Reading

__all__ = ["Phrase", "first_words", "read_phrases", "reply", "reply_to"]

#: Dialled where the user's region is not known.
EMERGENCY_NUMBERS = "112, 999, 911 or 000, by country"


class Phrase(Strict):
    """Something the adviser says, with {names} to fill in; variants say the same in other words."""

    text: str
    variants: tuple[str, ...] = ()


def read_phrases(folder: Path) -> dict[str, Phrase]:
    """The phrases of knowledge/phrases/understand.yaml. Raises KnowledgeError with every fault."""
    if folder == knowledge_folder() / "phrases" and (quick := _compiled_phrases()):
        return quick
    faults: list[Fault] = []
    out: dict[str, Phrase] = {}
    for path in sorted(folder.glob("understand.yaml")):
        located = read_yaml(path, str(path.relative_to(folder.parent)))
        faults += located.faults
        for name, raw in (located.data or {}).items():
            try:
                out[name] = Phrase.model_validate(raw)
            except ValueError as wrong:
                faults.append(Fault(located.place((name,)), f"'{name}': {wrong}"))
    if faults:
        raise KnowledgeError(faults)
    return out


def _compiled_phrases() -> dict[str, Phrase]:
    """Out of the compiled copy of the knowledge base; none where it has faults or these have."""
    try:
        raw = plain_data("phrases/understand.yaml")
    except KnowledgeError:
        return {}
    if not isinstance(raw, dict) or not all(
        isinstance(e, dict) and isinstance(e.get("text"), str) for e in raw.values()
    ):
        return {}
    make = maker(Phrase)
    return {name: make(entry) for name, entry in raw.items()}


def first_words(phrases: Mapping[str, Phrase], alarms: list[str], number: str = EMERGENCY_NUMBERS) -> str:
    """What to do at once: gas before all else, since it kills the helper too."""
    rank = ["gas", "carbon monoxide", "fire", "electric shock", "person trapped", "animal attack", "person collapsed",
            "breathing trouble", "animals collapsed", "person injured"]  # fmt: skip
    ordered = sorted(alarms, key=rank.index)
    parts = [
        phrases["alarm_" + name.replace(" ", "_")].text.replace("{number}", number) for name in ordered[:2]
    ]
    return " ".join(parts)


def reply(phrases: Mapping[str, Phrase], act: str, fills: Mapping[str, Any]) -> str:
    """The reply for an act, with its blanks filled."""
    text = phrases[act].text
    for name, value in fills.items():
        text = text.replace("{" + name + "}", str(value))
    return text


def reply_to(reading: Reading, phrases: Mapping[str, Phrase], lexicon: Lexicon, asked: str | None) -> str:
    """The reply to one message on its own."""
    if reading.act == "alarm":
        return first_words(phrases, list(reading.facts.get("alarm", [])))
    symptoms = list(reading.facts.get("symptoms", []))
    fills = {
        "who": lexicon.tables.outside[reading.outside].who
        if reading.outside
        else "someone who knows that field",
        "what": ", ".join(reading.queried if reading.act == "query_value" else reading.asks_back),
        "asked": asked or "",
        "echo": reading.echo or "your answer",
        "topic": reading.facts.get("topic", "your question"),
        "symptoms": " and ".join(symptoms) or "trouble",
        "go": str(reading.facts.get("go", "")).replace("_", " "),
    }
    act = "reask_asked" if reading.act == "reask" and asked else reading.act
    text = reply(phrases, act, fills)
    if reading.facts.get("urgent"):
        return reply(phrases, "cry", {"number": EMERGENCY_NUMBERS})
    if "rotten egg smell" in symptoms:
        text = reply(phrases, "gas_caution", {}) + " " + text
    return text
