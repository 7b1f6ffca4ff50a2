"""Names taken back: 'forget the straw', 'we have no straw after all', 'take the goats off', 'the hay is all gone'."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.language.lexicon import Lexicon
from advisor.language.scan import Item, Scan

__all__ = ["kept_name", "withdrawn"]

_KINDS = {"material": ("materials", "name"), "animal": ("animals", "class")}


def withdrawn(scan: Scan, lexicon: Lexicon) -> list[Item]:
    """The names that the message takes back."""
    out: list[Item] = []
    for hit in lexicon.acts.hits(scan.tokens):
        if hit.name not in ("withdraws", "is_gone"):
            continue
        before = {t.text for t in scan.tokens[max(0, hit.start - 3) : hit.start]}
        if before & lexicon.lists["deny"]:
            continue  # 'do not forget the straw'
        named = [i for i in scan.items if i.kind in _KINDS and i.start < hit.end and i.end > hit.start]
        named = [i for i in named if not _part(scan, i)]
        end = max([hit.end, *(i.end for i in named)])  # 'wood chips' is one name of two words
        after = scan.tokens[end].text if end < len(scan.tokens) else ""
        ended = not after or scan.tokens[end].kind in ("end", "sign")
        gone = scan.tokens[hit.end - 1].text == "gone"
        if (gone or hit.name == "withdraws") and not ended and after not in lexicon.lists["after_withdrawn"]:
            continue  # 'drop the straw in the pen', 'the cows are gone lame'
        out += [i for i in named if i not in out]
    return out


def _part(scan: Scan, item: Item) -> bool:
    """'Two of the cows are gone': not all of them."""
    led = [token.text for token in scan.tokens[max(0, item.start - 2) : item.start]]
    counted = any(one.kind == "number" and one.end == item.start - len(led) for one in scan.items)
    return counted and led[:1] == ["of"]


def kept_name(item: Item, before: Mapping[str, Any], lexicon: Lexicon) -> str:
    """The name that was told before and is meant, a narrower one for a general word too; '' where none was."""
    key, field = _KINDS[item.kind]
    told = [str(entry.get(field)) for entry in before.get(key, []) if isinstance(entry, Mapping)]
    if item.name in told:
        return item.name
    if item.kind == "animal":
        species = lexicon.species
        narrower = [name for name in told if name.endswith(f" {item.name}")]
        kin = narrower or [name for name in told if species.get(name) == species.get(item.name)]
    else:
        kin = [name for name in told if name.endswith(f" {item.name}") or item.name.endswith(f" {name}")]
    return kin[0] if len(kin) == 1 else ""
