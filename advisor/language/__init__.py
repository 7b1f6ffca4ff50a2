"""Language: a message in, what it means out. Pure: the same words always read the same."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from advisor.knowledge import Knowledge
from advisor.language.kept import keep, kept_lexicon, state_key
from advisor.language.known import known_facts
from advisor.language.lexicon import Lexicon, build_lexicon
from advisor.language.reading import Reading, understand_scan
from advisor.language.scan import scan

__all__ = ["Lexicon", "Reading", "build_lexicon", "lexicon", "understand"]

_built: dict[int, tuple[Knowledge, Lexicon]] = {}


def lexicon(knowledge: Knowledge) -> Lexicon:
    """The lexicon of a knowledge base, built once."""
    found = _built.get(id(knowledge))
    if found is None or found[0] is not knowledge:
        _built.clear()
        _built[id(knowledge)] = found = (knowledge, _lexicon(knowledge))
    return found[1]


def _lexicon(knowledge: Knowledge) -> Lexicon:
    """From the cache folder where it holds this state of the tables, else built and kept."""
    key = state_key(knowledge.folder)
    kept = kept_lexicon(knowledge.folder, key)
    if kept is None:
        kept = build_lexicon(knowledge)
        if state_key(knowledge.folder) == key:  # else somebody is writing at this moment
            keep(kept, knowledge.folder, key)
    return kept


def understand(
    text: str, asked: str | None, before: Mapping[str, Any], lexicon: Lexicon, today: dt.date | None = None
) -> Reading:
    """Read one message. `asked` is the question just put, in neutral words; `before` the facts already known."""
    return understand_scan(scan(text, asked, lexicon, today), known_facts(before), lexicon)
