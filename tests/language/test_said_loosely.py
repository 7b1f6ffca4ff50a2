"""Facts told loosely: part of a herd, units left unsaid, packs counted afterwards, days of half a bale."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from advisor.knowledge import knowledge
from advisor.language import Lexicon, lexicon, understand


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon(knowledge())


def _facts(text: str, words: Lexicon) -> Mapping[str, Any]:
    return understand(text, None, {}, words).facts


@pytest.mark.parametrize(
    ("text", "count"),
    [("half of my 120 wethers are housed, rest on the hill", 60), ("a third of our 90 goats come in", 30),
     ("two thirds of the 60 ewes are inside", 40), ("40 heifers to replace the old cows, 350 kg each", 40),
     ("14 Limousin heifers, weight 400 kg", 14)],
)  # fmt: skip
def test_how_many_are_in(words: Lexicon, text: str, count: int) -> None:
    assert [a["count"] for a in _facts(text, words)["animals"]] == [count]


def test_one_of_a_breed_whose_name_ends_in_s(words: Lexicon) -> None:
    told = _facts("12 heifers and a Charolais bull on straw", words)["animals"]
    assert [(a["class"], a["count"]) for a in told] == [("heifer", 12), ("bull", 1)]


def test_cases_are_no_animals(words: Lexicon) -> None:
    assert "count" not in _facts("three cases of mastitis in the Friesians", words)["animals"][0]


@pytest.mark.parametrize(
    ("text", "depth_cm"),
    [("the pack is two foot six deep", 76.2), ("bed is 1 metre 20, 40 cows on it", 120),
     ("the bed ends up a metre ten", 110), ("the pack is 3 feet 6 cows stand on it", 91.44)],
)  # fmt: skip
def test_the_small_unit_left_unsaid(words: Lexicon, text: str, depth_cm: float) -> None:
    assert _facts(text, words)["depth_cm"] == pytest.approx(depth_cm)


@pytest.mark.parametrize(
    ("text", "area_m2"),
    [("the house is 10 times 6 metre", 60), ("12 ponies, 5 m by 4 m 50", 22.5),
     ("60 pigs in a quarter acre shed", 1011.7)],
)  # fmt: skip
def test_floors(words: Lexicon, text: str, area_m2: float) -> None:
    assert _facts(text, words)["area_m2"] == pytest.approx(area_m2, rel=1e-3)


def test_a_floor_without_a_side_is_queried(words: Lexicon) -> None:
    found = understand("16 sows in a pen of 10 m by 0 m", None, {}, words)
    assert found.act == "query_value"
    assert found.facts["animals"][0]["count"] == 16


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [("28 goats, rape straw bales, 60 of em at 250 kg", "mass_kg", 15000),
     ("straw in 4 foot rounds, 44 of them at 300 kg", "mass_kg", 13200),
     ("75 litre bales of miscanthus, 120 of them", "volume_m3", 9),
     ("corn stalk bales, 400 of em at 500 kg", "mass_kg", 200000),
     ("3 pallets of shavings, 40 bags of 20 kg on each", "mass_kg", 2400),
     ("50 small squares of barley, 14 kg each", "mass_kg", 700)],
)  # fmt: skip
def test_packs_told_of_afterwards(words: Lexicon, text: str, key: str, value: float) -> None:
    (told,) = _facts(text, words)["materials"]
    assert told[key] == pytest.approx(value)
    assert not told["name"].endswith("grain")


@pytest.mark.parametrize(
    ("text", "rate"),
    [("we top up with half a 300 kg round of barley straw every 2nd day", 75),
     ("we use a third of a 240 kg round bale of straw every day", 80),
     ("one 18 kg bale of straw every 2nd day", 9), ("1 bag of hemp a day, 20 kg ones", 20)],
)  # fmt: skip
def test_part_packs_by_the_day(words: Lexicon, text: str, rate: float) -> None:
    assert _facts(text, words)["rate_kg_per_day"] == pytest.approx(rate)


@pytest.mark.parametrize(
    ("text", "of", "si"),
    [("240 m2, outside it is minus 20", "winter outside temperature", -20),
     ("thermometer says 61", "pack temperature", 61),
     ("temperature is 5 below outside and 30 cows", "winter outside temperature", -5),
     ("we get minus 18 of a night, 300 m2 barn", "winter outside temperature", -18),
     ("right so the pack is sitting at 58 C", "pack temperature", 58)],
)  # fmt: skip
def test_temperatures(words: Lexicon, text: str, of: str, si: float) -> None:
    found = understand(text, None, {}, words)
    assert found.kind == "volunteer"
    assert [(q["of"], q["si"]) for q in found.facts["quantities"]] == [(of, si)]


@pytest.mark.parametrize(
    ("text", "symptom"),
    [("it's only 18 C in the middle and won't budge", "pack not heating"),
     ("the air in there is like horse pee", "ammonia smell"),
     ("the pile is there since may, you'd think we stacked it yesterday", "pile not breaking down")],
)  # fmt: skip
def test_troubles_told_sideways(words: Lexicon, text: str, symptom: str) -> None:
    found = understand(text, None, {}, words)
    assert (found.kind, found.facts["symptoms"]) == ("trouble", [symptom])


def test_someone_else_would_know(words: Lexicon) -> None:
    asked = "weight of one bale"
    for text in (
        "the fella that baled it would know, not me",
        "damned if I know",
        "only the contractor would know",
    ):
        assert understand(text, asked, {}, words).act == "offer_default"
    assert understand("the seller says 22 kilos, he would know", asked, {}, words).act == "record"


@pytest.mark.parametrize(
    ("text", "go", "place"),
    [("take me to the part about the floor", "goto", "floor"),
     ("bring me back to the bit about dates", "goto", "dates"),
     ("take us to the question on animals", "goto", "animals"), ("keep what I've told you, back later", "save", None)],
)  # fmt: skip
def test_commands_said_loosely(words: Lexicon, text: str, go: str, place: str | None) -> None:
    found = understand(text, "how much is on hand: straw", {}, words)
    assert (found.facts["go"], found.facts.get("go_to")) == (go, place)
