"""What keepers read: no digits of its own, and every {reference} leads to a figure."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from advisor.knowledge.subject import Steps, Subject, close_to, raw_figure
from advisor.knowledge.yaml_text import Fault

__all__ = ["check_prose"]

#: topic: its fields that keepers read
_PROSE: dict[str, frozenset[str]] = {
    "facts": frozenset({"label"}),
    "materials": frozenset({"about"}),
    "animals": frozenset({"about", "pack_effect"}),
    "figures": frozenset({"label"}),
    "regions": frozenset({"text", "ask", "authority", "what"}),
    "cautions": frozenset({"title", "danger", "do", "call"}),
    "rules": frozenset({"advise", "because"}),
    "questions": frozenset({"text", "why", "how_to_find", "usual_says"}),
    "glossary": frozenset({"name", "means"}),
    "signs": frozenset({"name"}),
    "causes": frozenset({"name", "about", "why", "call"}),
    "checks": frozenset({"name", "ask", "how", "caution"}),
    "remedies": frozenset({"name", "today", "after", "worse"}),
    "dangers": frozenset({"name", "now"}),
    "nevers": frozenset({"do_not", "because"}),
}
_REFERENCE = re.compile(r"\{([^{}]*)\}")
_DIGITS = re.compile(r"\d[\d.,:/]*")
_FILLED_IN = {"questions": {"name", "id", "pack", "emergency"}}


def check_prose(subject: Subject) -> Iterator[Fault]:
    """Every field that keepers read."""
    for topic, key, entry in subject.entries():
        fields = _PROSE.get(topic, frozenset())
        for own, used, text_places in _scopes(entry, fields):
            for steps, text in text_places:
                yield from _text(subject, topic, key, steps, text, own)
            for name, steps in own.items():
                if name not in used and topic in ("cautions", "regions"):
                    what = f"nothing in the text points at the figure '{name}'"
                    yield subject.fault(
                        topic, key, steps, what, f"write {{{name}}} where it belongs, or take it out"
                    )


def _text(
    subject: Subject, topic: str, key: str, steps: Steps, text: str, own: dict[str, Steps]
) -> Iterator[Fault]:
    known = {*own, *subject.ids("figures"), *_FILLED_IN.get(topic, ())}
    for name in _REFERENCE.findall(text):
        if name not in known:
            mend = close_to(name, known) or "it must be the id of a figure"
            yield subject.fault(topic, key, steps, f"'{{{name}}}' leads to no figure", mend)
    if digits := _DIGITS.search(_REFERENCE.sub("", text)):
        mend = "make it a figure and write {its_id} here"
        yield subject.fault(topic, key, steps, f"'{digits[0]}' stands in prose as a bare number", mend)


_Texts = list[tuple[Steps, str]]


def _scopes(entry: Any, fields: frozenset[str]) -> Iterator[tuple[dict[str, Steps], set[str], _Texts]]:
    """(own figures, names pointed at, texts) of the entry, and of each part of it with figures of its own."""
    parts: list[tuple[Steps, Any]] = [((), entry)]
    while parts:
        base, part = parts.pop()
        own: dict[str, Steps] = {}
        texts: _Texts = []
        todo: list[tuple[Steps, Any, bool]] = [(base, part, False)]
        while todo:
            steps, value, read = todo.pop()
            if isinstance(value, str):
                if read:
                    texts.append((steps, value))
            elif isinstance(value, list):
                todo += [((*steps, n), inner, read) for n, inner in enumerate(value)]
            elif isinstance(value, dict) and not raw_figure(value):
                if steps != base and isinstance(value.get("figures"), dict):
                    parts.append((steps, value))
                    continue
                for name, inner in value.items():
                    if name == "figures" and isinstance(inner, dict):
                        own |= {str(figure): (*steps, name, figure) for figure in inner}
                    else:
                        todo.append(((*steps, name), inner, str(name) in fields))
        used = {name for _, text in texts for name in _REFERENCE.findall(text)}
        yield own, used, texts
