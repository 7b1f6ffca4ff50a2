"""Numbers, units, dates and shapes: the answer recorded for each way of saying it."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.knowledge import knowledge
from advisor.language import Lexicon, lexicon, understand
from advisor.language.dates import days_between
from advisor.units import convert

SIDES = "length and width of the bedded pen"
PERIOD = "housing period (start and end, or length)"
HOURS = "hours a day the animals are indoors"
RATE = "how much bedding is added and how often"
BASE = "depth of the base layer"


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon(knowledge())


@pytest.mark.parametrize(
    ("asked", "text", "key", "value"),
    [
        (SIDES, "16 ft x 11 ft 3", "area_m2", 16.723),
        (SIDES, "10,5 m x 8 m", "area_m2", 84),
        (SIDES, "30' x 48'", "area_m2", 133.78),
        (SIDES, "12m long and 7.5 wide", "area_m2", 90),
        (SIDES, "8m square", "area_m2", 64),
        (SIDES, "two bays 15 by 20 feet each", "area_m2", 55.742),
        ("floor area of the bedded pen", "1200 sq ft", "area_m2", 111.48),
        (PERIOD, "1st November until 20th of April", "days", 170),
        (PERIOD, "10/15 to 4/20", "days", 187),
        (PERIOD, "26 to 28 weeks", "days_range", [182, 196]),
        ("date the animals come in", "2 weeks before christmas", "start", "12-11"),
        ("date the animals come in", "late october", "start_window", ["10-20", "10-31"]),
        ("date the animals go out", "st patrick's day", "end", "03-17"),
        (HOURS, "24/7", "hours_per_day", 24),
        (HOURS, "from 4 in the afternoon to 8 in the morning", "hours_per_day", 16),
        (HOURS, "out for 8 hours", "hours_per_day", 16),
        (BASE, "a foot", "depth_cm", 30.48),
        (BASE, "9 to 12 inches", "depth_cm_range", [22.86, 30.48]),
        (RATE, "50 kg every second day", "rate_kg_per_day", 25),
        (RATE, "one round bale a week, 250 kg", "rate_kg_per_day", 35.714),
        (RATE, "45 to 50 kilos morning and 20 at night", "rate_kg_per_day_range", [65, 70]),
        ("whether the animals go out by day", "no they stay in", "yes_no", "no"),
        ("choose one of the listed options", "the second one", "choice", ["option 2"]),
        ("pigs or hens to turn the pack", "both", "choice", ["both options"]),
        ("how much is on hand: peat", "we have not peat", "no_materials", ["peat"]),
    ],
)
def test_an_answer_is_recorded(words: Lexicon, asked: str, text: str, key: str, value: Any) -> None:
    found = understand(text, asked, {}, words)
    assert found.act == "record"
    assert (
        found.facts[key] == pytest.approx(value) if not isinstance(value, str) else found.facts[key] == value
    )


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("4 dozen", 48),
        ("half a dozen", 6),
        ("twenty-two", 22),
        ("a hundred and fifty", 150),
        ("two score", 40),
        ("1,100", 1100),
        ("2 300", 2300),
        ("a couple", 2),
        ("ninety", 90),
        ("twelve hundred", 1200),
    ],
)
def test_counts_in_words_and_digits(words: Lexicon, text: str, count: int) -> None:
    facts = understand(text, "how many: laying hen", {}, words).facts
    assert facts["animals"] == [{"class": "laying hen", "count": count}]


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        ("date the animals come in", "6/11"),
        ("date the animals come in", "when the weather breaks"),
        (SIDES, "40 x 60"),
        (BASE, "12"),
        ("temperature inside the pack", "45 degrees"),
        ("weight of one bale", "40"),
        ("how many: ewe", "a few"),
        ("how much is on hand: straw", "12"),
    ],
)
def test_what_could_be_two_things_is_asked_back(words: Lexicon, asked: str, text: str) -> None:
    found = understand(text, asked, {}, words)
    assert found.act == "clarify"
    assert found.asks_back
    assert not found.facts


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        ("depth of the pack at the end of winter", "bed will be 9 m deep"),
        ("date the animals come in", "30 feb"),
        (HOURS, "26 hours"),
        ("moisture of the pack", "130 percent"),
        ("temperature inside the pack", "600 C"),
        ("how many: pony", "six and a half"),
        ("average body weight: dairy cow", "6 kg"),
        ("number of days housed", "400"),
    ],
)
def test_what_cannot_be_is_queried_and_not_recorded(words: Lexicon, asked: str, text: str) -> None:
    found = understand(text, asked, {}, words)
    assert found.act == "query_value"
    assert not found.facts


def test_the_rest_is_kept_beside_an_impossible_value(words: Lexicon) -> None:
    found = understand("12 ewes at 900 kg on 40 m2", None, {}, words)
    assert found.act == "query_value"
    assert found.facts["area_m2"] == 40
    assert found.facts["animals"] == [{"class": "ewe", "count": 12}]


def test_one_part_of_a_fact_is_corrected_and_the_rest_stands(words: Lexicon) -> None:
    facts = understand(
        "sorry 6 metres wide not 16", None, {"area_m2": 288, "area_as": "16 m x 18 m"}, words
    ).facts
    assert facts["area_m2"] == 108
    facts = understand(
        "not rams its wethers", None, {"animals": [{"class": "ram", "count": 30}]}, words
    ).facts
    assert facts["animals"] == [{"class": "wether", "count": 30}]


def test_units_of_the_lexicon_agree_with_the_unit_file(words: Lexicon) -> None:
    # Definitions: NIST Handbook 44, appendix C; long ton and hundredweight: UK Weights and Measures Act 1985, sch. 1.
    same = {
        "lb": ("lb", "kg"),
        "stone": ("stone", "kg"),
        "cwt": ("long_hundredweight", "kg"),
        "long ton": ("long_ton", "kg"),
        "short ton": ("short_ton", "kg"),
        "ft": ("ft", "m"),
        "inch": ("inch", "m"),
        "acre": ("acre", "m2"),
        "cubic yard": ("yd3", "m3"),
        "cubic foot": ("ft3", "m3"),
        "ft2": ("ft2", "m2"),
        "gallon": ("imperial_gallon", "m3"),
    }
    for name, (unit, si) in same.items():
        assert words.unit(name).factor == pytest.approx(convert(1.0, unit, si), rel=1e-5), name


def test_days_run_over_the_turn_of_the_year() -> None:
    assert days_between("10-31", "04-10") == 161
    assert days_between("06-15", "07-27") == 42


@pytest.mark.parametrize("said", ["inches I meant, not centimetres", "those were inches", "it was in inches"])
def test_a_depth_told_in_the_wrong_unit_is_read_again(said: str, words: Lexicon) -> None:
    found = understand(said, None, {"depth_cm": 30, "depth_as": "30 cm"}, words)
    assert (found.kind, found.facts["depth_cm"]) == ("correction", pytest.approx(76.2))
