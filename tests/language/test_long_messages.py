"""An emergency told in the midst of a long message about the farm is heard, and the long message alone stays calm."""

from __future__ import annotations

from itertools import product

import pytest

from advisor.knowledge import knowledge
from advisor.language import Lexicon, lexicon
from advisor.language.danger import find_alarms
from advisor.language.scan import scan

FARM = (
    "12 suckler cows and 11 calves in a shed 10 m x 18 m with concrete floor, 60 round bales of barley straw at "
    "220 kg, in from 5 november till 20 april",
    "We are in Ireland, we feed silage at a barrier and turn it with a tractor in spring, compost for grass, 40 acres",
    "what about the straw, is 6 kg a cow a day enough or should I add more wood chips, and how deep will it be?",
)
TOLD = (
    "my brother is lying in the pit not moving",
    "there is smoke coming out of the bales",
    "the bull has dad pinned against the gate",
    "my wife cant breathe",
    "he got a shock off the fence and hes not answering",
    "i feel very dizzy since we opened the pack",
    "the lad is caught in the auger",
    "three cows dropped dead and the others are gasping",
    "carbon monoxide alarm is going off in the house",
    "he fell off the stack and his leg is bleeding badly",
)
WAYS = ("{farm}. {told}", "{farm}, {told}", "{farm} {told}", *(pytest.param(way, marks=pytest.mark.slow)
        for way in ("{told}. {farm}", "{farm}. {told}. {farm}")))  # fmt: skip


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon(knowledge())


@pytest.mark.parametrize("way", WAYS)
def test_an_emergency_is_heard_in_the_midst_of_farm_facts(way: str, words: Lexicon) -> None:
    messages = [way.format(farm=farm, told=told) for farm, told in product(FARM, TOLD)]
    assert [text for text in messages if not find_alarms(scan(text, None, words, None), words)] == []


def test_the_farm_facts_alone_stay_calm(words: Lexicon) -> None:
    messages = [". ".join(farms) for farms in product(FARM, FARM)]
    assert [text for text in messages if find_alarms(scan(text, None, words, None), words)] == []
