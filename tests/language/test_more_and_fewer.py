"""What is told by how it differs from what was told before, and what a word takes from its neighbours."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.knowledge import knowledge
from advisor.language import Lexicon, lexicon, understand

STEERS = {"animals": [{"class": "steer", "count": 20}]}
HERD = {"animals": [{"class": "beef cow", "count": 20}, {"class": "calf", "count": 10}]}
BALES = {
    "materials": [
        {"name": "barley straw", "amount": 60, "unit": "round bale", "unit_mass_kg": 220, "mass_kg": 13200}
    ]
}


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon(knowledge())


@pytest.mark.parametrize(
    ("before", "text", "left"),
    [
        (STEERS, "bought another 5 steers", 25),
        (STEERS, "add 6 to the steers", 26),
        (STEERS, "3 more steers came", 23),
        (STEERS, "we lost two of the steers", 18),
        (STEERS, "theres 4 fewer steers now", 16),
        (STEERS, "make it 5 less", 15),
        (HERD, "sold 4 of the calves", 6),
        (HERD, "got 3 more cows", 23),
        # the whole number, and no difference
        (STEERS, "we have 8 steers now, sold some", 8),
        (STEERS, "I lost count, its 12 steers", 12),
        (STEERS, "more like 15 steers", 15),
    ],
)
def test_more_and_fewer_animals(before: dict[str, Any], text: str, left: int, words: Lexicon) -> None:
    found = understand(text, None, before, words)
    assert found.act == "record"
    assert [one["count"] for one in found.facts["animals"]] == [left]


def test_all_gone_and_more_gone_than_there_were(words: Lexicon) -> None:
    assert understand("all 20 steers were sold", None, STEERS, words).facts["no_animals"] == ["steer"]
    assert understand("sold 25 steers", None, STEERS, words).act == "query_value"


def test_more_and_fewer_bales(words: Lexicon) -> None:
    more = understand("bought another 20 round bales", None, BALES, words).facts["materials"][0]
    assert (more["amount"], more["mass_kg"]) == (80, pytest.approx(17600))
    fewer = understand("sold 10 round bales of straw", None, BALES, words).facts["materials"][0]
    assert (fewer["name"], fewer["amount"]) == ("barley straw", 50)


def test_a_day_without_its_month_takes_the_month_told_before(words: Lexicon) -> None:
    before = {"start": "11-05", "end": "04-20"}
    assert understand("they actually came in on the 15th", None, before, words).facts["start"] == "11-15"
    assert understand("turnout is the 25th", None, before, words).facts["end"] == "04-25"


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("oat or wheat straw, which is better", ["oat straw", "wheat straw"]),
        ("which is better, straw from oat or from wheat?", ["oat straw", "wheat straw"]),
        ("we use wheat and barley straw", ["wheat straw", "barley straw"]),
    ],
)
def test_two_straws_share_their_name(text: str, names: list[str], words: Lexicon) -> None:
    assert [one["name"] for one in understand(text, None, {}, words).facts["materials"]] == names


@pytest.mark.parametrize(
    ("asked", "text", "count"),
    [
        ("how many: steer", "30-ish last winter but this one only 22", 22),
        ("how many: broiler", "one twenty five", 125),
        ("which animals and how many", "three fifty wethers give or take", 350),
        ("which animals and how many", "it is not 9 donkeys, it is 8 donkeys", 8),
    ],
)
def test_numbers_that_need_their_neighbours(asked: str, text: str, count: int, words: Lexicon) -> None:
    assert [one["count"] for one in understand(text, asked, {}, words).facts["animals"]] == [count]


@pytest.mark.parametrize(
    ("asked", "text", "key", "value"),
    [
        ("length and width of the bedded pen", "7 by 5 metres, take off a metre by two", "area_m2", 33),
        ("floor area of the bedded pen", "L shaped. 10x8 m plus 4x5 m", "area_m2", 100),
        ("how much bedding is added and how often", "12 kg in the morning and 8 in the evening", "rate_kg_per_day", 20),
        ("hours a day the animals are indoors", "in at dusk, out again at breakfast, say 14 hrs", "hours_per_day", 14),
        ("hours a day the animals are indoors", "theyre out from half ten to four", "hours_per_day", 18.5),
        ("depth of the base layer", "foot n a half", "depth_cm", 45.72),
    ],
)  # fmt: skip
def test_sums_within_an_answer(asked: str, text: str, key: str, value: float, words: Lexicon) -> None:
    assert understand(text, asked, {}, words).facts[key] == value


@pytest.mark.parametrize(
    ("asked", "text", "celsius"),
    [
        ("winter outside temperature", "-12 mostly", -12.0),
        ("temperature inside the pack", "it is 57,5 in the middle", 57.5),
    ],
)
def test_below_nought_and_a_decimal_comma_speak_for_celsius(
    asked: str, text: str, celsius: float, words: Lexicon
) -> None:
    assert [one["si"] for one in understand(text, asked, {}, words).facts["quantities"]] == [celsius]


def test_a_weight_is_of_what_was_asked(words: Lexicon) -> None:
    for text in ("eleven stone roughly, theyre big mules", "one ewe has 69,9 kg"):
        (entry,) = understand(text, "average body weight: ewe", {}, words).facts["animals"]
        assert entry["class"] == "ewe"
        assert "count" not in entry
        assert entry["weight_kg"] == pytest.approx(69.853, rel=1e-3)


def test_a_weight_and_a_date_are_no_times_of_day(words: Lexicon) -> None:
    facts = understand("30 big rounds of corn stalks at 1200 lb, come in dec 1", None, {}, words).facts
    assert "hours_per_day" not in facts
    assert understand("in at 5 pm out at 8 am", None, {}, words).facts["hours_per_day"] == 15


def test_a_hyphen_and_the_month_of_may_open_no_question(words: Lexicon) -> None:
    for text in ("lean-to is 30ft by 20ft", "in from 1. october to 15. may, hall is 12 x 20 m"):
        assert understand(text, None, {}, words).act == "record", text
