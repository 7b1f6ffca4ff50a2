"""Season notes in keepers' own words."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from advisor.farm import Farm, read_farm_text
from advisor.farm.facts import complete
from advisor.knowledge import Knowledge
from advisor.language import lexicon
from advisor.record.entries import dump
from advisor.record.hearing import Heard, hear

TODAY = dt.date(2027, 1, 20)  # a Wednesday
Told = dict[str, Any]


def read(text: str, farm: Farm, known: Knowledge, us: bool = False) -> Heard:
    return hear(text, complete(farm, known), known, lexicon(known), TODAY, us)


def plain(heard: Heard) -> list[Told]:
    """The entries without the said words, amounts as their bare value."""
    out = []
    for entry in heard.entries:
        told = {k: v for k, v in dump(entry).items() if k != "said"}
        out.append({k: round(v["value"], 4) if isinstance(v, dict) else v for k, v in told.items()})
    return out


def bed(date: str, material: str = "barley_straw", **told: Any) -> Told:
    return {"kind": "bedding", "date": date, "material": material, **told}


CASES: list[tuple[str, list[Told]]] = [
    ("put 4 bales on today", [bed("2027-01-20", packs=4)]),
    ("4 bales yesterday", [bed("2027-01-19", packs=4)]),
    ("Four bales this morning.", [bed("2027-01-20", packs=4)]),
    ("last week 3 a day", [bed("2027-01-11", packs=3, days=7)]),
    ("bedded up on Monday with 3 bales", [bed("2027-01-18", packs=3)]),
    ("12 bales on 3/1", [bed("2027-01-03", packs=12)]),
    ("12 bales on 3.1.2027", [bed("2027-01-03", packs=12)]),
    ("6 bags of shavings 3 days ago", [bed("2027-01-17", "wood_shavings", packs=6, pack="bag")]),
    ("put on half a tonne of wood chips on monday", [bed("2027-01-18", "wood_chips", mass=500.0)]),
    ("2 bales a day since Christmas", [bed("2026-12-25", packs=2, days=26)]),
    ("6 wet bales of straw today", [bed("2027-01-20", packs=6, wet=True)]),
    (
        "added 4 bales of barley straw yesterday and 200 kg chips",
        [bed("2027-01-19", packs=4), bed("2027-01-19", "wood_chips", mass=200.0)],
    ),
    ("put 12 bales down as the first layer", [bed("2027-01-20", packs=12, base=True)]),
    ("two bales a week since christmas", [bed("2026-12-25", packs=2 / 7, days=26)]),
    ("4 bales every other day last week", [bed("2027-01-11", packs=2, days=7)]),
    ("we used 31 bales in december", [bed("2026-12-01", packs=1, days=31)]),
    ("8 bales over the week", [bed("2027-01-13", packs=8 / 7, days=7)]),
    ("1 bale a day over the last ten days", [bed("2027-01-10", packs=1, days=10)]),
    ("2 bales a day from 10 to 17 january", [bed("2027-01-10", packs=2, days=8)]),
    ("2 bales a day monday to wednesday", [bed("2027-01-18", packs=2, days=3)]),
    ("2 bales a day 28/12 to 3/1", [bed("2026-12-28", packs=2, days=7)]),
    ("12 bales since the 10th", [bed("2027-01-10", packs=1.2, days=10)]),
    ("4 bales on monday and thursday", [bed("2027-01-18", packs=4), bed("2027-01-14", packs=4)]),
    ("5 bales mon, 4 bales thu", [bed("2027-01-18", packs=5), bed("2027-01-14", packs=4)]),
    ("no straw for a fortnight", [bed("2027-01-06", mass=0.0, days=14)]),
    ("put 4 bales of clean straw on", [bed("2027-01-20", packs=4)]),
    ("squeeze test crumbles, cows are clean", [
        {"kind": "squeeze", "date": "2027-01-20", "result": "crumbles"},
        {"kind": "dirt", "date": "2027-01-20", "score": 1},
    ]),
    ("ten cows sold on monday", [{"kind": "heads", "date": "2027-01-18", "group": "beef_cow", "change": -10}]),
    ("it rained in, about 200 litres", [{"kind": "rain", "date": "2027-01-20", "volume": 0.2}]),
    ("weighed a bale, 210 kg", [{"kind": "weighed", "date": "2027-01-20", "material": "barley_straw", "mass": 210.0}]),
    ("heap 58 degrees yesterday", [{"kind": "heap", "date": "2027-01-19", "temperature": 58.0}]),
    ("calving started today",
     [{"kind": "incident", "date": "2027-01-20", "what": "births", "note": "calving started"}]),
    ("lab: dry matter 25%, N 6.2 kg/t, C:N 18", [
        {"kind": "lab", "date": "2027-01-20", "moisture": 0.75, "nitrogen": 6.2, "c_to_n": 18.0},
    ]),
    ("no bedding yesterday", [bed("2027-01-19", mass=0.0)]),
    ("sold ten cows on 3 january", [{"kind": "heads", "date": "2027-01-03", "group": "beef_cow", "change": -10}]),
    ("2 calves born last night", [{"kind": "heads", "date": "2027-01-19", "group": "calf", "change": 2}]),
    ("the pack is 45 cm deep", [{"kind": "depth", "date": "2027-01-20", "depth": 0.45}]),
    ("moisture 68%", [{"kind": "moisture", "date": "2027-01-20", "moisture": 0.68}]),
    ("38 C at 20 cm", [{"kind": "temperature", "date": "2027-01-20", "temperature": 38.0, "depth": 0.2}]),
    ("ammonia 15 ppm", [{"kind": "ammonia", "date": "2027-01-20", "ppm": 15.0}]),
    ("nose score 2", [{"kind": "ammonia", "date": "2027-01-20", "nose": 2}]),
    ("20 mm of rain came in", [{"kind": "rain", "date": "2027-01-20", "rain": 20.0}]),
    ("dirt score 2", [{"kind": "dirt", "date": "2027-01-20", "score": 2}]),
    ("the cows are clean", [{"kind": "dirt", "date": "2027-01-20", "score": 1}]),
    ("squeezed a handful and it crumbles", [{"kind": "squeeze", "date": "2027-01-20", "result": "crumbles"}]),
    ("squeeze test: drips", [{"kind": "squeeze", "date": "2027-01-20", "result": "drips"}]),
    ("it has been frozen for 2 weeks", [{"kind": "incident", "date": "2027-01-06", "what": "frozen", "days": 14}]),
    ("they were out at grass for 3 days", [{"kind": "grass", "date": "2027-01-17", "days": 3}]),
    ("40 bales left", [{"kind": "stock", "date": "2027-01-20", "material": "barley_straw", "packs": 40.0}]),
    ("a bale weighs 240 kg", [{"kind": "weighed", "date": "2027-01-20", "material": "barley_straw", "mass": 240.0}]),
    ("straw costs 95 a tonne", [{"kind": "price", "date": "2027-01-20", "material": "barley_straw", "price": 95.0}]),
    (
        "bought 30 bales of straw at 25 each",
        [{"kind": "bought", "date": "2027-01-20", "material": "barley_straw", "packs": 30.0, "cost": 750.0}],
    ),
    ("bought 30 bales of straw at 4 pounds each",
     [{"kind": "bought", "date": "2027-01-20", "material": "barley_straw", "packs": 30.0, "cost": 120.0}]),
    ("bought 30 bales of straw for 160 pounds",
     [{"kind": "bought", "date": "2027-01-20", "material": "barley_straw", "packs": 30.0, "cost": 160.0}]),
    (
        "turned the heap, 62 C",
        [
            {"kind": "heap", "date": "2027-01-20", "turned": True},
            {"kind": "heap", "date": "2027-01-20", "temperature": 62.0},
        ],
    ),
    (
        "12 bales last week and the pack is 35 cm deep",
        [bed("2027-01-11", packs=12 / 7, days=7), {"kind": "depth", "date": "2027-01-20", "depth": 0.35}],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), CASES, ids=[text for text, _ in CASES])
def test_notes_are_read(text: str, expected: list[Told], rushy: Farm, known: Knowledge) -> None:
    assert plain(read(text, rushy, known)) == expected


@pytest.mark.parametrize(
    "text",
    ["how much straw do I need?", "we have 60 round bales", "8 by 12 m", "40 bales", "12 cows and 11 calves",
     "hello", "yes", "skip", "", "why?", "we feed hay", "concrete", "30", "wood chips"],
)  # fmt: skip
def test_what_is_no_note_is_left_alone(text: str, rushy: Farm, known: Knowledge) -> None:
    assert read(text, rushy, known) == Heard(dated=False)


def test_the_day_order_follows_the_units(rushy: Farm, known: Knowledge) -> None:
    assert plain(read("4 bales on 1/3", rushy, known, us=True))[0]["date"] == "2027-01-03"
    assert plain(read("4 bales on 1/3", rushy, known))[0]["date"] == "2026-03-01"


@pytest.mark.parametrize(
    "text", ["put on 4 bales on 2027-02-01", "4 bales tomorrow", "going to put on 4 bales"]
)
def test_what_is_still_to_come_is_not_noted(text: str, rushy: Farm, known: Knowledge) -> None:
    heard = read(text, rushy, known)
    assert (heard.entries, bool(heard.ask)) == ((), True)


def test_an_unclear_material_is_asked_for(rushy: Farm, known: Knowledge) -> None:
    heard = read("put on 200 kg today", rushy, known)
    assert heard.entries == ()
    assert "bedding" in heard.ask


def test_a_note_that_is_known_to_be_one_may_be_shorter(simple: Farm, known: Knowledge) -> None:
    def told(text: str) -> list[Told]:
        return plain(hear(text, complete(simple, known), known, lexicon(known), TODAY, note=True))

    assert told("300 kg") == [bed("2027-01-20", mass=300.0)]
    assert told("ten animals sold")[0]["change"] == -10
    assert told("a cow slipped on the ice")[0]["what"] == "injury"
    assert told("hello") == []


@pytest.mark.parametrize(
    ("text", "says"),
    [("we missed a fortnight", "nearly as planned"), ("the straw was wet", "four bales of wet straw")],
)
def test_what_lacks_an_amount_is_answered_in_plain_words(
    text: str, says: str, simple: Farm, known: Knowledge
) -> None:
    heard = read(text, simple, known)
    assert (heard.entries, heard.plain) == ((), True)
    assert says in heard.ask


def test_a_load_that_nobody_can_weigh_is_asked_about(simple: Farm, known: Knowledge) -> None:
    heard = read("put on 2 loads of sawdust", simple, known)
    assert (heard.entries, "weigh" in heard.ask) == ((), True)


TWO_PENS = """
schema_version: 1
name: Two bays (invented)
region: england_uk
start: 2026-11-05
end: 2027-04-04
groups:
  - {class: ewe, count: 40, pen: east bay, feed: {kind: hay}}
  - {class: goat, count: 12, pen: west bay, feed: {kind: hay}}
pens:
  - {id: east bay, area: 80 m2}
  - {id: west bay, area: 30 m2}
materials:
  - {name: wheat straw, packs: 80, pack: round_bale, pack_mass: 200 kg}
"""


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("the west bay is 40 cm deep", [("depth", "west bay")]),
        ("40 cm deep in the east", [("depth", "east bay")]),
        ("east bay: squeeze test crumbles, 30 cm deep", [("squeeze", "east bay"), ("depth", "east bay")]),
        (
            "2 bales in the east bay and 1 bale in the west bay yesterday",
            [("bedding", "east bay"), ("bedding", "west bay")],
        ),
        ("3 bales yesterday", [("bedding", "")]),
    ],
)
def test_a_pen_is_heard_by_its_name(text: str, expected: list[tuple[str, str]], known: Knowledge) -> None:
    heard = read(text, read_farm_text(TWO_PENS, known), known)
    assert [(entry.kind, entry.pen) for entry in heard.entries] == expected
