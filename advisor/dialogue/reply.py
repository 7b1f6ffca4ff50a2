"""What the adviser says back, as data: surfaces draw it, transcripts compare it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

__all__ = ["Effect", "Line", "Reply", "Role"]

Role = Literal["alarm", "echo", "answer", "point", "caution", "source", "question", "choices", "hint"]


@dataclass(frozen=True)
class Line:
    """One paragraph. The role says how to draw it, never what it means."""

    role: Role
    text: str


@dataclass(frozen=True)
class Effect:
    """Something for the rim to do: 'quit', 'print' (the plan) or 'show_plan'."""

    do: Literal["quit", "print", "show_plan"]


@dataclass(frozen=True)
class Reply:
    """The lines in order, the question now open, and what a surface may want beside them."""

    lines: tuple[Line, ...]
    asks: str | None = None
    progress: str = ""
    results: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    sources: tuple[str, ...] = ()

    def text(self) -> str:
        """The reply as plain paragraphs."""
        return "\n".join(line.text for line in self.lines)
