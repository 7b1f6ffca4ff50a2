"""An entry in plain text: values, ranges, the evidence side by side, the choice between sources, and its uses."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from advisor.knowledge.base import Knowledge
from advisor.knowledge.figure import SEEN_WORDS, Evidence, Figure
from advisor.knowledge.models import TOPICS
from advisor.knowledge.usage import singular, used_by

__all__ = ["find", "name_of", "shown"]

_WIDTH = 88
_USES = 12  # more are counted, not listed


def name_of(key: str, entry: Any) -> str:
    """What people call an entry."""
    for field in ("name", "title", "label", "ask", "text", "do_not", "advise"):
        if text := getattr(entry, field, ""):
            return str(text)
    return key.replace("_", " ")


def find(knowledge: Knowledge, asked: str) -> tuple[list[tuple[str, str]], list[str]]:
    """The entries that a name means, as (topic, id), and the nearest names where it means none."""
    from rapidfuzz import fuzz, process, utils

    wanted = _plain(asked)
    names: dict[str, list[tuple[str, str]]] = {}
    for topic in TOPICS:
        for key, entry in knowledge.topic(topic).items():
            calls = {
                key,
                name_of(key, entry),
                getattr(entry, "plural", "") or key,
                *getattr(entry, "words", ()),
            }
            for call in {_plain(call) for call in calls}:
                names.setdefault(call, []).append((topic, key))
    if wanted in names:
        return names[wanted], []
    near = process.extract(wanted, names.keys(), scorer=fuzz.WRatio, processor=utils.default_process, limit=5)
    good = [call for call, score, _ in near if score >= 60]
    if near and near[0][1] >= 88 and (len(near) == 1 or near[0][1] > near[1][1]):
        return names[near[0][0]], good[1:]
    return [], good


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("_", " ").replace("-", " ").split())


def shown(knowledge: Knowledge, topic: str, key: str) -> str:
    """Everything that is known about an entry."""
    entry = knowledge.topic(topic)[key]
    place = knowledge.places.get((topic, key))
    lines = [name_of(key, entry), f"{singular(topic)} {key}, in {place}", ""]
    lines += _fields(entry, knowledge, "")
    uses = used_by(knowledge, topic, key)
    if uses:
        more = f" and {len(uses) - _USES} more" if len(uses) > _USES else ""
        lines += ["", *_wrapped("used by: ", ", ".join(uses[:_USES]) + more)]
    else:
        lines += ["", "used by: nothing yet"]
    return "\n".join(lines)


def _fields(entry: BaseModel, knowledge: Knowledge, indent: str) -> Iterator[str]:
    for name, about in type(entry).model_fields.items():
        value = getattr(entry, name)
        if value != about.get_default(call_default_factory=True):
            yield from _field(name.replace("_", " ").rstrip(), value, knowledge, indent)


def _field(name: str, value: Any, knowledge: Knowledge, indent: str) -> Iterator[str]:
    if isinstance(value, Figure):
        yield from _figure(name, value, knowledge, indent)
    elif isinstance(value, BaseModel):
        yield f"{indent}{name}:"
        yield from _fields(value, knowledge, indent + "  ")
    elif isinstance(value, Mapping):
        yield f"{indent}{name}:"
        for key, inner in value.items():
            yield from _field(str(key), inner, knowledge, indent + "  ")
    elif isinstance(value, tuple) and value and isinstance(value[0], BaseModel):
        for number, inner in enumerate(value, 1):
            yield f"{indent}{name} {number}:"
            yield from _fields(inner, knowledge, indent + "  ")
    else:
        text = ", ".join(str(part) for part in value) if isinstance(value, tuple) else _said(value)
        yield from _wrapped(f"{indent}{name}: ", text)


def _said(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _figure(name: str, figure: Figure, knowledge: Knowledge, indent: str) -> Iterator[str]:
    best = SEEN_WORDS[figure.seen]
    yield f"{indent}{name}: {_amount(figure.low, figure.value, figure.high)} {figure.unit}"
    inner = indent + "  "
    yield from _wrapped(inner, f"{figure.basis}; best evidence: {best}")
    rows = [
        (_amount(item.low, item.value, item.high), item.unit, SEEN_WORDS[item.seen], _who(item, knowledge))
        for item in figure.evidence
    ]
    widths = [max(len(row[column]) for row in rows) for column in range(3)]
    for row in rows:
        lead = (
            inner + "  ".join(cell.ljust(width) for cell, width in zip(row[:3], widths, strict=True)) + "  "
        )
        yield from _wrapped(lead if len(lead) < _WIDTH - 24 else lead.rstrip() + "\n", row[3])
    if figure.why:
        yield from _wrapped(f"{inner}choice: ", figure.why)


def _who(item: Evidence, knowledge: Knowledge) -> str:
    parts = []
    if item.source is not None:
        source = knowledge.sources.get(item.source)
        parts.append(f"{source.by}: {source.title}" if source else item.source)
        if item.at:
            parts.append(item.at)
    if item.note:
        parts.append(f"({item.note})")
    return ", ".join(parts) or "no source"


def _amount(low: float | None, value: float | None, high: float | None) -> str:
    """'12 (9 to 15)', '9 to 15' or '12'."""
    ends = f"{low:g} to {high:g}" if low is not None and high is not None and low != high else ""
    if value is None:
        return ends or " to ".join(f"{end:g}" for end in (low, high) if end is not None)
    return f"{value:g} ({ends})" if ends else f"{value:g}"


def _wrapped(lead: str, text: str) -> list[str]:
    if lead.endswith("\n"):
        indent = " " * (len(lead) - len(lead.lstrip()) + 2)
        return [lead.rstrip("\n"), *_wrapped(indent, text)]
    hang = " " * min(len(lead), 24)
    return textwrap.wrap(text, _WIDTH, initial_indent=lead, subsequent_indent=hang) or [lead.rstrip()]
