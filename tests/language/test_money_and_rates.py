"""Prices, bales of a weight, bedding by the head or by the week: families of phrasings, each read as it was meant."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.knowledge import knowledge
from advisor.language import Lexicon, lexicon, understand
from advisor.language.reading import Reading

BALES = {"materials": [{"name": "straw", "amount": 200, "unit": "bale"}]}
STOCK = "how much is on hand: straw"


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon(knowledge())


def _price(found: Reading) -> tuple[str, float, str] | None:
    return next(
        (
            (q["of"].removeprefix("price of "), q["value"], q["unit"])
            for q in found.facts.get("quantities", [])
            if q["of"].startswith("price of ")
        ),
        None,
    )


@pytest.mark.parametrize(
    ("text", "price"),
    [
        ("straw is 80 pounds a tonne", ("straw", 80, "pounds a tonne")),
        ("straw is £80/t", ("straw", 80, "£ a tonne")),
        ("straw's 80 quid a ton", ("straw", 80, "quid a ton")),
        ("straw costs 90 pounds per tonne delivered", ("straw", 90, "pounds a tonne")),
        ("straw is 80 a tonne this year", ("straw", 80, "a tonne")),
        ("wheat straw 4.50 a bale", ("wheat straw", 4.5, "a bale")),
        ("straw is $60 a ton", ("straw", 60, "$ a ton")),
        ("paid 60 bucks a ton for the straw", ("straw", 60, "bucks a ton")),
        ("straw 45 euro a bale", ("straw", 45, "euro a bale")),
        ("big bales of straw are 20 pound each", ("straw", 20, "pounds each")),
        ("chips are 30 quid a cube", ("wood chips", 30, "quid a cubic metre")),
        ("80p a bale", ("bedding", 80, "p a bale")),
        ("straw 1,200 pounds for the load", ("straw", 1200, "pounds a load")),
    ],
)
def test_a_price_is_no_amount(words: Lexicon, text: str, price: tuple[str, float, str]) -> None:
    found = understand(text, None, {}, words)
    assert _price(found) == price
    assert found.act == "record"
    assert not found.facts.get("animals")
    assert all(set(m) == {"name"} for m in found.facts.get("materials", []))


@pytest.mark.parametrize("asked", [None, STOCK, "weight of one bale", "which bedding materials are on hand"])
def test_a_price_is_a_price_whatever_was_asked(words: Lexicon, asked: str | None) -> None:
    for before in ({}, BALES):
        found = understand("straw is 80 pounds a tonne", asked, before, words)
        assert found.facts["materials"] == [{"name": "straw"}]
        assert _price(found) == ("straw", 80, "pounds a tonne")


@pytest.mark.parametrize(
    ("text", "material"),
    [
        ("200 bales of straw at £4 each", {"amount": 200, "unit": "bale"}),
        ("I have 12 t of straw, it cost me 80 pounds a tonne", {"amount": 12, "mass_kg": 12000}),
        ("straw, 200 bales of 40 pounds", {"amount": 200, "unit_mass_kg": pytest.approx(18.144)}),
        ("5000 pounds of straw", {"mass_kg": pytest.approx(2268, abs=1)}),
    ],
)
def test_what_is_on_hand_stands_beside_a_price(words: Lexicon, text: str, material: dict[str, Any]) -> None:
    (found,) = understand(text, None, {}, words).facts["materials"]
    assert {key: found[key] for key in material} == material


def test_pounds_that_may_be_money_or_weight_are_asked_about(words: Lexicon) -> None:
    found = understand("I bought 200 bales of straw at 40 pounds a bale", None, {}, words)
    assert found.act == "clarify"
    assert any("price or a weight" in back for back in found.asks_back)


@pytest.mark.parametrize(
    "text",
    [
        "barley straw, bales of 200 kg, 60 of them",
        "60 bales of barley straw at 200 kg",
        "60 barley straw bales at 200 kg",
        "barley straw, 60 bales at 200 kg",
        "60 bales @ 200kg barley straw",
        "barley straw in 200 kg bales, 60 of them",
        "barley straw, bales of about 200 kg, we have 60",
        "barley straw bales 200 kg, 60 of those",
    ],
)
def test_so_many_bales_of_so_much(words: Lexicon, text: str) -> None:
    for asked in (None, "which bedding materials are on hand", "how much is on hand: barley straw"):
        found = understand(text, asked, {}, words)
        assert found.act == "record"
        (straw,) = found.facts["materials"]
        told = {"name": "barley straw", "amount": 60, "unit": "bale", "unit_mass_kg": 200, "mass_kg": 12000}
        assert {key: straw[key] for key in told} == told


def test_bales_of_a_weight_are_of_what_was_asked_or_told_before(words: Lexicon) -> None:
    for text in ("60 bales at 200 kg", "bales of 200 kg, 60 of them"):
        for asked, before in ((STOCK, {}), (None, BALES), (None, {"materials": [{"name": "straw"}]})):
            (straw,) = understand(text, asked, before, words).facts["materials"]
            assert (straw["name"], straw["amount"], straw["unit_mass_kg"]) == ("straw", 60, 200)
        assert understand(text, None, {}, words).act == "clarify"


RATE = "how much bedding is added and how often"
HORSES = {
    "animals": [{"class": "horse", "count": 6}, {"class": "sheep", "count": 20}],
    "materials": [{"name": "straw", "amount": 200, "unit": "bale", "unit_mass_kg": 15}],
}


@pytest.mark.parametrize(
    ("text", "bales"),
    [
        ("I put down about 2 bales a day", 2),
        ("2 bales a day", 2),
        ("two bales daily", 2),
        ("a bale a day", 1),
        ("they get 2 bales a day", 2),
        ("2 straw bales a day", 2),
        ("going through 4 bales a week", 4 / 7),
        ("about half a bale a day", 0.5),
    ],
)
def test_bales_a_day_are_a_rate_and_change_no_stock(words: Lexicon, text: str, bales: float) -> None:
    found = understand(text, None, BALES, words)
    assert (found.kind, found.act) == ("volunteer", "record")
    (rate,) = found.facts["quantities"]
    assert (rate["of"], rate["si"]) == ("bedding rate", pytest.approx(bales, rel=1e-4))
    assert all(set(m) == {"name"} for m in found.facts.get("materials", []))
    kg = understand(text, None, HORSES, words).facts["rate_kg_per_day"]
    assert kg == pytest.approx(15 * bales, rel=1e-3)


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("one bale per horse per week", 6 * 15 / 7),
        ("a bale a week per horse", 6 * 15 / 7),
        ("each horse gets half a bale a day", 6 * 7.5),
        ("half a bale each a day", 26 * 7.5),
        ("half a bale a day each", 26 * 7.5),
        ("2 kg a head a day", 26 * 2),
        ("they get 3 kg each daily", 26 * 3),
        ("5 kg of straw a day for every horse", 6 * 5),
    ],
)
def test_a_rate_by_the_head_is_for_all_the_heads(words: Lexicon, text: str, kg: float) -> None:
    for asked in (RATE, None):
        found = understand(text, asked, HORSES, words)
        assert found.facts["rate_kg_per_day"] == pytest.approx(kg, rel=1e-3)
        assert not found.facts.get("animals")
        assert not found.facts.get("quantities")


def test_a_rate_by_the_head_waits_for_the_heads(words: Lexicon) -> None:
    (kept,) = understand("one bale per horse per week", RATE, {}, words).facts["quantities"]
    assert (kept["of"], kept["per"]) == ("bedding rate a head", "horse")
    assert kept["si"] == pytest.approx(1 / 7, rel=1e-4)
    assert understand("8 cows, 5 kg per cow per day", None, {}, words).facts["rate_kg_per_day"] == 40
    assert understand("1 bale per horse", RATE, HORSES, words).act == "clarify"  # how often?


@pytest.mark.parametrize(
    "text",
    ["i buy 10 a week", "I buy 10 bales a week", "we get 20 bales delivered a week", "a load a month comes in",
     "neighbour brings 4 rounds a month", "we buy 3 t a month"],
)  # fmt: skip
def test_what_is_bought_each_week_is_neither_stock_nor_a_rate(words: Lexicon, text: str) -> None:
    for asked in (None, STOCK):
        found = understand(text, asked, BALES, words)
        assert found.act == "clarify"
        assert not found.facts


def test_what_is_eaten_is_no_bedding(words: Lexicon) -> None:
    for text in ("they eat 2 bales a day", "2 bales of hay a day"):
        facts = understand(text, None, BALES, words).facts
        assert not facts.get("quantities")
        assert "rate_kg_per_day" not in facts


def test_a_count_and_the_weight_of_each_after_how_much(words: Lexicon) -> None:
    for text in ("200, 15 kg each", "they're all 15 kg, 200 of them"):
        (straw,) = understand(text, STOCK, {}, words).facts["materials"]
        assert (straw["amount"], straw["unit_mass_kg"], straw["mass_kg"]) == (200, 15, 3000)


def test_so_much_per_animal_counts_no_animal(words: Lexicon) -> None:
    assert "animals" not in understand("2 bales a cow", None, {}, words).facts
    assert understand("6 m2 per cow", None, {}, words).act == "clarify"  # for how many?
    assert understand("12 cows, 6 m2 per cow", None, {}, words).facts["area_m2"] == 72
