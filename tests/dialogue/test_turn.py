"""Conversations: direct answers, corrections, going about, and what is never lost."""

from __future__ import annotations

import pytest

from advisor.dialogue.draft import draft_of
from advisor.dialogue.opening import opening
from advisor.dialogue.turn import plan_shown
from tests.dialogue.talking import FARMS, TODAY, Talk, context, numbers


@pytest.mark.parametrize("farm", FARMS)
def test_six_farms_reach_a_first_plan_within_eight_answers(farm: str) -> None:
    """Skipping and not knowing count too."""
    talk = Talk()
    for message in FARMS[farm]:
        talk.say(message)
    assert plan_shown(talk.case), talk.asks
    assert len(FARMS[farm]) <= 8


def test_early_questions_come_in_their_order() -> None:
    talk = Talk()
    asked = [talk.asks]
    for message in FARMS["suckler cows"]:
        talk.say(message)
        asked.append(talk.asks)
    assert asked == [
        "animals", "pen_area", "dates", "bedding", "region", "feed", "births", "turned_by", "shares_pack",
    ]  # fmt: skip


def test_direct_answers_are_kept_and_said_back() -> None:
    talk = Talk("12 cows and 11 calves")
    assert talk.heard("echo") == "Noted: 12 cows and 11 calves."
    assert (talk.at("groups.cow.count"), talk.at("groups.calf.count")) == (12, 11)
    talk.say("40 ft by 60 ft")
    assert talk.value("pens.pen.area") == pytest.approx(222.97, abs=0.01)  # 2400 square feet
    assert "2,400 ft²" in talk.heard("echo")
    talk.say("1 Nov to 15 April")
    assert (talk.at("start"), talk.at("end")) == ("2026-11-01", "2027-04-15")
    talk.say("60 round bales of barley straw, 220 kg each")
    assert talk.at("materials.barley_straw.packs") == 60
    assert talk.value("materials.barley_straw.pack_mass") == 220


def test_several_facts_in_one_message_and_none_asked_twice() -> None:
    talk = Talk(
        "6 sows in a 5 m x 8 m roofed pen, concrete floor, oat straw, in 1 Nov out 1 April, we're in Sweden"
    )
    assert talk.at("pens.pen.roof") == "roofed"
    assert talk.at("pens.pen.floor") == "concrete"
    assert talk.at("region") == "sweden"
    assert talk.asks == "amount:oat_straw"
    talk.say("40 small bales")
    assert talk.asks == "feed"


def test_corrections_of_the_last_answer_and_of_any_fact() -> None:
    talk = Talk("14 cows and 30 sheep", "no, 8 cows")
    assert talk.at("groups.cow.count") == 8
    talk.say("not sheep, they are goats")
    assert talk.at("groups.sheep") is None
    assert talk.at("groups.goat.count") == 30
    talk.say("10 m x 8 m", "sorry 12 m x 8 m")
    assert talk.value("pens.pen.area") == 96
    assert talk.asks == "dates"


def test_a_narrower_word_takes_the_place_of_the_general_one() -> None:
    talk = Talk("some sheep", "30 to 35 ewes")
    assert talk.at("groups.sheep") is None
    assert talk.at("groups.ewe.count_low") == 30
    assert talk.at("groups.ewe.count_high") == 35
    assert "no sheep" not in talk.heard()


def test_undo_and_redo_restore_exactly() -> None:
    talk = Talk("12 cows", "100 m2")
    before = dict(draft_of(talk.case).farm)
    talk.say("1 Nov to 1 April")
    after = dict(draft_of(talk.case).farm)
    talk.say("undo")
    assert draft_of(talk.case).farm == before
    assert talk.asks == "dates"
    talk.say("redo")
    assert draft_of(talk.case).farm == after
    assert talk.asks == "bedding"


def test_undo_passes_over_what_told_nothing() -> None:
    talk = Talk("12 cows", "100 m2", "how", "how 1", "help", "asdf qwer", "undo")
    assert talk.at("pens") is None
    assert talk.asks == "pen_area"


def test_restart_can_be_undone() -> None:
    talk = Talk("12 cows", "100 m2", "restart")
    assert draft_of(talk.case).farm == {}
    assert talk.asks == "animals"
    talk.say("undo")
    assert talk.at("groups.cow.count") == 12


def test_back_goes_back_step_by_step_and_an_answer_replaces_the_old() -> None:
    talk = Talk("12 cows", "100 m2", "1 Nov to 1 April", "back")
    assert talk.asks == "dates"
    talk.say("back")
    assert talk.asks == "pen_area"
    talk.say("120 m2")
    assert talk.value("pens.pen.area") == 120
    assert talk.asks == "bedding"
    talk.say("back", "back", "back", "back", "back")
    assert talk.asks == "animals"
    talk.say("9 sheep")
    assert sorted(draft_of(talk.case).groups) == ["sheep"]


def test_go_to_a_question() -> None:
    talk = Talk("12 cows", "100 m2", "go to the area")
    assert talk.asks == "pen_area"
    talk.say("80 m2")
    assert talk.value("pens.pen.area") == 80


def test_skip_leaves_out_but_not_what_is_needed() -> None:
    talk = Talk("skip")
    assert talk.asks == "animals"
    talk.say("some goats", "skip")
    assert talk.asks == "count:goat"
    talk.say("12", "skip")
    assert talk.asks == "dates"


def test_not_knowing_gives_the_usual_value_and_how_to_find_out() -> None:
    talk = Talk("12 cows", "I don't know")
    assert "room that your animals need" in talk.heard()
    assert "Pace it out" in talk.heard()
    assert talk.asks == "dates"
    talk.say("dunno")
    assert "150 days" in talk.heard()


def test_not_sure_with_a_number_is_an_answer() -> None:
    talk = Talk("some goats", "I'm not sure, maybe 15 to 20")
    assert (talk.at("groups.goat.count_low"), talk.at("groups.goat.count_high")) == (15, 20)


def test_bales_of_unknown_kind_are_asked_about() -> None:
    talk = Talk("12 cows", "100 m2", "1 Nov to 1 April", "60 bales of straw")
    assert talk.asks == "bale_kind:straw"
    talk.say("big square")
    assert talk.at("materials.straw.pack") == "big_square_bale"
    talk = Talk("12 cows", "100 m2", "1 Nov to 1 April", "60 bales of straw", "about 25 kg each")
    assert talk.value("materials.straw.pack_mass") == 25


def test_births_are_due_only_to_those_that_can_bear() -> None:
    talk = Talk(*FARMS["suckler cows"])
    assert talk.at("groups.beef_cow.births_due") is True
    assert talk.at("groups.calf.births_due") is None
    assert Talk("10 steers", "100 m2", "150 days", "none yet", "Ireland", "hay").asks == "turned_by"


def test_what_cannot_be_is_refused_kindly_and_nothing_is_lost() -> None:
    talk = Talk("12 cows", "1 m2")
    assert "cannot stand" in talk.heard()
    assert talk.at("pens") is None
    assert talk.asks == "pen_area"
    assert talk.at("groups.cow.count") == 12


def test_danger_comes_first_with_the_number_of_the_region() -> None:
    talk = Talk("12 cows", "100 m2", "150 days", "none yet", "New Zealand")
    assert talk.asks == "feed"
    talk.say("my mate collapsed in the pit")
    assert talk.reply is not None
    assert talk.reply.lines[0].role == "alarm"
    assert "(111)" in talk.heard("alarm")
    assert talk.asks == "feed"


def test_what_if_changes_nothing_kept() -> None:
    talk = Talk(*FARMS["suckler cows"], "none")
    before = draft_of(talk.case).farm
    talk.say("what if I use wood chips instead")
    assert "bedding for the whole season" in talk.heard("point")
    assert draft_of(talk.case).farm == before


def test_a_calculation_on_animals_named_in_the_question() -> None:
    talk = Talk("12 cows", "100 m2", "how big a floor for 4 sows")
    assert "m²" in talk.heard() or "%" in talk.heard()
    assert sorted(draft_of(talk.case).groups) == ["cow"]


def test_units_switch_both_ways() -> None:
    talk = Talk("12 cows", "100 m2", "US units", "how deep will it be")
    assert " ft" in talk.heard("answer")
    talk.say("metric", "how deep will it be")
    assert " m;" in talk.heard("answer") or " cm" in talk.heard("answer")


def test_shared_answers_hold_for_animals_that_join_later() -> None:
    talk = Talk("12 cows", "100 m2", "150 days", "none yet", "Ireland", "silage on the bed")
    talk.say("and 4 calves too")
    assert talk.at("groups.calf.feed") == {"kind": "silage", "on_bed": True}


def test_quitting_and_printing_are_left_to_the_rim() -> None:
    assert [effect.do for effect in Talk("12 cows", "print").effects] == ["print"]
    assert [effect.do for effect in Talk("12 cows", "quit").effects] == ["quit"]


def test_the_same_case_message_and_context_give_the_same() -> None:
    assert Talk(*FARMS["pigs"]).reply == Talk(*FARMS["pigs"]).reply


def test_same_facts_in_another_order_give_the_same_plan() -> None:
    one = Talk(
        "12 cows and 4 calves", "100 m2", "1 Nov to 1 April", "20 tonnes of straw and 5 tonnes of wood chips"
    )
    other = Talk(
        "5 tonnes of wood chips and 20 tonnes of straw", "1 Nov to 1 April", "100 m2", "4 calves and 12 cows"
    )
    assert numbers(one.case) == numbers(other.case)


def test_the_opening_welcomes_and_later_says_where_we_were() -> None:
    talk = Talk()
    assert opening(talk.case, context()).lines[-1].text.startswith("Which animals")
    talk.say("12 cows")
    words = opening(talk.case, context()).text()
    assert "Welcome back" in words
    assert "How big" in words
    assert context().today == TODAY


def test_animals_named_and_taken_away_again_leave_nothing_to_say() -> None:
    talk = Talk("some pigs", "none yet", "summary")
    assert "Nothing yet" in talk.heard()
    assert talk.asks == "animals"


def test_bedding_that_harms_the_animals_is_warned_of_when_it_is_told() -> None:
    talk = Talk("4 horses", "20 t of bracken")
    assert "Never bed with bracken" in talk.heard("caution")
    assert "Never bed with bracken" not in talk.say("in Ireland").heard()
    assert "Never bed with bracken" in talk.say("plan").heard("caution")


def test_the_keepers_own_rate_is_run_and_held_against_the_advice() -> None:
    talk = Talk("12 cows", "120 m2", "nov to april", "60 bales of barley straw, 200 kg each")
    talk.say("we use about 2 bales a day")
    assert talk.value("bedding.barley_straw.rate") == 400
    assert talk.at("materials.barley_straw.packs") == 60
    assert "your own 400 kg of barley straw a day" in talk.heard("echo")
    said = talk.say("plan").heard()
    assert "your own rate, 400 kg a day" in said
    assert "Left to me" not in talk.say("advise me", "plan").heard()
    talk.say("undo")
    assert talk.value("bedding.barley_straw.rate") == 400


def test_what_is_told_along_with_a_question_is_kept() -> None:
    talk = Talk("hiya, got 40 ewes in a tunnel 6m x 20m, want to know how much straw")
    assert talk.at("groups.ewe.count") == 40
    assert "bedding for the whole season" in talk.heard("answer")
    tried = Talk("how much straw for 9 heifers from halloween to april 10th?")
    assert not tried.at("groups")


def test_births_named_out_of_turn_are_kept_and_are_no_date_of_housing() -> None:
    talk = Talk("40 ewes and 2 rams", "lambing in march")
    assert talk.at("groups.ewe.births_due") is True
    assert talk.at("groups.ram.births_due") is None
    assert talk.at("start") is None
    assert Talk("40 ewes", "no lambing this winter").at("groups.ewe.births_due") is not True


def test_the_known_part_of_an_unsure_message_is_kept() -> None:
    talk = Talk(
        "40 ewes",
        "120 m2",
        "christmas to end of april",
        "30 round bales of wheat straw, dunno what they weigh",
    )
    assert talk.at("materials.wheat_straw.packs") == 30


def test_a_narrower_bedding_takes_the_place_of_the_word_for_all() -> None:
    talk = Talk("40 ewes on straw", "30 t of wheat straw")
    assert set(talk.at("materials")) == {"wheat_straw"}


def test_hay_that_falls_on_the_floor_is_feed_on_the_bed() -> None:
    talk = Talk("12 ewes", "40 m2", "november to april", "3 t of wheat straw", "wales")
    assert talk.asks == "feed"
    talk.say("hay in racks, a bit gets on the floor")
    assert talk.at("groups.ewe.feed") == {"kind": "hay", "on_bed": True}


def test_bales_a_week_are_told_in_the_keepers_own_bales() -> None:
    talk = Talk("25 suckler cows, 18 x 12 m, 90 big square bales of barley straw at 250 kg")
    for question in ("how many bales a week", "how much straw a week do I need"):
        assert "big square bales" in talk.say(question).heard("point")


def test_a_what_if_can_be_adopted_and_taken_back() -> None:
    talk = Talk("40 ewes", "120 m2", "christmas to end of april", "3 t of wheat straw")
    talk.say("what if I had 60 ewes", "adopt it")
    assert talk.at("groups.ewe.count") == 60
    assert talk.say("undo").at("groups.ewe.count") == 40
    assert "nothing to adopt" in Talk("40 ewes").say("adopt it").heard()


@pytest.mark.parametrize(
    ("question", "answer"),
    [
        ("how deep should the base be", "30 cm"),
        ("what is a good carbon ratio", "25:1"),
        ("when do I turn the heap", "65 °C"),
        ("can I spread it on grazing", "days"),
        ("what ammonia level is safe", "10 ppm"),
    ],
)
def test_common_questions_are_answered_with_a_figure_and_its_source(question: str, answer: str) -> None:
    talk = Talk(question)
    assert answer in talk.heard("answer")
    assert talk.heard("source")


def test_a_trouble_that_names_a_choice_is_heard_as_a_trouble() -> None:
    talk = Talk("20 hens", "6 m2", "october to april", "100 kg of hemp", "ireland", "layers pellets")
    assert talk.asks == "turned_by"
    talk.say("my hens have red eyes and it stinks")
    assert talk.at("turning.by") is None
    assert talk.case.events[-1].kind == "trouble"


def test_every_common_question_points_at_figures_that_are_held() -> None:
    from advisor.dialogue.phrases import table
    from advisor.knowledge import knowledge

    held = knowledge().figures
    assert all(held[key].figure is not None for entry in table("asked_figures") for key in entry["figures"])
