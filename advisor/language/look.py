"""Looking about among items: the nearest number, name or amount, over words that may stand between."""

from __future__ import annotations

from typing import Any

from advisor.language.found import Found
from advisor.language.lexicon import Lexicon
from advisor.language.scan import Item, Scan

__all__ = ["Look"]


class Look:
    """The items of some parts of a message, and which of them are spoken for."""

    def __init__(self, scan: Scan, lexicon: Lexicon, spans: list[tuple[int, int]], asking: bool) -> None:
        self.scan, self.lexicon, self.asking = scan, lexicon, asking
        self.items = [item for item in scan.items if any(a <= item.start < b for a, b in spans)]
        self.lists = lexicon.lists
        self.slot = scan.asked.slot if scan.asked and not asking else ""
        self.out = Found()
        self.animals: list[tuple[Item, dict[str, Any]]] = []
        self.materials: list[tuple[Item, dict[str, Any]]] = []

    def _used(self, item: Item) -> bool:
        return item.start in self.out.used

    def _use(self, item: Item) -> None:
        self.out.used.add(item.start)

    def _left(self, index: int, kinds: set[str], reach: int = 6) -> int | None:
        """The nearest unused item of a kind to the left, over filler words only."""
        for place in range(index - 1, max(-1, index - 1 - reach), -1):
            item = self.items[place]
            if item.kind in kinds and not self._used(item):
                return place
            if item.kind in kinds or (
                item.kind == "sign" and item.text not in ("-", "x", "*", "'", '"', "+")
            ):
                return None
            if item.kind == "word" and not (
                item.text in self.lists["filler"] or item.text in ("x", "-") or self._unknown(item)
            ):
                return None
            if (
                item.kind in ("number", "amount", "date", "sides", "animal", "material", "price")
                and item.kind not in kinds
            ):
                return None
        return None

    def _unknown(self, item: Item) -> bool:
        return len(item.text) > 3 and item.text not in self.lexicon.known

    def _right(
        self,
        index: int,
        kinds: set[str],
        links: frozenset[str],
        reach: int = 6,
        over: frozenset[str] = frozenset(),
    ) -> int | None:
        """The nearest unused item of a kind to the right, over link words only."""
        for place in range(index + 1, min(len(self.items), index + 1 + reach)):
            item = self.items[place]
            if item.kind in kinds and not self._used(item):
                return place
            if item.kind in over:
                continue
            if (item.text not in links and not self._unknown(item)) or item.kind not in ("word", "sign"):
                return None
        return None

    def _text_at(self, place: int) -> str:
        return self.items[place].text if 0 <= place < len(self.items) else ""

    def _denied(self, index: int) -> bool:
        """'no cattle', 'we have not peat', 'without any straw'."""
        place, reach = index - 1, 0
        while place >= 0 and reach < 5:
            item = self.items[place]
            if item.kind in ("animal", "material", "breed"):
                joint = self._text_at(place + 1)
                if joint in ("or", "nor", ",", "and") and joint != "and":
                    place -= 1
                    reach += 1
                    continue
                return False
            if item.kind in ("number", "amount", "date", "sides"):
                if item.kind == "number" and item.number is not None and item.number.high == 0 and reach == 0:
                    self._use(item)
                    return True
                if item.kind == "number" and reach == 0 and self._not_that_many(place, index):
                    self._use(item)
                    return True
                break
            if item.kind == "sign" and item.text not in ("-", "'"):
                break
            if item.text == "no" and self._text_at(place + 1) in (
                "matter",
                "doubt",
                "wonder",
                "problem",
                "idea",
            ):
                return False  # 'no matter how much straw I throw in'
            if item.text in self.lists["deny"]:
                return not (item.text == "not" and self._text_at(place + 1) in ("only", "just"))
            if item.text in ("forget", "forgetting"):
                return False  # 'do not forget the straw'
            if item.text in ("but", "its", "with", "are", "just", "only", "sure", "know", "yet"):
                return False
            place -= 1
            reach += 1
        after = " ".join(self._text_at(p) for p in range(index + 1, index + 5))
        return after.startswith(
            (
                "none",
                "nil",
                ": none",
                "- none",
                ": no",
                "we have not",
                "i do not keep",
                "we do not keep",
                "we do not",
                "have we not",
                "i have not",
                "i do not have",
                "zero",
                "no we",
            )
        )

    def _not_that_many(self, place: int, index: int) -> bool:
        """'9 ponies, not 9 donkeys': another name was told before it."""
        others = (i for i in self.items[:place] if i.kind == self.items[index].kind)
        return self._text_at(place - 1) == "not" and any(i.name != self.items[index].name for i in others)

    def _add(self, key: str, value: Any) -> None:
        bucket = self.out.facts.setdefault(key, [])
        if value not in bucket:
            bucket.append(value)
