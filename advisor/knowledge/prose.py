"""Prose with its figures put in: `{figure_id}` becomes a worded number in the reader's units."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal

from advisor.knowledge.base import Knowledge
from advisor.knowledge.figure import Figure

__all__ = ["filled", "references"]

_REFERENCE = re.compile(r"\{([a-z0-9_]+)\}")


def references(text: str) -> list[str]:
    """The figure ids that a piece of prose points at."""
    return _REFERENCE.findall(text)


def filled(
    text: str,
    knowledge: Knowledge,
    units: Literal["metric", "us"] = "metric",
    own: Mapping[str, Figure] | None = None,
) -> str:
    """The text with each reference worded. A reference that nothing answers stays as its plain name."""
    from advisor.plan.wording import say_number, say_range, shown_unit

    def worded(match: re.Match[str]) -> str:
        name = match[1]
        figure = (own or {}).get(name)
        if figure is None and name in knowledge.figures:
            entry = knowledge.figures[name]
            figure = entry.figure or (entry.cases[0].figure if entry.cases else None)
        if figure is None:
            return name.replace("_", " ")
        low, middle, high = figure.low, figure.value, figure.high
        if own is not None and figure.unit == "fraction" and middle > 1.5:
            return say_number(middle)  # a count, a slope or a ratio, not a share
        return (
            say_range(low, middle, high, shown_unit(name, figure.unit), units)
            .split(";")[0]
            .removeprefix("about ")
        )

    return _REFERENCE.sub(worded, text)
