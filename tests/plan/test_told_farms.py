"""Plans of farms that are short, small, late or odd: what is said must be what a keeper can do."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from advisor.farm import read_farm_text
from advisor.knowledge import knowledge
from advisor.plan.as_json import plan_data
from advisor.plan.make import Plan, make_plan
from advisor.plan.render_text import render_text
from advisor.plan.wording import say, say_number
from advisor.plan.words import plan_document
from advisor.reasoning.draws import typical
from tests.conftest import TODAY

pytestmark = pytest.mark.slow  # each farm is a whole plan

COWS = """
start: 2026-11-01
days: 150
groups: [{class: beef cow, count: 10}]
pens: [{id: shed, area: 100 m2}]
"""


def planned(text: str, draws: int = 0) -> Plan:
    known = knowledge()
    return make_plan(read_farm_text(text, known), known, TODAY, draws)


def said(text: str, draws: int = 60) -> str:
    """The plan as text, on one line, so that a sentence can be looked for."""
    return " ".join(render_text(plan_document(planned(text, draws))).split())


def pen_value(plan: Plan, name: str, pen: str = "shed") -> float:
    node = plan.pens[pen][name]
    assert node is not None, name
    return typical(node.value)


def test_a_short_supply_is_not_all_laid_as_base() -> None:
    text = COWS + "materials: [{name: wheat straw, amount: 5 t, for_sale: false}]\n"
    plan = planned(text)
    base = sum(plan.decision.base_kg["shed"].values())
    top = sum(
        r * p.days
        for r, p in zip(plan.decision.rates["shed"]["wheat_straw"], plan.timeline.periods, strict=True)
    )
    assert base + top == pytest.approx(5000.0, rel=1e-3)
    assert top > 2 * base
    assert pen_value(plan, "laid_base_depth_m") < 0.2
    told = planned(text + "base: {depth: 30 cm}\n")
    assert pen_value(told, "laid_base_depth_m") == pytest.approx(0.3)  # what the keeper told stands
    assert "thinner than usual" in said(text)


def test_a_base_told_by_weight_is_laid_as_told() -> None:
    plan = planned(COWS + "materials: [{name: wheat straw, amount: 40 t}]\nbase: {mass: 2.5 t}\n")
    assert pen_value(plan, "base_kg") == pytest.approx(2500.0)


def test_bedding_that_comes_later_is_neither_laid_as_base_nor_spread_before_it_comes() -> None:
    plan = planned(
        COWS
        + "materials:\n  - {name: wheat straw, amount: 14 t, for_sale: false}\n"
        + "  - {name: barley straw, amount: 30 t, from_date: 2027-01-10}\n"
    )
    assert list(plan.decision.base_kg["shed"]) == ["wheat_straw"]
    for rate, period in zip(plan.decision.rates["shed"]["barley_straw"], plan.timeline.periods, strict=True):
        assert plan.timeline.date(period.first) >= dt.date(2027, 1, 10) or rate == 0.0


def test_a_delivery_that_comes_too_late_is_said_with_its_date() -> None:
    words = said(
        COWS
        + "materials:\n  - {name: wheat straw, amount: 4 t, for_sale: false}\n"
        + "  - {name: barley straw, amount: 30 t, from_date: 2027-01-10}\n"
    )
    assert "Not at first" in words
    assert "before 10 January 2027" in words


def test_the_keepers_own_rates_change_on_their_own_dates() -> None:
    plan = planned(
        COWS
        + "materials: [{name: wheat straw, amount: 40 t}]\nbedding:\n"
        + "  - {material: wheat straw, rate: 40 kg/day, to: 2026-12-10}\n"
        + "  - {material: wheat straw, rate: 90 kg/day, from: 2026-12-10}\n"
    )
    rates = set(plan.decision.rates["shed"]["wheat_straw"])
    assert rates == {40.0, 90.0}


def test_some_of_what_is_on_hand_is_kept_back_from_carbon_but_not_from_dryness() -> None:
    rich = "goals: {c_to_n_low: 45, c_to_n_high: 60}\n"
    plenty = planned(COWS + "materials: [{name: wheat straw, amount: 24 t, for_sale: false}]\n" + rich)
    used = plenty.results["bedding_total_kg"]
    assert used is not None
    assert plenty.decision.missed == "carbon"
    assert typical(used.value) <= 24000.0 - 2390.0
    scarce = planned(COWS + "materials: [{name: wheat straw, amount: 12 t, for_sale: false}]\n")
    used = scarce.results["bedding_total_kg"]
    assert used is not None
    assert typical(used.value) == pytest.approx(12000.0, rel=1e-3)


def test_where_no_floor_was_told_the_animals_just_fit() -> None:
    plan = planned("groups: [{class: ewe, count: 3}]\n", 100)
    ratio = plan.results["space_ratio"]
    assert ratio is not None
    assert ratio.spread() == pytest.approx((1.0, 1.0, 1.0))
    assert not {"too_crowded", "law_is_not_enough", "fewer_or_dearer"} & {f.id for f in plan.recommendations}


def test_animals_that_follow_each_other_do_not_need_room_at_once() -> None:
    first = "  - {id: a, class: beef cow, count: 10, out: 2027-01-01}\n"
    second = "  - {id: b, class: beef cow, count: 10, in: 2027-01-01}\n"
    season = "start: 2026-11-01\ndays: 150\npens: [{id: shed, area: 100 m2}]\ngroups:\n"
    alone, both = planned(season + first), planned(season + first + second)
    assert pen_value(both, "space_needed_m2") == pytest.approx(pen_value(alone, "space_needed_m2"))
    together = planned(season + first + second.replace("2027-01-01", "2026-12-31"))
    assert pen_value(together, "space_needed_m2") == pytest.approx(2 * pen_value(alone, "space_needed_m2"))


def test_feed_told_as_wasted_lands_on_the_bed() -> None:
    straw = "materials: [{name: wheat straw, amount: 40 t}]\nbedding: [{material: wheat straw, rate: 90 kg/day}]\n"
    less, more = (
        planned(COWS.replace("count: 10}", f"count: 10, feed: {{kind: hay, wasted: {kg} kg/day}}}}") + straw)
        for kg in (5, 30)
    )
    dry = [plan.results["pack_end_mass_kg"] for plan in (less, more)]
    assert dry[0] is not None
    assert dry[1] is not None
    assert typical(dry[1].value) > typical(dry[0].value) + 25 * 150 * 0.5


def test_hens_are_not_bedded_on_a_cattle_base() -> None:
    plan = planned("groups: [{class: laying hen, count: 3}]\npens: [{id: coop, area: 1.2 m2}]\n")
    assert pen_value(plan, "laid_base_depth_m", "coop") == pytest.approx(0.15)


def test_no_more_bedding_is_offered_where_more_does_not_help() -> None:
    words = said(
        "start: 2026-11-01\ndays: 120\ngroups: [{class: dairy goat, count: 45}]\n"
        "pens: [{area: 130 m2, roof: open, rain: 2.5}]\nmaterials: [{name: barley straw, amount: 30 t}]\n"
    )
    assert "still more of the same does not" in words
    assert "about 0 kg" not in words
    assert "An open yard airs itself" in words


def test_a_pack_above_its_gate_is_never_told_as_less_than_nothing() -> None:
    words = said(COWS.replace("area: 100 m2", "area: 45 m2, gate_height: 50 cm, drinker_height: 30 cm"))
    assert "higher than your gate or wall" in words
    assert "before the animals come in: over the base its rim" in words
    assert not re.search(r"[ (]-\d", words)


def test_a_small_heap_is_a_pile_and_no_row() -> None:
    words = said("groups: [{class: ewe, count: 3}]\n")
    assert "one pile or bin" in words
    assert "a row about" not in words


def test_minutes_are_not_told_as_thousandths_of_an_hour() -> None:
    words = said("groups: [{class: laying hen, count: 3}]\npens: [{area: 1.2 m2}]\n")
    assert "a matter of minutes" in words
    assert not re.search(r"\b0\.0\d* (hours|minutes|kg|h)\b", words)
    assert "straw – 0.17" in words  # a few grams a day are told by the week only


def test_less_than_a_bag_a_week_is_told_by_how_long_a_bag_lasts() -> None:
    words = said(
        "groups: [{class: laying hen, count: 3}]\npens: [{area: 1.2 m2}]\n"
        "materials: [{name: wood shavings, packs: 4, pack: bag, pack_mass: 15 kg}]\n"
    )
    assert re.search(r"less than one bag all winter", words)
    assert "about 0 bags" not in words


def test_the_base_weighs_the_same_on_every_page() -> None:
    """The middle of its range, in words, bales, calendar and record alike."""
    plan = planned(
        COWS.replace("2026-11-01", "2026-12-01")
        + "materials: [{name: wheat straw, packs: 80, pack: round_bale, pack_mass: 250 kg}]\n",
        200,
    )
    node = plan.pens["shed"]["base_kg"]
    assert node is not None
    middle = node.spread()[1]
    assert plan_data(plan)["bedding"]["base_kg"] == {"shed": {"wheat_straw": middle}}
    document = plan_document(plan)
    words = " ".join(render_text(document).split())
    assert f"of wheat straw: about {say(middle, 'kg')}" in words
    assert f"about {say_number(middle / 250.0)} round bales" in words
    laid = [event.title for event in document.calendar if event.key.startswith("base")]
    assert laid == [f"Lay the base: {say(middle, 'kg')} of wheat straw"]


def test_dates_gone_by_are_noticed() -> None:
    assert "These dates have gone by" in said(COWS.replace("2026-11-01", "2025-11-01"))
    assert "gone by" not in said(COWS)


def test_other_ways_differ_by_more_than_chance() -> None:
    """Nothing to buy and floor to spare: a way that changes nothing at typical values is not shown."""
    words = said("groups: [{class: ewe, count: 3}]\n", 200)
    assert "A drier bed" not in words
    assert "Just dry and clean" not in words


def test_an_unknown_is_named_once_among_what_matters() -> None:
    plan = planned(
        "groups: [{class: ewe, count: 20, pen: a}, {class: ewe, count: 20, pen: b}]\n"
        "pens: [{id: a, area: 60 m2}, {id: b, area: 60 m2}]\n",
        200,
    )
    for name in ("bedding_total_kg", "pack_end_c_to_n", "top_moisture_worst"):
        labels = [(node.label, node.figure is None and node.subject) for node, _ in plan.matters(name)]
        assert len(labels) == len(set(labels)), name


def test_the_wait_before_harvest_is_the_same_everywhere_it_is_told() -> None:
    for region in ("england", "ireland", "usa_federal", "new_zealand"):
        words = said(COWS + f"region: {region}\nland: {{use: vegetables, area: 1 ha}}\n")
        plan = words.partition("What I would do")[2]
        assert "180 days before the harvest of anything eaten raw" in plan
        assert "at least 180 days from spreading to harvest for anything eaten raw" in plan


def test_no_bedding_at_all_leaves_no_empty_table() -> None:
    words = said(COWS + "materials: [{name: straw, for_sale: false}]\n")
    assert "There is nothing to spread" in words
    assert "What to add each week" not in words
    assert "no bedding and said that none can be bought" in words
    assert "about 0 " not in words


@pytest.mark.parametrize(
    "text",
    [
        # nobody is ever on the bed, and there is nothing to lay: the pack stays empty
        "start: 2026-12-17\ndays: 90\ngroups: [{class: heifer_calf, count: 10, hours_on_bed: 0}]\n"
        "pens: [{area: 3000 m2}]\nmaterials: [{name: heather, amount: 500 kg, from_date: 2027-02-04}]\n",
        # three weeks sooner they would not even have come in
        "start: 2026-05-27\ndays: 90\ngroups: [{class: foal, count: 2, in: 2026-08-21}]\n"
        "materials: [{name: oat_hulls, most_to_buy: 5000 kg}]\n",
        # rain on four hectares, and one hen: amounts many powers of ten apart
        "start: 2026-05-18\ndays: 3\ngroups:\n"
        "  - {class: laying_hen, count: 1, pen: a, feed: {kind: silage, on_bed: yes}}\n"
        "  - {class: cockerel, count: 2, pen: b}\n"
        "  - {class: goat, count: 10, pen: c, in: 2026-05-19, feed: {kind: silage, on_bed: yes}}\n"
        "  - {class: poultry, count: 10, pen: a, in: 2026-05-20}\n"
        "pens: [{id: a, area: 40000 m2, roof: open}, {id: b, area: 40000 m2}, {id: c, area: 300 m2}]\n"
        "materials:\n  - {name: barley_straw, for_sale: no}\n"
        "  - {name: triticale_straw, amount: 500 kg, for_sale: no, price: 0.01}\n",
    ],
    ids=["empty", "late", "vast"],
)
def test_odd_farms_get_a_plan_too(text: str) -> None:
    words = said(text, 20)
    assert not re.search(r"\b(nan|inf)\b|about 0 |[(]-\d", words)


def test_the_calendar_says_which_pen_where_there_are_several() -> None:
    plan = planned(
        "start: 2026-12-01\ndays: 60\n"
        "groups: [{class: ewe, count: 9, pen: a}, {class: ram, count: 2, pen: North Barn}]\n"
        "pens: [{id: a, area: 30 m2}, {id: North Barn, area: 20 m2, drinker_height: 30 cm}]\n"
        "materials: [{name: straw, amount: 5 t}]\n",
        20,
    )
    titles = [event.title for event in plan_document(plan).calendar]
    assert any(title.startswith("Lay the base, pen North Barn: ") for title in titles)
    assert any(title.startswith("Bedding, pen a: ") for title in titles)
    assert "Raise the drinker in pen North Barn" in titles


def test_the_base_is_laid_from_what_there_is_most_of_by_weight() -> None:
    """Three hundred cubic metres of chips weigh more than forty tonnes of sawdust."""
    plan = planned(COWS + "materials: [{name: sawdust, amount: 40 t}, {name: wood chips, volume: 300 m3}]\n")
    assert list(plan.decision.base_kg["shed"]) == ["wood_chips"]
    assert "lay 30 cm of" in said(COWS)  # an advised depth is one number to lay by


@pytest.mark.parametrize(
    ("kind", "material", "named", "more"),
    [
        ("horse", "bracken", "horses", ""),
        ("horse", "bracken", "horses", "base: {material: bracken}\n"),
        ("horse", "bracken", "horses", "bedding: [{material: bracken, rate: 40 kg/day}]\n"),
        ("horse", "walnut shavings", "horses", ""),
        ("laying hen", "cedar shavings", "poultry", "base: {material: cedar shavings}\n"),
        ("beef cow", "gypsum", "cattle", ""),
    ],
)
def test_bedding_that_harms_the_animals_is_left_out_and_named(
    kind: str, material: str, named: str, more: str
) -> None:
    text = (
        f"days: 120\ngroups: [{{class: {kind}, count: 6}}]\npens: [{{id: shed, area: 80 m2}}]\n"
        f"materials: [{{name: {material}, amount: 30 t}}]\n{more}"
    )
    plan = planned(text)
    harmful = plan.farm.materials[0].name
    assert not plan.decision.base_kg["shed"].get(harmful)
    assert not any(plan.decision.rates["shed"].get(harmful, (0.0,)))
    assert any(sum(rates) > 0 for rates in plan.decision.rates["shed"].values())
    words = said(text)
    assert (
        words.count(f"{named} must not lie on it or eat it") == 2
    )  # on the shed door and in the bed section


def test_the_housing_dates_stand_among_what_was_told() -> None:
    told = {row["fact"]: row["value"] for row in plan_data(planned(COWS))["told"]}
    assert told["day the animals come in"] == "1 November 2026"
    assert told["days on the bed"] == "150 days"
    assert "day the animals go out" not in told
