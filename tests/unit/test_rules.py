"""The rules and cautions of the knowledge base, and what runs them."""

from __future__ import annotations

import re
from collections.abc import Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.knowledge import knowledge
from advisor.knowledge.models import Caution, Fact, Rule
from advisor.reasoning.expressions import Kind, compile_condition, neighbours
from advisor.reasoning.rules import applicable, cautions_for, condition_of

BASE = knowledge()
RULES, CAUTIONS, FACTS = BASE.rules, BASE.cautions, BASE.facts
KINDS: dict[str, Kind] = {name: fact.kind for name, fact in FACTS.items()}
CHOICES = {name: fact.choices for name, fact in FACTS.items() if fact.choices}
OPPOSED = sorted({tuple(sorted((name, other))) for name, rule in RULES.items() for other in rule.opposes})
FATAL = sorted(name for name, caution in CAUTIONS.items() if caution.severity == "fatal")


def fired(facts: Mapping[str, object]) -> list[str]:
    return [one.id for one in applicable(RULES, facts)]


def shown(facts: Mapping[str, object], assumed: tuple[str, ...] = ()) -> dict[str, bool]:
    return {one.id: one.certain for one in cautions_for(CAUTIONS, facts, assumed)}


# --- every rule ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(RULES))
def test_case_of_the_rule(name: str) -> None:
    rule = RULES[name]
    assert name in fired(rule.case.fires)
    assert name not in fired(rule.case.not_fires)
    assert condition_of(rule.when)(rule.case.not_fires) is False, (
        "the neighbour must settle it, not leave it open"
    )
    known = set(rule.case.fires) | set(rule.case.not_fires)
    assert known <= condition_of(rule.when).names, "the case tells facts that the rule does not read"


@pytest.mark.parametrize("name", sorted(RULES))
def test_rule_reads_known_facts_of_the_farm(name: str) -> None:
    condition = compile_condition(RULES[name].when, KINDS)
    assert {FACTS[fact].per for fact in condition.names} == {"farm"}
    words = {
        value
        for facts in neighbours(condition)
        for fact, value in facts.items()
        if fact in CHOICES and isinstance(value, str) and not value.startswith("(")
    }
    assert all(any(word in choices for choices in CHOICES.values()) for word in words)


@pytest.mark.parametrize("name", sorted(RULES))
def test_rule_points_at_things_that_exist(name: str) -> None:
    rule = RULES[name]
    assert set(rule.cautions) <= set(CAUTIONS)
    assert {*rule.overrides, *rule.opposes} <= set(RULES) - {name}
    assert set(rule.sources) <= set(BASE.sources)
    prose = f"{rule.advise} {rule.because}"
    assert set(re.findall(r"\{(\w+)\}", prose)) <= set(BASE.figures)
    assert not re.search(r"\d", re.sub(r"\{\w+\}", "", prose)), "numbers in prose are references to figures"
    assert rule.sources or rule.seen in ("memory", "common-practice", "judgement")


@pytest.mark.parametrize("name", sorted(name for name, rule in RULES.items() if rule.overrides))
def test_no_rule_overrides_a_safer_one(name: str) -> None:
    """People's safety, then animals', then law, supply and carbon: never the other way round."""
    below, todo = set(), list(RULES[name].overrides)
    while todo:
        other = todo.pop()
        if other not in below:
            below.add(other)
            todo += RULES[other].overrides
    assert all(RULES[other].rank >= RULES[name].rank for other in below)
    assert name not in below, "overrides go round in a circle"


@pytest.mark.parametrize(("one", "other"), OPPOSED)
def test_opposed_rules_never_speak_together(one: str, other: str) -> None:
    first, second = condition_of(RULES[one].when), condition_of(RULES[other].when)
    pair = {one: RULES[one], other: RULES[other]}
    for facts in neighbours(
        first, second, choices={**CHOICES, "species": (), "families": (), "materials": ()}
    ):
        assert len(applicable(pair, facts)) < 2, facts


def test_there_are_rules_on_every_topic() -> None:
    assert len(RULES) >= 45
    assert {rule.topic for rule in RULES.values()} == {
        "space", "bed", "supply", "height", "air", "turning", "compost", "land", "animals", "money",
    }  # fmt: skip


def value_of(fact: Fact) -> st.SearchStrategy[object]:
    if fact.kind == "flag":
        return st.booleans()
    if fact.kind == "number":
        return st.one_of(st.floats(0, 2), st.floats(0, 250))
    if fact.kind == "text":
        return st.sampled_from(fact.choices or ("generic",))
    words = fact.choices or (
        "straw",
        "wood",
        "peat",
        "wood_chips",
        "bull",
        "dairy_cow",
        "silage",
        "gypsum",
        "lime",
    )
    return st.lists(st.sampled_from(words), max_size=4)


ANY_FARM = st.fixed_dictionaries(
    {},
    optional={
        name: value_of(fact) for name, fact in FACTS.items() if fact.per == "farm" and fact.kind != "date"
    },
)


@pytest.mark.slow
@settings(max_examples=150)
@given(ANY_FARM)
def test_advice_on_any_farm_keeps_its_promises(facts: dict[str, object]) -> None:
    found = applicable(RULES, facts)
    names = {one.id for one in found}
    assert [one.rule.rank for one in found] == sorted(one.rule.rank for one in found)
    for one in found:
        assert not names & set(one.rule.opposes)
        assert dict(one.because).items() <= facts.items()
    if "bed_less" in names:
        assert facts["clean_score"] == "clean"
        assert facts["squeeze_test"] == "crumbles"
        assert facts["any_births_due"] is False
        assert condition_of("top_moisture_worst > top_moisture_limit")(facts) is not True
    grain_eaters = {"sheep", "goats", "horses", "poultry"}
    if "bury_grain" in names:
        assert not any(condition_of(f"'{animal}' in species")(facts) for animal in grain_eaters)


# --- the runner ----------------------------------------------------------------------------------


def rule(when: str, rank: int = 3, overrides: tuple[str, ...] = ()) -> Rule:
    return Rule(
        when=when, topic="bed", advise="Do it.", because="It helps.", rank=rank, overrides=overrides,
        seen="judgement", case={"fires": {}, "not_fires": {}},
    )  # fmt: skip


def caution(when: str, severity: str = "serious", at_risk: tuple[str, ...] = ("animals",)) -> Caution:
    return Caution.model_validate(
        {"title": "T", "at_risk": at_risk, "severity": severity, "danger": "D", "do": ("A",), "when": when,
         "seen": "judgement"}
    )  # fmt: skip


def test_rules_come_safest_first_with_the_facts_they_read() -> None:
    rules = {
        "b": rule("x < 1 or y", 4),
        "a": rule("x < 1", 4),
        "c": rule("x < 2", 1),
        "d": rule("z"),
        "e": rule("y"),
    }
    found = applicable(rules, {"x": 0.5, "z": False, "other": 1})
    assert [one.id for one in found] == ["c", "a", "b"]
    assert [one.because for one in found] == [{"x": 0.5}] * 3
    assert found[0].rule is rules["c"]


def test_an_overridden_rule_is_silent_only_while_the_other_speaks() -> None:
    rules = {"general": rule("a"), "special": rule("a and b", overrides=("general",))}
    assert [one.id for one in applicable(rules, {"a": True, "b": True})] == ["special"]
    assert [one.id for one in applicable(rules, {"a": True, "b": False})] == ["general"]
    assert [one.id for one in applicable(rules, {"a": True})] == ["general"]


def test_an_overridden_rule_overrides_nothing() -> None:
    rules = {"a": rule("x", overrides=("b",)), "b": rule("x", overrides=("c",)), "c": rule("x")}
    assert [one.id for one in applicable(rules, {"x": True})] == ["a", "c"]


def test_rules_that_override_each_other_both_speak() -> None:
    rules = {"a": rule("x", overrides=("b",)), "b": rule("x", overrides=("a",))}
    assert [one.id for one in applicable(rules, {"x": True})] == ["a", "b"]


def test_cautions_come_worst_first() -> None:
    cautions = {
        "n": caution("true", "nuisance"),
        "env": caution("true", at_risk=("environment",)),
        "animals": caution("true"),
        "people": caution("true", at_risk=("environment", "people")),
        "maybe": caution("x", "fatal", ("people",)),
        "sure": caution("true", "fatal"),
        "no": caution("false", "fatal"),
        "open": caution("x"),
    }
    found = cautions_for(cautions, {})
    assert [one.id for one in found] == ["sure", "maybe", "people", "animals", "env", "n"]
    assert [one.id for one in found if not one.certain] == ["maybe"]
    assert found[0].caution is cautions["sure"]


def test_an_assumption_may_raise_a_caution_but_not_hide_a_fatal_one() -> None:
    cautions = {"fatal": caution("x", "fatal"), "serious": caution("x")}
    assert [one.id for one in cautions_for(cautions, {"x": False})] == []
    hidden = cautions_for(cautions, {"x": False}, assumed={"x"})
    assert [(one.id, one.certain) for one in hidden] == [("fatal", False)]
    unasked = cautions_for({"a": caution("not known(x)", "fatal")}, {"x": False}, assumed={"x"})
    assert [one.id for one in unasked] == ["a"]
    raised = cautions_for(cautions, {"x": True}, assumed={"x"})
    assert [(one.id, one.certain) for one in raised] == [("fatal", False), ("serious", False)]


# --- every caution -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(CAUTIONS))
def test_caution_is_whole(name: str) -> None:
    one = CAUTIONS[name]
    condition = compile_condition(one.when, KINDS)
    assert {FACTS[fact].per for fact in condition.names} <= {"farm"}
    assert one.do
    assert one.at_risk
    assert set(one.sources) <= set(BASE.sources)
    assert one.sources or one.seen in ("memory", "common-practice", "judgement")
    prose = " ".join([one.title, one.danger, *one.do, one.call])
    assert set(re.findall(r"\{(\w+)\}", prose)) == set(one.figures)
    assert not re.search(r"\d", re.sub(r"\{\w+\}", "", prose)), "numbers in prose are references to figures"
    for figure in one.figures.values():
        assert {piece.source for piece in figure.evidence if piece.source} <= set(BASE.sources)


@pytest.mark.parametrize("name", FATAL)
def test_fatal_caution_is_shown_until_ruled_out(name: str) -> None:
    condition = condition_of(CAUTIONS[name].when)
    assert name in shown({})
    assert shown({})[name] is (condition.names == frozenset())
    truths = {condition(facts) for facts in neighbours(condition, choices=CHOICES)}
    assert True in truths
    assert False in truths or not condition.names


@pytest.mark.parametrize("name", sorted(set(CAUTIONS) - set(FATAL)))
def test_other_caution_can_be_shown_and_waits_for_its_reason(name: str) -> None:
    condition = condition_of(CAUTIONS[name].when)
    assert (name in shown({})) is (condition.names == frozenset())
    assert any(condition(facts) for facts in neighbours(condition, choices={"classes": ("dairy_cow",)}))


def test_the_most_general_dangers_stand_in_every_plan() -> None:
    empty: dict[str, object] = {"flag": False, "list": ()}
    nothing_special = {name: empty[fact.kind] for name, fact in FACTS.items() if fact.kind in empty}
    assert {"ammonia", "h2s_pack", "lone_work", "gut_germs"} <= set(shown(nothing_special))


@pytest.mark.parametrize(
    ("facts", "wanted", "unwanted"),
    [
        (
            {"species": ["cattle"], "turned_by": "tractor"},
            {"cattle_handling", "machines"},
            {"copper_sheep", "swill"},
        ),
        ({"species": ["sheep"], "turned_by": "pigs"}, {"copper_sheep", "grain_overload", "pig_water"}, set()),
        ({"species": ["cattle"], "turned_by": "hens"}, {"botulism", "avian_flu", "swill"}, {"pig_water"}),
        (
            {"species": ["horses"], "families": ["wood"]},
            {"walnut", "toxic_wood", "treated_wood"},
            {"cattle_handling"},
        ),
        ({"species": ["sheep"], "any_births_due": True}, {"birth_products", "joint_ill", "mastitis"}, set()),
        ({"materials": ["gypsum"]}, {"gypsum_bedding"}, set()),
        ({"families": ["peat"], "turned_by": "pigs"}, {"peat_pigs", "pigs_on_pack_health"}, set()),
        ({"compost_for": "garden"}, {"herbicide_carryover", "raw_manure_crops"}, {"grass_staggers"}),
        ({"compost_for": "garden", "herbicide_risk": "no"}, {"raw_manure_crops"}, {"herbicide_carryover"}),
        ({"pit_below": True}, {"confined_space", "pack_fall"}, set()),
        ({"pit_below": False}, {"h2s_pack"}, {"confined_space"}),
    ],
)
def test_cautions_of_a_farm(facts: dict[str, object], wanted: set[str], unwanted: set[str]) -> None:
    found = shown(facts)
    assert wanted <= {name for name, certain in found.items() if certain}
    assert not unwanted & set(found)


def test_every_safety_fact_is_read_by_something() -> None:
    read = {
        name
        for when in [*(one.when for one in RULES.values()), *(one.when for one in CAUTIONS.values())]
        for name in condition_of(when).names
    }
    asked = {name for name, (topic, _) in ((key[1], key) for key in BASE.places) if topic == "facts"}
    safety = {name for name in asked if BASE.places["facts", name].file == "facts/safety.yaml"}
    assert safety
    assert safety <= read
