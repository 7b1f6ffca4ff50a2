"""Corrections of a choice: 'the floor is earth', 'pigs do it, not the tractor'."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.language.lexicon import Lexicon
from advisor.language.scan import Scan

__all__ = ["chosen_instead", "fix_choice"]

_LABELS = {
    "turned_by": "who turns the pack",
    "floor": "floor",
    "roof": "roof",
    "compost_for": "what the compost feeds",
}


def chosen_instead(scan: Scan, lexicon: Lexicon, before: Mapping[str, Any]) -> tuple[str, list[str]]:
    """(question, choices) where the message names another answer to a question already answered."""
    old = before.get("choice")
    olds = [str(c) for c in old] if isinstance(old, list) else [str(old)] if old else []
    tables = lexicon.tables.choices
    questions = {q for name in olds if name in tables for q in tables[name].questions} & {*_LABELS}
    if len(questions) != 1:
        return "", []
    question = questions.pop()
    texts = [t.text for t in scan.tokens]
    new = []
    for hit in lexicon.choice_signs.hits(scan.tokens):
        if question not in tables[hit.name].questions or hit.name in olds or hit.name in new:
            continue
        near = texts[max(0, hit.start - 3) : hit.start]
        if "," in near:
            near = near[near.index(",") + 1 :]
        negated = set(near) & {"no", "not", "never", "without", "than", "of"}
        if not negated or hit.name == "unroofed":
            new.append(hit.name)
    return question, new[:1]


def fix_choice(scan: Scan, lexicon: Lexicon, facts: dict[str, Any], before: Mapping[str, Any]) -> list[str]:
    """Put another choice in the place of the one known; returns the word for what was corrected."""
    question, new = chosen_instead(scan, lexicon, before)
    if not new:
        return []
    facts["choice"] = new
    facts["animals"] = [a for a in facts.get("animals", []) if set(a) - {"class", "breed"}]
    facts["materials"] = [m for m in facts.get("materials", []) if set(m) - {"name"}]
    for key in ("no_animals", "no_materials", "no_choice"):
        facts.pop(key, None)
    return [_LABELS.get(question, "choice")]
