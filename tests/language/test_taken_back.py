"""What was told and is taken back by its name, and what is denied without ever having been told."""

from __future__ import annotations

import pytest

from advisor.knowledge import knowledge
from advisor.language import Lexicon, lexicon, understand

TOLD = {
    "animals": [{"class": "cow", "count": 12}, {"class": "goat", "count": 7}],
    "materials": [{"name": "straw", "amount": 200, "unit": "bale"}, {"name": "wood chips", "volume_m3": 8}],
}


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon(knowledge())


@pytest.mark.parametrize(
    "text",
    ["forget the {}", "forget about the {}", "scrap the {}", "leave out the {}", "take the {} off", "drop the {}",
     "never mind the {}", "no {} after all", "we have no {} any more", "do not count the {}",
     "forget what I said about the {}", "cancel the {} please"],
)  # fmt: skip
def test_a_name_is_taken_back(words: Lexicon, text: str) -> None:
    for name, key in (("straw", "materials"), ("wood chips", "materials"), ("goats", "animals")):
        found = understand(text.format(name), None, TOLD, words)
        assert (found.kind, found.act, found.about) == ("correction", "record", (key,))
        assert found.facts[f"no_{key}"] == [name.removesuffix("s") if key == "animals" else name]
        assert not found.facts.get(key)


def test_what_is_gone_is_taken_back(words: Lexicon) -> None:
    for text in ("the straw is all gone", "straw has been used up", "our straw is sold"):
        assert understand(text, None, TOLD, words).facts["no_materials"] == ["straw"]
    assert understand("we sold off the goats", None, TOLD, words).facts["no_animals"] == ["goat"]


def test_one_thing_in_the_place_of_another(words: Lexicon) -> None:
    found = understand("forget the straw, use sawdust instead", None, TOLD, words)
    assert found.facts["no_materials"] == ["straw"]
    assert found.facts["materials"] == [{"name": "sawdust"}]


@pytest.mark.parametrize(
    "text",
    ["don't forget the straw", "drop the straw in the pen", "straw is finish too fast", "I forgot the straw"],
)
def test_words_that_take_nothing_back(words: Lexicon, text: str) -> None:
    assert not understand(text, None, TOLD, words).facts.get("no_materials")


@pytest.mark.parametrize(
    ("text", "by"),
    [("i'll fork it out, no pigs", "fork"), ("no pigs, I'll fork it out myself", "fork"),
     ("no pigs i'll dig it out by hand", "fork"), ("no pigs here, the tractor does it", "tractor")],
)  # fmt: skip
def test_who_turns_it_and_who_is_not_there(words: Lexicon, text: str, by: str) -> None:
    for before in ({}, TOLD, {"animals": [{"class": "cow", "count": 12}]}):
        found = understand(text, None, before, words)
        assert found.kind == "volunteer"
        assert found.facts["choice"] == [f"turned by {by}"]
        assert found.facts["no_animals"] == ["pig"]
        assert "animals" not in found.facts
    found = understand(text, "who or what will turn the pack in spring", {}, words)
    assert (found.facts["choice"], found.facts["no_choice"]) == ([f"turned by {by}"], ["turned by pigs"])
