"""What a diagnosis must be: honest about what is not known, safe, the same in any order, and storable."""

from __future__ import annotations

import json
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.knowledge import Knowledge, knowledge
from advisor.troubles import UnknownEvidence, answer, restored, start
from advisor.troubles.listening import evidence_in, readings_in, result_of
from advisor.troubles.weigh import weigh
from advisor.troubles.words import diagnosis_text

_KNOWN = knowledge()
signs = st.sampled_from(sorted(_KNOWN.signs))
checks = st.sampled_from(sorted(_KNOWN.checks))


@st.composite
def evidence(draw: st.DrawFn) -> dict[str, str]:
    told = draw(st.dictionaries(signs, st.sampled_from(["present", "absent", "unknown"]), max_size=5))
    for name in draw(st.lists(checks, max_size=4)):
        told[name] = draw(st.sampled_from([*_KNOWN.checks[name].results, "unknown"]))
    return told


@settings(max_examples=25)
@given(evidence())
def test_chances_are_chances_and_words_always_come(told: dict[str, str]) -> None:
    found = start(_KNOWN, told)
    assert found.weighed.weight.sum() == pytest.approx(1)
    chances = [cause.chance for cause in found.causes]
    assert chances == sorted(chances, reverse=True)
    assert all(0 <= chance <= 1 + 1e-9 for chance in chances)
    text = found.to_words()
    assert text
    assert "{" not in text
    assert "{" not in found.to_words("us")


@given(evidence(), st.randoms())
def test_the_order_of_telling_changes_nothing(told: dict[str, str], random: Random) -> None:
    items = list(told.items())
    random.shuffle(items)
    assert start(_KNOWN, dict(items)).weighed.ranked() == start(_KNOWN, told).weighed.ranked()


@given(evidence())
def test_what_is_unknown_counts_neither_way(told: dict[str, str]) -> None:
    known_only = {name: state for name, state in told.items() if state != "unknown"}
    assert weigh(_KNOWN, told, {}).ranked() == weigh(_KNOWN, known_only, {}).ranked()


@given(evidence())
def test_stored_and_brought_back(told: dict[str, str]) -> None:
    found = start(_KNOWN, told, {"area_m2": 96.0, "top_depth_m": [0.1, 0.2, 0.3], "feeds": ["hay"]})
    kept = json.loads(json.dumps(found.to_json()))
    again = restored(_KNOWN, kept)
    assert again.told == found.told
    assert [c.id for c in again.causes] == [c.id for c in found.causes]


@settings(max_examples=40)
@given(evidence())
def test_a_check_is_never_asked_twice_and_has_answers(told: dict[str, str]) -> None:
    check = start(_KNOWN, told).next_check
    if check is not None:
        assert check.id not in told
        assert len(check.results) >= 2
        assert check.gain > 0


def test_answering_makes_a_new_diagnosis(known: Knowledge) -> None:
    first = start(known, ["wet surface"])
    second = answer(first, "squeeze_top", "drips")
    assert "squeeze_top" not in first.told
    assert second.told["squeeze_top"] == "drips"
    assert answer(second, "squeeze_top", "holds").told["squeeze_top"] == "holds"


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"wet surfaces": "present"}, "did you mean 'wet surface'"),
        ({"wet surface": "drips"}, "can be present"),
        ({"squeeze_top": "sings"}, "no result"),
        ({"": "present"}, "no sign"),
    ],
)
def test_what_it_does_not_hold_is_refused(told: dict[str, str], says: str, known: Knowledge) -> None:
    with pytest.raises(UnknownEvidence, match=says):
        start(known, told)


def test_nothing_told_asks_what_they_see(known: Knowledge) -> None:
    found = start(known, [])
    assert found.causes == ()
    assert found.next_check is None
    assert "Tell me" in found.to_words()


@pytest.mark.parametrize(
    ("sign", "danger", "first"),
    [
        ("person_dizzy", "gas_now", "Get out now."),
        ("smell_vanished", "gas_now", "Get out now."),
        ("animals_collapse", "gas_now", "Get out now."),
        ("smoke", "fire_now", "Call the fire service."),
        ("burnt_smell", "fire_now", "Call the fire service."),
        ("engine_running", "carbon_monoxide", "Go out into fresh air now"),
    ],
)
def test_an_emergency_comes_before_everything(sign: str, danger: str, first: str, known: Knowledge) -> None:
    found = start(known, ["wet surface", "ammonia smell", sign], {"region": "generic"})
    assert found.stopped
    assert found.dangers[0][0] == danger
    assert found.next_check is None
    text = found.to_words()
    assert text.splitlines()[1].startswith(f"- {first}")
    assert "Most likely" not in text


def test_people_come_before_fire_and_fire_before_animals(known: Knowledge) -> None:
    found = start(known, ["off feed", "smoke", "rotten egg smell", "person_dizzy"])
    assert [name for name, _ in found.dangers] == ["gas_now", "fire_now", "airless_gas", "sick_animals"]


def test_a_steady_rotten_egg_smell_is_a_trouble_with_a_strong_caution(known: Knowledge) -> None:
    found = start(known, ["rotten egg smell"])
    assert not found.stopped
    assert found.danger is known.dangers["airless_gas"]
    assert found.causes


@pytest.mark.parametrize(
    ("facts", "danger"),
    [
        ({"heap_temperature_c": 85}, "fire_now"),
        ({"heap_temperature_c": 75}, "hot_heap"),
        ({"ammonia_reading_ppm": 25}, "ammonia_high"),
        ({"engine_indoors": True}, "carbon_monoxide"),
    ],
)
def test_readings_raise_dangers(facts: dict[str, float], danger: str, known: Knowledge) -> None:
    assert start(known, ["steam"], facts).dangers[0][0] == danger


def test_harmless_readings_raise_none(known: Knowledge) -> None:
    assert start(known, ["steam"], {"heap_temperature_c": 60, "ammonia_reading_ppm": 5}).dangers == ()


def test_the_never_list_stands_with_remedies(known: Knowledge) -> None:
    text = start(known, {"condensation": "present", "stuffy_air": "present"}).to_words()
    assert "Never shut the shed up for warmth." in text
    hot = start(known, {"heap_too_hot": "present", "heap_size": "big", "where_is_it": "heap"}).to_words()
    assert "Never pull a smoking" in hot


def test_one_who_can_measure_nothing_still_gets_an_answer(known: Knowledge) -> None:
    found = start(known, ["unspecified smell", "wet surface"])
    for _ in range(60):
        check = found.next_check
        if check is None:
            break
        found = answer(found, check.id, "unknown")
    assert found.next_check is None
    assert found.causes
    assert found.remedy(found.causes[0].id)
    assert "What to do" in found.to_words()


def test_facts_of_the_farm_answer_checks_by_themselves(known: Knowledge) -> None:
    crowded = start(known, ["wet surface"], {"space_ratio": 0.7})
    assert crowded.evidence["room"] == "crowded"
    assert crowded.causes[0].id == "too_many_animals"
    told_otherwise = answer(crowded, "room", "roomy")
    assert told_otherwise.evidence["room"] == "roomy"


def test_a_fact_may_rule_a_cause_out(known: Knowledge) -> None:
    found = start(known, ["pigs not rooting"], {"pigs_nose_ringed": False})
    assert found.weighed.chance("nose_rings") == 0


def test_two_causes_at_once_can_both_be_likely(known: Knowledge) -> None:
    found = start(
        known,
        {
            "wet_by_drinker": "present",
            "condensation": "present",
            "stuffy_air": "present",
            "wet_patch": "present",
        },
    )
    assert {"leaking_drinker", "shut_openings"} == {c.id for c in found.causes[:2]}
    assert all(cause.word == "very_likely" for cause in found.causes[:2])


def test_what_would_change_it_changes_it(known: Knowledge) -> None:
    found = start(known, {"wet_surface": "present", "dirty_animals": "present", "where_is_it": "bed"})
    assert found.changes
    for change in found.changes:
        assert answer(found, change.check, change.result).causes[0].id == change.cause


def test_reasons_name_their_source(known: Knowledge) -> None:
    (first, *_) = start(known, {"caked_surface": "present", "wet_by_drinker": "present"}).causes
    assert any(reason.source == "UFLITTER" for reason in first.because)
    assert all(reason.source is None or reason.source in known.sources for reason in first.because)


def test_absent_signs_speak_against(known: Knowledge) -> None:
    found = start(known, {"wet_surface": "present", "dirty_animals": "absent"})
    against = [reason for cause in found.causes for reason in cause.against]
    assert any(reason.id == "dirty_animals" for reason in against)


def test_us_units(known: Knowledge) -> None:
    found = start(
        known, {"wet_surface": "present", "squeeze_top": "drips", "bedding_rate": "less"}, {"area_m2": 50}
    )
    assert " lb" in diagnosis_text(found, "us")
    assert " kg" in diagnosis_text(found)


@pytest.mark.parametrize(
    ("check", "said", "result"),
    [
        ("squeeze_top", "it drips", "drips"),
        ("squeeze_top", "falls apart in my hand", "crumbles"),
        ("squeeze_top", "doesn't drip, holds together", "holds"),
        ("squeeze_top", "I can't check that", "unknown"),
        ("ammonia_tube", "haven't got one", "unknown"),
        ("pack_warmth", "no thermometer here", "unknown"),
        ("snouts", "yes they do", "ringed"),
        ("sick_look", "yes, one is dull", "yes"),
        ("sick_look", "nope all bright", "no"),
        ("where_is_it", "the heap behind the barn", "heap"),
        ("wet_where", "only round the trough", "by_drinker"),
        ("feed_place", "beside it in the passage", "beside"),
        ("squeeze_top", "what?", None),
    ],
)
def test_answers_in_their_own_words(check: str, said: str, result: str | None, known: Knowledge) -> None:
    assert result_of(known, check, said) == result


def test_alarms_and_symptoms_of_the_language_layer_become_evidence(known: Knowledge) -> None:
    assert evidence_in(known, "...", ["wet patch", "no such word"], ["fire"]) == {
        "wet_patch": "present",
        "smoke": "present",
    }


def test_readings_in_a_message() -> None:
    said = [
        {"of": "pack temperature", "si": 50, "si_unit": "degC"},
        {"of": "heap temperature", "si": 71.0, "si_unit": "degC"},
        {"of": "ammonia", "si": 22, "si_unit": "ppm"},
        {"of": "outside temperature", "si": -5, "si_unit": "degC"},
    ]
    assert readings_in(said) == {
        "pack_temperature_c": 50,
        "heap_temperature_c": 71,
        "ammonia_reading_ppm": 22,
    }


@pytest.mark.parametrize("place", ["bed", "heap"])
def test_nobody_is_sent_to_dig_where_gas_may_be_shut_in(place: str, known: Knowledge) -> None:
    found = start(known, {"rotten_egg_smell": "present", "compacted_pack": "present", "where_is_it": place})
    barred = set(known.dangers["airless_gas"].bars)
    asked = []
    while (check := found.next_check) is not None:
        asked.append(check.id)
        found = answer(found, check.id, "unknown")
    assert not barred & {*asked, *(change.check for change in found.changes)}


def test_a_look_that_speaks_against_is_told_with_its_figure() -> None:
    found = start(_KNOWN, {"ammonia_smell": "present", "nitrogen_lock_up": "present", "bean_test": "same"})
    for text in (found.to_words(), found.to_words("us")):
        assert "{" not in text
