"""The reading before it is put into words."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from advisor.language.text import Token

__all__ = ["QUESTION_MARK", "Meaning"]


#: put after a question typed without its mark, for patterns that want to see one
QUESTION_MARK = Token("?", "end", 0, 0, "?", "?")


@dataclass
class Meaning:
    """The reading before it is put into words."""

    kind: str
    also: list[str] = field(default_factory=list)
    facts: dict[str, Any] = field(default_factory=dict)
    clarify: list[str] = field(default_factory=list)
    queried: list[str] = field(default_factory=list)
    about: list[str] = field(default_factory=list)
    outside: str = ""
    nothing: bool = False
