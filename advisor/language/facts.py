"""Items to facts: which number belongs to which animal and material."""

from __future__ import annotations

from typing import Any

from advisor.language.animals import Animals
from advisor.language.found import Found
from advisor.language.lexicon import Lexicon
from advisor.language.materials import Materials
from advisor.language.scan import Item, Scan

__all__ = ["Finder", "find_facts"]


class Finder(Animals, Materials):
    """Animals and materials together; entries said twice are one."""

    def gather(self) -> None:
        """Animals and materials into facts; entries said twice are one."""
        kept: list[tuple[Item, dict[str, Any]]] = []
        for item, entry in self.animals:
            same = next((e for _, e in kept if e["class"] == entry["class"]), None)
            if same is not None:
                only = {t.text for t in self.scan.tokens[max(0, item.start - 6) : item.start]} & {
                    "only",
                    "just",
                }
                if only and ("count" in entry or "count_range" in entry):
                    same.pop("count", None)
                    same.pop("count_range", None)
                    same.update(entry)
                elif "count" not in entry or "count" not in same:
                    same.update({k: v for k, v in entry.items() if k not in same or k == "count"})
                elif not self.asking:
                    kept.append((item, entry))
                continue
            kept.append((item, entry))
        counted = {
            self.lexicon.species.get(e["class"]) for _, e in kept if "count" in e or "count_range" in e
        }
        if not self.asking:
            general = ("cattle", "cow", "sheep", "goat", "pig", "horse", "poultry")
            kept = [
                (item, e)
                for item, e in kept
                if "count" in e
                or "count_range" in e
                or "weight_kg" in e
                or "weight_kg_range" in e
                or not (
                    (e["class"] in general or item.kind == "breed")
                    and self.lexicon.species.get(e["class"]) in counted
                )
            ]
        if kept:
            self.out.facts["animals"] = [entry for _, entry in kept]
        found: list[dict[str, Any]] = []
        for _, entry in self.materials:
            same = next((e for e in found if e["name"] == entry["name"]), None)
            if same is not None:
                same.update({k: v for k, v in entry.items() if k not in same})
                continue
            if (
                entry["name"] == "straw"
                and len(entry) == 1
                and any(e["name"].endswith("straw") for e in found)
            ):
                continue
            found.append(entry)
        if found:
            self.out.facts["materials"] = found


def find_facts(
    scan: Scan, lexicon: Lexicon, spans: list[tuple[int, int]], asking: bool
) -> tuple[Found, Finder]:
    """Animals and materials with their amounts; what is left over stays in the items not used."""
    finder = Finder(scan, lexicon, spans, asking)
    finder.find_materials()
    finder.find_animals()
    _counted_after(finder)
    _only_some(finder)
    _lone_count(finder)
    _mix_shares(finder)
    _in_turn(finder)
    finder.gather()
    return finder.out, finder


def _only_some(finder: Finder) -> None:
    """'900 ewes, but just the 60 weak ones get shedded': the last number said of them holds."""
    for index, item in enumerate(finder.items):
        if item.kind != "number" or item.start in finder.out.used or not finder.animals:
            continue
        before = {finder._text_at(p) for p in range(max(0, index - 3), index)}
        after = [finder._text_at(p) for p in range(index + 1, index + 5)]
        if before & {"only", "just"} and {
            "ones",
            "them",
            "of",
            "get",
            "come",
            "go",
            "stay",
            "housed",
            "inside",
            "indoors",
            "in",
            "will",
        } & set(after):
            entry = finder.animals[-1][1]
            if "count" in entry or "count_range" in entry:
                entry.pop("count", None)
                entry.pop("count_range", None)
                finder._count(entry, item)


def _lone_count(finder: Finder) -> None:
    """One animal without a number and one number without an owner belong together."""
    bare = [e for _, e in finder.animals if "count" not in e and "count_range" not in e]
    free = [
        i
        for i in finder.items
        if i.kind == "number" and i.start not in finder.out.used and i.number is not None
    ]
    if (
        finder.slot in ("", "animals")
        and not finder.asking
        and len(bare) == 1
        and len(free) == 1
        and len(finder.animals) == 1
    ):
        number = free[0].number
        at = finder.items.index(free[0])
        around = {finder._text_at(at - 1), finder._text_at(at + 1)}
        if (
            number is not None
            and number.low == int(number.low)
            and number.low >= 2
            and not around & {"option", "/", "%", ":", "at", "years", "times", "-", "$", "year"}
        ):
            finder._count(bare[0], free[0])


def _in_turn(finder: Finder) -> None:
    """'60 ewes, 20 lambs, 70 kg and 40 kg': as many weights as animals, in the same order."""
    if len(finder.animals) < 2 or finder.asking:
        return
    last = finder.animals[-1][0].end
    weights = [
        i
        for i in finder.items
        if i.kind == "amount" and i.start >= last and finder.lexicon.unit(i.unit).measures == "mass"
    ]
    given = [e for _, e in finder.animals if "weight_kg" in e or "weight_kg_range" in e]
    if len(weights) != len(finder.animals) or len(given) != 1 or given[0] is not finder.animals[-1][1]:
        return
    if finder.materials:
        return
    for (_, entry), weight in zip(finder.animals, weights, strict=True):
        finder._set_weight(entry, weight)


def _mix_shares(finder: Finder) -> None:
    """'half and half straw and sawdust', '70 30 straw and chips'."""
    if len(finder.materials) != 2:
        return
    line = " ".join(t.text for t in finder.scan.tokens)
    pair: tuple[float, float] | None = None
    if any(words in line for words in ("half and half", "equal parts", "50 50", "50 / 50", "fifty fifty")):
        pair = (50.0, 50.0)
    numbers = [
        i
        for i in finder.items
        if i.kind == "number" and i.start not in finder.out.used and i.number is not None
    ]
    values = [n.number.low for n in numbers if n.number is not None]
    if pair is None and len(values) == 2 and abs(sum(values) - 100) < 0.5:
        pair = (values[0], values[1])
    if pair is None:
        return
    for (_, entry), share in zip(finder.materials, pair, strict=True):
        if not set(entry) - {"name"}:
            entry["share_pct"] = int(share) if share == int(share) else share
    finder.out.used.update(n.start for n in numbers)


def _counted_after(finder: Finder) -> None:
    """'wethers, 30 of them': a count that points back."""
    for index, item in enumerate(finder.items):
        if (
            item.kind == "number"
            and item.start not in finder.out.used
            and finder._text_at(index + 1) == "of"
            and finder._text_at(index + 2) in ("them", "those", "each", "em", "the", "these")
        ):
            for _, entry in reversed(finder.animals):
                if "count" not in entry and "count_range" not in entry:
                    finder._count(entry, item)
                    if "weight_kg" not in entry:
                        finder._weight(entry, index + 2, index + 2)
                    break
