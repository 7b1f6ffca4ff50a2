"""Numbers that belong to several names at once, or that point back at one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.language.animals import Animals
from advisor.language.found import span_value
from advisor.language.items import Item
from advisor.language.materials import Materials
from advisor.language.plausible import weight_bounds

__all__ = ["Names", "settle"]


class Names(Animals, Materials):
    """Animals and materials, as far as each has found its own number."""


def settle(finder: Names) -> None:
    """Give out the numbers that no name took by itself."""
    _pairs(finder)
    _packs_counted(finder)
    _counted_after(finder)
    _only_some(finder)
    _lone_count(finder)
    _amounts_in_turn(finder)
    _mix_shares(finder)
    _weights_in_turn(finder)
    _weights_worded(finder)


def _weights_worded(finder: Names) -> None:
    """'26 stockers, 700 weight': a number that the word after it makes a weight."""
    if finder.asking:
        return
    for index, item in enumerate(finder.items):
        before = [e for i, e in finder.animals if i.start < item.start]
        if (
            item.kind == "number"
            and item.start not in finder.out.used
            and before
            and finder._text_at(index + 1) in finder.lists["weight_after"]
        ):
            _bare_weight(finder, before[-1], item)


def _pairs(finder: Names) -> None:
    """'14 cow calf pairs': as many calves as cows."""
    for before, (item, entry) in zip(finder.animals, finder.animals[1:], strict=False):
        texts = [t.text for t in finder.scan.tokens[item.end : item.end + 1]]
        if entry["class"] == "calf" and texts in (["pair"], ["pairs"]) and "count" not in entry:
            entry.update({k: v for k, v in before[1].items() if k in ("count", "count_range")})


def _packs_counted(finder: Names) -> None:
    """'bales of 200 kg, 60 of them', 'straw in 18 kg bales, we have 400': a count of packs that points back."""
    if finder.asking or finder.slot == "rate" or len(finder.materials) > 1:
        return
    if not finder.materials:
        _packs_of_nothing(finder)
        return
    item, entry = finder.materials[0]
    packs = [p for p in finder.items if p.kind == "pack" and p.unit_mass]
    each = [n for n, i in enumerate(finder.items) if i.start > item.start and _is_mass_of_one(finder, n)]
    pack = packs[0].unit if packs else _pack_said(finder, item) or _pack_of(finder, entry, item)
    for index, number in enumerate(finder.items):
        if (
            number.kind != "number"
            or number.number is None
            or number.start in finder.out.used
            or number.number.low < 1
            or number.number.low != int(number.number.low)
            or number.start < item.start
        ):
            continue
        after = [finder._text_at(index + 1), finder._text_at(index + 2)]
        before = {finder._text_at(p) for p in range(index - 3, index)}
        points = after[0] == "of" and after[1] in ("them", "those", "em", "these")
        had = bool(before & {"have", "got", "x"}) and after[0] in ("", ".", ",", "of", "in", "left")
        weighed = bool(packs or each or "unit_mass_kg" in entry)
        if not pack or not (points or (had and weighed and not finder.animals)):
            continue
        small = entry.get("unit") in ("litre", "cubic foot") and entry.get("volume_m3", 9.0) <= 1.0
        if "amount" in entry and not (
            (entry.get("unit") in ("kg", "lb") and "mass_kg" in entry) or (points and small)
        ):
            continue
        if small:  # 'bales of peat 250 litres, 24 of them'
            entry["unit_volume_m3"], entry["unit_volume_as"] = (
                entry.pop("volume_m3"),
                entry.pop("volume_as", ""),
            )
        _count_packs(finder, entry, number, pack)
        if points and "unit_mass_kg" not in entry and (place := _mass_after(finder, index + 2)) is not None:
            finder.out.used.discard(number.start)
            finder.items[index] = replace(
                number, kind="amount", unit=pack, si=(number.number.low, number.number.high)
            )
            finder._amount(entry, index, place)
            finder._pack(entry, finder.items[index], index + 2, index)
        return


def _mass_after(finder: Names, place: int) -> int | None:
    """The weight of one in '400 of them at 1100 lb'."""
    found = finder._right(place, {"amount"}, finder.lists["weight_links"], 4)
    if found is None or finder._rate_after(found):
        return None
    item = finder.items[found]
    return found if finder.lexicon.unit(item.unit).measures == "mass" and item.si[1] <= 1500.0 else None


def _pack_of(finder: Names, entry: dict[str, Any], item: Item) -> str:
    """The pack that the entry itself tells of, '75 litre bales of miscanthus', else one named soon after."""
    said = [str(entry.get("unit", ""))]
    texts = [t.text for t in finder.scan.tokens[: item.end + 6]]
    for at in range(item.end, len(texts)):
        if found := finder.lexicon.units.match(texts, at):
            said.append(found[0].value)
    known = [u for u in said if u in finder.lexicon.tables.units]
    return next((u for u in known if finder.lexicon.unit(u).measures == "pack"), "")


def _packs_of_nothing(finder: Names) -> None:
    """'bales of 200 kg, 60 of them', '200, 15 kg each', where what they are of was asked or told before."""
    _each_of_a_number(finder)
    for place, pack in enumerate(finder.items):
        for index in range(place + 1, min(len(finder.items), place + 4)):
            number = finder.items[index]
            if pack.kind != "pack" or number.kind != "number" or number.number is None:
                continue
            if [finder._text_at(index + 1), finder._text_at(index + 2)] not in (
                ["of", "them"],
                ["of", "those"],
            ):
                continue
            finder._use(number)
            counted = replace(number.number, end=pack.end)
            si = (counted.low, counted.high)
            spoken = f"{counted.low:g} {pack.unit}"
            finder.items[place] = replace(
                pack, kind="amount", number=counted, si=si, spoken=spoken, each=pack.spoken
            )


def _each_of_a_number(finder: Names) -> None:
    """'200, 15 kg each', 'they are 15 kg, 200 of them', after how much there is: packs of that weight."""
    if finder.slot != "amount" or finder.animals:
        return
    masses = [
        n
        for n, i in enumerate(finder.items)
        if i.kind == "amount" and finder.lexicon.unit(i.unit).measures == "mass" and i.si[1] <= 1500.0
    ]
    numbers = [
        n
        for n, i in enumerate(finder.items)
        if i.kind == "number"
        and i.number is not None
        and i.number.low >= 2
        and i.number.low == int(i.number.low)
    ]
    if len(masses) != 1 or len(numbers) != 1:
        return
    mass, number = finder.items[masses[0]], finder.items[numbers[0]]
    points = [finder._text_at(numbers[0] + n) for n in (1, 2)] in (["of", "them"], ["of", "those"])
    if not (_is_mass_of_one(finder, masses[0]) or points) or number.number is None:
        return
    finder._use(number)
    finder.items[masses[0]] = replace(
        mass, number=replace(number.number, end=mass.end), unit=_pack_in(finder), each=mass.spoken,
        si=(number.number.low, number.number.high), unit_mass=mass.si, spoken=number.spoken,
    )  # fmt: skip


def _pack_in(finder: Names) -> str:
    """The kind of pack that the message names, else bales."""
    texts = [t.text for t in finder.scan.tokens]
    for at in range(len(texts)):
        found = finder.lexicon.units.match(texts, at)
        if found and finder.lexicon.unit(found[0].value).measures == "pack":
            return found[0].value
    return "bale"


def _count_packs(finder: Names, entry: dict[str, Any], number: Item, pack: str) -> None:
    """Make what was read as one weight of the whole the weight of one pack."""
    assert number.number is not None
    finder._use(number)
    weight = (entry.pop("mass_kg"), entry.pop("mass_as", "")) if "mass_kg" in entry else None
    loose = next((i for i in finder.items if i.kind == "pack" and i.unit_mass), None)
    if weight is None and "unit_mass_kg" not in entry and loose is not None and loose.unit_mass:
        finder._use(loose)
        weight = (loose.unit_mass[0], loose.spoken)
    if weight is not None and "unit_mass_kg" not in entry:
        entry.update({"unit_mass_kg": weight[0], "unit_mass_as": weight[1]})
    entry.update({**span_value("amount", number.number.low, number.number.high), "unit": pack})
    if "unit_mass_kg" in entry and "amount" in entry:
        whole = entry["amount"] * entry["unit_mass_kg"]
        entry.update(span_value("mass_kg", whole, whole))
    if "unit_volume_m3" in entry and "amount" in entry:
        whole = entry["amount"] * entry["unit_volume_m3"]
        entry.update(span_value("volume_m3", whole, whole))


def _is_mass_of_one(finder: Names, place: int) -> bool:
    item = finder.items[place]
    return (
        item.kind == "amount"
        and finder.lexicon.unit(item.unit).measures == "mass"
        and finder._text_at(place + 1) in ("each", "apiece")
        and item.si[1] <= 1500.0
    )


def _pack_said(finder: Names, item: Item) -> str:
    """The kind of pack named right after a material ('straw bales') or before it ('big squares of straw')."""
    named = finder._pack_name(finder.items.index(item))
    texts = [t.text for t in finder.scan.tokens]
    start = item.start - (texts[item.start - 1 : item.start] == ["of"])
    for at in range(max(0, start - 3), start):
        found = finder.lexicon.units.match(texts, at)
        if not named and found and found[1] in (start, item.start):
            named = found[0].value if finder.lexicon.unit(found[0].value).measures == "pack" else ""
    return named


def _only_some(finder: Names) -> None:
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


def _lone_count(finder: Names) -> None:
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
        if finder.scan.words() & finder.lexicon.lists["weigh_words"] and _bare_weight(
            finder, bare[0], free[0]
        ):
            return
        at = finder.items.index(free[0])
        around = {finder._text_at(at - 1), finder._text_at(at + 1)}
        if (
            number is not None
            and number.low == int(number.low)
            and number.low >= 2
            and not around & finder.lists["not_counted"]
            and not around & {"option", "/", "%", ":", "at", "years", "times", "-", "$", "year"}
        ):
            finder._count(bare[0], free[0])


def _bare_weight(finder: Names, entry: dict[str, Any], item: Item) -> bool:
    """'the cows weigh 650': in the unit in which it is plausible, else asked back."""
    number = item.number
    if number is None or set(entry) & {"weight_kg", "weight_kg_range"}:
        return False
    least, most = weight_bounds(entry["class"], finder.lexicon)
    units = {"kg": 1.0, "lb": 0.45359237}
    fits = [u for u, f in units.items() if least <= number.low * f and number.high * f <= most]
    if not fits:
        return False
    finder._use(item)
    if len(fits) > 1:
        finder.out.clarify.append(f"unit of the weight of {entry['class']}")
        return True
    factor = units[fits[0]]
    entry.update(span_value("weight_kg", number.low * factor, number.high * factor))
    entry["weight_as"] = f"{item.spoken} {fits[0]}"
    return True


def _weights_in_turn(finder: Names) -> None:
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


def _mix_shares(finder: Names) -> None:
    """'half and half straw and sawdust', '70 30 straw and chips', 'two thirds straw one third chips'."""
    if len(finder.materials) != 2:
        return
    line = " ".join(t.text for t in finder.scan.tokens)
    numbers = [
        (i, i.number)
        for i in finder.items
        if i.kind == "number" and i.start not in finder.out.used and i.number is not None
    ]
    values = [number.low for _, number in numbers]
    whole = sum(values)
    pair: tuple[float, float] | None = None
    halves = sum(i.kind == "word" and i.text == "half" for i in finder.items)
    if halves == 2 or any(f" {words} " in f" {line} " for words in finder.lexicon.groups["equal_parts"]):
        pair = (50.0, 50.0)
    elif len(values) == 2 and (abs(whole - 100) < 0.5 or abs(whole - 1) < 0.01 or _in_parts(finder, whole)):
        pair = (100 * values[0] / whole, 100 * values[1] / whole)
    if pair is None:
        return
    for (_, entry), share in zip(finder.materials, pair, strict=True):
        if not set(entry) - {"name"}:
            entry.update(span_value("share_pct", share, share))
    finder.out.used.update(n.start for n, _ in numbers)


def _in_parts(finder: Names, whole: float) -> bool:
    """'three parts straw, one part chips'."""
    return bool(finder.scan.words() & {"parts", "part"}) and 0 < whole < 30


def _amounts_in_turn(finder: Names) -> None:
    """'peat and chips, 20 m3 and 35 m3': as many amounts after the names as there are names."""
    if len(finder.materials) < 2 or finder.asking:
        return
    first, last = finder.materials[0][0], finder.materials[-1][0]
    amounts = [
        place
        for place, item in enumerate(finder.items)
        if item.start > last.start
        and item.kind == "amount"
        and finder.lexicon.unit(item.unit).measures in ("mass", "volume", "pack")
        and not finder._rate_after(place)
    ]
    before = [i for i in finder.items if first.start < i.start < last.start]
    if len(amounts) != len(finder.materials) or any(i.kind in ("amount", "number", "pack") for i in before):
        return
    if finder.items[amounts[0] - 1].kind == "material" and len(finder.items[amounts[0]].text) > 30:
        return
    for (_, entry), place in zip(finder.materials, amounts, strict=True):
        name = entry["name"]
        entry.clear()
        entry["name"] = name
        finder._amount(entry, place, place)


def _counted_after(finder: Names) -> None:
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
