"""The patterns of the questions keepers ask, put together once for each state of them and kept in the cache folder."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.knowledge import Knowledge
    from advisor.language.patterns import PatternSet

__all__ = ["asked_patterns"]

_made: dict[int, tuple[Knowledge, PatternSet]] = {}


def asked_patterns(knowledge: Knowledge) -> PatternSet:
    """Every pattern of every entry, under the entry's id."""
    held = _made.get(id(knowledge))
    if held is None or held[0] is not knowledge:
        _made.clear()
        _made[id(knowledge)] = held = (knowledge, _patterns(knowledge))
    return held[1]


def _patterns(knowledge: Knowledge) -> PatternSet:
    from advisor.knowledge.compiled import load, store
    from advisor.language import lexicon
    from advisor.language.kept import state_key
    from advisor.language.patterns import PatternSet

    grammar = lexicon(knowledge).grammar
    named = {key: "\n".join(entry.words) for key, entry in knowledge.asked.items()}
    text = json.dumps([state_key(knowledge.folder), named])
    key = hashlib.sha256(text.encode()).hexdigest()
    parts = load(knowledge.folder / "asked", key)
    if parts is not None:
        return PatternSet.kept(json.loads(parts["patterns"]), grammar)
    made = PatternSet(named, grammar)
    store(knowledge.folder / "asked", key, {"patterns": made.index()})
    return made
