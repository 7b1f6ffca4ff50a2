"""What a name or a number takes from its neighbours: 'oat or wheat straw', '30 last winter but only 22 now'."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from advisor.language.items import Item
from advisor.language.lexicon import Lexicon
from advisor.language.tables import Asked
from advisor.language.text import Token

__all__ = ["settle"]

_GRAIN, _STRAW = " grain", " straw"
_COUNTED = "number"


def settle(
    items: Sequence[Item], tokens: Sequence[Token], lexicon: Lexicon, asked: Asked | None, subject: str
) -> list[Item]:
    """The items, with what only their neighbours can tell."""
    items = _cereals(items, tokens, lexicon, asked, subject)
    items = _herds(_weighing(_scanned(items, tokens, lexicon), tokens, lexicon))
    items = _mules(_about(_one_of_them(items, tokens), tokens), lexicon)
    items = [_of_weather(item, tokens, lexicon) for item in items]
    if asked is None:
        items = [_gift(item, tokens) for item in items]
    if asked is not None and asked.slot in ("start", "end", "period"):
        items = _births_apart(items, tokens, lexicon)
    if asked is not None and asked.slot == "weight":
        items = _described(_one_weighs(items), tokens)
    items = _at_last(items, tokens, lexicon)
    return _this_season(_not_so_many(_straws(items, tokens, lexicon), tokens), tokens, lexicon)


def _one_of_them(items: Sequence[Item], tokens: Sequence[Token]) -> list[Item]:
    """'10 bales of straw, one is 250 kg': one of what was told, and no count."""
    out = list(items)
    for at, item in enumerate(out[:-2]):
        weighs = out[at + 1].text in ("is", "weighs", "are", "=") and out[at + 2].kind == "amount"
        if weighs and tokens[item.start].text == "one" and item.end == item.start + 1 and at:
            out[at] = replace(item, kind="word", text="each", name="")
    return out


def _herds(items: Sequence[Item]) -> list[Item]:
    """'Our dairy herd is 48 cow': the number is of the narrower name."""
    out = [item for item in items if item.text not in ("herd", "flock")]
    for at in range(len(out) - 3):
        name, is_, number, general = out[at : at + 4]
        narrower = name.kind == general.kind == "animal" and name.name.endswith(f" {general.name}")
        if narrower and is_.text in ("is", "are", "of", ":", "=") and number.kind == "number":
            out[at], out[at + 3] = replace(name, kind="word", name=""), replace(general, name=name.name)
            return out
    return list(items)


def _weighing(items: Sequence[Item], tokens: Sequence[Token], lexicon: Lexicon) -> list[Item]:
    """'The steers are weighing 1100 now, not 900, lbs': the unit said last is that of the numbers before it."""
    out = list(items)
    texts = [token.text for token in tokens]
    weighs = [at for at, text in enumerate(texts) if text in lexicon.lists["weigh_words"]]
    if not weighs or any(item.kind == "amount" for item in items):
        return out
    units = [
        (at, found[0].value)
        for at in range(len(texts))
        if (found := lexicon.units.match(texts, at)) and found[0].value in ("kg", "lb")
    ]
    if len(units) != 1:
        return out
    at, unit = units[0]
    for place, item in enumerate(out):
        if item.kind == "number" and weighs[0] < item.start < at and item.number is not None:
            factor = lexicon.unit(unit).factor
            si = (item.number.low * factor, item.number.high * factor)
            out[place] = replace(item, kind="amount", unit=unit, si=si, spoken=f"{item.spoken} {unit}")
    return out


def _about(items: Sequence[Item], tokens: Sequence[Token]) -> list[Item]:
    """'150 days, give or take a week': how far out it may be is no number of its own."""
    out = list(items)
    for at, item in enumerate(out):
        led = [token.text for token in tokens[max(0, item.start - 3) : item.start]]
        if item.kind in ("number", "amount") and led in (["give", "or", "take"], ["plus", "or", "minus"]):
            out[at] = replace(item, kind="word", name="")
    return out


def _mules(items: Sequence[Item], lexicon: Lexicon) -> list[Item]:
    """'1 tup, 44 mules': among sheep a mule is a ewe of that breed."""
    if not any(item.kind == "animal" and lexicon.species.get(item.name) == "sheep" for item in items):
        return list(items)
    return [
        replace(item, name="ewe", breed="Mule") if item.kind == "animal" and item.name == "mule" else item
        for item in items
    ]


def _of_weather(item: Item, tokens: Sequence[Token], lexicon: Lexicon) -> Item:
    """'Three weeks of rain': no time that anything is housed."""
    after = [token.text for token in tokens[item.end : item.end + 2]]
    timed = item.kind == "amount" and item.unit and lexicon.unit(item.unit).measures == "time"
    if timed and after[:1] == ["of"] and after[1:] and after[1] in lexicon.lists["weather_words"]:
        return replace(item, kind="word", name="", unit="")
    return item


def _gift(item: Item, tokens: Sequence[Token]) -> Item:
    """'My wife got me three alpacas for Christmas': no day on which anything comes in or goes out."""
    led = tokens[item.start - 1].text if item.start else ""
    if item.kind == "date" and led == "for" and not any(character.isdigit() for character in item.text):
        return replace(item, kind="word", name="", date=None)
    return item


def _births_apart(items: Sequence[Item], tokens: Sequence[Token], lexicon: Lexicon) -> list[Item]:
    """'Calving from March, so in from the first of February': of two dates that of the births is not asked for."""
    dates = [at for at, item in enumerate(items) if item.kind == "date"]
    births = [
        at
        for at in dates
        if {token.text for token in tokens[max(0, items[at].start - 3) : items[at].start]}
        & lexicon.lists["birth_times"]
    ]
    if not births or len(births) == len(dates):
        return list(items)
    return [replace(item, kind="word", name="") if at in births else item for at, item in enumerate(items)]


def _one_weighs(items: Sequence[Item]) -> list[Item]:
    """'One pig has 90 kg', where the weight of a pig was asked: one of them, and no count."""
    out = list(items)
    for at, item in enumerate(out[:-1]):
        weighed = any(one.kind == "amount" for one in out[at + 2 : at + 5])
        if item.text == "one" and out[at + 1].kind == "animal" and weighed:
            out[at] = replace(item, kind="word", text="each", name="")
    return out


def _described(items: Sequence[Item], tokens: Sequence[Token]) -> list[Item]:
    """'Eleven stone, they are big mules': what they are like, where how heavy they are was asked."""
    out = list(items)
    for at, item in enumerate(out):
        before = [token.text for token in tokens[max(0, item.start - 3) : item.start]]
        if item.kind in ("animal", "breed") and {"they", "theyre"} & set(before):
            out[at] = replace(item, kind="word", name="")
    return out


def _cereals(
    items: Sequence[Item], tokens: Sequence[Token], lexicon: Lexicon, asked: Asked | None, subject: str
) -> list[Item]:
    """'16 round bales, wheaten', where bedding is asked for: the straw of that cereal."""
    wanted = asked is not None and (
        (asked.slot == "amount" and subject.endswith("straw")) or asked.slot == "materials"
    )
    packed = any(i.kind in ("amount", "pack") and i.unit and _is_pack(i.unit, lexicon) for i in items)
    if not wanted or not packed or any(item.kind == "material" for item in items):
        return list(items)
    out = list(items)
    for at, item in enumerate(out):
        if item.kind == "word" and item.text in lexicon.lists["straw_of"]:
            name = item.text.removesuffix("en").removesuffix("s") + _STRAW
            if name in lexicon.tables.extra_materials:
                out[at] = replace(item, kind="material", name=name)
    return out


def _is_pack(unit: str, lexicon: Lexicon) -> bool:
    return lexicon.unit(unit).measures == "pack"


def _scanned(items: Sequence[Item], tokens: Sequence[Token], lexicon: Lexicon) -> list[Item]:
    """'85 ewes, scanned at 190 %': lambs to come, and no share of anything."""
    out = list(items)
    for at, item in enumerate(out):
        led = {token.text for token in tokens[max(0, item.start - 3) : item.start]}
        if item.kind == "amount" and item.unit == "percent" and led & lexicon.lists["scanned"]:
            out[at] = replace(item, kind="word", name="", unit="")
    return out


def _straws(items: Sequence[Item], tokens: Sequence[Token], lexicon: Lexicon) -> list[Item]:
    """'Oat or wheat straw' and 'straw from oat or wheat' name straws: a bare name of a grain is its straw there."""
    out = list(items)
    straw = [n for n, i in enumerate(out) if i.kind == "material" and (f" {i.name}").endswith(_STRAW)]
    for at, item in enumerate(out):
        bare = item.kind == "material" and item.name.endswith(_GRAIN) and item.end == item.start + 1
        if not bare:
            continue
        name = item.name.removesuffix(_GRAIN) + _STRAW
        denied = (
            [token.text for token in tokens[max(0, out[straw[0]].start - 2) : out[straw[0]].start]]
            if straw
            else []
        )
        instead = "not" in denied and item.start - out[straw[0]].end <= 3
        joined = at + 2 in straw and out[at + 1].text in lexicon.lists["between_straws"]
        told_as_straw = any(n < at for n in straw) and any(
            token.text in lexicon.lists["compares"] for token in tokens[: item.start]
        )
        if name in lexicon.tables.extra_materials and (
            instead or ((joined or told_as_straw) and not item.text.endswith("s"))
        ):
            out[at] = replace(item, name=name, weak=False)
    return out


def _not_so_many(items: Sequence[Item], tokens: Sequence[Token]) -> list[Item]:
    """'It is not 9 donkeys, it is 8 donkeys': the number that is denied, where the right one stands beside it."""
    out = list(items)
    counted = [n for n in range(1, len(out)) if out[n].name and out[n - 1].kind == "number"]
    for at in counted:
        denied = tokens[out[at - 1].start - 1].text == "not" if out[at - 1].start else False
        if denied and any(out[n].name == out[at].name for n in counted if n != at):
            out[at - 1], out[at] = (replace(out[n], kind="word", name="") for n in (at - 1, at))
    return out


def _at_last(items: Sequence[Item], tokens: Sequence[Token], lexicon: Lexicon) -> list[Item]:
    """'Had 31, sold six of them so its 25', 'sold 6 of the heifers so down to 14': the number that is left."""
    numbers = [at for at, item in enumerate(items) if item.kind == "number"]
    left = [at for at in numbers if _left(items[at], tokens, lexicon)] if len(numbers) > 1 else []
    if len(left) != 1:
        return list(items)
    return [
        replace(item, kind="word", name="") if at in numbers and at != left[0] else item
        for at, item in enumerate(items)
    ]


def _left(item: Item, tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    before = " ".join(token.text for token in tokens[max(0, item.start - 4) : item.start])
    return any(f" {before} ".endswith(phrase) for phrase in lexicon.phrases("what_is_left"))


def _this_season(items: Sequence[Item], tokens: Sequence[Token], lexicon: Lexicon) -> list[Item]:
    """'30 last winter, but this one only 22': the number of another season is no answer where there is one of this."""
    earlier = [
        n for n, item in enumerate(items) if item.kind == _COUNTED and _of_another(item, tokens, lexicon)
    ]
    if not earlier or all(item.kind != _COUNTED or n in earlier for n, item in enumerate(items)):
        return list(items)
    return [replace(item, kind="word", name="") if n in earlier else item for n, item in enumerate(items)]


def _of_another(item: Item, tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    after = [token.text for token in tokens[item.end : item.end + 4]]
    return any(
        first in ("last", "previous") and second in lexicon.lists["earlier_seasons"]
        for first, second in pairwise(after)
    )
