"""What is said beside the point, and what is no such thing: grass grazed, years round, births, gates, pens by name."""

from __future__ import annotations

import pytest

from advisor.knowledge import knowledge, knowledge_folder
from advisor.language import Lexicon, lexicon, understand
from advisor.language.replies import read_phrases, reply_to

PERIOD = "housing period (start and end, or length)"
AREA = "floor area of the bedded pen"


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon(knowledge())


@pytest.mark.parametrize(
    "text",
    ["they are on grass in the day, in about 14 hours", "they're on grass by day", "cows go on to the meadow in may",
     "put them on grass in april", "we use the grass till december", "they feed on pasture by day",
     "we feed grass silage", "they are used to grass", "grazing in the daytime, in 16 hours"],
)  # fmt: skip
def test_grass_that_is_grazed_is_not_what_the_compost_feeds(words: Lexicon, text: str) -> None:
    assert "choice" not in understand(text, None, {}, words).facts


def test_grass_that_the_compost_feeds(words: Lexicon) -> None:
    texts = [
        "compost goes on grass",
        "it'll be spread on the pasture",
        "the muck goes on the meadow",
        "spread on grass",
    ]
    for text in texts:
        assert understand(text, None, {}, words).facts["choice"] == ["grass"]
    asked = understand("they are on grass in the day", "what the compost will feed", {}, words)
    assert asked.facts["choice"] == ["grass"]


@pytest.mark.parametrize(
    "text",
    ["all year", "all year round", "year-round", "they're in all year", "the whole year", "12 months of the year",
     "we keep them in throughout the year", "24/7 all year", "every day of the year"],
)  # fmt: skip
def test_all_year_is_every_day(words: Lexicon, text: str) -> None:
    found = understand(text, PERIOD, {}, words)
    assert (found.act, found.facts["days"]) == ("record", 365)
    assert "start" not in found.facts


def test_all_year_of_something_else(words: Lexicon) -> None:
    for text in ("they are out all year", "the grass grows all year round here", "we had trouble all year"):
        assert "days" not in understand(text, None, {}, words).facts
    assert understand("housed all year", None, {}, words).facts["days"] == 365


@pytest.mark.parametrize(
    "text",
    ["no births until april", "no lambing till april", "not calving before march", "goat kids born in march"],
)
def test_births_are_no_dates_of_housing_and_count_nothing(words: Lexicon, text: str) -> None:
    for asked in (None, PERIOD):
        facts = understand(text, asked, {}, words).facts
        assert not {"start", "end", "animals", "no_animals"} & set(facts)


def test_the_lot_born_is_counted_where_it_is_counted(words: Lexicon) -> None:
    assert "animals" not in understand("goat kids born", None, {}, words).facts
    assert understand("20 ewes, 60 lambs born in april", None, {}, words).facts["animals"][1]["count"] == 60


@pytest.mark.parametrize(
    ("text", "of", "m"),
    [
        ("gate is 1.5 m high", "height of the gate", 1.5),
        ("the lowest gate is 4 ft high", "height of the gate", 1.2192),
        ("drinker rim is 70 cm off the floor", "height of the drinker", 0.7),
        ("the roof is 3 m high", "headroom", 3.0),
    ],
)
def test_a_height_that_is_no_depth(words: Lexicon, text: str, of: str, m: float) -> None:
    for asked in (None, "depth of the pack at the end of winter", AREA):
        facts = understand(text, asked, {}, words).facts
        (height,) = facts["quantities"]
        assert (height["of"], height["si"]) == (of, pytest.approx(m, rel=1e-3))
        assert "depth_cm" not in facts


def test_heights_beside_widths_and_heights_of_the_pack(words: Lexicon) -> None:
    gate = understand("gate is 3 m wide and 1.2 m high", None, {}, words).facts
    assert [q["si"] for q in gate["quantities"] if q["of"] == "height of the gate"] == [1.2]
    assert "depth_cm" not in gate
    assert understand("the pack is 60 cm high at the gate", None, {}, words).facts["depth_cm"] == 60


def test_two_pens_by_name_are_not_made_one(words: Lexicon) -> None:
    texts = [
        "big shed 12 cows 10 x 8, small shed 5 calves 4 x 5",
        "big shed is 10 m x 8 m, small shed is 4 m x 5 m",
    ]
    for text in texts:
        for asked in (None, AREA, "which animals and how many"):
            found = understand(text, asked, {}, words)
            assert (found.act, found.asks_back) == ("clarify", ("which pen to begin with",))
            assert not found.facts
    assert understand("shed 10 x 8 m and lean-to 4 x 5 m", None, {}, words).facts["area_m2"] == 100


@pytest.mark.parametrize(
    "text",
    ["my bed isnt right", "the bed is not right", "something wrong with my bed", "my pack does not look right",
     "the bedding isn't right", "something is off with the litter", "what is wrong with my bed?"],
)  # fmt: skip
def test_a_bed_that_is_not_right_is_a_trouble(words: Lexicon, text: str) -> None:
    for asked, before in ((None, {}), (AREA, {"animals": [{"class": "cow", "count": 12}]})):
        found = understand(text, asked, before, words)
        assert (found.kind, found.act) == ("trouble", "diagnose")


WINTER = {"start": "11-01", "end": "04-15", "days": 165}


@pytest.mark.parametrize(
    ("text", "moved"),
    [
        ("what if they go out two weeks later", {"end": "04-29"}),
        ("what if I brought them in a fortnight earlier", {"start": "10-18"}),
        ("what if they come in a week later", {"start": "11-08"}),
        ("what if we turn them out 10 days sooner", {"end": "04-05"}),
        ("and if I kept them in three weeks longer?", {"end": "05-06"}),
        ("what if they stay in another week", {"end": "04-22"}),
        ("what happens if turnout is delayed by two weeks", {"end": "04-29"}),
        ("suppose they came in a week later and went out a week earlier", {"start": "11-08", "end": "04-08"}),
    ],
)
def test_a_date_supposed_to_move(words: Lexicon, text: str, moved: dict[str, str]) -> None:
    found = understand(text, None, WINTER, words)
    assert (found.kind, found.act) == ("ask_calc", "answer")
    assert {key: found.facts[key] for key in ("start", "end") if key in found.facts} == moved
    assert "start" not in understand(text, None, {}, words).facts  # no date is known to move


def test_what_is_later_or_longer_and_moves_no_date(words: Lexicon) -> None:
    for text in (
        "it takes two weeks longer to dry",
        "the vet came a week later",
        "compost needs a month longer",
    ):
        assert not {"start", "end", "days"} & set(understand(text, None, WINTER, words).facts)


def test_a_date_that_does_move(words: Lexicon) -> None:
    found = understand(
        "make turnout two weeks later than I said", "how much is on hand: straw", WINTER, words
    )
    assert (found.kind, found.facts["end"], found.about) == ("correction", "04-29", ("date out",))
    assert understand("they go out two weeks later", None, {"days": 165}, words).facts["days"] == 179
    anchored = understand("two weeks before christmas", "date the animals come in", WINTER, words)
    assert anchored.facts["start"] == "12-11"


def test_a_bare_cry_asks_who_is_in_danger(words: Lexicon) -> None:
    phrases = read_phrases(knowledge_folder() / "phrases")
    for text in ("HELP!!!", "help!!", "HELP ME!!!", "AAAAH HELP!!", "Help please!!!!"):
        for asked in (None, AREA):
            found = understand(text, asked, {}, words)
            assert (found.kind, found.facts["go"]) == ("navigate", "help")
            said = reply_to(found, phrases, words, asked)
            assert said.startswith("Is someone hurt or in danger? Then call the emergency number")
    for text in ("help", "HELP", "help!", "help with the straw!!"):
        assert "urgent" not in understand(text, None, {}, words).facts


def test_out_cold_calling_is_no_emergency_and_out_cold_is(words: Lexicon) -> None:
    for text in ("he's out cold calling the cows", "dad was out cold calling farms"):
        assert understand(text, None, {}, words).kind != "danger"
    for text in (
        "he's out cold",
        "he's out cold, calling an ambulance",
        "he's out cold calling an ambulance",
    ):
        assert understand(text, None, {}, words).kind == "danger"
