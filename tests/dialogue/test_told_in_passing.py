"""Things told in passing, among the questions: each goes where it belongs, and nothing told before is lost."""

from __future__ import annotations

import pytest

from advisor.dialogue.draft import draft_of
from tests.dialogue.talking import Talk

FARM = ("12 cows", "10 m x 18 m", "5 november to 20 april", "200 bales of straw")


def test_a_price_is_kept_by_the_tonne_and_the_bales_stand() -> None:
    talk = Talk(*FARM, "straw is 80 pounds a tonne")
    assert talk.at("materials.straw.price") == 80
    assert talk.at("materials.straw.packs") == 200
    assert talk.at("prices.currency") == "£"
    talk.say("it is £4.50 a bale now")
    assert "price" in talk.heard("answer")  # what a bale weighs is not yet known
    talk.say("18 kg", "it is £4.50 a bale now")
    assert talk.at("materials.straw.price") == 250


def test_the_place_stands_in_a_clause_of_its_own() -> None:
    talk = Talk("i've 14 shetland ewes and 3 tups, due mid april. shed 9m x 5, earth floor, ireland")
    assert talk.at("region") == "ireland"
    assert talk.at("groups.ewe.births_due") is True
    assert talk.at("end") is None  # mid April is when they lamb, not when they go out
    assert talk.value("pens.pen.area") == 45
    assert Talk("12 jersey cows").at("region") is None


def test_births_are_no_animals_and_none_while_housed_after_turnout() -> None:
    talk = Talk(*FARM, "about 8 calve in february")
    assert talk.at("groups.cow.births_due") is True
    assert set(draft_of(talk.case).groups) == {"cow"}
    assert Talk("20 ewes", "1 december to 20 march", "lambing in april").at("groups.ewe.births_due") is False


@pytest.mark.parametrize(
    ("said", "kind", "on_bed"),
    [
        ("hay in a rack, some of it they pull onto the floor", "hay", True),
        ("they get their hay in racks", "hay", False),
        ("they eat in a scraped passage, grass silage", "silage", False),
        ("haylage in a ring feeder on the bed", "hay", True),
        ("dairy nuts in a trough", "grain", None),
        ("cow nuts, in a trough outside", "grain", False),
    ],
)
def test_feed_is_no_bedding(said: str, kind: str, on_bed: bool | None) -> None:
    talk = Talk(*FARM[:3])
    assert talk.asks == "bedding"
    talk.say(said)
    assert talk.at("groups.cow.feed.kind") == kind
    assert talk.at("groups.cow.feed.on_bed") is on_bed
    assert talk.at("materials") is None
    assert talk.asks == "bedding"


def test_bedding_stays_bedding() -> None:
    assert "hay" in draft_of(Talk(*FARM[:3], "hay, 20 small bales").case).materials
    assert "straw" in draft_of(Talk(*FARM[:3], "straw, and we have hay for bedding too").case).materials


@pytest.mark.parametrize(
    "said", ["tractor and bucket", "i'll fork it out myself", "we dig it out with a digger"]
)
def test_who_turns_it_while_another_question_is_open(said: str) -> None:
    talk = Talk(*FARM, said)
    assert talk.at("turning.by") == ("fork" if "fork" in said else "tractor")


@pytest.mark.parametrize("said", ["20 kg a bag", "a bag is 20 kilos", "20 kilos each", "20kg bags"])
def test_what_a_bag_weighs_leaves_their_number(said: str) -> None:
    talk = Talk("26 hens", "4 m by 3 m", "wood shavings 10 bags", said)
    assert talk.at("materials.wood_shavings.packs") == 10
    assert talk.value("materials.wood_shavings.pack_mass") == 20


def test_the_whole_winter_is_what_is_usual() -> None:
    talk = Talk("26 hens", "4 m by 3 m", "all winter")
    assert "until you know better" in talk.heard("answer")
    assert talk.asks == "bedding"


def test_bales_a_day_are_a_rate_and_the_stock_stands() -> None:
    talk = Talk(*FARM, "I put down about 2 bales a day")
    assert "what one bale weighs" in talk.heard("answer")
    talk.say("small square bales", "I put down 2 to 3 bales a day")
    assert talk.value("bedding.straw.rate") > 30
    talk.say("18 kg", "I put down about 2 bales a day")
    assert talk.at("materials.straw.packs") == 200
    assert talk.value("bedding.straw.rate") == 36
    talk.say("i buy 10 a week")
    assert talk.at("materials.straw.packs") == 200
    assert "on hand" in talk.heard("answer")
    assert (
        Talk("6 horses", *FARM[1:], "18 kg", "one bale per horse per week").value("bedding.straw.rate")
        == 15.429
    )


def test_straw_is_forgotten_and_pigs_that_were_never_there_change_nothing() -> None:
    talk = Talk(*FARM, "forget the straw")
    assert not talk.at("materials.straw")
    assert "no straw" in talk.heard("echo")
    talk.say("i'll fork it out, no pigs")
    assert talk.at("turning.by") == "fork"
    assert talk.at("groups.cow.count") == 12
    assert not talk.at("groups.pig")


def test_help_that_comes_is_acknowledged_and_a_new_emergency_is_not() -> None:
    talk = Talk("12 cows", "the barn is on fire", "fire brigade is coming")
    assert "Good that help is coming" in talk.heard()
    assert not talk.heard("alarm")
    talk.say("ambulance is on the way but my son is trapped under a bale")
    assert "Stop every engine" in talk.heard("alarm")
    for worse in (
        "we called the ambulance, he is bleeding badly",
        "ambulance is coming and she is not breathing",
    ):
        again = Talk("12 cows", "the barn is on fire", worse)
        assert "call the emergency number" in again.heard("alarm").lower()
    assert "Good that help is coming" not in Talk("12 cows", "the vet is coming").heard()


def test_pens_births_and_gates_go_where_they_belong() -> None:
    talk = Talk("big shed 12 cows 10 x 8, small shed 5 calves 4 x 5")
    assert "one pen at a time" in talk.heard("answer")
    assert talk.at("groups") is None
    talk = Talk("20 ewes", "10 m x 8 m", "no births until april", "gate is 1.5 m high", "all year")
    assert talk.at("groups.ewe.births_due") is True
    assert talk.value("pens.pen.gate_height") == 1.5
    assert talk.value("pens.pen.area") == 80
    assert (talk.at("days"), talk.at("end")) == (365, None)
    assert "see or smell" in talk.say("my bed isnt right").heard("answer")


def test_a_winter_two_weeks_longer_is_tried_and_not_kept() -> None:
    talk = Talk(*FARM, "18 kg", "what if they go out two weeks later")
    assert "180 days" in talk.heard("echo")
    assert talk.at("end") == "2027-04-20"
    assert talk.say("they go out two weeks later").at("end") == "2027-05-04"


def test_a_bare_cry_asks_who_is_in_danger_and_says_how_to_get_help() -> None:
    talk = Talk("12 cows", "HELP!!!")
    assert "Is someone hurt or in danger? Then call 112" in talk.heard("alarm")
    assert "undo" in talk.heard("hint")
    assert talk.asks == "pen_area"
    assert not Talk("12 cows", "help").heard("alarm")


def test_a_people_is_no_place_and_a_country_without_rules_is_said_to_have_none() -> None:
    assert Talk("sorry, english. 22 alpacas").at("region") is None
    talk = Talk("22 alpacas", "60 square metres", "norway")
    assert talk.at("region") == "generic"
    assert "strictest" in talk.heard("echo")


def test_gate_births_after_turnout_and_a_fork_among_other_questions() -> None:
    talk = Talk(*FARM, "gate's at 1.4m", "calves born in may after they go out", "just me with a fork")
    assert talk.value("pens.pen.gate_height") == 1.4
    assert talk.at("groups.cow.births_due") is False
    assert talk.at("turning.by") == "fork"


def test_big_bags_of_a_known_weight_are_a_weight() -> None:
    talk = Talk("22 alpacas", "60 square metres", "wood pellets, 2 big bags of 800 kg")
    assert talk.value("materials.wood_pellets.amount") == 1600


def test_when_it_is_over_a_doctor_is_named_and_the_talk_goes_on() -> None:
    talk = Talk("12 cows", "somebody fell in the slurry pit", "ok he is out now")
    assert "doctor" in talk.heard("answer")
    assert talk.asks == "pen_area"


@pytest.mark.parametrize(
    "said",
    [
        "he is out but not breathing",
        "dad is out but my brother is still in",
        "they are out of air",
        "not all out yet",
        "everyone out except tom",
        "nobody is out",
        "only two of them got out",
        "she is fine i think but wheezing",
        "is everyone out?",
    ],
)
def test_whoever_may_still_be_in_danger_keeps_danger_first(said: str) -> None:
    talk = Talk("12 cows", "somebody fell in the slurry pit", said)
    assert "112" in talk.heard("alarm")
    assert "Good." not in talk.heard("answer")


def test_a_what_if_is_dropped_and_a_long_question_is_put_again_short() -> None:
    talk = Talk(*FARM, "18 kg", "what if I had 20 cows", "no leave it")
    assert talk.heard("answer") == "Then all stays as it was."
    assert talk.at("groups.cow.count") == 12
    talk.say("the floor is concrete")
    assert talk.heard("echo")
    assert not talk.heard("choices")
    assert talk.say("blue").heard("choices")
