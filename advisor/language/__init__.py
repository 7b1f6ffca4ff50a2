"""Language: a message in, what it means out. Pure: the same words always read the same."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from advisor.knowledge import Knowledge
from advisor.language.known import known_facts
from advisor.language.lexicon import Lexicon, build_lexicon
from advisor.language.reading import Reading, understand_scan
from advisor.language.scan import scan

__all__ = ["Lexicon", "Reading", "lexicon", "understand"]

_built: dict[int, tuple[Knowledge, Lexicon]] = {}


def lexicon(knowledge: Knowledge) -> Lexicon:
    """The lexicon of a knowledge base, built once."""
    found = _built.get(id(knowledge))
    if found is None or found[0] is not knowledge:
        _built.clear()
        _built[id(knowledge)] = found = (knowledge, build_lexicon(knowledge))
    return found[1]


def understand(
    text: str, asked: str | None, before: Mapping[str, Any], lexicon: Lexicon, today: dt.date | None = None
) -> Reading:
    """Read one message. `asked` is the question just put, in neutral words; `before` the facts already known."""
    return understand_scan(scan(text, asked, lexicon, today), known_facts(before), lexicon)
