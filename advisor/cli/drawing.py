"""Replies as lines for a screen or a pipe. Meaning is never told by colour alone."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable

from advisor.dialogue.reply import Line, Role
from advisor.plan.writing import clean, wrap

__all__ = ["coloured", "drawn"]

# First line's lead, lead of the lines under it, and the style where styles are shown (ECMA-48 numbers).
_LOOKS: dict[Role, tuple[str, str, str]] = {
    "alarm": ("!! ", "!! ", "1;7"),
    "echo": ("", "", ""),
    "answer": ("", "", ""),
    "point": ("- ", "  ", ""),
    "caution": ("! ", "  ", "1"),
    "source": ("  ", "  ", "2"),
    "question": ("", "", "1"),
    "choices": ("  ", "  ", ""),
    "hint": ("", "", "2"),
}


def drawn(lines: Iterable[Line], width: int | None, colour: bool) -> str:
    """The lines as text. `width` None leaves each paragraph on one line, as for a pipe."""
    out: list[str] = []
    last: Role | None = None
    for line in lines:
        lead, under, style = _LOOKS[line.role]
        if width is not None and (line.role == "question" or (last and _group(line.role) != _group(last))):
            out.append("")
        last = line.role
        text = clean(line.text)
        rows = wrap(text, width - len(lead)) if width is not None else [text]
        for number, row in enumerate(rows or [""]):
            shown = (under if number else lead) + row
            out.append(f"\x1b[{style}m{shown}\x1b[0m" if colour and style else shown)
    return "\n".join(out).strip("\n")


def _group(role: Role) -> str:
    return {"source": "answer", "point": "answer", "choices": "question", "echo": "answer"}.get(role, role)


def coloured() -> bool:
    """Whether styles may be shown on standard output."""
    return (
        sys.stdout.isatty()
        and not os.environ.get("NO_COLOR")
        and os.environ.get("TERM", "") not in ("", "dumb")
    )
