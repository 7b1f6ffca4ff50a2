"""Mixing arithmetic: published worked examples, and what must hold for any mix."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import linprog

from advisor.science.mix import (
    Amount,
    Band,
    Ingredient,
    kg_for_c_to_n,
    kg_for_moisture,
    mixed_c_to_n,
    mixed_moisture,
    solve_recipe,
)

LB_YD3 = 0.45359237 / 0.764554857984


def of_dry(moisture: float, carbon: float, nitrogen: float) -> Ingredient:
    """An ingredient from shares of its dry matter."""
    return Ingredient(moisture, carbon * (1.0 - moisture), nitrogen * (1.0 - moisture))


def only_wet(moisture: float) -> Ingredient:
    """An ingredient of which only the moisture is known."""
    return Ingredient(moisture, math.nan, math.nan)


# --- worked examples, as published ------------------------------------------------------------------------


def test_leaves_to_dry_grass_clippings() -> None:
    # Cornell composting pages, "calculating moisture content" (full copy on jerrysplantsonline.com):
    # 10 kg of grass at 77 % need 6.8 kg of leaves at 35 % for a mix of 60 %.
    grass, leaves = only_wet(0.77), only_wet(0.35)
    assert round(10.0 * kg_for_moisture(leaves, grass, 0.60), 1) == 6.8
    found = solve_recipe([grass, leaves], [Amount(10.0), Amount()], moisture=Band(0.6, 0.6))
    assert round(found.kg[1], 1) == 6.8
    assert not found.missed
    assert round(float(mixed_moisture(found.kg, [grass, leaves])), 4) == 0.6


def test_hay_scraps_and_coffee_grounds() -> None:
    # "How to calculate the carbon to nitrogen ratio of your compost mix" (docslib.org/doc/12269573):
    # 21.5 lb of carbon over 0.62 lb of nitrogen is 34.7; shares are of the weight as it is.
    mix = [Ingredient(0.0, 0.40, 0.01), Ingredient(0.0, 0.10, 0.01), Ingredient(0.0, 0.25, 0.01)]
    assert sum(w * i.carbon for w, i in zip((50, 10, 2), mix, strict=True)) == pytest.approx(21.5)
    assert round(float(mixed_c_to_n([50.0, 10.0, 2.0], mix)), 1) == 34.7


def test_urea_for_a_cubic_yard_of_sawdust() -> None:
    # ask2.extension.org FAQ 351921: 1 yd3 at 400 lb/yd3, 60 % C, 400:1, to 30:1 with urea of 46 % N takes
    # 7.4 lb of nitrogen, 16 lb of urea; 12.8 where horse manure already balanced makes up a fifth.
    sawdust, urea = Ingredient(0.0, 0.60, 0.60 / 400.0), Ingredient(0.0, 0.0, 0.46)
    found = solve_recipe([sawdust, urea], [Amount(400.0), Amount()], c_to_n=Band(30, 30))
    assert round(found.kg[1], 2) == 16.09
    assert round(found.kg[1]) == 16
    assert round(found.kg[1] * 0.46, 1) == 7.4
    assert round(0.8 * round(found.kg[1]), 1) == 12.8
    # printed in SI beside it: 7.3 kg of urea for 0.765 m3
    assert round(400.0 * LB_YD3 * 0.765 * kg_for_c_to_n(urea, sawdust, 30.0), 1) == 7.3


def test_urea_for_sawdust_as_it_lies() -> None:
    # The same example is unsound in one step: the weight is of sawdust as it lies, so part of it is water.
    # Exact at 39 % moisture and 50 % carbon of dry matter: 122 lb of carbon, 8.2 lb of urea.
    sawdust = of_dry(0.39, 0.50, 0.50 / 400.0)
    assert round(400.0 * float(sawdust.carbon), 1) == 122.0
    assert round(400.0 * kg_for_c_to_n(Ingredient(0.0, 0.0, 0.46), sawdust, 30.0), 1) == 8.2


def test_ratios_are_not_averaged_by_weight() -> None:
    # alkenmurray.hypermart.net "CompostBalanceCalculation" averages 7.5 and 130 by weight and finds that
    # 0.90 of litter and 0.10 of straw make 20. With equal carbon and moisture they make 8.28;
    # 20 takes 0.337 of litter, and 30 takes 0.204.
    litter, straw = Ingredient(0.2, 0.4, 0.4 / 7.5), Ingredient(0.2, 0.4, 0.4 / 130.0)
    assert round(float(mixed_c_to_n([0.90, 0.10], [litter, straw])), 2) == 8.28
    for wanted, share in ((20.0, 0.337), (30.0, 0.204)):
        straw_per_litter = kg_for_c_to_n(straw, litter, wanted)
        assert round(1.0 / (1.0 + straw_per_litter), 3) == share


@pytest.mark.parametrize(
    ("parts", "averaged", "exact"),
    [
        # gardensimply.com "compost carbon nitrogen ratio", first worked line: (20 + 20 + 60) / 3 = 33
        ([(2, 20), (1, 60)], 33.33, 25.71),
        # the same page, first listed problem: (20 + 20 + 110 + 15) / 4 = 41
        ([(2, 20), (1, 110), (1, 15)], 41.25, 22.76),
    ],
)
def test_ratios_are_not_averaged_by_volume(
    parts: list[tuple[int, int]], averaged: float, exact: float
) -> None:
    # Both pages average ratios of equal piles. Exact with equal carbon in every part: the harmonic mean.
    piles = sum(n for n, _ in parts)
    assert round(sum(n * r for n, r in parts) / piles, 2) == averaged
    mix = [Ingredient(0.5, 0.2, 0.2 / ratio) for _, ratio in parts]
    assert round(float(mixed_c_to_n([float(n) for n, _ in parts], mix)), 2) == exact


def test_breeder_manure_with_sawdust() -> None:
    # BC agricultural composting handbook, appendix A (scribd 364310243), inputs of its example; the answer
    # is not printed in the stored text. By its formulas: 0.350 kg of sawdust a kg, 45.0 % moist, and
    # 0.301 kg of water to 55 %.
    manure, sawdust = of_dry(0.46, 0.36, 0.036), of_dry(0.42, 475 * 0.0043, 0.0043)
    kg = kg_for_c_to_n(sawdust, manure, 30.0)
    assert round(kg, 3) == 0.350
    moisture = float(mixed_moisture([1.0, kg], [manure, sawdust]))
    assert round(100 * moisture, 1) == 45.0
    water = (1.0 + kg) * kg_for_moisture(Ingredient(1.0, 0.0, 0.0), only_wet(moisture), 0.55)
    assert round(water, 3) == 0.301


def test_the_two_ingredient_formula_as_printed() -> None:
    # The handbook's own form: a = (Nb/Na) (R - Rb)/(Ra - R) (1 - Mb)/(1 - Ma)
    n_b, r_b, m_b, n_a, r_a, m_a, wanted = 3.6, 10.0, 0.46, 0.43, 475.0, 0.42, 30.0
    printed = (n_b / n_a) * (wanted - r_b) / (r_a - wanted) * (1 - m_b) / (1 - m_a)
    b = of_dry(m_b, r_b * n_b / 100, n_b / 100)
    a = of_dry(m_a, r_a * n_a / 100, n_a / 100)
    assert kg_for_c_to_n(a, b, wanted) == pytest.approx(printed, rel=1e-12)


# --- facts of the trade: common practice, no published source ---------------------------------------------


def test_it_goes_by_weight_not_by_volume() -> None:
    # common practice: the same volumes of a light straw and of wet dung are not the same carbon
    dung, straw = of_dry(0.80, 0.44, 0.022), of_dry(0.12, 0.45, 0.0055)
    by_weight = float(mixed_c_to_n([100.0, 100.0], [dung, straw]))
    by_volume = float(mixed_c_to_n([900.0, 40.0], [dung, straw]))  # a cubic metre of each
    assert by_weight > 50.0 > 25.0 > by_volume


# --- what must hold for any mix ---------------------------------------------------------------------------

ingredients = st.builds(of_dry, st.floats(0.02, 0.9), st.floats(0.2, 0.5), st.floats(0.002, 0.08))
masses = st.floats(0.5, 2000.0)
mixes = st.lists(st.tuples(masses, ingredients), min_size=2, max_size=5)
WATER = Ingredient(1.0, 0.0, 0.0)


@given(mixes, st.randoms(use_true_random=False))
def test_the_order_of_ingredients_is_nothing(mix: list[tuple[float, Ingredient]], random: Random) -> None:
    shuffled = list(mix)
    random.shuffle(shuffled)
    assert _ratio(shuffled) == pytest.approx(_ratio(mix), rel=1e-12)
    assert _moisture(shuffled) == pytest.approx(_moisture(mix), rel=1e-12)


@given(mixes, st.floats(1e-3, 1e3))
def test_twice_as_much_of_everything_is_the_same_mix(
    mix: list[tuple[float, Ingredient]], scale: float
) -> None:
    bigger = [(w * scale, i) for w, i in mix]
    assert _ratio(bigger) == pytest.approx(_ratio(mix), rel=1e-9)
    assert _moisture(bigger) == pytest.approx(_moisture(mix), rel=1e-9)


@given(mixes, masses)
def test_water_never_moves_the_ratio_and_always_wets(
    mix: list[tuple[float, Ingredient]], water: float
) -> None:
    wetted = [*mix, (water, WATER)]
    assert _ratio(wetted) == pytest.approx(_ratio(mix), rel=1e-12)
    assert _moisture(wetted) > _moisture(mix)


@given(mixes)
def test_a_mix_lies_between_its_ingredients(mix: list[tuple[float, Ingredient]]) -> None:
    ratios = [float(i.carbon) / float(i.nitrogen) for _, i in mix]
    assert min(ratios) * (1 - 1e-9) <= _ratio(mix) <= max(ratios) * (1 + 1e-9)
    wet = [float(i.water) for _, i in mix]
    assert min(wet) - 1e-9 <= _moisture(mix) <= max(wet) + 1e-9


@given(ingredients, ingredients, st.floats(10, 60))
def test_the_amount_found_makes_the_wanted_ratio(a: Ingredient, b: Ingredient, wanted: float) -> None:
    try:
        kg = kg_for_c_to_n(a, b, wanted)
    except ValueError:
        ratios = [float(i.carbon) / float(i.nitrogen) for i in (a, b)]
        assert not min(ratios) < wanted < max(ratios)
        return
    assert float(mixed_c_to_n([kg, 1.0], [a, b])) == pytest.approx(wanted, rel=1e-6)


@given(mixes)
def test_arrays_of_draws_mix_as_single_numbers_do(mix: list[tuple[float, Ingredient]]) -> None:
    kg = [np.array([w, 2.0 * w]) for w, _ in mix]
    doubled = mixed_c_to_n(kg, [i for _, i in mix])
    assert isinstance(doubled, np.ndarray)
    assert doubled == pytest.approx([_ratio(mix)] * 2, rel=1e-12)


def _ratio(mix: list[tuple[float, Ingredient]]) -> float:
    return float(mixed_c_to_n([w for w, _ in mix], [i for _, i in mix]))


def _moisture(mix: list[tuple[float, Ingredient]]) -> float:
    return float(mixed_moisture([w for w, _ in mix], [i for _, i in mix]))


# --- the solver -------------------------------------------------------------------------------------------

MANURE, STRAW, CHIPS = of_dry(0.78, 0.44, 0.024), of_dry(0.12, 0.45, 0.0055), of_dry(0.45, 0.49, 0.0016)


@given(
    known=masses,
    manure=ingredients,
    added=st.lists(ingredients, min_size=1, max_size=3),
    low=st.floats(15, 40),
    wide=st.floats(0, 10),
    dry=st.floats(0.3, 0.7),
    thick=st.floats(0, 0.2),
)
def test_the_solver_agrees_with_scipy(
    known: float,
    manure: Ingredient,
    added: list[Ingredient],
    low: float,
    wide: float,
    dry: float,
    thick: float,
) -> None:
    """Reached or not, and how much dry matter it takes, against an independent linear program."""
    ratio, wet = Band(low, low + wide), Band(dry, dry + thick)
    mix = [manure, *added, WATER]
    limits = [Amount(known), *(Amount(most=3.0 * known) for _ in added), Amount(most=3.0 * known)]
    found = solve_recipe(mix, limits, c_to_n=ratio, moisture=wet)
    rows = [
        row
        for side, edge, up, down in (
            (-1, ratio.low, "carbon", "nitrogen"),
            (1, ratio.high, "carbon", "nitrogen"),
            (-1, wet.low, "water", ""),
            (1, wet.high, "water", ""),
        )
        for row in [[side * (getattr(i, up) - edge * (getattr(i, down) if down else 1.0)) for i in mix]]
    ]
    cost = [1.0 - float(i.water) for i in mix]
    bounds = [(known, known), *((0.0, 3.0 * known) for _ in mix[1:])]
    other = linprog(cost, A_ub=np.array(rows), b_ub=np.zeros(4), bounds=bounds)
    nudged = linprog(cost, A_ub=np.array(rows), b_ub=np.full(4, -1e-5 * known), bounds=bounds)
    assume(other.success == nudged.success)  # on the very edge both answers are right
    assert bool(found.missed) != other.success
    if other.success:
        dry_matter = sum(w * c for w, c in zip(found.kg, cost, strict=True))
        assert dry_matter == pytest.approx(other.fun, rel=1e-3, abs=1e-3 * known)


@given(known=masses, low=st.floats(10, 90), wet=st.floats(0.3, 0.9))
def test_limits_hold_whatever_is_asked(known: float, low: float, wet: float) -> None:
    limits = [Amount(known), Amount(least=0.1 * known, most=0.5 * known), Amount(most=known), Amount()]
    found = solve_recipe(
        [MANURE, STRAW, CHIPS, WATER], limits, c_to_n=Band(low, low + 2), moisture=Band(wet, wet + 0.02)
    )
    near = 1e-4 * known
    assert found.kg[0] == pytest.approx(known, rel=1e-12)
    assert 0.1 * known - near <= found.kg[1] <= 0.5 * known + near
    assert -near <= found.kg[2] <= known + near


def test_water_is_added_only_where_it_is_too_dry() -> None:
    wet = solve_recipe([MANURE, STRAW, WATER], [Amount(1000.0), Amount(), Amount()], c_to_n=Band(25, 30),
                       moisture=Band(0.5, 0.7))  # fmt: skip
    dry = solve_recipe([STRAW, WATER], [Amount(1000.0), Amount()], moisture=Band(0.5, 0.6))
    assert wet.kg[2] == pytest.approx(0.0, abs=0.1)
    # 1000 kg at 12 % to 50 %: W (M - M0) / (1 - M)
    assert dry.kg[1] == pytest.approx(1000 * (0.5 - 0.12) / 0.5, rel=1e-4)


def test_the_ratio_gives_way_before_the_moisture() -> None:
    found = solve_recipe(
        [MANURE, STRAW], [Amount(1000.0), Amount(most=2000.0)], c_to_n=Band(20, 22), moisture=Band(0.50, 0.55)
    )
    (missed,) = found.missed
    assert missed.target == "c_to_n"
    assert not missed.endless
    assert float(mixed_moisture(found.kg, [MANURE, STRAW])) == pytest.approx(0.55, abs=1e-4)
    # the nearest ratio is that of the wettest mix allowed
    assert missed.nearest == pytest.approx(float(mixed_c_to_n(found.kg, [MANURE, STRAW])), rel=1e-4)


def test_a_limit_that_is_too_small_gives_the_nearest() -> None:
    found = solve_recipe([MANURE, STRAW], [Amount(1000.0), Amount(most=50.0)], c_to_n=Band(30, 30))
    (missed,) = found.missed
    assert found.kg[1] == pytest.approx(50.0, rel=1e-4)
    assert missed.nearest == pytest.approx(float(mixed_c_to_n([1000.0, 50.0], [MANURE, STRAW])), rel=1e-4)


def test_an_aim_no_amount_reaches_is_given_up() -> None:
    found = solve_recipe(
        [MANURE, STRAW], [Amount(1000.0), Amount()], c_to_n=Band(30, 30), moisture=Band(0.05, 0.05)
    )
    (missed,) = found.missed
    assert missed.target == "moisture"
    assert missed.endless
    assert missed.nearest == pytest.approx(0.12, abs=0.01)
    assert float(mixed_c_to_n(found.kg, [MANURE, STRAW])) == pytest.approx(30, rel=1e-4)


def test_no_nitrogen_no_ratio() -> None:
    found = solve_recipe([WATER], [Amount(10.0)], c_to_n=Band(20, 25))
    assert [(m.target, m.nearest, m.endless) for m in found.missed] == [("c_to_n", None, True)]
    assert math.isnan(float(mixed_c_to_n([10.0], [WATER])))


def test_a_total_is_kept_or_the_nearest_named() -> None:
    kept = solve_recipe([MANURE, STRAW], [Amount(), Amount()], c_to_n=Band(28, 28), total_kg=500.0)
    assert sum(kept.kg) == pytest.approx(500.0, rel=1e-6)
    assert kept.missed == ()
    assert float(mixed_c_to_n(kept.kg, [MANURE, STRAW])) == pytest.approx(28.0, rel=1e-4)
    over = solve_recipe([MANURE, STRAW], [Amount(400.0), Amount(most=50.0)], total_kg=500.0)
    assert [(m.target, m.nearest) for m in over.missed] == [("total", pytest.approx(450.0))]
    assert sum(over.kg) == pytest.approx(450.0, rel=1e-6)


def test_something_must_say_how_big_the_mix_is() -> None:
    with pytest.raises(ValueError, match="how big"):
        solve_recipe([MANURE, STRAW], [Amount(), Amount()], c_to_n=Band(30, 30))


def test_no_amount_and_nothing_lacking() -> None:
    with pytest.raises(ValueError, match="no amount"):
        kg_for_moisture(STRAW, STRAW, 0.5)
    with pytest.raises(ValueError, match="no amount"):
        kg_for_moisture(MANURE, MANURE, 0.5)
    assert kg_for_moisture(STRAW, MANURE, 0.78) == 0.0


def test_least_dry_matter_goes_before_least_weight() -> None:
    # half water, but half of what is dry is carbon, against 0.396 of 0.88 in the straw
    wet = Ingredient(0.5, 0.25, 0.0025)
    found = solve_recipe([MANURE, STRAW, wet], [Amount(500.0), Amount(), Amount()], c_to_n=Band(30, 30))
    assert found.kg[1] < 0.1 < found.kg[2]


def test_a_mix_on_the_very_edge_of_what_can_be_reached_is_still_a_mix() -> None:
    # found by hypothesis: the nearest ratio, held to the last digit, left the next program no room
    manure, sludge, same = of_dry(0.6875, 0.5, 0.03125), of_dry(0.5, 0.5, 0.0625), of_dry(0.5, 0.5, 0.03125)
    mix = [manure, sludge, sludge, same, WATER]
    limits = [Amount(1.0), *(Amount(most=3.0) for _ in range(4))]
    found = solve_recipe(mix, limits, c_to_n=Band(15, 15), moisture=Band(0.43359375, 0.51171875))
    assert found.kg[0] == pytest.approx(1.0)
    missed = {m.target: m.nearest for m in found.missed}
    assert float(mixed_moisture(found.kg, mix)) == pytest.approx(missed.get("moisture", 0.43359375), rel=1e-4)
    assert float(mixed_c_to_n(found.kg, mix)) == pytest.approx(missed["c_to_n"], rel=1e-4)
