"""Farm files with a slip: every one is refused with its line, what is wrong, and what would be right."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.farm import read_farm_text
from advisor.farm.reading import FarmError
from advisor.knowledge import Fault, Knowledge, knowledge

EWES = "groups: [{class: ewe, count: 3}]\n"


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (EWES + "facts: {nonsense: 3}\n", "farm:2: 'nonsense' is not a fact that the adviser knows"),
        (EWES + "facts: {space_ratio: 5}\n", "farm:2: 'space_ratio' is worked out and cannot be told"),
        (EWES + "facts: {base_depth_m: deep}\n", "farm:2: 'base_depth_m' must be a number (such as '2 m')"),
        (EWES + "facts: {machine_used: 3}\n", "farm:2: 'machine_used' cannot be '3.0' (yes or no)"),
        (
            EWES + "facts: {herbicide_risk: perhaps}\n",
            "farm:2: 'herbicide_risk' cannot be 'perhaps' (one of: ",
        ),
        (
            "groups: [{class: ewe, count: 3, pen: a}]\npens:\n  - {id: a, area: 9 m2}\n  - {id: b, area: 9 m2}\n",
            "farm:4: no animals live in pen 'b' (name it in a group, or leave it out)",
        ),
        (
            "start: 2026-11-01\nend: 2027-03-01\ngroups: [{class: ewe, count: 3, in: 2028-01-01}]\n",
            "farm:3: comes in on 2028-01-01, but the season ends on 2027-03-01",
        ),
        (
            "start: 2026-11-01\ndays: 90\ngroups: [{class: ewe, count: 3, out: 2026-10-01}]\n",
            "farm:3: goes out on 2026-10-01, before the season starts on 2026-11-01",
        ),
        (
            EWES + "base: {material: sawdust}\nmaterials: [{name: straw, amount: 1 t}]\n",
            "farm:2: 'sawdust' is not among the materials",
        ),
        (EWES + "base: {depth: 20 cm, mass: 2 t}\n", "farm:2: the base is told by depth and by weight"),
        (
            "groups: [{class: ewe, count: 3, weight: 2 kg}]\n",
            "farm:1: 2 kg is no weight for ewes (usual are ",
        ),
        ("groups: [{class: ewe, count: 3, count_low: 9}]\n", "count_low, count and count_high must rise"),
        (EWES + "goals: {c_to_n_low: 40, c_to_n_high: 20}\n", "c_to_n_low is 40, above c_to_n_high, 20"),
        (EWES + "temperature: {13: 4}\n", "temperature by month needs months from 1 to 12"),
        (EWES + "temperature: {1: 900}\n", "temperature of month 1 is 900: from -50 to 45 degC"),
        (EWES + "start: 0001-01-01\ndays: 9\n", "farm:2: 'start': 0001-01-01 is no year for this plan"),
        (EWES + "end: 9999-01-01\n", "farm:2: 'end': 9999-01-01 is no year for this plan"),
        (
            EWES + "materials: [{name: straw, packs: 1e300, pack_mass: 9 kg}]\n",
            "'materials.0.packs' is too large",
        ),
        (
            "groups: [{class: ewe, count: 3, excreta: {excreta: 1, dry_matter: 5}}]\n",
            "dry_matter is 5 kg a day, but excreta, which it is part of, only 1",
        ),
        ("name: " + "x" * 300 + "\n" + EWES, "farm:1: 'name' is too long (at most 200 letters)"),
        ("groups: 7\n", "farm:1: 'groups' must be a list (start each part with '- ')"),
        ("groups: []\n", "farm:1: 'groups' is empty (give at least one)"),
        ("groups: [{class: ewe, count: many}]\n", "'groups.0.count' must be a whole number ('many' is none"),
        (
            EWES + "materials: [{name: straw, amount: 1 t}]\nbedding: [{material: straw, rate: -4 kg/day}]\n",
            "farm:3: 'bedding.0.rate': -4 kg/day is too small: at least 0 kg/day",
        ),
    ],
)
def test_a_slip_is_refused_with_its_line(known: Knowledge, text: str, fault: str) -> None:
    with pytest.raises(FarmError) as found:
        read_farm_text(text, known)
    assert fault in str(found.value)
    assert "literal[" not in str(found.value)
    assert "Input should" not in str(found.value)


def test_facts_are_read_with_their_units(known: Knowledge) -> None:
    farm = read_farm_text(EWES + "facts: {well_distance_m: 100 ft, dry_planning_margin: 1 to 3 %}\n", known)
    told = farm.facts["well_distance_m"]
    assert not isinstance(told, str | float | bool)
    assert told.value == pytest.approx(30.48)
    margin = farm.facts["dry_planning_margin"]
    assert not isinstance(margin, str | float | bool)
    assert (margin.low, margin.high) == pytest.approx((0.01, 0.03))


def test_a_base_of_a_material_at_hand_and_groups_in_season_pass(known: Knowledge) -> None:
    read_farm_text(
        "start: 2026-11-01\nend: 2027-03-01\n"
        "groups: [{class: ewe, count: 3, weight: 70 kg, in: 2026-11-01, out: 2027-03-01}]\n"
        "materials: [{name: straw, amount: 1 t}]\nbase: {material: straw, mass: 200 kg}\n",
        known,
    )


_WORDS = st.sampled_from(
    ["-3", "1e300", ".nan", ".inf", "yes", "null", "[]", "{}", "[1, 2]", "{a: b}", "'x'", "2026-02-30", "🐄",
     "140 %", "-5 m2", "3 kg", "0", "''", "9999-12-31", "5 to 2 m2", "!!int x", "~"]
)  # fmt: skip
_KEYS = st.sampled_from(
    ["start", "end", "days", "region", "climate", "temperature", "management", "groups", "pens", "materials", "base",
     "bedding", "turning", "goals", "land", "prices", "facts", "units", "shares_pack", "name", "schema_version", "aera"]
)  # fmt: skip


def faults_of(text: str) -> list[Fault]:
    """Why a text is no farm; nothing where it is one."""
    try:
        read_farm_text(text, knowledge())
    except FarmError as refused:
        return refused.faults
    return []


@given(st.dictionaries(_KEYS, _WORDS, max_size=6))
def test_no_file_however_odd_does_more_than_be_refused(told: dict[str, str]) -> None:
    text = "".join(f"{key}: {word}\n" for key, word in {"groups": "[{class: ewe, count: 3}]", **told}.items())
    assert all(fault.place.line >= 1 for fault in faults_of(text))


@given(st.text(max_size=200))
def test_no_text_however_odd_does_more_than_be_refused(text: str) -> None:
    assert all(str(fault) for fault in faults_of(text))
