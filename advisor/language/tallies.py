"""More or fewer of what was told before: 'another 5 steers', 'sold 3 of the ponies', 'make it 2 less'."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from advisor.language.lexicon import Lexicon
from advisor.language.scan import Item, Scan
from advisor.language.withdrawn import kept_name

__all__ = ["Tally", "tallied"]

_PER_PACK = "unit_"
_CLOSE = 3


@dataclass(frozen=True)
class Tally:
    """What there is after more came or some went; `queried` where more went than there were."""

    named: bool
    facts: Mapping[str, Any]
    corrects: str
    queried: str = ""


def tallied(scan: Scan, lexicon: Lexicon, before: Mapping[str, Any]) -> Tally | None:
    """The count or amount told before, with what the message says came or went; None where it says neither."""
    counted = [item for item in scan.items if item.kind in ("number", "amount") and item.number is not None]
    if len(counted) != 1 or counted[0].number is None or counted[0].number.ranged:
        return None
    named = [item for item in scan.items if item.kind in ("animal", "material")]
    if len(named) > 1:
        return None
    sign = _sign(scan, lexicon, counted[0], named)
    if not sign:
        return None
    bedding = counted[0].kind == "amount" or (named and named[0].kind == "material")
    if bedding and scan.words() & lexicon.lists["put_down"]:
        return None  # 'added 2 bales today'
    kind = named[0].kind if named else "animal" if counted[0].kind == "number" else "material"
    key, field = ("animals", "class") if kind == "animal" else ("materials", "name")
    told = [dict(entry) for entry in before.get(key, []) if isinstance(entry, Mapping)]
    name = (
        kept_name(named[0], before, lexicon) if named else str(told[0].get(field)) if len(told) == 1 else ""
    )
    entry = next((one for one in told if one.get(field) == name), None)
    if entry is None:
        return None
    moved = counted[0].number.low * sign
    facts = _animals(entry, moved) if kind == "animal" else _materials(entry, moved, counted[0])
    label = f"{'count' if kind == 'animal' else 'amount'} of {name}"
    if facts is None:
        return None
    return Tally(bool(named), facts, label) if facts else Tally(bool(named), {}, label, label)


def _sign(scan: Scan, lexicon: Lexicon, item: Item, named: Sequence[Item]) -> int:
    """1 where more came, -1 where some went, 0 where neither is said, or both.

    The word for it stands close before the number or close after the name: 'we have 8 steers now, sold some' says none.
    """
    lists = lexicon.lists
    texts = [token.text for token in scan.tokens]
    if set(texts) & lists["no_tally"] or {"lost", "count"} <= set(texts):
        return 0
    end = max([item.end, *(one.end for one in named)])
    close = {*texts[max(0, item.start - _CLOSE) : item.start]}
    for text in texts[end : end + _CLOSE]:
        if text in (",", "."):
            break
        close.add(text)
    beside = {*texts[max(0, item.start - 1) : item.start], *texts[item.end : item.end + 1]}
    more = bool(close & lists["came_more"])
    if "more" in beside and not set(texts[item.end : item.end + 2]) & {"like", "than", "or"}:
        more = True
    if "gone" in close and not _is_gone(texts, lexicon):
        close.discard("gone")  # 'two of the cows are gone lame'
    fewer = bool(close & lists["went"] or beside & lists["fewer_beside"])
    return 0 if more == fewer else 1 if more else -1


def _is_gone(texts: Sequence[str], lexicon: Lexicon) -> bool:
    after = texts[texts.index("gone") + 1 :][:1]
    return not after or after[0] in lexicon.lists["after_withdrawn"] or after[0] in (",", ".", "!")


def _animals(entry: Mapping[str, Any], moved: float) -> dict[str, Any] | None:
    """How many there are now; empty where more went than there were, None where it cannot be reckoned."""
    count = entry.get("count")
    if not isinstance(count, int | float) or moved != int(moved):
        return None
    left = int(count + moved)
    if left <= 0:
        return {"no_animals": [entry["class"]]} if left == 0 else {}
    return {"animals": [{"class": entry["class"], "count": left}]}


def _materials(entry: Mapping[str, Any], moved: float, said: Item) -> dict[str, Any] | None:
    """How much there is now, in the same unit."""
    amount = entry.get("amount")
    if not isinstance(amount, int | float) or not amount or entry.get("unit") != said.unit:
        return None
    left = amount + moved
    if left <= 0:
        return {"no_materials": [entry["name"]]} if left == 0 else {}
    scaled = {
        key: value * left / amount
        for key, value in entry.items()
        if key in ("mass_kg", "volume_m3") and isinstance(value, int | float)
    }
    kept = {
        key: value for key, value in entry.items() if key in ("name", "unit") or key.startswith(_PER_PACK)
    }
    return {"materials": [{**kept, "amount": left, **scaled}]}
