"""Every sum and every sized remedy against a sum done by hand; and what must hold whatever the numbers."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge import Knowledge
from advisor.reasoning.draws import typical
from advisor.troubles import remedy
from advisor.troubles.numbers import Sized
from advisor.troubles.sized import SUMS, size

STRAW = {"bedding": "wheat_straw", "bedding_moisture": 0.1}


def test_sums_by_hand() -> None:
    # 1000 x (0.78 - 0.72) / (0.72 - 0.12) = 60 / 0.60
    assert remedy.dry_to_add_kg(1000, 0.78, 0.72, 0.12) == pytest.approx(100)
    # 100 kg dry a day, a tenth passed down: 1000 kg dry, which is 22 % of the wet top
    assert remedy.top_layer_kg(100, 0.1, 0.78) == pytest.approx(1000 / 0.22)
    # 600 - 48 = 552 kg left, of which 80 dry: 85.507 % water; 552 x (0.85507 - 0.72) / (0.72 - 0.10) = 74.56 / 0.62
    assert remedy.keep_dry_kg_day(600, 80, 48, 0.72, 0.1) == pytest.approx(74.56 / 0.62)
    # (25 x 60 - 1000) / (0.4 - 25 x 0.005) = 500 / 0.275
    assert remedy.carbon_rich_to_add_kg(1000, 60, 25, 0.4, 0.005) == pytest.approx(500 / 0.275)
    # (400 - 30 x 8) / (30 x 0.004 - 0.08) = 160 / 0.04
    assert remedy.nitrogen_rich_to_add_kg(400, 8, 30, 0.08, 0.004) == pytest.approx(4000)
    # air-dry straw: 2.5 x 0.7; at 30 % water 0.7 / 0.88 kg of it are air-dry and hold 0.2045 kg too much already
    assert remedy.soaks_kg_kg(2.5, 0.7, 0.12, 0.12) == pytest.approx(1.75)
    assert remedy.soaks_kg_kg(2.5, 0.7, 0.3, 0.12) == pytest.approx(1.1875)
    # 14 x (1 - 84 / 100.5) = 2.3, so three
    assert remedy.animals_to_move(84, 100.5, 14) == 3
    assert remedy.grain_bait_kg(40, 0.6, 15) == pytest.approx(360)
    assert remedy.heap_missing_m3(1.5, 1) == pytest.approx(2.375)


#: remedy: (facts, {amount: value by hand})
BY_HAND: dict[str, tuple[dict[str, Any], dict[str, float]]] = {
    # 50 m2 x 0.08 m x 750 kg/m3 = 3000 kg; 3000 x 0.1 / 0.6
    "bed_the_top": (
        {"area_m2": 50, "top_depth_m": 0.08, "top_moisture": 0.8, "top_moisture_wanted": 0.7},
        {"bedding_today": 500},
    ),
    # 120.26 as above, with 96 m2 x 1 kg x 0.5 = 48 kg dried off; 3600 kg lasts 29.9 days
    "raise_the_rate": (
        {
            "excreta_kg_day": 600, "excreta_dry_kg_day": 80, "area_m2": 96, "least_bedding_kg_day": 84,
            "bedding_kg_day": 80, "on_hand_kg": 3600,
        },
        {
            "bedding_each_day": 120.258, "bedding_each_week": 841.806, "bedding_more_each_day": 40.258,
            "supply_lasts": 29.936,
        },
    ),
    # ten days: 500 kg C and 32 kg N; (25 x 32 - 500) / (0.9 x 0.45 - 25 x 0.9 x 0.0055) = 300 / 0.28125
    "carbon_on_bed": ({"nitrogen_kg_day": 3.2, "carbon_kg_day": 50}, {"carbon_today": 1066.667}),
    # straw at 10 % takes up 0.9 / 0.88 x 1.75 = 1.78977 kg; 30 / 1.78977 x 7
    "mend_drinker": ({"leak_l_day": 30}, {"leak_water": 30, "straw_wasted": 117.333}),
    # 4 kg x 5 m2 = 20 kg a day
    "keep_rain_out": (
        {"rain_kg_m2_day": 4, "patch_area_m2": 5},
        {"rain_water": 20, "straw_wasted": 78.222},
    ),
    # 4 m2 x 0.2 m = 0.8 m3: 600 kg out at 750, 96 kg of straw back at 120
    "mend_patch": ({"patch_area_m2": 4, "patch_depth_m": 0.2}, {"lift_out": 600, "fill_back": 96}),
    "give_room": (
        {"area_m2": 84, "space_needed_m2": 100.5, "heads": 14},
        {"area_to_add": 16.5, "animals_to_move": 3},
    ),
    # 70 t: 70 / 0.8 h by fork, 70 / 25 h by loader; 96 m2 x 0.3 m x 38, straw not yet trodden
    "muck_out": (
        {"area_m2": 96, "pack_mass_kg": 70000},
        {"dig_out": 70000, "fork_hours": 87.5, "loader_hours": 2.8, "new_base": 1094.4},
    ),
    # 20 x 0.06 m2, twice that at the eaves
    "open_up": ({"heads": 20}, {"outlet": 1.2, "inlet": 2.4}),
    # 40 m2 x 0.6 m x 15 kg/m3
    "give_grain": ({"area_m2": 40}, {"grain": 360}),
    # 1.78977 / 1.1875 - 1 = 0.50718
    "dry_bedding": (
        {"damp_moisture": 0.3, "bedding_kg_day": 100},
        {"damp_factor": 0.50718, "bedding_more_each_day": 50.718},
    ),
    # 1.4 - 1
    "dry_the_ration": ({"bedding_kg_day": 100}, {"wet_feed_factor": 0.4, "bedding_more_each_day": 40}),
    # 20 m2 x 0.15 m x 38 kg/m3 loose
    "through_frost": ({"area_m2": 20}, {"bedding_today": 114}),
    # 5000 x 0.1 / 0.5
    "dry_the_heap": ({"heap_mass_kg": 5000, "heap_moisture": 0.7}, {"dry_into_heap": 1000}),
    # 2000 x 0.15 / 0.5
    "water_heap": ({"heap_mass_kg": 2000, "heap_moisture": 0.35}, {"water_into_heap": 600}),
    # 250 kg dry at 2.4 % N is 6 kg N, at C:N 15 it holds 90 kg C; (25 x 6 - 90) / 0.28125
    "carbon_to_heap": (
        {"heap_mass_kg": 1000, "heap_moisture": 0.75, "heap_c_to_n": 15},
        {"carbon_into_heap": 213.333},
    ),
    # 500 kg dry straw: 225 kg C, at C:N 60 3.75 kg N; cattle dung 0.2 dry: (225 - 35 x 3.75) / (35 x 0.0048 - 0.084)
    "nitrogen_to_heap": (
        {"heap_mass_kg": 1000, "heap_moisture": 0.5, "heap_c_to_n": 60},
        {"dung_into_heap": 1116.071},
    ),
    # 1.5 m cubed less 1; 600 kg/m3
    "bigger_heap": ({"heap_volume_m3": 1}, {"heap_more": 2.375, "heap_more_mass": 1425}),
    # a quarter of 8 m3
    "open_heap": ({"heap_volume_m3": 8}, {"coarse_into_heap": 2}),
    # 2 kg x 10 m2 x 7 days
    "cover_heap": ({"heap_area_m2": 10}, {"rain_through": 140}),
}  # fmt: skip


@pytest.mark.parametrize("name", BY_HAND)
def test_sized_remedies_by_hand(name: str, known: Knowledge) -> None:
    facts, wanted = BY_HAND[name]
    found = size(known, name, {**STRAW, **facts})
    assert {a.key: a.value for a in found.sum.amounts} == pytest.approx(wanted, rel=1e-4)
    for amount in found.sum.amounts:
        assert amount.low <= amount.value <= amount.high


def test_every_sum_has_a_hand_calculation(known: Knowledge) -> None:
    assert {known.remedies[name].size for name in BY_HAND} == set(SUMS)


def test_bales_and_forkfuls(known: Knowledge) -> None:
    facts = {**STRAW, **BY_HAND["bed_the_top"][0], "bale_mass_kg": 20, "bale_name": "small bale"}
    (amount,) = size(known, "bed_the_top", facts).sum.amounts
    assert amount.packs == pytest.approx(25)  # 500 / 20
    assert amount.forkfuls == pytest.approx(500 / 3)  # 3 kg a forkful
    assert amount.pack == "small bale"


def test_the_bed_of_a_case_is_sized_from_what_falls_on_it(known: Knowledge) -> None:
    # 90 kg dry a day for ten days is 900 kg; at 80 % water 4500 kg; 4500 x 0.1 / 0.6
    facts = {**STRAW, "top_dry_kg_day": 90, "top_moisture": 0.8, "top_moisture_wanted": 0.7}
    (amount,) = size(known, "bed_the_top", facts).sum.amounts
    assert amount.value == pytest.approx(750)


def test_what_is_not_told_is_asked_and_nothing_is_made_up(known: Knowledge) -> None:
    found = size(known, "raise_the_rate", {})
    assert found.sum.amounts == ()
    assert "excreta_kg_day" in found.asks


def test_without_an_area_amounts_are_for_a_square_metre(known: Knowledge) -> None:
    found = size(known, "bed_the_top", {**STRAW, "squeeze_top": "drips"})
    (amount,) = found.sum.amounts
    assert amount.per == "m2"
    # 0.07 m x 750 kg/m3 = 52.5 kg; x (0.78 - 0.72) / (0.72 - 0.10)
    assert amount.value == pytest.approx(52.5 * 0.06 / 0.62)
    assert "area_m2" in found.asks


def test_the_squeeze_test_sets_the_moisture(known: Knowledge) -> None:
    def kg(**facts: str) -> float:
        return size(known, "bed_the_top", {**STRAW, "area_m2": 10, **facts}).sum.amounts[0].value

    assert kg(squeeze_top="drips") > 0
    assert kg(squeeze_top="crumbles") == 0
    assert kg(squeeze_top="drips", management="stirred") > 0


@pytest.mark.parametrize("name", BY_HAND)
def test_told_ranges_become_ranges(name: str, known: Knowledge) -> None:
    facts, _ = BY_HAND[name]
    wide = {key: [0.9 * v, v, min(1.1 * v, 0.99) if v < 1 else 1.1 * v] for key, v in facts.items()}
    wide.pop("heads", None)
    if "heads" in facts:
        wide["heads"] = facts["heads"]
    found: Sized = size(known, name, {**STRAW, **wide})
    narrow: Sized = size(known, name, {**STRAW, **facts})
    for one, other in zip(found.sum.amounts, narrow.sum.amounts, strict=True):
        assert one.value == pytest.approx(other.value)
        assert one.high - one.low >= 0


share = st.floats(0.02, 0.98)


@given(st.floats(1, 1e5), share, share, share)
def test_mixing_conserves_water_and_never_wets(
    wet: float, moisture: float, wanted: float, dry: float
) -> None:
    if dry >= wanted:
        with pytest.raises(ValueError, match="drier"):
            remedy.dry_to_add_kg(wet, moisture, wanted, dry)
        return
    added = typical(remedy.dry_to_add_kg(wet, moisture, wanted, dry))
    assert added >= 0
    if moisture > wanted:
        assert (wet * moisture + added * dry) / (wet + added) == pytest.approx(wanted)
    else:
        assert added == 0


@given(st.floats(1, 1e4), st.floats(1, 1e3), st.floats(5, 60), share, st.floats(1e-4, 0.1))
def test_carbon_added_reaches_the_ratio(c: float, n: float, wanted: float, ac: float, an: float) -> None:
    if ac <= wanted * an:
        with pytest.raises(ValueError, match="higher"):
            remedy.carbon_rich_to_add_kg(c, n, wanted, ac, an)
        with_less = None if ac == wanted * an else remedy.nitrogen_rich_to_add_kg(c, n, wanted, ac, an)
        if with_less is not None and typical(with_less) > 0:
            x = typical(with_less)
            assert (c + x * ac) / (n + x * an) == pytest.approx(wanted, rel=1e-4)
        return
    added = typical(remedy.carbon_rich_to_add_kg(c, n, wanted, ac, an))
    if added > 0:
        assert (c + added * ac) / (n + added * an) == pytest.approx(wanted, rel=1e-4)
    else:
        assert c / n >= wanted * (1 - 1e-9)


@given(st.floats(1, 1e4), st.floats(1, 1e4), st.integers(1, 1000))
def test_animals_to_move_leave_room_enough(area: float, needed: float, heads: int) -> None:
    move = typical(remedy.animals_to_move(area, needed, heads))
    assert 0 <= move <= heads
    assert (heads - move) * needed / heads <= area * (1 + 1e-6) or move == heads
